package cutting

import (
	"cmp"
	"slices"
)

// choices lists every way of using a source that no other way of getting the
// same pieces betters, and how many patterns were looked at; more than budget
// says that the list is not whole.
func (p *problem) choices(src *source, budget int) ([]choice, int) {
	e := enumeration{p: p, src: src, budget: budget, at: map[string]int{}}
	for _, i := range src.ready {
		if p.demand[i] > 0 {
			t := tally{counts: make([]int, len(p.wants)), pieces: 1, area: p.wants[i].area()}
			t.counts[i] = 1
			e.list = append(e.list, choice{want: i, tally: t})
		}
	}
	for way, l := range src.lies {
		e.way, e.g = way, &p.groups[l.group]
		e.columns = nil
		need := slices.Clone(p.demand)
		for _, steps := range p.sigs[e.g.sig].steps {
			if steps <= int(l.along/p.grid) {
				e.contents(steps, need, func(s segment) { e.columns = append(e.columns, s) })
			}
		}
		e.extend(nil, 0, int(l.along/p.grid), need)
	}
	return e.list, e.spent
}

// enumeration walks through the patterns of one source.
type enumeration struct {
	p       *problem
	src     *source
	way     int
	g       *group
	columns []segment
	list    []choice
	at      map[string]int // index into list by the pieces cut
	spent   int
	budget  int
}

// extend records what the segments so far come to, with a last one of any
// length, and goes on with further columns.
func (e *enumeration) extend(segments []segment, from, room int, need []int) {
	if e.spent > e.budget {
		return
	}
	e.record(segments)
	e.contents(room, need, func(s segment) {
		for _, length := range e.lengths(s, room) {
			s.length = length
			e.record(append(slices.Clone(segments), s))
		}
	})
	for k := from; k < len(e.columns); k++ {
		c := e.columns[k]
		if c.length > room || !e.take(c, need, -1) {
			continue
		}
		e.extend(append(slices.Clone(segments), c), k, room-c.length, need)
		e.take(c, need, 1)
	}
}

// take adds a segment's pieces to need, or with sign −1 takes them off; where
// that leaves fewer than none it changes nothing and says no.
func (e *enumeration) take(s segment, need []int, sign int) bool {
	ok := true
	each := func(sign int) {
		for k, parts := range s.rows {
			in := e.p.sigs[e.g.sig].rows[e.g.slits[s.slit].row(k)].parts
			for _, i := range parts {
				need[in[i].want] += sign
				ok = ok && need[in[i].want] >= 0
			}
		}
	}
	if each(sign); !ok {
		each(-sign)
	}
	return ok
}

// lengths are those that can be best for a segment with what it holds: as short
// as it can be, as long as the cloth, and where some remnant is just kept.
func (e *enumeration) lengths(s segment, room int) []int {
	p := e.p
	keep := int((p.keep + p.grid - 1) / p.grid)
	reach, _ := p.used(e.g, s)
	l := e.src.lies[e.way]
	spare := int((l.along - p.keep) / p.grid) // the last length that leaves enough of all the cloth
	gone := int(l.along/p.grid) - room
	out := []int{reach, room, keep, spare - gone}
	for k, parts := range s.rows {
		n := keep
		for _, i := range parts {
			n += p.sigs[e.g.sig].rows[e.g.slits[s.slit].row(k)].parts[i].steps
		}
		out = append(out, n)
	}
	slices.Sort(out)
	return slices.DeleteFunc(slices.Compact(out), func(n int) bool { return n < reach || n > room })
}

// contents calls with every segment of a slit and length that holds pieces.
func (e *enumeration) contents(length int, need []int, call func(segment)) {
	for k, sl := range e.g.slits {
		e.rows(segment{slit: k, length: length}, sl, 0, slices.Clone(need), call)
	}
}

// rows fills the rows of a segment from the n-th on in every way.
func (e *enumeration) rows(s segment, sl slit, n int, need []int, call func(segment)) {
	if e.spent > e.budget {
		return
	}
	if n == sl.rows() {
		e.spent++
		if _, pieces := e.p.used(e.g, s); pieces > 0 {
			call(segment{slit: s.slit, length: s.length, rows: slices.Clone(s.rows)})
		}
		return
	}
	r := &e.p.sigs[e.g.sig].rows[sl.row(n)]
	var lay func(parts []int, from, room int)
	lay = func(parts []int, from, room int) {
		// rows of one width are alike: each holds no more than the one before
		if n > 0 && sl.row(n) == sl.row(n-1) && slices.Compare(parts, s.rows[n-1]) > 0 {
			return
		}
		next := s
		next.rows = append(slices.Clone(s.rows), slices.Clone(parts))
		e.rows(next, sl, n+1, need, call)
		for i := from; i < len(r.parts); i++ {
			it := r.parts[i]
			if it.steps > room || need[it.want] == 0 {
				continue
			}
			need[it.want]--
			lay(append(parts, i), i, room-it.steps)
			need[it.want]++
		}
	}
	lay(nil, 0, s.length)
}

// record keeps a pattern if it is the best for its pieces so far.
func (e *enumeration) record(segments []segment) {
	if len(segments) == 0 {
		return
	}
	e.spent++
	pt := pattern{lie: e.way, segments: segments}
	t := e.p.measure(e.src, pt)
	key := make([]byte, 0, 2*len(t.counts))
	for _, n := range t.counts {
		key = append(key, byte(n), byte(n>>8))
	}
	k, seen := e.at[string(key)]
	c := choice{want: -1, pattern: pt, tally: t}
	if !seen {
		e.at[string(key)] = len(e.list)
		e.list = append(e.list, c)
		return
	}
	if cmp.Or(cmp.Compare(t.waste, e.list[k].waste), cmp.Compare(t.cuts, e.list[k].cuts)) < 0 {
		e.list[k] = c
	}
}
