package cutting

import (
	"cmp"
	"slices"
)

// pattern is how one piece of cloth is cut. It is parted into bands, each band
// into rows and each row into pieces as wide as the row. Bands run across the
// cloth or, turned, along it.
type pattern struct {
	turned bool
	bands  []band
}

type band struct {
	along tick
	rows  []row
}

type row struct {
	across tick
	pieces []part
}

// tally is what a pattern comes to.
type tally struct {
	counts []int // by want
	pieces int
	area   area // of the pieces
	parts  int  // pieces and remnants: each cut makes one more
	waste  area
}

func (t tally) cuts() int { return max(t.parts-1, 0) }

// cheaper compares two ways of getting the same pieces.
func (p *problem) cheaper(a, b tally) bool {
	cuts, waste := a.parts-b.parts, cmp.Compare(a.waste, b.waste)
	if p.prefer == Waste {
		return cmp.Or(waste, cuts) < 0
	}
	return cmp.Or(cuts, waste) < 0
}

// lie returns the sides of a source as a pattern has it.
func (s source) lie(turned bool) (across, along tick) {
	if turned {
		return s.length, s.width
	}
	return s.width, s.length
}

// walk returns the pieces of a pattern and what remains of the cloth, each with its place
// on the cloth as the pattern has it.
func (pt pattern) walk(src *source, piece func(x, y tick, it part), remain func(x, y, across, along tick)) {
	left := func(x, y, across, along tick) {
		if across > 0 && along > 0 {
			remain(x, y, across, along)
		}
	}
	across, long := src.lie(pt.turned)
	y := tick(0)
	for _, b := range pt.bands {
		x := tick(0)
		for _, r := range b.rows {
			at := y
			for _, it := range r.pieces {
				piece(x, at, it)
				at += it.along
			}
			left(x, at, r.across, y+b.along-at)
			x += r.across
		}
		left(x, y, across-x, b.along)
		y += b.along
	}
	left(0, y, across, long-y)
}

// measure counts a pattern's pieces, waste and cuts.
func (p *problem) measure(src *source, pt pattern) tally {
	t := tally{counts: make([]int, len(p.wants))}
	if src.trim > 0 {
		t.parts++
		t.waste += area(src.trim) * area(src.width)
	}
	pt.walk(src, func(_, _ tick, it part) {
		t.counts[it.want]++
		t.pieces++
		t.area += it.area()
		t.parts++
	}, func(_, _, across, along tick) {
		t.parts++
		t.waste += lost(across, along)
	})
	return t
}

// pattern reads a pattern out of a line of bands, in working order: the longest
// first. Bands of rows alike are one where that wastes no more and takes no more
// cuts: one long slit for several short ones.
func (p *problem) pattern(src *source, n *node, turned bool) (pattern, tally) {
	pt := pattern{turned: turned}
	for _, b := range n.kids {
		out := band{along: b.size}
		for _, r := range b.kids {
			line := row{across: r.size}
			for _, it := range r.kids {
				line.pieces = append(line.pieces, it.part)
			}
			slices.SortFunc(line.pieces, func(a, b part) int { return cmp.Or(cmp.Compare(b.along, a.along), a.want-b.want) })
			out.rows = append(out.rows, line)
		}
		slices.SortFunc(out.rows, func(a, b row) int {
			return cmp.Or(cmp.Compare(b.across, a.across), slices.CompareFunc(a.pieces, b.pieces, func(a, b part) int { return a.want - b.want }))
		})
		pt.bands = append(pt.bands, out)
	}
	slices.SortStableFunc(pt.bands, func(a, b band) int {
		return cmp.Or(cmp.Compare(b.along, a.along), slices.CompareFunc(a.rows, b.rows, func(a, b row) int { return cmp.Compare(b.across, a.across) }))
	})
	t := p.measure(src, pt)
	across, _ := src.lie(turned)
	for k := 0; k+1 < len(pt.bands); {
		a, b := pt.bands[k], pt.bands[k+1]
		if !slices.EqualFunc(a.rows, b.rows, func(a, b row) bool { return a.across == b.across }) || a.rows[0].across == across {
			k++
			continue
		}
		one := band{along: a.along + b.along}
		for r := range a.rows {
			one.rows = append(one.rows, row{a.rows[r].across, slices.Concat(a.rows[r].pieces, b.rows[r].pieces)})
		}
		other := pattern{turned, slices.Concat(pt.bands[:k], []band{one}, pt.bands[k+2:])}
		if to := p.measure(src, other); to.parts <= t.parts && to.waste <= t.waste {
			pt, t = other, to
		} else {
			k++
		}
	}
	return pt, t
}

// reach returns how far the bands go across and along the cloth.
func (pt pattern) reach() (across, along tick) {
	for _, b := range pt.bands {
		along += b.along
		wide := tick(0)
		for _, r := range b.rows {
			wide += r.across
		}
		across = max(across, wide)
	}
	return across, along
}
