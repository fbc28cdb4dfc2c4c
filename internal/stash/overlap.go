package stash

import (
	"cmp"
	"slices"

	"piecebag/internal/geom"
)

// Two outlines are one piece where their overlap is at least this share, 0..1, of their
// union. Above a half no piece can match two others, and half of a piece does not match the
// whole.
const samePiece = 0.6

// nested returns how much of the smaller of two outlines lies in the other, 0..1.
func nested(a, b geom.Polygon) float64 {
	shared, together, first := geom.Overlap(a, b)
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
			if v := geom.IoU(a[i], b[j]); v >= samePiece {
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
