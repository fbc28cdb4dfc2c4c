package find

import (
	"math"

	"piecebag/internal/cloth"
)

// grid is a row-major OKLab picture in planes of float32, len W*H each:
// L 0..1, a and b about -0.4..0.4.
type grid struct {
	W, H    int
	L, A, B []float32
}

func newGrid(w, h int) *grid {
	buf := make([]float32, 3*w*h)
	n := w * h
	return &grid{W: w, H: h, L: buf[:n:n], A: buf[n : 2*n : 2*n], B: buf[2*n:]}
}

func (g *grid) plane(i int) []float32 {
	switch i {
	case 0:
		return g.L
	case 1:
		return g.A
	}
	return g.B
}

// gridOf converts a linear-light picture to OKLab (Ottosson 2020).
func gridOf(p *cloth.Picture) *grid {
	g := newGrid(p.W, p.H)
	parallel(p.H, func(y0, y1 int) {
		for i := y0 * p.W; i < y1*p.W; i++ {
			r, gr, b := p.Pix[3*i], p.Pix[3*i+1], p.Pix[3*i+2]
			l := cbrt(0.4122214708*r + 0.5363325363*gr + 0.0514459929*b)
			m := cbrt(0.2119034982*r + 0.6806995451*gr + 0.1073969566*b)
			s := cbrt(0.0883024619*r + 0.2817188376*gr + 0.6299787005*b)
			g.L[i] = float32(0.2104542553*l) + float32(0.7936177850*m) - float32(0.0040720468*s)
			g.A[i] = float32(1.9779984951*l) - float32(2.4285922050*m) + float32(0.4505937099*s)
			g.B[i] = float32(0.0259040371*l) + float32(0.7827717662*m) - float32(0.8086757660*s)
		}
	})
	return g
}

// cbrt is the cube root of x ≥ 0 to about 1e-6 relative: a bit-pattern guess
// and two Newton steps.
func cbrt(x float32) float32 {
	if x <= 0 {
		return 0
	}
	y := math.Float32frombits(math.Float32bits(x)/3 + 709921077)
	y = (2*y + x/(y*y)) * (1.0 / 3)
	y = (2*y + x/(y*y)) * (1.0 / 3)
	return y
}

// blur is three box passes of radius r (in pixels) on one plane, edges
// replicated: near a Gaussian of sigma sqrt(r(r+1)).
func blur(src []float32, w, h, r int) []float32 {
	if r < 1 {
		return append([]float32(nil), src...)
	}
	a, b := make([]float32, len(src)), make([]float32, len(src))
	copy(a, src)
	for range 3 {
		boxRows(a, b, w, h, r)
		boxCols(b, a, w, h, r)
	}
	return a
}

func boxRows(src, dst []float32, w, h, r int) {
	k := 1 / float32(2*r+1)
	parallel(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			s, d := src[y*w:(y+1)*w], dst[y*w:(y+1)*w]
			var sum float32
			for x := -r; x <= r; x++ {
				sum += s[clamp(x, 0, w-1)]
			}
			for x := range w {
				d[x] = sum * k
				sum += s[min(x+r+1, w-1)] - s[max(x-r, 0)]
			}
		}
	})
}

func boxCols(src, dst []float32, w, h, r int) {
	k := 1 / float32(2*r+1)
	parallel(w, func(x0, x1 int) {
		n := x1 - x0
		sum := make([]float32, n)
		for y := -r; y <= r; y++ {
			s := src[clamp(y, 0, h-1)*w+x0:]
			for x := range n {
				sum[x] += s[x]
			}
		}
		for y := range h {
			d := dst[y*w+x0:]
			in, out := src[min(y+r+1, h-1)*w+x0:], src[max(y-r, 0)*w+x0:]
			for x := range n {
				d[x] = sum[x] * k
				sum[x] += in[x] - out[x]
			}
		}
	})
}

func clamp(v, lo, hi int) int { return max(lo, min(hi, v)) }

func sqrt32(x float32) float32 { return float32(math.Sqrt(float64(x))) }
