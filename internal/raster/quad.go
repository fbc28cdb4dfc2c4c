package raster

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

// Meet returns the polygon of sides in order: corner i is where side i-1 meets side i. False
// where two neighbours are nearly parallel.
func Meet(sides []geom.Line) (c geom.Polygon, ok bool) {
	c = make(geom.Polygon, len(sides))
	for i := range c {
		if c[i], ok = sides[(i+len(c)-1)%len(c)].Meet(sides[i]); !ok {
			return nil, false
		}
	}
	return c, true
}

// FitQuad fits four straight sides to a ring, from the smallest rectangle that holds it
// on: see FitSides.
func FitQuad(ring geom.Polygon) (corners [4]geom.Point, fit float64) {
	if len(ring) < 4 {
		return corners, 0
	}
	box := geom.MinAreaRect(ring)
	c, fit := FitSides(ring, box[:])
	return [4]geom.Point(c), fit
}

// FitSides moves the corners of a polygon so that its sides fit a ring, in pixels: it
// gives each point of the ring to the nearest side, and refits each side by total least
// squares with Tukey weights, so that frayed or curled stretches count little. Fit is the
// intersection over union of ring and polygon, 0 where no such sides stand.
func FitSides(ring, corners geom.Polygon) (c geom.Polygon, fit float64) {
	pts := resample(ring, 1)
	for round := range 6 {
		lines := make([]geom.Line, len(corners))
		side := nearestSides(pts, corners)
		for s := range lines {
			a, b := corners[s], corners[(s+1)%len(corners)]
			l := a.Dist(b)
			if l < 2 {
				return corners, 0
			}
			reach := max(1.5, l*0.05/float64(1+round))
			ln, ok := fitLine(pts, side, s, a, b, reach)
			if !ok {
				ln = geom.LineThrough(a, b)
			}
			lines[s] = ln
		}
		next, ok := Meet(lines)
		if !ok {
			return corners, 0
		}
		corners = next
	}
	corners = atCorners(pts, corners)
	return corners, geom.IoU(ring, corners)
}

const (
	// cornerShare is how much of a side a corner is fitted to. Cloth bends: what
	// lies far along a side says little of the corner. On 40 made spreads and
	// boards corners come 0.015 in and 0.003 in nearer the truth than by whole
	// sides; 0.35 and 0.7 are as good and a little less.
	cornerShare = 0.5
	// cornerMoved is how far, in working pixels, a corner may go by that.
	cornerMoved = 5
)

// atCorners moves each corner of a polygon to where the nearer shares of its two sides
// meet.
func atCorners(pts, c geom.Polygon) geom.Polygon {
	side, n := nearestSides(pts, c), len(c)
	out := slices.Clone(c)
	for k := range c {
		here := slices.Clone(side)
		for i, s := range side {
			if s >= 0 && pts[i].Dist(c[k]) > cornerShare*c[s].Dist(c[(int(s)+1)%n]) {
				here[i] = -1
			}
		}
		var lines [2]geom.Line
		fitted := true
		for j, s := range [2]int{(k + n - 1) % n, k} {
			a, b := c[s], c[(s+1)%n]
			ln, ok := fitLine(pts, here, s, a, b, max(1.5, a.Dist(b)*0.02))
			lines[j], fitted = ln, fitted && ok
		}
		if p, ok := lines[0].Meet(lines[1]); ok && fitted && p.Dist(c[k]) < cornerMoved {
			out[k] = p
		}
	}
	return out
}

// nearestSides gives each point the index of the side it lies nearest to; -1
// near a corner, where two sides are as near.
func nearestSides(pts, c geom.Polygon) []int8 {
	out := make([]int8, len(pts))
	for i, p := range pts {
		best, second, k := math.Inf(1), math.Inf(1), 0
		for s := range c {
			d := geom.SegmentDistance(p, c[s], c[(s+1)%len(c)])
			if d < best {
				second, best, k = best, d, s
			} else if d < second {
				second = d
			}
		}
		out[i] = int8(k)
		if second < best*2+2 {
			out[i] = -1
		}
	}
	return out
}

// fitLine fits a line to the points of one side, within reach of it. A frayed or
// curled side may lie whole beside its first guess: it moves there step by step.
func fitLine(pts geom.Polygon, side []int8, s int, a, b geom.Point, reach float64) (geom.Line, bool) {
	ln := geom.LineThrough(a, b)
	for range 4 {
		next, weight := geom.FitLine(pts, func(i int) float64 {
			if int(side[i]) != s {
				return 0
			}
			return Biweight(ln.Off(pts[i]), 2*reach)
		})
		if weight < 4 {
			return ln, false
		}
		ln = next
	}
	return ln, true
}

// resample walks the ring and gives a point every step.
func resample(g geom.Polygon, step float64) geom.Polygon {
	var out geom.Polygon
	for i, a := range g {
		b := g[(i+1)%len(g)]
		l := a.Dist(b)
		n := max(1, int(l/step+0.5))
		for k := range n {
			out = append(out, a.Add(b.Sub(a).Mul(float64(k)/float64(n))))
		}
	}
	return out
}
