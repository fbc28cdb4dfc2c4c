package plan

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"piecebag/internal/recipe"
)

// StringLength is so many strings that are cut at a length, rounded up to a whole inch.
type StringLength struct {
	LengthIn float64 `json:"length_in"`
	Count    int     `json:"count"`
}

// stringPiece is one piece that strings are cut from, one after another.
type stringPiece struct {
	ID         int64 // of the holding
	wide, left float64
	used       bool
}

// strung is what strings of one role come to when they are dealt to their places.
type strung struct {
	covered, all float64 // square inches of the foundations, finished
	lengths      map[float64]int
	used         map[int64]int
}

// deal deals pieces, by role, to the foundations: from the middle outwards, the longest
// places first, to each the shortest piece that reaches across there. Where none does, a
// string of new cloth takes the place.
func deal(foundations []recipe.Strung, seam float64, pools map[recipe.Role][]stringPiece) map[recipe.Role]*strung {
	out := map[recipe.Role]*strung{}
	for role := range pools {
		pools[role] = slices.Clone(pools[role])
	}
	sew := func(f recipe.Strung, role recipe.Role, off, half float64) (wide float64) {
		s := out[role]
		if s == nil {
			s = &strung{lengths: map[float64]int{}, used: map[int64]int{}}
			out[role] = s
		}
		need := f.ReachIn(off)
		pool, best := pools[role], -1
		for i, x := range pool {
			if x.left >= need-onMark && (best < 0 || cmp.Or(cmp.Compare(x.left, pool[best].left), cmp.Compare(x.wide, pool[best].wide)) < 0) {
				best = i
			}
		}
		wide = recipe.BoughtString
		if best >= 0 {
			x := &pool[best]
			wide = x.wide
			x.left -= need
			if !x.used {
				x.used = true
				s.used[x.ID]++
			}
			s.lengths[math.Ceil(need-onMark)]++
		}
		from, to := max(0, off+seam), min(half, off+wide-seam)
		area := (f.ReachIn(from) + f.ReachIn(to)) / 2 * (to - from)
		s.all += area
		if best >= 0 {
			s.covered += area
		}
		return wide
	}
	type side struct {
		f    recipe.Strung
		off  float64 // of the raw edge that the next string is laid to
		half float64
	}
	var open []side
	for _, f := range foundations {
		half := f.HalfIn()
		for range f.Count {
			wide := sew(f, f.Roles[0], 0, half)
			at := wide/2 - 2*seam
			open = append(open, side{f, at, half}, side{f, at, half})
		}
	}
	for round := 0; len(open) > 0; round++ {
		slices.SortStableFunc(open, func(a, b side) int { return cmp.Compare(b.f.ReachIn(b.off), a.f.ReachIn(a.off)) })
		for i := range open {
			x := &open[i]
			sides := x.f.Roles[min(1, len(x.f.Roles)-1):]
			x.off += sew(x.f, sides[round%len(sides)], x.off, x.half) - 2*seam
		}
		open = slices.DeleteFunc(open, func(x side) bool { return x.off+2*seam >= x.half-onMark })
	}
	return out
}

// covers reports whether strings reach across everywhere.
func (s *strung) covers() bool { return s.covered >= s.all-onMark }

// sorted are the lengths, the longest first.
func (s *strung) sorted() (out []StringLength) {
	for _, l := range slices.Backward(slices.Sorted(maps.Keys(s.lengths))) {
		out = append(out, StringLength{l, s.lengths[l]})
	}
	return out
}
