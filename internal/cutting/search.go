package cutting

import "slices"

// The effort of the search on large problems: rounds of prices, and times that
// a plan is made of them.
const (
	climbRounds = 40
	planTimes   = 5
)

// dear is the highest price of a piece, in areas of it: so much waste a piece
// covered may cost before prices give it up. What prices give up is covered
// afterwards wherever it can be.
const dear = 4

// search covers what is left from the copies that are: prices for the pieces
// are raised and lowered until the cloth, each piece of it cut in the way that
// is best at these prices, would make what is wanted; plans are made at those
// prices and the best is kept and improved. It returns the plan and the bound
// on its waste in square inches.
func (p *problem) search(copies, left []int) (*work, float64) {
	t := newTables(p)
	best := newWork(copies, left)
	t.complete(best)
	prices := make([]float64, len(p.wants))
	for i, it := range p.wants {
		prices[i] = 0.05 * float64(it.area())
	}
	bound := 0.0
	for range planTimes {
		goal := float64(best.waste)
		for i, n := range best.left {
			goal += float64(dear * float64(n) * float64(p.wants[i].area()))
		}
		bound = max(bound, t.climb(copies, left, prices, goal, dear, climbRounds))
		w := newWork(copies, left)
		t.cutAt(w, prices)
		t.complete(w)
		if w.better(best) {
			best = w
		}
	}
	best = t.improve(best, prices, bound)
	t.complete(best)
	bound = max(bound, t.climb(copies, left, prices, float64(best.waste), dear, climbRounds))
	if made := best.made(left); !slices.Equal(made, left) { // a bound for what can be made
		bound = t.climb(copies, made, prices, float64(best.waste), dear, 2*climbRounds)
	}
	return best, max(bound, 0) / in2Area
}

// made is what of each want has been cut.
func (w *work) made(left []int) []int {
	out := slices.Clone(left)
	for i, n := range w.left {
		out[i] -= n
	}
	return out
}
