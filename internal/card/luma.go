package card

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// luma is the luminance of a picture: linear, so that a blurred edge is where
// it is half way between dark and paper.
type luma struct {
	w, h int
	v    []float32 // len w*h
}

func lumaOf(p *cloth.Picture) *luma {
	l := &luma{p.W, p.H, make([]float32, p.W*p.H)}
	for i := range l.v {
		l.v[i] = colour.LumaR*p.Pix[3*i] + colour.LumaG*p.Pix[3*i+1] + colour.LumaB*p.Pix[3*i+2]
	}
	return l
}

// at is the luminance between pixel centres, bilinear.
func (l *luma) at(q geom.Point) float64 {
	x, y := min(max(q.X-0.5, 0), float64(l.w-1)), min(max(q.Y-0.5, 0), float64(l.h-1))
	i, j := min(int(x), l.w-2), min(int(y), l.h-2)
	u, v := x-float64(i), y-float64(j)
	k := j*l.w + i
	a := (1-u)*float64(l.v[k]) + u*float64(l.v[k+1])
	b := (1-u)*float64(l.v[k+l.w]) + u*float64(l.v[k+l.w+1])
	return (1-v)*a + v*b
}

func (l *luma) holds(q geom.Point) bool {
	return q.X >= 0 && q.Y >= 0 && q.X < float64(l.w) && q.Y < float64(l.h)
}

const (
	// windowShare is the half side of the square that a pixel is compared with,
	// as a share of the picture's longer side: marks of a twentieth to a third
	// of the picture's height stand out from it.
	windowShare = 1. / 30
	// darkBelow is the share of the mean about it below which a pixel is dark.
	darkBelow = 0.62
)

// dark says which pixels are dark beside their surroundings, len w*h.
func (l *luma) dark() []bool {
	r := max(8, int(windowShare*float64(max(l.w, l.h))))
	// Sums over columns of 2r+1 rows slide down the picture.
	out := make([]bool, l.w*l.h)
	column := make([]float64, l.w)
	add := func(y int, sign float64) {
		for x, v := range l.v[y*l.w : (y+1)*l.w] {
			column[x] += sign * float64(v)
		}
	}
	for y := range min(r, l.h) {
		add(y, 1)
	}
	for y := range l.h {
		if y+r < l.h {
			add(y+r, 1)
		}
		if y-r-1 >= 0 {
			add(y-r-1, -1)
		}
		high := min(y+r, l.h-1) - max(y-r, 0) + 1
		sum := 0.0
		for x := range min(r, l.w) {
			sum += column[x]
		}
		for x := range l.w {
			if x+r < l.w {
				sum += column[x+r]
			}
			if x-r-1 >= 0 {
				sum -= column[x-r-1]
			}
			n := high * (min(x+r, l.w-1) - max(x-r, 0) + 1)
			out[y*l.w+x] = float64(l.v[y*l.w+x])*float64(n) < darkBelow*sum
		}
	}
	return out
}

// blob is a connected dark patch: its size and the ends of its rows.
type blob struct {
	pixels         int
	x0, y0, x1, y1 int // bounds, exclusive
	ends           []geom.Point
}

// run is a row's stretch of dark pixels.
type run struct{ y, x0, x1, parent int }

// blobs are the dark patches (8-connected) that may be a mark by their size.
func (l *luma) blobs() []blob {
	dark := l.dark()
	var runs []run
	root := func(i int) int {
		for runs[i].parent != i {
			runs[i].parent = runs[runs[i].parent].parent
			i = runs[i].parent
		}
		return i
	}
	above, here := 0, 0 // first runs of the row above and of this one
	for y := range l.h {
		above, here = here, len(runs)
		k := above
		for x := 0; x < l.w; x++ {
			if !dark[y*l.w+x] {
				continue
			}
			x0 := x
			for x < l.w && dark[y*l.w+x] {
				x++
			}
			i := len(runs)
			runs = append(runs, run{y, x0, x, i})
			for k < here && runs[k].x1 < x0 {
				k++
			}
			for j := k; j < here && runs[j].x0 <= x; j++ {
				if a, b := root(i), root(j); a != b {
					runs[max(a, b)].parent = min(a, b)
				}
			}
		}
	}
	index := make([]int, len(runs))
	var all []blob
	for i, r := range runs {
		k := root(i)
		if k == i {
			index[i] = len(all)
			all = append(all, blob{x0: r.x0, y0: r.y, x1: r.x1, y1: r.y + 1})
		}
		b := &all[index[k]]
		b.pixels += r.x1 - r.x0
		b.x0, b.x1, b.y1 = min(b.x0, r.x0), max(b.x1, r.x1), r.y+1
	}
	keep := make([]bool, len(all))
	for i, b := range all {
		keep[i] = l.mayBeMark(&b)
	}
	for i, r := range runs {
		if k := index[root(i)]; keep[k] {
			y := float64(r.y)
			a, b := float64(r.x0), float64(r.x1)
			all[k].ends = append(all[k].ends, geom.Point{X: a, Y: y}, geom.Point{X: b, Y: y}, geom.Point{X: a, Y: y + 1}, geom.Point{X: b, Y: y + 1})
		}
	}
	out := all[:0]
	for i, b := range all {
		if keep[i] {
			out = append(out, b)
		}
	}
	return out
}

const (
	leastMark = 9   // working pixels wide: under two a cell nothing can be read
	mostMark  = 0.4 // of the picture's shorter side
	// leastFill and mostSlant bound a mark in its upright box: turned by an
	// eighth of a turn it fills half of it, less what of its cells is light.
	leastFill, mostSlant = 0.25, 3.0
)

func (l *luma) mayBeMark(b *blob) bool {
	w, h := float64(b.x1-b.x0), float64(b.y1-b.y0)
	return min(w, h) >= leastMark && max(w, h) <= mostMark*float64(min(l.w, l.h)) &&
		max(w, h) <= mostSlant*min(w, h) && float64(b.pixels) >= leastFill*w*h &&
		b.x0 > 0 && b.y0 > 0 && b.x1 < l.w && b.y1 < l.h
}

// largestQuad is about the quadrilateral of largest area with corners on a
// convex ring: from the ring's farthest pair, each corner in turn goes where it
// lies farthest from the diagonal of its neighbours.
func largestQuad(ring geom.Polygon) (c [4]geom.Point, ok bool) {
	if len(ring) < 4 {
		return c, false
	}
	far := func(a, b geom.Point, side float64) geom.Point {
		best, at := math.Inf(-1), a
		d := b.Sub(a)
		for _, q := range ring {
			if s := side * d.Cross(q.Sub(a)); s > best {
				best, at = s, q
			}
		}
		return at
	}
	longest := -1.0
	for i, a := range ring {
		for _, b := range ring[i+1:] {
			if d := a.Dist(b); d > longest {
				longest, c[0], c[2] = d, a, b
			}
		}
	}
	c[1], c[3] = far(c[0], c[2], -1), far(c[0], c[2], 1)
	for range 3 {
		for i := range c {
			c[i] = far(c[(i+3)%4], c[(i+1)%4], -1)
		}
	}
	return c, geom.Polygon(c[:]).SignedArea() > 0
}
