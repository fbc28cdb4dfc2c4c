package cutting

import "slices"

// The effort of the search on large problems: rounds of prices, and times that
// a plan is made of them.
const (
	climbRounds = 40
	planTimes   = 5
	// patterns looked at to cut one piece of cloth better, once a plan is found
	repackPatterns = 400
)

// dear is the highest price of a piece, in areas of it: so much waste a piece
// covered may cost before prices give it up. What prices give up is covered
// afterwards wherever it can be.
const dear = 4

// search covers what is left from the copies that are: prices for the pieces
// are raised and lowered until the cloth, each piece of it cut in the way that
// is best at these prices, would make what is wanted; plans are made at those
// prices, and of some kinds of cloth before others, and the best is kept and
// improved. It returns the plan and the bound on its waste in square inches.
func (p *problem) search(copies, left []int) (*work, float64) {
	t := newTables(p)
	best := newWork(copies, left)
	t.complete(best)
	prices := make([]float64, len(p.wants))
	for i, it := range p.wants {
		prices[i] = 0.05 * float64(it.area())
	}
	p.keepBetter(&best, t.staged(copies, left, func(s source) bool { return !s.square }, nil))
	bound := 0.0
	for range planTimes {
		goal := float64(best.lost())
		for i, n := range best.left {
			goal += float64(dear * float64(n) * float64(p.wants[i].area()))
		}
		bound = max(bound, t.climb(copies, left, prices, goal, dear, climbRounds))
		w := newWork(copies, left)
		t.cutAt(w, prices)
		t.complete(w)
		p.keepBetter(&best, w)
	}
	for _, of := range p.kinds() {
		p.keepBetter(&best, t.staged(copies, left, of, prices))
	}
	best = t.improve(best, prices, bound)
	t.complete(best)
	p.repack(best)
	bound = max(bound, t.climb(copies, left, prices, float64(best.lost()), dear, climbRounds))
	if made := best.made(left); !slices.Equal(made, left) { // a bound for what can be made
		bound = t.climb(copies, made, prices, float64(best.lost()), dear, 2*climbRounds)
	}
	return best, max(bound-float64(best.spoilt), 0) / in2Area
}

func (p *problem) keepBetter(best **work, w *work) {
	if w.better(*best) {
		*best = w
	}
}

// lost is what a plan wastes and the squares it cuts down.
func (w *work) lost() area { return w.waste + w.spoilt }

// kinds are the kinds of cloth that are cut from before all other: a plan that
// cloth of one kind makes by itself is not lost when there is more of another.
func (p *problem) kinds() []func(source) bool {
	largest := area(0)
	for _, s := range p.sources {
		largest = max(largest, s.area())
	}
	return []func(source) bool{
		func(s source) bool { return !s.square },
		func(s source) bool { return s.trim > 0 },
		func(s source) bool { return s.trim == 0 && !s.square },
		func(s source) bool { return 2*s.area() >= largest },
	}
}

// staged makes a plan of one kind of cloth first, at prices unless they are nil.
func (t *tables) staged(copies, left []int, of func(source) bool, prices []float64) *work {
	some := slices.Clone(copies)
	for k, s := range t.p.sources {
		if !of(s) {
			some[k] = 0
		}
	}
	w := newWork(some, left)
	if prices != nil {
		t.cutAt(w, prices)
	}
	t.complete(w)
	for k, n := range copies {
		w.copies[k] += n - some[k]
	}
	t.complete(w)
	return w
}

// repack cuts each piece of cloth in the best way that gives the same pieces,
// where there are few enough ways to try them all.
func (p *problem) repack(w *work) {
	for k, j := range w.jobs {
		list, spent := p.choices(&p.sources[j.source], j.counts, repackPatterns)
		if spent > repackPatterns {
			continue
		}
		for _, c := range list {
			if c.want >= 0 || !slices.Equal(c.counts, j.counts) {
				continue
			}
			g := &p.groups[p.sources[j.source].lies[c.lie].group]
			pt, tl := p.neat(&p.sources[j.source], p.tidy(g, c.pattern))
			if tl.cheaper(j.tally) {
				w.apply(j, -1)
				w.jobs[k] = job{j.source, pt, tl}
				w.apply(w.jobs[k], 1)
			}
		}
	}
}

// made is what of each want has been cut.
func (w *work) made(left []int) []int {
	out := slices.Clone(left)
	for i, n := range w.left {
		out[i] -= n
	}
	return out
}
