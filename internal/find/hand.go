package find

import (
	"container/heap"
	"fmt"
	"image"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// byHand makes regions of what is given by hand, in its order: an outline is a
// piece as it is drawn; a point, or a box as two opposite corners, shows where the
// eye should find one. v is what it saw where cloth lies, nil where it saw none.
func (v *view) byHand(given []geom.Polygon, odds odds) ([]cloth.Region, error) {
	out := make([]cloth.Region, len(given))
	var l *labelled
	label := make([]int32, len(given))
	within := map[int32][]int{} // the points in each piece that the eye sees, by their place in given
	for i, g := range given {
		if len(g) > 2 {
			out[i] = drawnRegion(g)
			continue
		}
		if l == nil && v != nil {
			l = v.part(odds)
		}
		if l != nil && len(g) == 1 {
			if c, ok := v.cell(int(g[0].X), int(g[0].Y)); ok && l.lab[c] != 0 {
				label[i] = l.lab[c]
				within[label[i]] = append(within[label[i]], i)
			}
		}
		if l != nil && len(g) == 2 {
			label[i] = int32(len(l.pieces) + i + 1)
			l.box(g, label[i])
		}
	}
	for i, g := range given {
		if at := within[label[i]]; len(g) == 1 && len(at) > 1 && at[0] == i {
			l.divide(label[i], at, given, label)
		}
	}
	for i, g := range given {
		if len(g) > 2 {
			continue
		}
		ok := false
		if l != nil && label[i] != 0 {
			out[i], ok = l.region(l.piece(label[i]))
			out[i].Trust = 1
		}
		if !ok {
			return nil, &Refusal{fmt.Sprintf("no cloth shows where piece %d is given", i+1), "give its outline"}
		}
	}
	return out, nil
}

// drawnRegion is a piece as it is drawn by hand.
func drawnRegion(g geom.Polygon) cloth.Region {
	if g.SignedArea() < 0 {
		g = slices.Clone(g)
		slices.Reverse(g)
	}
	r := cloth.Region{Polygon: g, Trust: 1}
	if c, fit := fitQuad(g); fit > quadEnough {
		r.Corners = c[:]
	}
	return r
}

// piece gathers the cells of a label.
func (l *labelled) piece(label int32) *piece {
	p := &piece{label: label}
	for i, k := range l.lab {
		if k == label {
			x, y := i%l.w, i/l.w
			p.area++
			p.box = p.box.Union(image.Rect(x, y, x+1, y+1))
		}
	}
	return p
}

// box gives a label to the piece within a box of two opposite corners: the cells
// there of all that lie half in it, or else of the one that fills the most of it.
func (l *labelled) box(g geom.Polygon, label int32) {
	lo, hi := g.Bounds()
	cell := func(p geom.Point) image.Point {
		return image.Pt(int(math.Floor((p.X-l.x0)/l.sx)), int(math.Floor((p.Y-l.y0)/l.sy)))
	}
	box := image.Rectangle{cell(lo), cell(hi).Add(image.Pt(1, 1))}.Intersect(image.Rect(0, 0, l.w, l.h))
	in, all := map[int32]int{}, map[int32]int{}
	most := int32(0)
	for i, k := range l.lab {
		all[k]++
		if k != 0 && image.Pt(i%l.w, i/l.w).In(box) {
			if in[k]++; in[k] > in[most] {
				most = k
			}
		}
	}
	half := func(k int32) bool { return 2*in[k] >= all[k] }
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if k := l.lab[y*l.w+x]; k != 0 && (half(k) || !half(most) && k == most) {
				l.lab[y*l.w+x] = label
			}
		}
	}
}

// seamCost is how many cells of way a seam that the eye is sure of costs; one of
// which it is half sure costs a quarter, and what it hardly doubts next to nothing.
const seamCost = 1000

// divide parts a piece among the points in it: each cell goes to the point with the
// cheapest way to it, where seams are dear (Dijkstra 1959). The points are those of
// given listed in at; their labels are renewed.
func (l *labelled) divide(old int32, at []int, given []geom.Polygon, label []int32) {
	var q offers
	for _, i := range at {
		label[i] = int32(len(l.pieces) + i + 1)
		c, _ := l.cell(int(given[i][0].X), int(given[i][0].Y))
		heap.Push(&q, offer{a: int32(c), b: label[i]})
	}
	east, south := l.beside(1, 0), l.beside(0, 1)
	for len(q) > 0 {
		o := heap.Pop(&q).(offer) // chance is the cost, below 0; a the cell, b the label
		if l.lab[o.a] != old {
			continue
		}
		l.lab[o.a] = o.b
		c := int(o.a)
		step := func(ok bool, to int, pulls []int16) {
			if ok && l.lab[to] == old {
				seam := (half - float64(pulls[min(c, to)])) / unit
				heap.Push(&q, offer{chance: o.chance - 1 - seamCost*sq(seam), a: int32(to), b: o.b})
			}
		}
		step(c%l.w > 0, c-1, east)
		step(c%l.w+1 < l.w, c+1, east)
		step(c >= l.w, c-l.w, south)
		step(c+l.w < len(l.lab), c+l.w, south)
	}
}
