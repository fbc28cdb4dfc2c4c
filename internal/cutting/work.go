package cutting

import (
	"slices"
)

// work is a plan in the making.
type work struct {
	p      *problem
	jobs   []job
	free   []int   // copies of each source that are whole
	left   []int   // of each want
	prints [][]int // by want and print, the pieces
}

func (p *problem) newWork() *work {
	w := &work{p: p, left: slices.Clone(p.demand)}
	nPrints := 0
	for _, s := range p.sources {
		w.free = append(w.free, s.copies)
		nPrints = max(nPrints, s.print+1)
	}
	for range p.wants {
		w.prints = append(w.prints, make([]int, nPrints))
	}
	return w
}

func (w *work) clone() *work {
	c := *w
	c.jobs, c.free, c.left = slices.Clone(w.jobs), slices.Clone(w.free), slices.Clone(w.left)
	c.prints = make([][]int, len(w.prints))
	for r, list := range w.prints {
		c.prints[r] = slices.Clone(list)
	}
	return &c
}

func (w *work) count(j job, sign int) {
	w.free[j.source] -= sign
	for i, n := range j.counts {
		w.left[i] -= sign * n
		w.prints[i][w.p.sources[j.source].print] += sign * n
	}
}

func (w *work) add(j job) {
	w.jobs = append(w.jobs, j)
	w.count(j, 1)
}

// score returns the plan's score by all aims but unspared: see cutInto.
func (w *work) score() score {
	var s score
	for i, n := range w.left {
		s[uncovered] += int64(n) * int64(w.p.wants[i].area())
	}
	for _, j := range w.jobs {
		if j.want >= 0 {
			s[unready]--
			continue
		}
		s[cloths]++
		s[cuts] += int64(j.tally.cuts())
		s[wasted] += int64(j.waste)
	}
	for print := range w.prints[0] {
		s[unmixed] -= int64(w.mixing(print))
	}
	return s
}

// mixing counts the roles that have pieces of a print.
func (w *work) mixing(print int) int {
	n := 0
	for r := range w.p.nRoles {
		if w.mixes(r, print) {
			n++
		}
	}
	return n
}

// mixes reports whether a role has pieces of a print.
func (w *work) mixes(role, print int) bool {
	for i, r := range w.p.roles {
		if r == role && w.prints[i][print] > 0 {
			return true
		}
	}
	return false
}

// better compares two plans; the cloths cut into only where that decides, for it takes
// the longest.
func (w *work) better(than *work) bool {
	a, b := w.score(), than.score()
	for _, aim := range orders[w.p.prefer] {
		if aim == unspared {
			a[aim] = int64(w.spares(than))
		}
		if a[aim] != b[aim] {
			return a[aim] < b[aim]
		}
	}
	return false
}

// spares compares the cloths that two plans cut into; below 0 is better.
func (w *work) spares(than *work) int {
	largest := func(k, l int) int { return w.p.sources[l].smaller(w.p.sources[k]) }
	return slices.CompareFunc(w.cutInto(largest), than.cutInto(largest), func(k, l int) int { return largest(l, k) })
}

// cutInto lists the sources of the cloths that are cut, in an order.
func (w *work) cutInto(order func(k, l int) int) []int {
	var out []int
	for _, j := range w.jobs {
		if j.want < 0 {
			out = append(out, j.source)
		}
	}
	slices.SortFunc(out, order)
	return out
}

// uses counts the copies of each source that a plan takes or cuts.
func (w *work) uses() []int {
	out := make([]int, len(w.free))
	for _, j := range w.jobs {
		out[j.source]++
	}
	return out
}

// holdsSome reports whether a source is large enough for something that is left.
func (w *work) holdsSome(k int) bool {
	for i, n := range w.left {
		if n > 0 && w.p.sources[k].holds[i] {
			return true
		}
	}
	return false
}

// areaOf returns the area of counted pieces together.
func (p *problem) areaOf(counts []int) area {
	var a area
	for i, n := range counts {
		a += area(n) * p.wants[i].area()
	}
	return a
}

func sum(list []int) int {
	n := 0
	for _, v := range list {
		n += v
	}
	return n
}
