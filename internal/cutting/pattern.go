package cutting

import (
	"cmp"
	"slices"
)

// pattern is how one piece of cloth is cut. It is parted across into segments;
// each is slit into rows and each row cut across into pieces as wide as the row.
// Every segment but one at most is as long as some wanted piece.
type pattern struct {
	lie      int
	segments []segment
}

// segment is length grid steps of the cloth, slit; rows hold the parts in each
// row as indices into the row's parts.
type segment struct {
	slit   int
	length int
	rows   [][]int
}

// tally is what a pattern comes to.
type tally struct {
	counts []int // by want
	pieces int
	area   area // of the pieces
	waste  area
	spoilt area // of a square that is cut down
	cuts   int
	slit   int // segments that are slit
}

// measure counts a pattern's pieces, waste and cuts. Every cut but those along
// an edge of the cloth is counted; pieces are not cut in a pile.
func (p *problem) measure(src *source, pt pattern) tally {
	t := tally{counts: make([]int, len(p.wants))}
	l := src.lies[pt.lie]
	g := &p.groups[l.group]
	trim := src.trim
	if src.square {
		t.spoilt = area(l.across) * area(l.along)
	}
	if trim > 0 {
		t.cuts++
		t.waste += area(trim) * area(l.across)
	}
	rest := l.along
	for _, s := range pt.segments {
		long := tick(s.length) * p.grid
		rest -= long
		t.cuts++
		sl := g.slits[s.slit]
		t.cuts += sl.rows() - 1
		if !sl.whole() {
			t.slit++
		}
		if sl.left > 0 {
			t.cuts++
			t.waste += p.lost(sl.left, long)
		}
		for k, parts := range s.rows {
			r := &p.sigs[g.sig].rows[sl.row(k)]
			end := long
			for _, i := range parts {
				it := r.parts[i]
				end -= tick(it.steps) * p.grid
				t.counts[it.want]++
				t.pieces++
				t.area += it.area()
			}
			t.cuts += len(parts)
			if end == 0 && len(parts) > 0 {
				t.cuts--
			}
			t.waste += p.lost(r.across, end)
		}
	}
	if rest == 0 && len(pt.segments) > 0 {
		t.cuts--
	}
	t.waste += p.lost(l.across, rest)
	return t
}

// lost is the area of a remnant that is too small to keep.
func (p *problem) lost(a, b tick) area {
	if p.kept(a, b) {
		return 0
	}
	return area(a) * area(b)
}

// knife is what a cut counts for in the search, square ticks: so little of a
// square inch, so that of ways that waste alike the one of fewest cuts is found.
// Each cut makes one piece or remnant more, so that also leaves the fewest
// remnants, and they are the larger.
const knife = in2Area / 10000

// worth is what a tally brings at prices of square ticks a piece. A square cut
// down counts as wasted.
func (t tally) worth(prices []float64) float64 {
	v := -float64(t.waste) - float64(t.spoilt) - float64(knife*float64(t.cuts))
	for i, n := range t.counts {
		v += float64(float64(n) * prices[i])
	}
	return v
}

// used is how far the fullest row of a segment reaches, in grid steps, and the
// number of pieces in it.
func (p *problem) used(g *group, s segment) (reach, pieces int) {
	for k, parts := range s.rows {
		n := 0
		for _, i := range parts {
			n += p.sigs[g.sig].rows[g.slits[s.slit].row(k)].parts[i].steps
		}
		reach = max(reach, n)
		pieces += len(parts)
	}
	return reach, pieces
}

// tidy puts a pattern into working order: no segments without pieces, longer
// segments and pieces first, the one segment of free length last.
func (p *problem) tidy(g *group, pt pattern) pattern {
	steps := p.sigs[g.sig].steps
	pt.segments = slices.DeleteFunc(pt.segments, func(s segment) bool {
		_, n := p.used(g, s)
		return n == 0
	})
	for k := range pt.segments {
		p.unslit(g, &pt.segments[k])
	}
	for _, s := range pt.segments {
		for k, parts := range s.rows {
			in := p.sigs[g.sig].rows[g.slits[s.slit].row(k)].parts
			slices.SortStableFunc(parts, func(a, b int) int { return cmp.Or(in[b].steps-in[a].steps, a-b) })
		}
	}
	slices.SortStableFunc(pt.segments, func(a, b segment) int {
		free := func(s segment) int {
			if slices.Contains(steps, s.length) {
				return 0
			}
			return 1
		}
		return cmp.Or(free(a)-free(b), b.length-a.length, a.slit-b.slit, slices.CompareFunc(a.rows, b.rows, slices.Compare[[]int]))
	})
	return pt
}

// unslit leaves rows without pieces in one with what lies beside the rows.
func (p *problem) unslit(g *group, s *segment) {
	sl := g.slits[s.slit]
	var n [2]int // rows with pieces, of either width
	var rows [][]int
	for k, parts := range s.rows {
		if len(parts) == 0 {
			continue
		}
		rows = append(rows, parts)
		if k < sl.n {
			n[0]++
		} else {
			n[1]++
		}
	}
	if len(rows) == len(s.rows) {
		return
	}
	to := slit{i: sl.i, n: n[0], j: sl.j, m: n[1]}
	switch {
	case n[0] == 0:
		to = slit{i: sl.j, n: n[1]}
	case n[1] == 0:
		to.j = 0
	}
	s.rows = rows
	s.slit = slices.IndexFunc(g.slits, func(o slit) bool { return o.i == to.i && o.n == to.n && o.j == to.j && o.m == to.m })
}

// joined makes one segment of neighbours that are slit alike, where that wastes
// no more and takes no more cuts: one long slit for several short ones.
func (p *problem) joined(src *source, pt pattern, t tally) (pattern, tally) {
	g := &p.groups[src.lies[pt.lie].group]
	for k := 0; k+1 < len(pt.segments); {
		a, b := pt.segments[k], pt.segments[k+1]
		if a.slit != b.slit || g.slits[a.slit].whole() {
			k++
			continue
		}
		one := segment{slit: a.slit, length: a.length + b.length}
		for r := range a.rows {
			one.rows = append(one.rows, slices.Concat(a.rows[r], b.rows[r]))
		}
		other := pattern{lie: pt.lie, segments: slices.Concat(pt.segments[:k], []segment{one}, pt.segments[k+2:])}
		if to := p.measure(src, other); to.waste <= t.waste && to.cuts <= t.cuts {
			pt, t = other, to
		} else {
			k++
		}
	}
	return pt, t
}

// neat shortens a tidy pattern and joins its segments.
func (p *problem) neat(src *source, pt pattern) (pattern, tally) {
	pt, t := p.shorten(src, pt, p.measure(src, pt))
	return p.joined(src, pt, t)
}

// shorten lets the last segment end with its fullest row where that wastes no
// more: what is left is then of the cloth's own width.
func (p *problem) shorten(src *source, pt pattern, t tally) (pattern, tally) {
	n := len(pt.segments) - 1
	if n < 0 {
		return pt, t
	}
	g := &p.groups[src.lies[pt.lie].group]
	reach, _ := p.used(g, pt.segments[n])
	if reach == pt.segments[n].length {
		return pt, t
	}
	other := pattern{lie: pt.lie, segments: slices.Clone(pt.segments)}
	other.segments[n].length = reach
	if short := p.measure(src, other); short.waste <= t.waste {
		return other, short
	}
	return pt, t
}
