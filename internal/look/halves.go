package look

import (
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

const (
	// usualWithin is how far, as a share, the areas of most squares of a board may be from
	// the usual one's, nearer and farther ones together, and halvesWithin how far that of
	// two halves may be from it, and each from a half of it: at 0.3 two whole pieces of a
	// made board were doubted.
	usualWithin, halvesWithin = 0.3, 0.15
	// halvesFill is the least share of their common hull that two halves fill.
	halvesFill = 0.9
	// halvesTrust is the most that either of two halves is trusted. On 26 boards (5 of
	// them real) one pair is found, and it is one square: by the rule of succession the
	// next is two pieces once in three times.
	halvesTrust = 1.0 / 3
)

// doubtHalves doubts four-sided pieces of one print that lie side by side on a board
// and are together as large as most of its pieces: they may be one square, cut in two.
func doubtHalves(pieces []cloth.Piece, kind cloth.Kind) {
	if kind != cloth.Board || len(pieces) == 0 {
		return
	}
	areas := make([]float64, len(pieces))
	for i, p := range pieces {
		areas[i] = p.Polygon.Area()
	}
	sorted := slices.Sorted(slices.Values(areas))
	usual := sorted[len(sorted)/2]
	near := func(area, to, within float64) bool { return math.Abs(area-to) < within*to }
	half := func(i int) bool { return len(pieces[i].Corners) == 4 && near(areas[i], usual/2, halvesWithin) }
	alike := 0
	for _, a := range areas {
		if near(a, usual, usualWithin) {
			alike++
		}
	}
	if 2*alike < len(pieces) {
		return
	}
	for i := range pieces {
		for j := range pieces {
			if i == j || pieces[i].Print != pieces[j].Print || !half(i) || !half(j) {
				continue
			}
			whole := geom.ConvexHull(slices.Concat(pieces[i].Polygon, pieces[j].Polygon)).Area()
			if near(whole, usual, halvesWithin) && areas[i]+areas[j] > halvesFill*whole {
				p := &pieces[i]
				p.Trust = min(p.Trust, halvesTrust)
				p.Notes = append(p.Notes, fmt.Sprintf("may be one piece with %d: they are of one print, and together as large as the others", pieces[j].ID))
			}
		}
	}
}
