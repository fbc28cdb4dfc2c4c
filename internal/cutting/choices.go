package cutting

import (
	"cmp"
	"slices"
)

// choices lists every way of using a source for at most demand that no other way
// of getting the same pieces betters, and how many patterns were looked at; more than budget
// says that the list is not whole.
func (p *problem) choices(src *source, demand []int, budget int) ([]choice, int) {
	e := enumeration{p: p, src: src, budget: budget, at: map[string]int{}}
	for _, i := range src.ready {
		if demand[i] > 0 {
			t := tally{counts: make([]int, len(p.wants)), pieces: 1, area: p.wants[i].area()}
			t.counts[i] = 1
			e.list = append(e.list, choice{want: i, tally: t})
		}
	}
	for way, l := range src.lies {
		e.way, e.g = way, &p.groups[l.group]
		e.columns = nil
		need := slices.Clone(demand)
		for _, steps := range p.sigs[e.g.sig].steps {
			if steps <= int(l.along/p.grid) {
				e.contents(steps, need, func(s segment) { e.columns = append(e.columns, s) })
			}
		}
		e.walk(int(l.along/p.grid), need)
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

// stage is cloth of which columns have been parted off, in the best way that
// leaves this much of it and of the wants.
type stage struct {
	need     []int
	segments []segment
	cost     tally
}

// walk records what the cloth can be cut into: from every stage, the longest
// cloth first, what it comes to as it is and with a last segment of any length,
// and the stages that one more column leads to.
func (e *enumeration) walk(room int, need []int) {
	type stages struct {
		list []stage
		at   map[string]int
	}
	rooms := make([]stages, room+1)
	put := func(r int, s stage) {
		if rooms[r].at == nil {
			rooms[r].at = map[string]int{}
		}
		key := countKey(s.need)
		k, seen := rooms[r].at[key]
		switch {
		case !seen:
			rooms[r].at[key] = len(rooms[r].list)
			rooms[r].list = append(rooms[r].list, s)
		case s.cost.cheaper(rooms[r].list[k].cost):
			rooms[r].list[k] = s
		}
	}
	put(room, stage{need: need})
	for r := room; r >= 0; r-- {
		for _, s := range rooms[r].list {
			e.record(s.segments)
			e.contents(r, s.need, func(last segment) {
				for _, last.length = range e.lengths(last, r) {
					e.record(append(slices.Clone(s.segments), last))
				}
			})
			for _, c := range e.columns {
				left := slices.Clone(s.need)
				if c.length > r || !e.take(c, left) {
					continue
				}
				segments := append(slices.Clone(s.segments), c)
				put(r-c.length, stage{left, segments, e.p.measure(e.src, pattern{lie: e.way, segments: segments})})
			}
			if e.spent > e.budget {
				return
			}
		}
	}
}

// cheaper compares two ways of getting the same pieces and leaving the same
// cloth.
func (t tally) cheaper(than tally) bool {
	return cmp.Or(cmp.Compare(t.waste, than.waste), t.cuts-than.cuts, t.slit-than.slit) < 0
}

func countKey(counts []int) string {
	key := make([]byte, 0, 3*len(counts))
	for _, n := range counts {
		key = append(key, byte(n), byte(n>>8), byte(n>>16))
	}
	return string(key)
}

// take takes a segment's pieces off need, and says whether there were so many; where
// there were not, need is spoilt.
func (e *enumeration) take(s segment, need []int) bool {
	for k, parts := range s.rows {
		in := e.p.sigs[e.g.sig].rows[e.g.slits[s.slit].row(k)].parts
		for _, i := range parts {
			if need[in[i].want]--; need[in[i].want] < 0 {
				return false
			}
		}
	}
	return true
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
		if e.spent > e.budget {
			return
		}
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
	key := countKey(t.counts)
	k, seen := e.at[key]
	c := choice{want: -1, pattern: pt, tally: t}
	if !seen {
		e.at[key] = len(e.list)
		e.list = append(e.list, c)
		return
	}
	if t.cheaper(e.list[k].tally) {
		e.list[k] = c
	}
}
