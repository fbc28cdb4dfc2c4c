package card

import (
	"image"
	"math"

	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// luma is the luminance of a picture: linear, so that a blurred edge is where
// it is half way between dark and paper.
type luma struct{ *raster.Plane }

// at returns the luminance between pixel centres.
func (l luma) at(q geom.Point) float64 { return l.At(q.X, q.Y) }

const (
	// windowShare is the half side of the square that a pixel is compared with,
	// as a share of the picture's longer side: marks of a twentieth to a third
	// of the picture's height stand out from it.
	windowShare = 1. / 30
	// darkBelow is the share of the mean about it below which a pixel is dark.
	darkBelow = 0.62
)

// dark reports which pixels are dark beside their surroundings, len W*H.
func (l luma) dark() []bool {
	mean := l.BoxMean(max(8, int(windowShare*float64(max(l.W, l.H)))))
	out := make([]bool, len(l.V))
	for i, v := range l.V {
		out[i] = v < darkBelow*mean.V[i]
	}
	return out
}

// blobs returns the convex hulls of the dark patches that may be a mark by their size.
func (l luma) blobs() []geom.Polygon {
	parts := raster.Components(l.dark(), l.W, l.H, raster.Corners)
	var out []geom.Polygon
	for k, p := range parts.Parts {
		if l.mayBeMark(p) {
			out = append(out, parts.Hull(k))
		}
	}
	return out
}

const (
	leastMark = 9   // working pixels wide: under two a cell nothing can be read
	mostMark  = 0.4 // of the picture's shorter side
	// leastFill and mostSlant bound a mark in its upright box: turned by an
	// eighth of a turn it fills half of it, less what of its cells is light.
	leastFill, mostSlant = 0.25, 3.0
)

func (l luma) mayBeMark(p raster.Component) bool {
	w, h := float64(p.Box.Dx()), float64(p.Box.Dy())
	return min(w, h) >= leastMark && max(w, h) <= mostMark*float64(min(l.W, l.H)) &&
		max(w, h) <= mostSlant*min(w, h) && float64(p.Area) >= leastFill*w*h &&
		p.Box.In(image.Rect(1, 1, l.W-1, l.H-1))
}

// largestQuad returns about the quadrilateral of largest area with corners on a
// convex ring: from the ring's farthest pair, each corner in turn goes where it
// lies farthest from the diagonal of its neighbours.
func largestQuad(ring geom.Polygon) (c [4]geom.Point, ok bool) {
	if len(ring) < 4 {
		return c, false
	}
	far := func(a, b geom.Point, side float64) geom.Point {
		best, at := math.Inf(-1), a
		d := b.Sub(a)
		for _, q := range ring {
			if s := side * d.Cross(q.Sub(a)); s > best {
				best, at = s, q
			}
		}
		return at
	}
	longest := -1.0
	for i, a := range ring {
		for _, b := range ring[i+1:] {
			if d := a.Dist(b); d > longest {
				longest, c[0], c[2] = d, a, b
			}
		}
	}
	c[1], c[3] = far(c[0], c[2], -1), far(c[0], c[2], 1)
	for range 3 {
		for i := range c {
			c[i] = far(c[(i+3)%4], c[(i+1)%4], -1)
		}
	}
	return c, geom.Polygon(c[:]).SignedArea() > 0
}
