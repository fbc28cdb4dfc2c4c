package cutting

import (
	"math"
	"slices"
)

// tables hold, for prices, the best way of cutting every length of every group:
// dynamic programming over the length along the cloth. Values are square ticks:
// the prices of the pieces cut, less the cloth that is neither in a piece nor
// kept. All slices are indexed by a length in grid steps. Products are rounded
// before they are added, here and wherever prices are, so that a plan is the
// same on every processor.
type tables struct {
	p      *problem
	prices []float64
	knife  float64      // what a cut counts for, square ticks
	rows   [][]rowTable // by sig and row
	groups []groupTable
	filled bool
}

// rowTable is of one row: best with parts alone, which was laid last, and best
// when what is left at its end may be kept.
type rowTable struct {
	filled []float64
	last   []int16 // part laid last; −1: one step left empty
	best   []float64
	used   []int32 // the length that best fills before its remnant
}

// groupTable is of cloth of one width: best as one segment and by which slit,
// best as any segments, and the length best used when all of it is spent
// (spend) or the rest is kept (save).
type groupTable struct {
	one     []float64
	slit    []int32
	any     []float64
	segment []int16 // −1: one segment; else index into the sig's steps of the last one
	spend   []int32
	save    []int32
	counts  [][]int // of the best pattern of a length, by want; nil until asked for
}

func newTables(p *problem) *tables {
	t := &tables{p: p, prices: make([]float64, len(p.wants))}
	longest := make([]int, len(p.sigs))
	for i := range p.groups {
		g := &p.groups[i]
		longest[g.sig] = max(longest[g.sig], g.longest)
		n := g.longest + 1
		t.groups = append(t.groups, groupTable{
			one: make([]float64, n), slit: make([]int32, n), any: make([]float64, n),
			segment: make([]int16, n), spend: make([]int32, n), save: make([]int32, n), counts: make([][]int, n),
		})
	}
	for i := range p.sigs {
		n := longest[i] + 1
		rows := make([]rowTable, len(p.sigs[i].rows))
		for k := range rows {
			rows[k] = rowTable{filled: make([]float64, n), last: make([]int16, n), best: make([]float64, n), used: make([]int32, n)}
		}
		t.rows = append(t.rows, rows)
	}
	return t
}

// solve fills the tables for prices, which are kept, and for what a cut counts
// for.
func (t *tables) solve(prices []float64, knife float64) {
	stale := make([]bool, len(t.p.sigs))
	for i, s := range t.p.sigs {
		stale[i] = !t.filled || knife != t.knife ||
			slices.ContainsFunc(s.wants, func(w int) bool { return prices[w] != t.prices[w] })
	}
	copy(t.prices, prices)
	t.knife, t.filled = knife, true
	for i := range t.p.sigs {
		if !stale[i] {
			continue
		}
		for k := range t.rows[i] {
			t.row(&t.p.sigs[i].rows[k], &t.rows[i][k])
		}
	}
	for i := range t.p.groups {
		if stale[t.p.groups[i].sig] {
			t.group(&t.p.groups[i], &t.groups[i])
			clear(t.groups[i].counts)
		}
	}
}

func (t *tables) row(r *row, to *rowTable) {
	step := float64(r.across) * float64(t.p.grid)
	keep := int((t.p.keep + t.p.grid - 1) / t.p.grid)
	wide := t.p.kept(r.across, t.p.keep)
	values := make([]float64, len(r.parts))
	for i, it := range r.parts {
		values[i] = t.prices[it.want] + float64(float64(it.steps)*step) - t.knife
	}
	from := 0 // the length that is best followed by a remnant
	for u := range to.filled {
		to.filled[u], to.last[u] = 0, -1
		if u > 0 {
			to.filled[u] = to.filled[u-1]
		}
		for i, it := range r.parts {
			if it.steps <= u {
				if v := to.filled[u-it.steps] + values[i]; v > to.filled[u] {
					to.filled[u], to.last[u] = v, int16(i)
				}
			}
		}
		to.best[u], to.used[u] = to.filled[u], int32(u)
		if to.last[u] >= 0 {
			to.best[u] += t.knife // the last piece is what is left
		}
		if at := u - keep; wide && at >= 0 {
			if to.filled[at]-float64(float64(at)*step) > to.filled[from]-float64(float64(from)*step) {
				from = at
			}
			if v := to.filled[from] + float64(float64(u-from)*step); v > to.best[u] {
				to.best[u], to.used[u] = v, int32(from)
			}
		}
	}
}

// slitWorth is what a length of a group brings, slit in one way: its rows, and
// what is kept of the cloth beside them.
func (t *tables) slitWorth(g *group, s slit, u int) float64 {
	rows := t.rows[g.sig]
	v := float64(float64(s.n)*rows[s.i].best[u]) - float64(float64(s.rows())*t.knife)
	if s.m > 0 {
		v += float64(float64(s.m) * rows[s.j].best[u])
	}
	if long := tick(u) * t.p.grid; t.p.kept(s.left, long) {
		v += float64(float64(s.left) * float64(long))
	}
	return v
}

