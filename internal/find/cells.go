package find

import "image"

// part is one connected set of cells that share a label.
type part struct {
	label int32 // what the cells held
	area  int   // cells
	box   image.Rectangle
	first int // its first cell, in raster order
}

// parting numbers the parts of a label picture: of[i] is the index in parts, or
// -1 where the label is 0.
type parting struct {
	of    []int32
	parts []part
}

// components finds the 4-connected sets of equal labels other than 0, in raster
// order.
func components(lab []int32, w, h int) parting {
	p := parting{of: make([]int32, len(lab))}
	for i := range p.of {
		p.of[i] = -1
	}
	var stack []int32
	for s, l := range lab {
		if l == 0 || p.of[s] >= 0 {
			continue
		}
		id := int32(len(p.parts))
		q := part{label: l, box: image.Rect(w, h, 0, 0), first: s}
		q.box.Min, q.box.Max = image.Pt(w, h), image.Pt(0, 0)
		p.of[s] = id
		stack = append(stack[:0], int32(s))
		for len(stack) > 0 {
			i := int(stack[len(stack)-1])
			stack = stack[:len(stack)-1]
			x, y := i%w, i/w
			q.area++
			q.box.Min.X, q.box.Min.Y = min(q.box.Min.X, x), min(q.box.Min.Y, y)
			q.box.Max.X, q.box.Max.Y = max(q.box.Max.X, x+1), max(q.box.Max.Y, y+1)
			around(i, w, h, func(j int) {
				if lab[j] == l && p.of[j] < 0 {
					p.of[j] = id
					stack = append(stack, int32(j))
				}
			})
		}
		p.parts = append(p.parts, q)
	}
	return p
}

// around calls visit with the cells beside cell i: above, left, right and below.
func around(i, w, h int, visit func(j int)) {
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

// grow gives cells of cloth without a label to the label that reaches them
// first, reach cells far at most.
func grow(lab []int32, cloth func(i int) bool, w, h, reach int) {
	var edge []int32
	for i, l := range lab {
		if l != 0 {
			edge = append(edge, int32(i))
		}
	}
	for range reach {
		var next []int32
		for _, i := range edge {
			around(int(i), w, h, func(j int) {
				if lab[j] == 0 && cloth(j) {
					lab[j] = lab[i]
					next = append(next, int32(j))
				}
			})
		}
		edge = next
	}
}
