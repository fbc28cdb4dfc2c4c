package cutting

import (
	"cmp"
	"slices"
)

// job is one copy of a source and how it is cut.
type job struct {
	source int
	pattern
	tally
}

// work is cloth cut so far, or not: what of each want is still to be cut and
// how many copies are whole.
type work struct {
	jobs   []job
	copies []int
	left   []int
	area   area
	spoilt area
	waste  area
	cuts   int
}

func newWork(copies, left []int) *work {
	return &work{copies: slices.Clone(copies), left: slices.Clone(left)}
}

func (w *work) clone() *work {
	c := *w
	c.jobs, c.copies, c.left = slices.Clone(w.jobs), slices.Clone(w.copies), slices.Clone(w.left)
	return &c
}

func (w *work) add(j job) {
	w.jobs = append(w.jobs, j)
	w.apply(j, 1)
}

// remove takes the k-th job back.
func (w *work) remove(k int) job {
	j := w.jobs[k]
	w.jobs = slices.Delete(w.jobs, k, k+1)
	w.apply(j, -1)
	return j
}

func (w *work) apply(j job, sign int) {
	w.copies[j.source] -= sign
	for i, n := range j.counts {
		w.left[i] -= sign * n
	}
	w.area += area(sign) * j.area
	w.waste += area(sign) * j.waste
	w.spoilt += area(sign) * j.spoilt
	w.cuts += sign * j.cuts
}

// better compares two works on one problem: area covered, squares cut down,
// waste, cuts.
func (w *work) better(than *work) bool {
	return cmp.Or(cmp.Compare(than.area, w.area), cmp.Compare(w.spoilt, than.spoilt), cmp.Compare(w.waste, than.waste), cmp.Compare(w.cuts, than.cuts)) < 0
}

// allowed says whether a job cuts no more than is left.
func (w *work) allowed(counts []int) bool {
	for i, n := range counts {
		if n > w.left[i] {
			return false
		}
	}
	return true
}

// bid is a source with what cutting it would bring.
type bid struct {
	source, way, length int
	worth               float64
}

// bids lists the sources worth cutting at the prices of the tables, best first.
func (t *tables) bids(w *work) []bid {
	var out []bid
	for k := range t.p.sources {
		if w.copies[k] == 0 {
			continue
		}
		if worth, way, length := t.best(&t.p.sources[k]); way >= 0 {
			out = append(out, bid{k, way, length, worth})
		}
	}
	slices.SortStableFunc(out, func(a, b bid) int { return cmp.Compare(b.worth, a.worth) })
	return out
}

// tries is how many of the best bids are fitted to what is left when none can
// be taken as it is.
const tries = 16

// cutAt cuts at the prices until nothing more is worth cutting: the best bids
// first, each as it is while it cuts no more than is left, then fitted.
func (t *tables) cutAt(w *work, prices []float64) {
	for sum(w.left) > 0 {
		now := bar(prices, w.left)
		t.solve(now, knife)
		bids := t.bids(w)
		before := len(w.jobs)
		open := countOpen(w.left)
		for n, b := range bids {
			src := &t.p.sources[b.source]
			if n == 0 && t.fitFirst(w, bids) {
				break
			}
			for w.copies[b.source] > 0 {
				pt, tl := t.p.neat(src, t.pattern(src, b.way, b.length))
				if tl.pieces == 0 || !w.allowed(tl.counts) {
					break
				}
				w.add(job{b.source, pt, tl})
			}
			if countOpen(w.left) < open {
				break // the prices of what is left have changed
			}
		}
		if len(w.jobs) == before && !t.fitOne(w, bids) {
			return
		}
	}
}

// fitFirst fits the best bid where it is larger than what is left, and adds it if
// it is then still the best: a large strip is not passed over for many small
// pieces because it would yield too much.
func (t *tables) fitFirst(w *work, bids []bid) bool {
	b := bids[0]
	src := &t.p.sources[b.source]
	if !t.p.ample(src.lies[b.way], src, w.left) || w.allowed(t.p.measure(src, t.pattern(src, b.way, b.length)).counts) {
		return false
	}
	pt, tl, worth := t.fit(src, w.left)
	if worth <= 0 || slices.ContainsFunc(bids[1:], func(o bid) bool { return o.source != b.source && o.worth > worth }) {
		return false
	}
	w.add(job{b.source, pt, tl})
	return true
}

// fitOne adds the best of the first few bids, fitted to what is left; the bids
// are of the tables as they are.
func (t *tables) fitOne(w *work, bids []bid) bool {
	best, most := job{}, 0.0
	for _, b := range bids[:min(tries, len(bids))] {
		pt, tl, worth := t.fit(&t.p.sources[b.source], w.left)
		if worth > most {
			best, most = job{b.source, pt, tl}, worth
		}
	}
	if most == 0 {
		return false
	}
	w.add(best)
	return true
}

func countOpen(left []int) int {
	n := 0
	for _, v := range left {
		if v > 0 {
			n++
		}
	}
	return n
}

// high is the price of covering at any cost, in areas of the piece: no cloth
// that a piece can be cut from wastes that much.
const high = 1e6

// complete cuts what is still left wherever it can be cut.
func (t *tables) complete(w *work) {
	prices := make([]float64, len(w.left))
	for i, it := range t.p.wants {
		prices[i] = high * float64(it.area())
	}
	t.cutAt(w, prices)
}
