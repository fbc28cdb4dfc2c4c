package geom

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Homography is a plane projective map, row major: (x, y, 1) ↦ H (x, y, 1),
// then divided by the third coordinate.
type Homography [9]float64

// ErrDegenerate says that the points given fix no homography.
var ErrDegenerate = errors.New("points in a line or repeated fix no homography")

// Apply maps p.
func (h Homography) Apply(p Point) Point {
	w := h[6]*p.X + h[7]*p.Y + h[8]
	return Point{(h[0]*p.X + h[1]*p.Y + h[2]) / w, (h[3]*p.X + h[4]*p.Y + h[5]) / w}
}

// Inverse returns the map back, by the adjugate.
func (h Homography) Inverse() Homography {
	a, b, c, d, e, f, g, i, j := h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]
	return Homography{
		e*j - f*i, c*i - b*j, b*f - c*e,
		f*g - d*j, a*j - c*g, c*d - a*f,
		d*i - e*g, b*g - a*i, a*e - b*d,
	}
}

// mostCond is the condition from which the equations of a homography fix none: four
// corners that a person would call a quadrilateral have some hundreds.
const mostCond = 1e6

// FitHomography returns the least-squares map from src to dst, four pairs or more,
// by the direct linear transform with isotropic normalisation (Hartley &
// Zisserman, Multiple View Geometry, 2nd ed., algorithm 4.2, with h33 fixed in
// the normalised frame).
func FitHomography(src, dst []Point) (Homography, error) {
	if len(src) != len(dst) || len(src) < 4 {
		return Homography{}, ErrDegenerate
	}
	ts, s := normalise(src)
	td, d := normalise(dst)
	m, y := mat.NewDense(2*len(s), 8, nil), mat.NewVecDense(2*len(s), nil)
	for k := range s {
		x, z, u, v := s[k].X, s[k].Y, d[k].X, d[k].Y
		m.SetRow(2*k, []float64{x, z, 1, 0, 0, 0, -u * x, -u * z})
		m.SetRow(2*k+1, []float64{0, 0, 0, x, z, 1, -v * x, -v * z})
		y.SetVec(2*k, u)
		y.SetVec(2*k+1, v)
	}
	var qr mat.QR
	if qr.Factorize(m); !(qr.Cond() < mostCond) {
		return Homography{}, ErrDegenerate
	}
	var h Homography
	if err := qr.SolveVecTo(mat.NewVecDense(8, h[:8]), false, y); err != nil {
		return Homography{}, ErrDegenerate
	}
	h[8] = 1
	return td.Inverse().After(h).After(ts).unit(), nil
}

// After returns the map that applies first g, then h.
func (h Homography) After(g Homography) Homography {
	var o Homography
	for r := range 3 {
		for c := range 3 {
			for k := range 3 {
				o[3*r+c] += h[3*r+k] * g[3*k+c]
			}
		}
	}
	return o
}

// unit scales h so that its last entry is 1, where it can be.
func (h Homography) unit() Homography {
	if h[8] != 0 {
		k := 1 / h[8]
		for i := range h {
			h[i] *= k
		}
	}
	return h
}

func normalise(p []Point) (Homography, []Point) {
	var c Point
	for _, q := range p {
		c = c.Add(q)
	}
	c = c.Mul(1 / float64(len(p)))
	var r float64
	for _, q := range p {
		r += q.Dist(c)
	}
	k := math.Sqrt2 * float64(len(p)) / r
	out := make([]Point, len(p))
	for i, q := range p {
		out[i] = q.Sub(c).Mul(k)
	}
	return Homography{k, 0, -k * c.X, 0, k, -k * c.Y, 0, 0, 1}, out
}
