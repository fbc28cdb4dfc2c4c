package recipe

import (
	"fmt"
	"math"
	"slices"

	"piecebag/internal/fault"
)

// leastFinished is the narrowest that a patch may finish, inches: a usual seam allowance,
// for behind a narrower one the allowances of both sides lie on one another and into the
// seam beyond (common practice, no source).
const leastFinished = 0.25

// NarrowestIn returns the finished side of the narrowest patch of the blocks, inches, each
// measured by the box around it; +Inf where there is none. Blocks of strings and of crumbs
// do not count: their patches are drawn as an example.
func (r *Recipe) NarrowestIn() float64 {
	least := math.Inf(1)
	for i, b := range r.Blocks {
		if slices.ContainsFunc(b.Units, func(u Unit) bool { return u.Make == Strings || u.Make == Crumbs }) {
			continue
		}
		for _, p := range r.BlockLayout(i).Patches {
			lo, hi := p.Polygon.Bounds()
			least = min(least, hi.X-lo.X, hi.Y-lo.Y)
		}
	}
	return least
}

// sewable refuses blocks with patches too narrow to sew.
func (r *Recipe) sewable() error {
	least := r.NarrowestIn()
	if least >= leastFinished-1e-6 {
		return nil
	}
	return fault.New(r.File, fmt.Sprintf("patches finish at %.2g inches: too small to sew", least), "give a larger block: its narrowest patch must finish at ¼ inch or more")
}
