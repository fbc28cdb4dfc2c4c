package geom

import (
	"math"
	"slices"
)

// Line is the set of points p with N·p = C, N of unit length.
type Line struct {
	N Point
	C float64
}

// LineThrough returns the line through two points that are not one.
func LineThrough(a, b Point) Line {
	d := b.Sub(a)
	n := Point{X: -d.Y, Y: d.X}.Mul(1 / d.Len())
	return Line{n, n.Dot(a)}
}

// FitLine returns the line with the least sum of squared distances from points by
// weight, 1 each where weight is nil (total least squares), and the sum of the
// weights; with a sum of 0 there is no line.
func FitLine(pts []Point, weight func(i int) float64) (Line, float64) {
	var sw, sx, sy, sxx, sxy, syy float64
	for i, p := range pts {
		w := 1.0
		if weight != nil {
			w = weight(i)
		}
		p = p.Sub(pts[0])
		sw, sx, sy = sw+w, sx+w*p.X, sy+w*p.Y
		sxx, sxy, syy = sxx+w*p.X*p.X, sxy+w*p.X*p.Y, syy+w*p.Y*p.Y
	}
	if sw == 0 {
		return Line{}, 0
	}
	mx, my := sx/sw, sy/sw
	t := 0.5 * math.Atan2(2*(sxy/sw-mx*my), sxx/sw-mx*mx-syy/sw+my*my)
	n := Point{X: -math.Sin(t), Y: math.Cos(t)}
	return Line{n, n.Dot(pts[0].Add(Point{X: mx, Y: my}))}, sw
}

// Off returns how far p lies from the line, to the side of N or, below 0, the other.
func (l Line) Off(p Point) float64 { return l.N.Dot(p) - l.C }

// Meet returns where two lines cross; not where they are within 6° of parallel, for a
// small slip of either moves that far.
func (l Line) Meet(m Line) (Point, bool) {
	d := l.N.Cross(m.N)
	if math.Abs(d) < 0.1 {
		return Point{}, false
	}
	return Point{X: (l.C*m.N.Y - m.C*l.N.Y) / d, Y: (m.C*l.N.X - l.C*m.N.X) / d}, true
}

// SegmentDistance returns how far p lies from the way from a to b.
func SegmentDistance(p, a, b Point) float64 {
	d := b.Sub(a)
	t := p.Sub(a).Dot(d) / max(d.Dot(d), 1e-12)
	return p.Dist(a.Add(d.Mul(max(0, min(1, t)))))
}

// Simplify is Douglas & Peucker 1973 on a closed ring, split at its two
// farthest-apart points: no dropped point lies more than eps from the result. It
// gives the points that are kept.
func Simplify(g Polygon, eps float64) Polygon {
	keep := make([]bool, len(g))
	if len(g) < 4 {
		for i := range keep {
			keep[i] = true
		}
	} else {
		a := farthest(g, farthest(g, 0))
		b := farthest(g, a)
		a, b = min(a, b), max(a, b)
		keep[a], keep[b] = true, true
		peucker(g, a, b, eps, keep)
		peucker(g, b, a+len(g), eps, keep)
	}
	var out Polygon
	for i, k := range keep {
		if k {
			out = append(out, g[i])
		}
	}
	return out
}

func farthest(g Polygon, from int) int {
	best, k := -1.0, from
	for i, p := range g {
		if d := p.Dist(g[from]); d > best {
			best, k = d, i
		}
	}
	return k
}

func peucker(g Polygon, lo, hi int, eps float64, keep []bool) {
	n := len(g)
	a, b := g[lo%n], g[hi%n]
	l := a.Dist(b)
	best, k := eps, lo
	for i := lo + 1; i < hi; i++ {
		p := g[i%n]
		d := p.Dist(a)
		if l > 0 {
			d = math.Abs(b.Sub(a).Cross(p.Sub(a))) / l
		}
		if d > best {
			best, k = d, i
		}
	}
	if k > lo {
		keep[k%n] = true
		peucker(g, lo, k, eps, keep)
		peucker(g, k, hi, eps, keep)
	}
}

// Reduce takes corners off a ring until n are left or it has no more: first the one that
// takes least area with it (Visvalingam & Whyatt 1993, Cartogr. J. 30(1)).
func Reduce(g Polygon, n int) Polygon {
	g = slices.Clone(g)
	for len(g) > n {
		least, at := math.Inf(1), 0
		for i := range g {
			p, q := g[(i+len(g)-1)%len(g)], g[(i+1)%len(g)]
			if a := math.Abs(g[i].Sub(p).Cross(q.Sub(p))); a < least {
				least, at = a, i
			}
		}
		g = slices.Delete(g, at, at+1)
	}
	return g
}
