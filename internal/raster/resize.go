package raster

import (
	"image"
	"math"
)

// Bytes is a picture of 3 bytes a pixel, row by row.
type Bytes struct {
	W, H int     // pixels
	Pix  []uint8 // len 3*W*H
}

// weighBits are the bits after the point in taps.
const weighBits = 14

// taps say how each pixel of an axis is made of those of another: the first of
// them, and how much of it and of those that follow, with weighBits after the point.
type taps struct {
	first  []int
	weight [][]int32
}

// tapsOf returns the taps of cubic convolution (Keys 1981), widened where a picture
// shrinks, from a size to another.
func tapsOf(from, to int) taps {
	t := taps{make([]int, to), make([][]int32, to)}
	step := float64(from) / float64(to)
	wide := 1.0
	if step > 1.25 { // up to there four taps do
		wide = step
	}
	cubic := func(x float64) float64 {
		x = math.Abs(x)
		if x < 1 {
			return (1.5*x-2.5)*x*x + 1
		}
		return ((2.5-0.5*x)*x-4)*x + 2 // 0 at 2
	}
	for i := range to {
		middle := (float64(i)+0.5)*step - 0.5
		lo, hi := max(0, int(math.Ceil(middle-2*wide))), min(from-1, int(math.Floor(middle+2*wide)))
		w := make([]float64, hi-lo+1)
		sum := 0.0
		for k := range w {
			w[k] = cubic((float64(lo+k) - middle) / wide)
			sum += w[k]
		}
		t.first[i], t.weight[i] = lo, make([]int32, len(w))
		left := 0.0 // what rounding leaves of 1 goes to the next weight
		for k := range w {
			v := w[k]/sum*(1<<weighBits) + left
			t.weight[i][k] = int32(math.Round(v))
			left = v - math.Round(v)
		}
	}
	return t
}

// moreBits are kept between the two axes, beyond those of a byte.
const moreBits = 6

// row draws a row of 3 bytes a pixel anew.
func (t *taps) row(from []uint8, to []int16) {
	const half, down = 1 << (weighBits - moreBits - 1), weighBits - moreBits
	for x, weight := range t.weight {
		p := from[3*t.first[x]:][:3*len(weight)]
		var r, g, b int32 = half, half, half
		for _, v := range weight {
			r, g, b = r+v*int32(p[0]), g+v*int32(p[1]), b+v*int32(p[2])
			p = p[3:]
		}
		q := to[3*x : 3*x+3 : 3*x+3]
		q[0], q[1], q[2] = int16(r>>down), int16(g>>down), int16(b>>down)
	}
}

// Resize draws part of a picture anew at w × h pixels, in integers, so that it is
// the same on every processor.
func (p *Bytes) Resize(part image.Rectangle, w, h int) []uint8 {
	across, down := tapsOf(part.Dx(), w), tapsOf(part.Dy(), h)
	most := 0
	for _, weight := range down.weight {
		most = max(most, len(weight))
	}
	out := make([]uint8, 3*w*h)
	Rows(h, func(lo, hi int) {
		wide := make([]int16, most*3*w) // the last rows drawn across, in a ring
		row := func(y int) []int16 { return wide[y%most*3*w:][:3*w] }
		sums := make([]int32, 3*w)
		next := down.first[lo]
		for y := lo; y < hi; y++ {
			first, weight := down.first[y], down.weight[y]
			for ; next < first+len(weight); next++ {
				across.row(p.Pix[3*((part.Min.Y+next)*p.W+part.Min.X):], row(next))
			}
			to := out[3*w*y:][:3*w]
			const half = 1 << (weighBits + moreBits - 1)
			if len(weight) == 4 { // nearly always, and several times faster
				a, b, c, d := row(first)[:len(to)], row(first + 1)[:len(to)], row(first + 2)[:len(to)], row(first + 3)[:len(to)]
				t, u, v, w := weight[0], weight[1], weight[2], weight[3]
				for i := range to {
					s := half + t*int32(a[i]) + u*int32(b[i]) + v*int32(c[i]) + w*int32(d[i])
					to[i] = uint8(max(0, min(255, s>>(weighBits+moreBits))))
				}
				continue
			}
			for i := range sums {
				sums[i] = half
			}
			for k, v := range weight {
				for i, c := range row(first + k)[:len(sums)] {
					sums[i] += v * int32(c)
				}
			}
			for i, s := range sums {
				to[i] = uint8(max(0, min(255, s>>(weighBits+moreBits))))
			}
		}
	})
	return out
}
