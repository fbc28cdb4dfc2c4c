package cutting

import (
	"cmp"
	"slices"
)

// barred is a price at which no piece is cut; finite, so that none of it is
// none of it.
const barred = -1e30

// slitsTried is how many ways of slitting are fitted, those that would bring
// the most if nothing ran out.
const slitsTried = 24

// fit finds a good pattern for a source at the prices of the tables that cuts
// no more of any want than is left of it: for the likely slits, the rows are
// filled one after another by a bounded knapsack; after pieces of the full
// width the rest is slit once more. It gives a worth of 0 and no segments where
// leaving the cloth whole is as good.
func (t *tables) fit(src *source, left []int) (best pattern, got tally, worth float64) {
	p, prices := t.p, t.prices
	for way, l := range src.lies {
		g := &p.groups[l.group]
		keep := func(segments []segment) {
			pt := p.tidy(g, pattern{lie: way, segments: segments})
			if len(pt.segments) == 0 {
				return
			}
			pt, tl := p.neat(src, pt)
			if w := tl.worth(prices); w > worth {
				best, got, worth = pt, tl, w
			}
		}
		room := int(l.along / p.grid)
		likely := t.likely(g, room)
		for _, k := range likely {
			s := g.slits[k]
			need := append([]int(nil), left...)
			seg := p.fill(g, k, room, need, prices)
			if !s.whole() {
				keep([]segment{seg})
				continue
			}
			columns, rest := p.columns(g, seg), room
			for _, c := range columns {
				rest -= c.length
			}
			keep(columns)
			for _, k2 := range likely {
				if !g.slits[k2].whole() {
					keep(append(append([]segment(nil), columns...), p.fill(g, k2, rest, append([]int(nil), need...), prices)))
				}
			}
		}
		if p.ample(l, src, left) {
			keep(t.columnwise(g, likely, room, left))
		}
	}
	return best, got, worth
}

// ample says that cloth is larger than all that is left for it to answer.
func (p *problem) ample(l lie, src *source, left []int) bool {
	var all area
	for _, i := range p.sigs[src.sig].wants {
		all += area(left[i]) * p.wants[i].area()
	}
	return all > 0 && all <= area(l.across)*area(l.along)
}

// columnwise parts off columns as long as some piece, the fullest first, until
// nothing that is left fits: it ruins as little of a large cloth as can be.
func (t *tables) columnwise(g *group, likely []int, room int, left []int) []segment {
	p := t.p
	need := slices.Clone(left)
	var out []segment
	for {
		var best segment
		most := 0.0
		for _, length := range p.sigs[g.sig].steps {
			if length > room {
				continue
			}
			for _, k := range likely {
				s := p.fill(g, k, length, slices.Clone(need), t.prices)
				if full := float64(p.areaOf(g, s)) / float64(length); full > most*(1+1e-9) {
					best, most = s, full
				}
			}
		}
		if most == 0 {
			return out
		}
		for k, parts := range best.rows {
			r := &p.sigs[g.sig].rows[g.slits[best.slit].row(k)]
			for _, i := range parts {
				need[r.parts[i].want]--
			}
		}
		out, room = append(out, best), room-best.length
	}
}

// areaOf is of the pieces of a segment.
func (p *problem) areaOf(g *group, s segment) area {
	var a area
	for k, parts := range s.rows {
		r := &p.sigs[g.sig].rows[g.slits[s.slit].row(k)]
		for _, i := range parts {
			a += r.parts[i].area()
		}
	}
	return a
}

// likely lists the slits of a group by what they would bring over room grid
// steps, best first.
func (t *tables) likely(g *group, room int) []int {
	order, value := make([]int, len(g.slits)), make([]float64, len(g.slits))
	for k, s := range g.slits {
		order[k] = k
		value[k] = t.slitWorth(g, s, room)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(value[b], value[a]) })
	return order[:min(slitsTried, len(order))]
}

// columns parts a segment of one row of the full width into its pieces.
func (p *problem) columns(g *group, s segment) []segment {
	var out []segment
	for _, i := range s.rows[0] {
		r := p.sigs[g.sig].rows[g.slits[s.slit].row(0)]
		out = append(out, segment{slit: s.slit, length: r.parts[i].steps, rows: [][]int{{i}}})
	}
	return out
}

// fill lays parts into the rows of a slit of room grid steps, taking them off
// need.
func (p *problem) fill(g *group, slit, room int, need []int, prices []float64) segment {
	s := segment{slit: slit, length: room}
	for k := range g.slits[slit].rows() {
		r := &p.sigs[g.sig].rows[g.slits[slit].row(k)]
		parts := p.bounded(r, room, need, prices)
		for _, i := range parts {
			need[r.parts[i].want]--
		}
		s.rows = append(s.rows, parts)
	}
	return s
}

// bundle is 2^k parts alike, so that a bounded knapsack takes a logarithm of
// the count in steps.
type bundle struct{ part, n int }

// bounded is the best filling of one row with at most need of each want.
func (p *problem) bounded(r *row, room int, need []int, prices []float64) []int {
	var bundles []bundle
	for i, it := range r.parts {
		most := min(need[it.want], room/max(it.steps, 1))
		for n := 1; most > 0; n *= 2 {
			n = min(n, most)
			bundles = append(bundles, bundle{i, n})
			most -= n
		}
	}
	if len(bundles) == 0 {
		return nil
	}
	step := float64(r.across) * float64(p.grid)
	best := make([]float64, room+1)
	taken := make([]bool, len(bundles)*(room+1))
	for b, it := range bundles {
		pt := r.parts[it.part]
		size := it.n * pt.steps
		v := float64(float64(it.n) * (prices[pt.want] + float64(float64(pt.steps)*step) - knife))
		for u := room; u >= size; u-- {
			if w := best[u-size] + v; w > best[u] {
				best[u], taken[b*(room+1)+u] = w, true
			}
		}
	}
	at, value := room, best[room]
	if keep := int((p.keep + p.grid - 1) / p.grid); p.kept(r.across, p.keep) {
		for u := 0; u <= room-keep; u++ {
			if v := best[u] + float64(float64(room-u)*step); v > value+1 {
				at, value = u, v
			}
		}
	}
	var parts []int
	for b := len(bundles) - 1; b >= 0; b-- {
		if taken[b*(room+1)+at] {
			for range bundles[b].n {
				parts = append(parts, bundles[b].part)
			}
			at -= bundles[b].n * r.parts[bundles[b].part].steps
		}
	}
	return parts
}

// bar gives prices with every want barred of which nothing is left.
func bar(prices []float64, left []int) []float64 {
	out := append([]float64(nil), prices...)
	for i, n := range left {
		if n == 0 {
			out[i] = barred
		}
	}
	return out
}

func sum(list []int) int {
	n := 0
	for _, v := range list {
		n += v
	}
	return n
}
