package cutting

import "slices"

// The effort of the search on large problems: rounds of prices, and times that
// a plan is made of them.
const (
	climbRounds = 40
	planTimes   = 4
)

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
		made := best.made(left)
		bound = t.climb(copies, made, prices, float64(best.waste), 4, climbRounds)
		w := newWork(copies, left)
		t.cutAt(w, prices)
		t.complete(w)
		if w.better(best) {
			best = w
		}
	}
	if made := best.made(left); !slices.Equal(made, left) { // the plan that won may make other pieces
		bound = t.climb(copies, made, prices, float64(best.waste), 4, climbRounds)
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