func (t *tables) group(g *group, to *groupTable) {
	p := t.p
	steps := p.sigs[g.sig].steps
	width := float64(g.across) * float64(p.grid)
	for u := range to.one {
		to.one[u] = math.Inf(-1)
	}
	for k, s := range g.slits {
		first, second := t.rows[g.sig][s.i].best, t.rows[g.sig][s.j].best
		n, m, all := float64(s.n), float64(s.m), float64(float64(s.rows())*t.knife)
		beside, keep := float64(float64(s.left)*float64(p.grid)), len(to.one)
		if p.kept(s.left, p.keep) {
			keep = int((p.keep + p.grid - 1) / p.grid)
		}
		for u := range to.one { // as slitWorth, which is too slow here
			v := float64(n*first[u]) - all
			if s.m > 0 {
				v += float64(m * second[u])
			}
			if u >= keep {
				v += float64(beside * float64(u))
			}
			if v > to.one[u] {
				to.one[u], to.slit[u] = v, int32(k)
			}
		}
	}
	for u := range to.any {
		to.any[u], to.segment[u] = to.one[u], -1
		if u == 0 {
			to.any[u] = 0
		}
		for k, l := range steps {
			if l < u {
				if v := to.any[u-l] + to.one[l]; v > to.any[u]+1 { // a square tick against rounding
					to.any[u], to.segment[u] = v, int16(k)
				}
			}
		}
		if u > 0 {
			to.spend[u], to.save[u] = to.spend[u-1], to.save[u-1]
			if to.any[u] > to.any[to.spend[u]] {
				to.spend[u] = int32(u)
			}
			if to.any[u]-float64(float64(u)*width) > to.any[to.save[u]]-float64(float64(to.save[u])*width) {
				to.save[u] = int32(u)
			}
		}
	}
}

// best gives the greatest worth of a source at the prices, the way it lies and
// the length cut up; 0 and −1 where leaving it whole is as good. A square cut
// down counts as wasted.
func (t *tables) best(src *source) (worth float64, way, length int) {
	way = -1
	for k, l := range src.lies {
		to := &t.groups[l.group]
		if len(t.p.groups[l.group].slits) == 0 {
			continue
		}
		trim := float64(float64(src.trim) * float64(l.across))
		if src.square {
			trim += float64(float64(l.across) * float64(l.along))
		}
		u := int(to.spend[l.along/t.p.grid])
		v := to.any[u] - float64(float64(l.across)*float64(l.along)) - trim
		if t.p.kept(l.across, t.p.keep) && l.along >= t.p.keep {
			s := int(to.save[(l.along-t.p.keep)/t.p.grid])
			if w := to.any[s] - float64(float64(s)*float64(l.across)*float64(t.p.grid)) - trim; s > 0 && w > v {
				u, v = s, w
			}
		}
		if v > worth {
			worth, way, length = v, k, u
		}
	}
	return worth, way, length
}

// pattern reads the best pattern of a source out of the tables.
func (t *tables) pattern(src *source, way, length int) pattern {
	out := pattern{lie: way}
	g := &t.p.groups[src.lies[way].group]
	to := &t.groups[src.lies[way].group]
	for length > 0 {
		l := length
		if k := to.segment[length]; k >= 0 {
			l = t.p.sigs[g.sig].steps[k]
		}
		out.segments = append(out.segments, t.segment(g, int(to.slit[l]), l))
		length -= l
	}
	return t.p.tidy(g, out)
}

func (t *tables) segment(g *group, slit, length int) segment {
	s := segment{slit: slit, length: length}
	sl := g.slits[slit]
	for k := range sl.rows() {
		i := sl.row(k)
		to := &t.rows[g.sig][i]
		var parts []int
		for u := int(to.used[length]); u > 0; {
			if to.last[u] < 0 {
				u--
				continue
			}
			parts = append(parts, int(to.last[u]))
			u -= t.p.sigs[g.sig].rows[i].parts[to.last[u]].steps
		}
		s.rows = append(s.rows, parts)
	}
	return s
}

// counts gives what the best pattern of a length of a group makes of each want.
func (t *tables) counts(group, length int) []int {
	to := &t.groups[group]
	if to.counts[length] != nil {
		return to.counts[length]
	}
	g := &t.p.groups[group]
	l := length
	out := make([]int, len(t.p.wants))
	if k := to.segment[length]; k >= 0 {
		l = t.p.sigs[g.sig].steps[k]
		copy(out, t.counts(group, length-l))
	}
	sl := g.slits[to.slit[l]]
	for k := range sl.rows() {
		i := sl.row(k)
		row := &t.rows[g.sig][i]
		for u := int(row.used[l]); u > 0; {
			if row.last[u] < 0 {
				u--
				continue
			}
			it := t.p.sigs[g.sig].rows[i].parts[row.last[u]]
			out[it.want]++
			u -= it.steps
		}
	}
	to.counts[length] = out
	return out
}
