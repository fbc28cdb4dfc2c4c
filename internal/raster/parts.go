package raster

import (
	"image"

	"piecebag/internal/geom"
)

// Component is one connected set of pixels that share a label.
type Component struct {
	Area  int // pixels
	Box   image.Rectangle
	First int // its first pixel, in raster order
}

// Parting numbers the connected parts of a label picture.
type Parting struct {
	W     int         // pixels a row
	Of    []int32     // the index in Parts of each pixel's part; -1 where it has no label
	Parts []Component // in the order of their first pixels
}

// Connectivity says which pixels touch.
type Connectivity int

const (
	Sides   Connectivity = 4 // those that share a side
	Corners Connectivity = 8 // those that share a side or a corner
)

// Components finds the connected sets of equal labels in a picture of w × h pixels;
// the zero label is none.
func Components[T comparable](labels []T, w, h int, touch Connectivity) Parting {
	p := Parting{W: w, Of: make([]int32, len(labels))}
	for i := range p.Of {
		p.Of[i] = -1
	}
	var none T
	var stack []int32
	for s, l := range labels {
		if l == none || p.Of[s] >= 0 {
			continue
		}
		id := int32(len(p.Parts))
		q := Component{First: s, Box: image.Rectangle{image.Pt(w, h), image.Pt(0, 0)}}
		take := func(j int) {
			if labels[j] == l && p.Of[j] < 0 {
				p.Of[j] = id
				stack = append(stack, int32(j))
			}
		}
		stack = stack[:0]
		take(s)
		for len(stack) > 0 {
			i := int(stack[len(stack)-1])
			stack = stack[:len(stack)-1]
			x, y := i%w, i/w
			q.Area++
			q.Box.Min.X, q.Box.Min.Y = min(q.Box.Min.X, x), min(q.Box.Min.Y, y)
			q.Box.Max.X, q.Box.Max.Y = max(q.Box.Max.X, x+1), max(q.Box.Max.Y, y+1)
			if touch == Sides {
				Around(i, w, h, take)
				continue
			}
			for v := max(0, y-1); v <= min(h-1, y+1); v++ {
				for u := max(0, x-1); u <= min(w-1, x+1); u++ {
					take(v*w + u)
				}
			}
		}
		p.Parts = append(p.Parts, q)
	}
	return p
}

// Around calls visit with the pixels beside pixel i: above, left, right and below.
func Around(i, w, h int, visit func(j int)) {
	x, y := i%w, i/w
	if y > 0 {
		visit(i - w)
	}
	if x > 0 {
		visit(i - 1)
	}
	if x+1 < w {
		visit(i + 1)
	}
	if y+1 < h {
		visit(i + w)
	}
}

// Hull returns the convex hull of the pixels of part k, each a square of side 1.
func (p *Parting) Hull(k int) geom.Polygon {
	var pts []geom.Point
	b := p.Parts[k].Box
	for y := b.Min.Y; y < b.Max.Y; y++ {
		row := p.Of[y*p.W : (y+1)*p.W]
		x0, x1 := b.Min.X, b.Max.X
		for x0 < x1 && row[x0] != int32(k) {
			x0++
		}
		for x1 > x0 && row[x1-1] != int32(k) {
			x1--
		}
		if x0 < x1 {
			l, r, t := float64(x0), float64(x1), float64(y)
			pts = append(pts, geom.Point{X: l, Y: t}, geom.Point{X: r, Y: t}, geom.Point{X: l, Y: t + 1}, geom.Point{X: r, Y: t + 1})
		}
	}
	return geom.ConvexHull(pts)
}
