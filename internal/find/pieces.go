package find

import (
	"image"

	"piecebag/internal/cloth"
	"piecebag/internal/raster"
)

// piece is one piece as cells of a view.
type piece struct {
	label int32
	area  int             // cells
	cloth int             // the sum of a field's over them
	box   image.Rectangle // of its cells
	inner bond            // the pulls between its cells
	outer bond            // those between its cells and others' that touch it
}

// labelled is a view parted into pieces: lab holds a piece's number, its index
// in pieces and 1, or 0.
type labelled struct {
	*view
	lab    []int32
	pieces []piece
	edges  []edge // the pulls between its cells of cloth
}

const (
	// filled is how far cloth without a label is given to the piece nearest to
	// it, in cells.
	filled = 5
	// partShare is the least part of a piece that lies apart from its largest, as
	// a share of that: less is a slip of the eye.
	partShare = 0.04
)

// fragments sheds what the eye saw; least is how likely cloth a cell must be.
func (v *view) fragments(odds odds) (g *fragments, edges []edge, least int16) {
	if odds(cloth.Stack, cloth.Pile) > 0.5 {
		least = unit / 20 // in shade and between folds the eye takes a little too much for cloth
	}
	edges = v.edges(least)
	g = fragmentsOf(shed(v.w*v.h, edges), &v.field, least, edges)
	g.crumbs()
	return g, edges, least
}

// part parts what the eye saw into pieces; odds are those of the kinds of photo.
func (v *view) part(odds odds) *labelled {
	g, edges, least := v.fragments(odds)
	newJoiner(v, g, odds).run()
	grow(g.lab, func(i int) bool { return v.cloth[i] > least }, v.w, v.h, filled)
	l := &labelled{view: v, lab: g.lab, edges: edges}
	l.gather(l.tidy())
	return l
}

// dust is the least part of a piece, in cells.
const dust = 25

// tidy drops what is too small, apart from a piece's largest part, and numbers
// the pieces that are left, of which it gives the count.
func (l *labelled) tidy() (count int32) {
	p := raster.Components(l.lab, l.w, l.h, raster.Sides)
	n := int32(0)
	for _, q := range p.Parts {
		n = max(n, l.lab[q.First])
	}
	largest := make([]int, n+1)
	for _, q := range p.Parts {
		largest[l.lab[q.First]] = max(largest[l.lab[q.First]], q.Area)
	}
	number := make([]int32, n+1)
	keep := make([]bool, len(p.Parts))
	for k, q := range p.Parts {
		label := l.lab[q.First]
		keep[k] = q.Area >= dust && float64(q.Area) >= partShare*float64(largest[label])
		if keep[k] && number[label] == 0 {
			count++
			number[label] = count
		}
	}
	for i, k := range p.Of {
		if k < 0 || !keep[k] {
			l.lab[i] = 0
		} else {
			l.lab[i] = number[l.lab[i]]
		}
	}
	return count
}

// gather makes pieces of labels 1 to n: their cells, the pulls within, and those of
// near cells across their edges.
func (l *labelled) gather(n int32) {
	l.pieces = make([]piece, n)
	for i, k := range l.lab {
		if k != 0 {
			s := &l.pieces[k-1]
			x, y := i%l.w, i/l.w
			s.area++
			s.cloth += int(l.cloth[i])
			s.box = s.box.Union(image.Rect(x, y, x+1, y+1))
		}
	}
	for i := range l.pieces {
		l.pieces[i].label = int32(i + 1)
	}
	for i := range l.edges {
		e := &l.edges[i]
		a, b, w := l.lab[e.u], l.lab[e.v], e.bond(l.w)
		if a == b && a != 0 {
			s := &l.pieces[a-1]
			s.inner = s.inner.plus(w)
		} else if a != b && e.weight == nearWeight {
			for _, k := range [2]int32{a, b} {
				if k != 0 {
					s := &l.pieces[k-1]
					s.outer = s.outer.plus(w)
				}
			}
		}
	}
}
