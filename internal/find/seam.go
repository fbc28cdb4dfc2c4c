package find

import (
	"math"

	"piecebag/internal/geom"
)

// histogram is a colour distribution over coarse OKLab cells.
type histogram struct {
	n    float64
	bins [8 * 12 * 12]float32
}

func (h *histogram) add(l, a, b float32) {
	i := clamp(int(l*8), 0, 7)
	j := clamp(int((a+0.24)*25), 0, 11)
	k := clamp(int((b+0.24)*25), 0, 11)
	h.bins[(i*12+j)*12+k]++
	h.n++
}

// likeness is the Bhattacharyya coefficient of two distributions, 0..1; 0 where
// one is empty.
func (h *histogram) likeness(o *histogram) float64 {
	if h.n == 0 || o.n == 0 {
		return 0
	}
	bc := 0.0
	for i := range h.bins {
		bc += math.Sqrt(float64(h.bins[i]) * float64(o.bins[i]))
	}
	return bc / math.Sqrt(h.n*o.n)
}

// within is the share of h that lies in cells where o is at home, 0..1.
func (h *histogram) within(o *histogram) float64 {
	if h.n == 0 || o.n == 0 {
		return 0
	}
	in := 0.0
	for i, v := range h.bins {
		if float64(o.bins[i]) > 0.01*o.n {
			in += float64(v)
		}
	}
	return in / h.n
}

func histogramOf(g *grid, ring geom.Polygon) *histogram {
	h := new(histogram)
	ring.Fill(g.W, g.H, func(y, x0, x1 int) {
		for i := y*g.W + x0; i < y*g.W+x1; i++ {
			h.add(g.L[i], g.A[i], g.B[i])
		}
	})
	return h
}

// seamOf gives the seamCost of a picture: how alike the colour distributions of
// two bands along the cut are (their Bhattacharyya coefficient), the bands
// lying a little off the line and reach pixels deep.
func seamOf(g *grid, reach int) seamCost {
	return func(a, b geom.Point) float64 {
		d := b.Sub(a)
		l := d.Len()
		if l < 2 {
			return 0
		}
		u := d.Mul(1 / l)
		v := geom.Point{X: -u.Y, Y: u.X}
		var h [2]histogram
		for s := 1.0; s < l-1; s++ {
			for o := 2; o < 2+reach; o++ {
				for side := range 2 {
					t := float64(o)
					if side == 1 {
						t = -t
					}
					p := a.Add(u.Mul(s)).Add(v.Mul(t))
					x, y := int(p.X), int(p.Y)
					if x < 0 || y < 0 || x >= g.W || y >= g.H {
						continue
					}
					i := y*g.W + x
					h[side].add(g.L[i], g.A[i], g.B[i])
				}
			}
		}
		return h[0].likeness(&h[1])
	}
}
