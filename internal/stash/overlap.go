package stash

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/geom"
)

// Two outlines are one piece where they share at least this much of what they
// cover together. Over a half, no piece has two that match it, and the half of a
// piece is not the piece.
const samePiece = 0.6

// overlap is what two outlines share, what they cover together, and the area of
// the first, in pixels of a raster on which the longer side of both is raster
// long.
func overlap(a, b geom.Polygon) (shared, together, first float64) {
	const raster = 200
	if len(a) < 3 || len(b) < 3 {
		return 0, 0, 0
	}
	lo, hi := a.Bounds()
	lo2, hi2 := b.Bounds()
	if hi.X <= lo2.X || hi2.X <= lo.X || hi.Y <= lo2.Y || hi2.Y <= lo.Y {
		return 0, 0, 0
	}
	lo = geom.Point{X: min(lo.X, lo2.X), Y: min(lo.Y, lo2.Y)}
	hi = geom.Point{X: max(hi.X, hi2.X), Y: max(hi.Y, hi2.Y)}
	scale := raster / max(hi.X-lo.X, hi.Y-lo.Y)
	var mask [2][]bool
	w := int(math.Ceil((hi.X-lo.X)*scale)) + 1
	h := int(math.Ceil((hi.Y-lo.Y)*scale)) + 1
	for k, g := range []geom.Polygon{a, b} {
		moved := make(geom.Polygon, len(g))
		for i, p := range g {
			moved[i] = p.Sub(lo).Mul(scale)
		}
		m := make([]bool, w*h)
		moved.Fill(w, h, func(y, x0, x1 int) {
			for x := x0; x < x1; x++ {
				m[y*w+x] = true
			}
		})
		mask[k] = m
	}
	for i, inA := range mask[0] {
		inB := mask[1][i]
		if inA {
			first++
		}
		if inA && inB {
			shared++
		}
		if inA || inB {
			together++
		}
	}
	return shared, together, first
}

// iou is the share of two outlines that is common to both, 0..1.
func iou(a, b geom.Polygon) float64 {
	shared, together, _ := overlap(a, b)
	if together == 0 {
		return 0
	}
	return shared / together
}

// nested is how much of the smaller of two outlines lies in the other, 0..1.
func nested(a, b geom.Polygon) float64 {
	shared, together, first := overlap(a, b)
	if least := min(first, together-first+shared); least > 0 {
		return shared / least
	}
	return 0
}

// match pairs outlines that are one piece, the best pairs first: to[i] is the
// index in b of a[i], -1 where there is none.
func match(a, b []geom.Polygon) (to []int) {
	type pair struct {
		i, j int
		iou  float64
	}
	var pairs []pair
	for i := range a {
		for j := range b {
			if v := iou(a[i], b[j]); v >= samePiece {
				pairs = append(pairs, pair{i, j, v})
			}
		}
	}
	slices.SortStableFunc(pairs, func(p, q pair) int { return cmp.Compare(q.iou, p.iou) })
	to = make([]int, len(a))
	for i := range to {
		to[i] = -1
	}
	taken := make([]bool, len(b))
	for _, p := range pairs {
		if to[p.i] < 0 && !taken[p.j] {
			to[p.i], taken[p.j] = p.j, true
		}
	}
	return to
}
