// Package geom holds the plane geometry of the pipeline: points, polygons,
// homographies. Coordinates are pixels, x right, y down; pixel (0, 0) covers
// the square from (0, 0) to (1, 1), so its centre is (0.5, 0.5).
package geom

import "math"

// Point is a place in the picture plane.
type Point struct{ X, Y float64 }

// Add returns p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p - q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul returns p scaled by s.
func (p Point) Mul(s float64) Point { return Point{p.X * s, p.Y * s} }

// Dot returns the inner product.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

// Cross returns the z component of the outer product.
func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// Len returns the Euclidean length.
func (p Point) Len() float64 { return p.Dist(Point{}) }

// Dist returns the distance from p to q.
func (p Point) Dist(q Point) float64 {
	x, y := p.X-q.X, p.Y-q.Y
	return math.Sqrt(float64(x*x) + float64(y*y)) // rounded alike on every processor
}

// Polygon is a closed ring of at least three points; the last joins the first.
type Polygon []Point

// SignedArea returns the enclosed area, positive where the ring runs clockwise on screen (y down).
func (g Polygon) SignedArea() float64 {
	var a float64
	for i, p := range g {
		a += p.Cross(g[(i+1)%len(g)])
	}
	return a / 2
}

// Area returns the enclosed area in square pixels.
func (g Polygon) Area() float64 { return math.Abs(g.SignedArea()) }

// Perimeter returns the length of the ring.
func (g Polygon) Perimeter() float64 {
	var l float64
	for i, p := range g {
		l += p.Dist(g[(i+1)%len(g)])
	}
	return l
}

// Centroid returns the centre of area; the mean of the points where the area is 0.
func (g Polygon) Centroid() Point {
	var c Point
	var a float64
	for i, p := range g {
		q := g[(i+1)%len(g)]
		k := p.Cross(q)
		a += k
		c.X += (p.X + q.X) * k
		c.Y += (p.Y + q.Y) * k
	}
	if math.Abs(a) < 1e-12 {
		var m Point
		for _, p := range g {
			m = m.Add(p)
		}
		return m.Mul(1 / float64(max(1, len(g))))
	}
	return Point{c.X / (3 * a), c.Y / (3 * a)}
}

// Bounds returns the smallest upright box that holds the ring.
func (g Polygon) Bounds() (min, max Point) {
	min = Point{math.Inf(1), math.Inf(1)}
	max = Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range g {
		min.X, min.Y = math.Min(min.X, p.X), math.Min(min.Y, p.Y)
		max.X, max.Y = math.Max(max.X, p.X), math.Max(max.Y, p.Y)
	}
	return min, max
}

// Contains reports whether p lies inside, by the even-odd rule.
func (g Polygon) Contains(p Point) bool {
	in := false
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < (b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
	}
	return in
}

// Map returns g with every corner moved by f.
func (g Polygon) Map(f func(Point) Point) Polygon {
	out := make(Polygon, len(g))
	for i, p := range g {
		out[i] = f(p)
	}
	return out
}

// Scale multiplies every coordinate by s.
func (g Polygon) Scale(s float64) Polygon { return g.Map(func(p Point) Point { return p.Mul(s) }) }

// About returns g drawn s times as large about its centroid.
func (g Polygon) About(s float64) Polygon {
	m := g.Centroid()
	return g.Map(func(p Point) Point { return m.Add(p.Sub(m).Mul(s)) })
}

// Clip returns the part of g in an upright box (Sutherland & Hodgman 1974): parts that
// the box parts stay joined along its sides. Empty where g lies outside.
func (g Polygon) Clip(lo, hi Point) Polygon {
	return g.
		clip(func(p Point) float64 { return p.X - lo.X }).clip(func(p Point) float64 { return hi.X - p.X }).
		clip(func(p Point) float64 { return p.Y - lo.Y }).clip(func(p Point) float64 { return hi.Y - p.Y })
}

// Side returns the part of g on one side of a line: that of its normal, or the other where
// side is below 0. Parts that the line parts stay joined along it.
func (g Polygon) Side(l Line, side float64) Polygon {
	return g.clip(func(p Point) float64 { return side * l.Off(p) })
}

