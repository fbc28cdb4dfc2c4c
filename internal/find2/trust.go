package find2

import (
	"math"

	"piecebag/internal/geom"
)

// SignNames name what speaks for a piece, in the order of Result.Signs.
var SignNames = []string{
	"cloth",    // mean probability of cloth within
	"within",   // mean pull between its own cells
	"across",   // mean pull over its edge; 0 where nothing touches it
	"size",     // ln of its area as a share of the picture's
	"solidity", // its area as a share of its convex hull's
	"cells",    // ln of its cells
	"edge",     // share of its outline that lies on the picture's edge
	"thin",     // its area as a share of its perimeter squared, of a square's
}

// signs measures what speaks for a piece.
func (l *labelled) signs(s *piece, g geom.Polygon, w, h int) []float64 {
	sum := 0
	for y := s.box.Min.Y; y < s.box.Max.Y; y++ {
		for x := s.box.Min.X; x < s.box.Max.X; x++ {
			if i := y*l.w + x; l.lab[i] == s.label {
				sum += int(l.cloth[i]) + half
			}
		}
	}
	mean := func(b bond) float64 {
		if b.n == 0 {
			return 0
		}
		return b.mean() + 0.5
	}
	hull := geom.ConvexHull(g).Area()
	at := 0.0
	const near = 3 // working pixels
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if max(a.X, b.X) < near || max(a.Y, b.Y) < near || min(a.X, b.X) > float64(w)-near || min(a.Y, b.Y) > float64(h)-near {
			at += a.Dist(b)
		}
	}
	area, around := g.Area(), g.Perimeter()
	return []float64{
		float64(sum) / float64(s.area) / unit,
		mean(s.inner),
		mean(s.outer),
		math.Log(area / float64(w*h)),
		area / max(hull, 1e-9),
		math.Log(float64(s.area)),
		at / max(around, 1e-9),
		16 * area / max(around*around, 1e-9),
	}
}

// trust is the probability that a piece's outline is right.
func trust(s []float64) float64 {
	return s[0] * s[1]
}
