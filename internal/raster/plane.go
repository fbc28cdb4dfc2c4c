package raster

import "piecebag/internal/colour"

// Plane is one number a pixel, row-major: that of pixel (x, y), whose middle lies
// at (x+½, y+½), is V[y*W+x].
type Plane struct {
	W, H int       // pixels
	V    []float32 // len W*H
}

// New returns a plane of zeros.
func New(w, h int) *Plane { return &Plane{w, h, make([]float32, w*h)} }

// Luma returns the luminance of linear sRGB pixels, 3 numbers each: 0 black, 1 white.
func Luma(w, h int, rgb []float32) *Plane {
	p := New(w, h)
	for i := range p.V {
		p.V[i] = colour.Luma(rgb[3*i], rgb[3*i+1], rgb[3*i+2])
	}
	return p
}

// Between returns where x lies among n places 0, 1, …, n-1, two or more: how far, 0..1,
// on the way from place i to the next. What lies outside counts as at the nearest
// end.
func Between(x float64, n int) (i int, t float64) {
	x = min(max(x, 0), float64(n-1))
	i = min(int(x), n-2)
	return i, x - float64(i)
}

// At interpolates between the four pixels about (x, y), bilinear; outside, the edge
// is repeated. The plane has two pixels or more each way.
func (p *Plane) At(x, y float64) float64 {
	i, u := Between(x-0.5, p.W)
	j, v := Between(y-0.5, p.H)
	return p.between(j*p.W+i, u, v)
}

// between interpolates between pixel k, those to its right and those below.
func (p *Plane) between(k int, u, v float64) float64 {
	a := (1-u)*float64(p.V[k]) + u*float64(p.V[k+1])
	b := (1-u)*float64(p.V[k+p.W]) + u*float64(p.V[k+p.W+1])
	return (1-v)*a + v*b
}

// At3 is At of three planes of one size, such as the channels of a colour.
func At3(p *[3]*Plane, x, y float64) [3]float64 {
	i, u := Between(x-0.5, p[0].W)
	j, v := Between(y-0.5, p[0].H)
	k := j*p[0].W + i
	return [3]float64{p[0].between(k, u, v), p[1].between(k, u, v), p[2].between(k, u, v)}
}

// Holds reports whether pixel (x, y) lies in the plane.
func (p *Plane) Holds(x, y int) bool { return x >= 0 && y >= 0 && x < p.W && y < p.H }

// BoxMean returns the mean over the square of 2r+1 pixels about each, as far as it lies
// in the plane.
func (p *Plane) BoxMean(r int) *Plane {
	out := New(p.W, p.H)
	column := make([]float64, p.W) // sums of 2r+1 rows, which slide down the plane
	add := func(y int, sign float64) {
		for x, v := range p.V[y*p.W : (y+1)*p.W] {
			column[x] += sign * float64(v)
		}
	}
	for y := range min(r, p.H) {
		add(y, 1)
	}
	for y := range p.H {
		if y+r < p.H {
			add(y+r, 1)
		}
		if y-r-1 >= 0 {
			add(y-r-1, -1)
		}
		high := min(y+r, p.H-1) - max(y-r, 0) + 1
		sum := 0.0
		for x := range min(r, p.W) {
			sum += column[x]
		}
		for x := range p.W {
			if x+r < p.W {
				sum += column[x+r]
			}
			if x-r-1 >= 0 {
				sum -= column[x-r-1]
			}
			out.V[y*p.W+x] = float32(sum / float64(high*(min(x+r, p.W-1)-max(x-r, 0)+1)))
		}
	}
	return out
}

// Binomial returns the plane under a window of three by three pixels with the weights 1,
// 2, 1 each way; its outermost pixels mean nothing.
func (p *Plane) Binomial() *Plane {
	w, row, out := p.W, New(p.W, p.H), New(p.W, p.H)
	for y := range p.H {
		for x := 1; x < w-1; x++ {
			i := y*w + x
			row.V[i] = (p.V[i-1] + 2*p.V[i] + p.V[i+1]) / 4
		}
	}
	for i := w; i < (p.H-1)*w; i++ {
		out.V[i] = (row.V[i-w] + 2*row.V[i] + row.V[i+w]) / 4
	}
	return out
}