// clip returns the part of g that lies in by no less than 0.
func (g Polygon) clip(in func(p Point) float64) Polygon {
	var out Polygon
	for i, p := range g {
		q := g[(i+1)%len(g)]
		a, b := in(p), in(q)
		if a >= 0 {
			out = append(out, p)
		}
		if a*b < 0 {
			out = append(out, p.Add(q.Sub(p).Mul(a/(a-b))))
		}
	}
	return out
}

// joined is how much of the hull of outlines they take up together at least where they
// lie side by side, as parts of one thing do.
const joined = 0.5

// Join returns the hull of outlines that are parts of one thing; not ok where they lie apart.
func Join(parts []Polygon) (whole Polygon, ok bool) {
	var pts []Point
	var covered float64
	for _, g := range parts {
		pts = append(pts, g...)
		covered += g.Area()
	}
	if len(pts) < 3 {
		return nil, false
	}
	whole = ConvexHull(pts)
	return whole, covered >= joined*whole.Area()
}

// Fill calls span for every run of pixels of a w × h raster whose centres lie
// inside g (even-odd rule): row y, columns x0 ≤ x < x1.
func (g Polygon) Fill(w, h int, span func(y, x0, x1 int)) {
	lo, hi := g.Bounds()
	y0, y1 := max(0, int(math.Floor(lo.Y-0.5))), min(h-1, int(math.Ceil(hi.Y)))
	var xs []float64
	for y := y0; y <= y1; y++ {
		cy := float64(y) + 0.5
		xs = xs[:0]
		for i, a := range g {
			b := g[(i+1)%len(g)]
			if (a.Y > cy) != (b.Y > cy) {
				x := (b.X-a.X)*(cy-a.Y)/(b.Y-a.Y) + a.X
				k := len(xs)
				xs = append(xs, x)
				for k > 0 && xs[k-1] > x {
					xs[k] = xs[k-1]
					k--
				}
				xs[k] = x
			}
		}
		for i := 0; i+1 < len(xs); i += 2 {
			x0, x1 := max(0, int(math.Ceil(xs[i]-0.5))), min(w, int(math.Ceil(xs[i+1]-0.5)))
			if x0 < x1 {
				span(y, x0, x1)
			}
		}
	}
}

// ConvexHull returns the hull of pts (Andrew's monotone chain), clockwise on screen.
func ConvexHull(pts []Point) Polygon {
	p := append([]Point(nil), pts...)
	sortPoints(p)
	n := len(p)
	if n < 2 {
		return p
	}
	var h Polygon
	for _, q := range p {
		for len(h) >= 2 && straight(h[len(h)-2], h[len(h)-1], q) {
			h = h[:len(h)-1]
		}
		h = append(h, q)
	}
	lower := len(h) + 1
	for i := n - 2; i >= 0; i-- {
		q := p[i]
		for len(h) >= lower && straight(h[len(h)-2], h[len(h)-1], q) {
			h = h[:len(h)-1]
		}
		h = append(h, q)
	}
	return h[:len(h)-1]
}

// straight reports whether b is no corner of a hull that runs from a over b to c, clockwise on screen.
func straight(a, b, c Point) bool { return b.Sub(a).Cross(c.Sub(a)) <= 0 }

// MinAreaRect returns the smallest rectangle, at any turn, that holds pts: four
// corners, clockwise on screen. The hull's edges give the turns to try (Freeman &
// Shapira 1975).
func MinAreaRect(pts []Point) [4]Point {
	h := ConvexHull(pts)
	best := math.Inf(1)
	var out [4]Point
	for i, a := range h {
		d := h[(i+1)%len(h)].Sub(a)
		u := d.Mul(1 / d.Len())
		v := Point{-u.Y, u.X}
		u0, u1, v0, v1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, p := range h {
			s, t := p.Dot(u), p.Dot(v)
			u0, u1, v0, v1 = math.Min(u0, s), math.Max(u1, s), math.Min(v0, t), math.Max(v1, t)
		}
		if area := (u1 - u0) * (v1 - v0); area < best {
			best = area
			at := func(s, t float64) Point { return u.Mul(s).Add(v.Mul(t)) }
			out = [4]Point{at(u0, v0), at(u1, v0), at(u1, v1), at(u0, v1)}
		}
	}
	return out
}
