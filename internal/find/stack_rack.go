package find

import (
	"math"

	"piecebag/internal/geom"
)

// rack is the photo resampled so that the bands stand upright: column u
// follows the direction of the bands, row v crosses them.
type rack struct {
	*grid         // W columns (across the bands), H rows (along them)
	ground []bool // pixel lies on the ground or outside the photo
	px, py []float32
}

// rackSide is the longer side, in pixels, that small racks are enlarged
// towards, at most twofold, so that narrow bands are wide enough to tell.
const rackSide = 1000

// rackRim is the margin, in shares of the longer side.
const rackRim = 0.06

// straighten resamples the part of the photo that is not ground along the
// direction field l.
func straighten(g *grid, outside []uint8, l lean, area []box) *rack {
	sin, cos := math.Sincos(l.a)
	// d runs along the bands, n across; both point right or down.
	d, n, turn := geom.Point{X: cos, Y: sin}, geom.Point{X: -sin, Y: cos}, 1.0
	if math.Abs(cos) < math.Abs(sin) {
		if sin < 0 {
			d = d.Mul(-1)
		}
		n, turn = geom.Point{X: math.Abs(sin), Y: -d.X}, -1
	} else if cos < 0 {
		d, n = d.Mul(-1), n.Mul(-1)
	}
	c := geom.Point{X: l.cx, Y: l.cy}
	p0, p1, q0, q1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, b := range area {
		for _, k := range [4]geom.Point{{X: float64(b.x0), Y: float64(b.y0)}, {X: float64(b.x1), Y: float64(b.y0)}, {X: float64(b.x0), Y: float64(b.y1)}, {X: float64(b.x1), Y: float64(b.y1)}} {
			p, q := k.Sub(c).Dot(d), k.Sub(c).Dot(n)
			p0, p1, q0, q1 = math.Min(p0, p), math.Max(p1, p), math.Min(q0, q), math.Max(q1, q)
		}
	}
	if p0 > p1 {
		return nil
	}
	// A margin, so that what lies round the stack can be told from it.
	rim := rackRim * math.Max(p1-p0, q1-q0)
	p0, p1, q0, q1 = p0-rim, p1+rim, q0-rim, q1+rim
	// The columns are spaced evenly where the field starts, in the middle of
	// the stretch.
	pm := (p0 + p1) / 2
	zoom := math.Max(1, math.Min(2, rackSide/math.Max(p1-p0, q1-q0)))
	w, h := int((q1-q0)*zoom)+1, int((p1-p0)*zoom)+1
	r := &rack{grid: newGrid(w, h), ground: make([]bool, w*h), px: make([]float32, w*h), py: make([]float32, w*h)}
	m := int((pm - p0) * zoom)
	parallel(w, func(u0, u1 int) {
		for u := u0; u < u1; u++ {
			for _, dir := range [2]int{-1, 1} {
				q := q0 + float64(u)/zoom
				for v := m; v >= 0 && v < h; v += dir {
					p := p0 + float64(v)/zoom
					x := c.X + p*d.X + q*n.X
					y := c.Y + p*d.Y + q*n.Y
					r.px[v*w+u], r.py[v*w+u] = float32(x), float32(y)
					q += float64(dir) / zoom * turn * math.Tan(l.at(x, y)-l.a)
				}
			}
		}
	})
	parallel(h, func(v0, v1 int) {
		for i := v0 * w; i < v1*w; i++ {
			x, y := r.px[i], r.py[i]
			if x < 0 || y < 0 || x >= float32(g.W-1) || y >= float32(g.H-1) {
				r.ground[i] = true
				continue
			}
			x0, y0 := int(x), int(y)
			fx, fy := x-float32(x0), y-float32(y0)
			j := y0*g.W + x0
			r.ground[i] = outside[j] != 0
			w00, w10, w01, w11 := (1-fx)*(1-fy), fx*(1-fy), (1-fx)*fy, fx*fy
			r.L[i] = g.L[j]*w00 + g.L[j+1]*w10 + g.L[j+g.W]*w01 + g.L[j+g.W+1]*w11
			r.A[i] = g.A[j]*w00 + g.A[j+1]*w10 + g.A[j+g.W]*w01 + g.A[j+g.W+1]*w11
			r.B[i] = g.B[j]*w00 + g.B[j+1]*w10 + g.B[j+g.W]*w01 + g.B[j+g.W+1]*w11
		}
	})
	return r
}

// place maps (u, v) of the rack to the photo.
func (r *rack) place(u, v float64) geom.Point {
	u, v = math.Max(0, math.Min(u, float64(r.W-1))), math.Max(0, math.Min(v, float64(r.H-1)))
	u0, v0 := min(int(u), r.W-2), min(int(v), r.H-2)
	fu, fv := u-float64(u0), v-float64(v0)
	i := v0*r.W + u0
	mix := func(p []float32) float64 {
		return (float64(p[i])*(1-fu)+float64(p[i+1])*fu)*(1-fv) + (float64(p[i+r.W])*(1-fu)+float64(p[i+r.W+1])*fu)*fv
	}
	return geom.Point{X: mix(r.px), Y: mix(r.py)}
}
