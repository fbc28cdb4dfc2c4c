package find

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

// fitQuad fits four straight sides to a ring: it starts from the smallest
// rectangle that holds the ring, gives each ring point to the nearest side, and
// refits each side by total least squares with Tukey weights, so that frayed
// or curled stretches count little. The corners come clockwise on screen; fit
// is the intersection over union of ring and quadrilateral, 0 where no four
// sides stand.
func fitQuad(ring geom.Polygon) (corners [4]geom.Point, fit float64) {
	if len(ring) < 4 {
		return corners, 0
	}
	pts := resample(ring, 1)
	corners = geom.MinAreaRect(pts)
	if geom.Polygon(corners[:]).SignedArea() < 0 {
		corners[1], corners[3] = corners[3], corners[1]
	}
	for round := range 6 {
		var lines [4]line
		side := nearestSides(pts, corners)
		for s := range 4 {
			a, b := corners[s], corners[(s+1)%4]
			l := a.Dist(b)
			if l < 2 {
				return corners, 0
			}
			reach := max(1.5, l*0.05/float64(1+round))
			ln, ok := fitLine(pts, side, s, a, b, reach)
			if !ok {
				ln = lineThrough(a, b)
			}
			lines[s] = ln
		}
		var next [4]geom.Point
		for s := range 4 {
			p, ok := lines[(s+3)%4].meet(lines[s])
			if !ok {
				return corners, 0
			}
			next[s] = p
		}
		corners = next
	}
	corners = atCorners(pts, corners)
	return corners, overlap(ring, corners[:])
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

// atCorners moves each corner of a quadrilateral to where the nearer shares of its
// two sides meet.
func atCorners(pts geom.Polygon, c [4]geom.Point) [4]geom.Point {
	side := nearestSides(pts, c)
	out := c
	for k := range c {
		here := slices.Clone(side)
		for i, s := range side {
			if s >= 0 && pts[i].Dist(c[k]) > cornerShare*c[s].Dist(c[(s+1)%4]) {
				here[i] = -1
			}
		}
		var lines [2]line
		fitted := true
		for j, s := range [2]int{(k + 3) % 4, k} {
			a, b := c[s], c[(s+1)%4]
			ln, ok := fitLine(pts, here, s, a, b, max(1.5, a.Dist(b)*0.02))
			lines[j], fitted = ln, fitted && ok
		}
		if p, ok := lines[0].meet(lines[1]); ok && fitted && p.Dist(c[k]) < cornerMoved {
			out[k] = p
		}
	}
	return out
}

// line is the set of points p with n·p = c, n of unit length.
type line struct {
	n geom.Point
	c float64
}

func lineThrough(a, b geom.Point) line {
	d := b.Sub(a)
	n := geom.Point{X: -d.Y, Y: d.X}.Mul(1 / d.Len())
	return line{n, n.Dot(a)}
}

func (l line) meet(m line) (geom.Point, bool) {
	d := l.n.Cross(m.n)
	if math.Abs(d) < 0.1 {
		return geom.Point{}, false
	}
	return geom.Point{X: (l.c*m.n.Y - m.c*l.n.Y) / d, Y: (m.c*l.n.X - l.c*m.n.X) / d}, true
}

// nearestSides gives each point the index of the side it lies nearest to; -1
// near a corner, where two sides are as near.
func nearestSides(pts geom.Polygon, c [4]geom.Point) []int8 {
	out := make([]int8, len(pts))
	for i, p := range pts {
		best, second, k := math.Inf(1), math.Inf(1), 0
		for s := range 4 {
			d := segmentDistance(p, c[s], c[(s+1)%4])
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

func segmentDistance(p, a, b geom.Point) float64 {
	d := b.Sub(a)
	t := p.Sub(a).Dot(d) / max(d.Dot(d), 1e-12)
	t = max(0, min(1, t))
	return p.Dist(a.Add(d.Mul(t)))
}

// fitLine fits a line to the points of one side, within reach of it. A frayed or
// curled side may lie whole beside its first guess: it moves there step by step.
func fitLine(pts geom.Polygon, side []int8, s int, a, b geom.Point, reach float64) (line, bool) {
	ln := lineThrough(a, b)
	for range 4 {
		next, weight := leastSquares(pts, func(i int) float64 {
			if int(side[i]) != s {
				return 0
			}
			return tukey(ln.n.Dot(pts[i])-ln.c, reach)
		})
		if weight < 4 {
			return ln, false
		}
		ln = next
	}
	return ln, true
}

// leastSquares is the line with the least sum of squared distances from points
// by weight (total least squares), and the sum of the weights.
func leastSquares(pts geom.Polygon, weight func(i int) float64) (line, float64) {
	var sw, sx, sy, sxx, sxy, syy float64
	for i, p := range pts {
		w := weight(i)
		p = p.Sub(pts[0])
		sw, sx, sy = sw+w, sx+w*p.X, sy+w*p.Y
		sxx, sxy, syy = sxx+w*p.X*p.X, sxy+w*p.X*p.Y, syy+w*p.Y*p.Y
	}
	if sw <= 0 {
		return line{}, 0
	}
	mx, my := sx/sw, sy/sw
	t := 0.5 * math.Atan2(2*(sxy/sw-mx*my), sxx/sw-mx*mx-syy/sw+my*my)
	n := geom.Point{X: -math.Sin(t), Y: math.Cos(t)}
	return line{n, n.Dot(pts[0].Add(geom.Point{X: mx, Y: my}))}, sw
}

func tukey(r, reach float64) float64 {
	u := r / (2 * reach)
	if u <= -1 || u >= 1 {
		return 0
	}
	k := 1 - u*u
	return k * k
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

// overlap is the intersection over union of two polygons, counted in pixels.
func overlap(a, b geom.Polygon) float64 {
	lo, hi := a.Bounds()
	lo2, hi2 := b.Bounds()
	x0, y0 := math.Floor(min(lo.X, lo2.X)), math.Floor(min(lo.Y, lo2.Y))
	w, h := int(max(hi.X, hi2.X)-x0)+2, int(max(hi.Y, hi2.Y)-y0)+2
	if w > 20000 || h > 20000 {
		return 0
	}
	m := make([]uint8, w*h)
	off := geom.Point{X: -x0, Y: -y0}
	var na, nb, both int
	shiftBy(a, off).Fill(w, h, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			m[y*w+x] = 1
			na++
		}
	})
	shiftBy(b, off).Fill(w, h, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			nb++
			if m[y*w+x] == 1 {
				both++
			}
		}
	})
	if na+nb-both == 0 {
		return 0
	}
	return float64(both) / float64(na+nb-both)
}

func shiftBy(g geom.Polygon, d geom.Point) geom.Polygon {
	out := make(geom.Polygon, len(g))
	for i, p := range g {
		out[i] = p.Add(d)
	}
	return out
}
