package find

import "piecebag/internal/geom"

// partedness says how much more two neighbouring cells of a lattice differ in
// their colours than the halves of one cell do, -1..1. On a board a print fills
// its square and ends there; the lines of a check stand in a row as well, but
// the same cloth lies on both sides of them.
func (l lattice) partedness(s *grid) float64 {
	n := l.rows * l.cols
	cells := make([]*histogram, n)
	halves := make([]float64, n)
	parallel(n, func(lo, hi int) {
		for k := lo; k < hi; k++ {
			x, y := float64(k%l.cols), float64(k/l.cols)
			part := func(x0, y0, x1, y1 float64) *histogram {
				return histogramOf(s, l.within(x+x0, y+y0, x+x1, y+y1))
			}
			const in, out = 0.1, 0.9 // clear of the seams
			cells[k] = part(in, in, out, out)
			halves[k] = 1 - 0.5*part(in, in, 0.5, out).likeness(part(0.5, in, out, out)) -
				0.5*part(in, in, out, 0.5).likeness(part(in, 0.5, out, out))
		}
	})
	inside, across, pairs := 0.0, 0.0, 0
	for k := range cells {
		inside += halves[k]
		if k%l.cols > 0 {
			across += 1 - cells[k].likeness(cells[k-1])
			pairs++
		}
		if k >= l.cols {
			across += 1 - cells[k].likeness(cells[k-l.cols])
			pairs++
		}
	}
	return across/float64(max(1, pairs)) - inside/float64(max(1, n))
}

// within is the part of the picture from (x0, y0) to (x1, y1) of the lattice.
func (l lattice) within(x0, y0, x1, y1 float64) geom.Polygon {
	return geom.Polygon{
		l.h.Apply(geom.Point{X: x0, Y: y0}), l.h.Apply(geom.Point{X: x1, Y: y0}),
		l.h.Apply(geom.Point{X: x1, Y: y1}), l.h.Apply(geom.Point{X: x0, Y: y1}),
	}
}
