package scale

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/card"
	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// plane is the table as a phone sees it: the pinhole camera looks along z, its
// principal point is the middle of the picture, and the table is the plane
// p·X + q·Y + Z = 1. A length of 1 in it is the camera's distance from the
// place in the middle of the picture.
type plane struct {
	cx, cy, f float64         // working pixels
	p, q      float64         // 0, 0: seen from straight above
	barrel    float64         // share by which the lens draws in the picture's corners
	flat      geom.Homography // straightened working pixels to plane units
}

// usualFocal is the 35 mm equivalent focal length, mm, of a phone's main
// camera: 24 to 28 (common practice, no source).
const usualFocal = 26

// filmDiagonal is the diagonal, mm, of the 36 × 24 frame that 35 mm equivalent
// focal lengths refer to.
var filmDiagonal = math.Hypot(36, 24)

// focal returns the focal length in working pixels, from the 35 mm equivalent. The
// picture may be a part of the photo; the lens saw the whole.
func focal(p *cloth.Picture, mm float64) float64 {
	if mm <= 0 {
		mm = usualFocal
	}
	w, h := float64(p.W), float64(p.H)
	if p.FullW > 0 && p.FullH > 0 && p.Shrink > 0 {
		w, h = float64(p.FullW)/p.Shrink, float64(p.FullH)/p.Shrink
	}
	return mm / filmDiagonal * math.Hypot(w, h)
}

// newPlane returns the table for a w × h picture and a focal length f, all in
// working pixels.
func newPlane(w, h int, f, p, q, barrel float64) *plane {
	l := &plane{cx: float64(w) / 2, cy: float64(h) / 2, f: f, p: p, q: q, barrel: barrel}
	// Axes in the plane: e1 is the picture's x laid down on it.
	n := 1 / math.Sqrt(1+p*p+q*q)
	nx, ny, nz := p*n, q*n, n
	k := 1 / math.Hypot(nz, nx)
	e1 := [3]float64{nz * k, 0, -nx * k}
	e2 := [3]float64{ny*e1[2] - nz*e1[1], nz*e1[0] - nx*e1[2], nx*e1[1] - ny*e1[0]}
	// The ray d = ((x-cx)/f, (y-cy)/f, 1) meets the plane at d/(n·d),
	// n = (p, q, 1).
	for i, e := range [3][3]float64{e1, e2, {p, q, 1}} {
		l.flat[3*i], l.flat[3*i+1], l.flat[3*i+2] = e[0]/f, e[1]/f, e[2]-(e[0]*l.cx+e[1]*l.cy)/f
	}
	return l
}

// straight undoes the lens's barrel: one radial term (Brown 1966, Photogramm.
// Eng. 32(3)), with r = 1 in the picture's corner.
func (l *plane) straight(c geom.Point) geom.Point {
	x, y := c.X-l.cx, c.Y-l.cy
	k := 1 + l.barrel*(x*x+y*y)/(l.cx*l.cx+l.cy*l.cy)
	return geom.Point{X: l.cx + k*x, Y: l.cy + k*y}
}

// at takes a place in the picture, in working pixels, to the plane.
func (l *plane) at(c geom.Point) geom.Point { return l.flat.Apply(l.straight(c)) }

// middle returns how many working pixels span a plane unit in the middle of the
// picture: the geometric mean of all directions.
func (l *plane) middle() float64 {
	cos := 1 / math.Sqrt(1+l.p*l.p+l.q*l.q)
	return l.f * math.Sqrt(cos)
}

const (
	// cornerSD is how far, in working pixels, a corner found in a photo is
	// usually from the corner that a straight cut would have.
	cornerSD = 1.5
	// cutSD is how true a piece is cut and lies: sides equal within 1.5 %,
	// corners right within about a degree.
	cutSD = 0.015
	// tiltSD is the usual tangent of the angle between the camera's axis and
	// the table's normal, each way.
	tiltSD = 0.3
	// mostQuads is how many of the largest quadrilaterals tell the tilt.
	mostQuads = 40
)

// skew returns how far a rectified quadrilateral, with sides of px pixels in the
// picture, is from a rectangle: a sum of robust squares (Cauchy's law), in
// units of the error of corners.
func skew(c [4]geom.Point, px *[4]float64) float64 {
	var side [4]geom.Point
	var length [4]float64
	for i := range side {
		side[i] = c[(i+1)%4].Sub(c[i])
		length[i] = side[i].Len()
		if length[i] == 0 {
			return math.Inf(1)
		}
	}
	err := func(i, j int) float64 {
		return cutSD*cutSD + 2*cornerSD*cornerSD*(1/sq(px[i])+1/sq(px[j]))
	}
	sum := 0.0
	for i := range 2 {
		sum += math.Log1p(sq(math.Log(length[i]/length[i+2])) / (2 * err(i, i+2)))
	}
	for i := range 4 {
		j := (i + 1) % 4
		cos := side[i].Dot(side[j]) / (length[i] * length[j])
		sum += math.Log1p(cos * cos / (4 * err(i, j))) // the four angles are not independent
	}
	return sum
}

// usualBarrel is the share by which phones' lenses draw in the corners: 0 to
// 0.02 (common practice, no source). Rectangles among loose cloth do not tell
// it.
const usualBarrel = 0.008

// fitPlane finds the tilt at which the quads are most nearly rectangles, the
// grid, if any, most nearly one of squares, and the printed card, if any, most
// nearly itself.
func fitPlane(w, h int, f float64, quads []quad, grid []ridge, printed *card.Found) *plane {
	quads = slices.Clone(quads)
	slices.SortStableFunc(quads, func(a, b quad) int {
		return cmp.Compare(b.square*geom.Polygon(b.c[:]).Area(), a.square*geom.Polygon(a.c[:]).Area())
	})
	quads = quads[:min(mostQuads, len(quads))]
	px := make([][4]float64, len(quads))
	for i, q := range quads {
		for k := range q.c {
			px[i][k] = q.c[k].Dist(q.c[(k+1)%4])
		}
	}
	// The horizon must stay out of the picture.
	limit := 0.9 * f / (math.Hypot(float64(w), float64(h)) / 2)
	blur := 0.0
	if len(grid) > 0 {
		blur = farBlur
	}
	cost := func(p, q float64) float64 {
		if math.Hypot(p, q) > limit {
			return math.Inf(1)
		}
		l := newPlane(w, h, f, p, q, usualBarrel)
		sum := (p*p+q*q)/(2*tiltSD*tiltSD) + gridSkew(grid, l, blur)
		if printed != nil {
			_, misfit := cardScale(printed, l)
			sum += misfit
		}
		for i := range quads {
			var c [4]geom.Point
			for k := range c {
				c[k] = l.at(quads[i].c[k])
			}
			sum += quads[i].square * skew(c, &px[i])
		}
		return sum
	}
	at, least := []float64{0, 0}, cost(0, 0)
	for i := -4; i <= 4; i++ {
		for j := -4; j <= 4; j++ {
			if p, q := 0.2*float64(i), 0.2*float64(j); cost(p, q) < least {
				at, least = []float64{p, q}, cost(p, q)
			}
		}
	}
	search := func(first, last float64) {
		raster.Search(at, []float64{1, 1}, first, last, 8, func(x []float64, _ float64) float64 { return cost(x[0], x[1]) })
	}
	search(0.1, 0.03)
	blur = 0
	search(0.025, 5e-4)
	return newPlane(w, h, f, at[0], at[1], usualBarrel)
}

// farBlur is what is added to the errors of a grid's directions, radians, while the
// tilt is still far off.
const farBlur = 0.05

func sq(v float64) float64 { return v * v }
