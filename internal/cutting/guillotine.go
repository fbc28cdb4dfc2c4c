package cutting

import "slices"

// guillotine cuts cloth up by cuts from edge to edge at the places x across and y
// along it.
type guillotine struct {
	out          *CutUp
	sizes        []Size
	seam         tick
	parts        []part
	x, y         []tick
	nextX, nextY [][]int32 // what cutting the k-th place off the i-th leaves
}

// upkeep holds the best way of cutting cloth of x[i] × y[j], at i*len(y)+j, for
// some weights of the sizes.
type upkeep struct {
	worth  []float64
	effort []effort
	cut    []step
	counts [][]int // as guillotine.none; nil until asked for
}

// effort counts cuts as they are made at a table, by their direction, with what
// laying pieces side by side counts for.
type effort struct{ along, across, laying float64 }

func (e effort) sum() float64 { return e.along + e.across + e.laying }

func (e effort) plus(o effort) effort {
	return effort{e.along + o.along, e.across + o.across, e.laying + o.laying}
}

// lineUp is what laying one more piece beside another before cutting both counts
// for, in cuts.
const lineUp = 1.0 / 16

// repeated returns the effort of taking n pieces alike off cloth by that many cuts and
// cutting each up: the pieces lie side by side, so that a cut from edge to edge
// of all of them is one cut, and cuts the other way are made in each.
func (e effort) repeated(way kind, n, cuts int32) effort {
	if e.sum() > 0 {
		e.laying = float64(float64(n)*e.laying) + float64(lineUp*float64(n-1))
	}
	if way == along {
		e.along = float64(float64(n)*e.along) + float64(cuts)
	} else {
		e.across = float64(float64(n)*e.across) + float64(cuts)
	}
	return e
}

// step is the first thing done with some cloth: n equal pieces are cut off, as wide or
// as long as the k-th place; of kind piece, the cloth is the k-th part as it is.
type step struct {
	kind kind
	k, n int32
}

type kind uint8

const (
	nothing kind = iota // all is waste
	piece
	along
	across
)

// fit returns a part as cloth of x[i] × y[j] gives it: a strip, which has no length of its
// own, is as long as the cloth. ok is false where it does not fit.
func (g *guillotine) fit(p part, i, j int) (_ part, ok bool) {
	const least = stripLength * ticksPerInch
	switch {
	case p.across == 0:
		p.across = max(g.x[i], least)
	case p.along == 0:
		p.along = max(g.y[j], least)
	}
	return p, p.across <= g.x[i] && p.along <= g.y[j]
}

// finished returns the area of a piece once it is sewn, square inches.
func (g *guillotine) finished(w, l tick) float64 {
	return in2(max(0, w-2*g.seam), max(0, l-2*g.seam))
}

// none returns counts of no pieces: first the number of pieces by size, then, by size
// again, the length of all strips of it together, in ticks.
func (g *guillotine) none() []int { return make([]int, 2*len(g.sizes)) }

// count adds a piece of a size to counts; long is its length.
func (g *guillotine) count(counts []int, size int, long tick) {
	counts[size]++
	if g.sizes[size].L == 0 {
		counts[len(g.sizes)+size] += int(long)
	}
}

// alike is how far apart, in square inches, two worths that are equal may come out:
// far less than any two sizes differ by, far more than the rounding of their sums.
const alike = 1e-6

// below returns the index of the last place that is at most at[i]−at[k].
func below(at []tick, i, k int) int {
	j, found := slices.BinarySearch(at, at[i]-at[k])
	if !found {
		j--
	}
	return j
}

func table(at []tick) [][]int32 {
	out := make([][]int32, len(at))
	for i := range at {
		for k := 0; k <= i; k++ {
			out[i] = append(out[i], int32(below(at, i, k)))
		}
	}
	return out
}

// solve finds the best way for every size of cloth: it is worth its best part,
// or pieces cut off it alike and what is left.
func (g *guillotine) solve(weights []float64) *upkeep {
	n := len(g.y)
	t := &upkeep{
		worth: make([]float64, len(g.x)*n), effort: make([]effort, len(g.x)*n),
		cut: make([]step, len(g.x)*n), counts: make([][]int, len(g.x)*n),
	}
	for i := range g.x {
		for j := range g.y {
			at := i*n + j
			try := func(worth float64, effort effort, s step) {
				if worth > t.worth[at]+alike || worth > t.worth[at]-alike && effort.sum() < t.effort[at].sum()-alike {
					t.worth[at], t.effort[at], t.cut[at] = worth, effort, s
				}
			}
			for k, p := range g.parts {
				p, ok := g.fit(p, i, j)
				if !ok {
					continue
				}
				var trims effort
				if p.across < g.x[i] {
					trims.along++
				}
				if p.along < g.y[j] {
					trims.across++
				}
				try(float64(weights[p.want]*g.finished(p.across, p.along)), trims, step{piece, int32(k), 1})
			}
			run := func(way kind, places []tick, next [][]int32, i int, cell func(int32) int) {
				for k := int32(1); int(k) < i && 2*places[k] <= places[i]; k++ {
					off := cell(k)
					if t.worth[off] == 0 {
						continue
					}
					rest, worth := int32(i), 0.0
					for times := int32(1); k <= rest; times++ {
						cuts := times
						if places[rest] == places[k] {
							cuts--
						}
						rest = next[rest][k]
						worth += t.worth[off]
						try(worth+t.worth[cell(rest)], t.effort[off].repeated(way, times, cuts).plus(t.effort[cell(rest)]), step{way, k, times})
					}
				}
			}
			rip := func() { run(along, g.x, g.nextX, i, func(k int32) int { return int(k)*n + j }) }
			chop := func() { run(across, g.y, g.nextY, j, func(k int32) int { return i*n + int(k) }) }
			if g.y[j] >= g.x[i] { // the long way first
				rip()
				chop()
			} else {
				chop()
				rip()
			}
		}
	}
	return t
}

// made returns how many of each size the best way makes of x[i] × y[j].
func (g *guillotine) made(t *upkeep, i, j int) []int {
	at := i*len(g.y) + j
	if t.counts[at] != nil {
		return t.counts[at]
	}
	out := g.none()
	s := t.cut[at]
	add := func(times int, counts []int) {
		for k, n := range counts {
			out[k] += times * n
		}
	}
	switch s.kind {
	case piece:
		p, _ := g.fit(g.parts[s.k], i, j)
		long := p.along
		if p.turned {
			long = p.across
		}
		g.count(out, p.want, long)
	case along, across:
		off, rest := g.halves(s, i, j)
		add(int(s.n), g.made(t, off[0], off[1]))
		add(1, g.made(t, rest[0], rest[1]))
	}
	t.counts[at] = out
	return out
}

// effort returns the effort of the best way to cut cloth of x[i] × y[j].
func (g *guillotine) effort(t *upkeep, i, j int) float64 { return t.effort[i*len(g.y)+j].sum() }

// halves returns the size, as indices of places, of each piece that a step cuts off cloth
// of x[i] × y[j], and of what is left once all n are off.
func (g *guillotine) halves(s step, i, j int) (off, rest [2]int) {
	off, rest = [2]int{i, j}, [2]int{i, j}
	way, next := 0, g.nextX
	if s.kind == across {
		way, next = 1, g.nextY
	}
	off[way] = int(s.k)
	for range s.n {
		rest[way] = int(next[rest[way]][s.k])
	}
	return off, rest
}

// worth returns what counted pieces are worth together: square inches as finished, times
// their weights.
func (g *guillotine) worth(counts []int) float64 {
	v := 0.0
	for k, z := range g.sizes {
		n := counts[k]
		if n == 0 {
			continue
		}
		weight := z.Weight * float64(n)
		if z.capped() && n > z.Lack {
			weight = z.Weight*float64(z.Lack) + float64(n-z.Lack)
		}
		long := ticks(z.L)
		if z.L == 0 { // strips of several lengths: the mean
			long = tick(counts[len(g.sizes)+k] / n)
		}
		v += float64(weight * g.finished(ticks(z.W), long))
	}
	return v
}

// way is how cloth of x[i] × y[j] is cut: as the best of t, or parted first.
type way struct {
	i, j  int
	t     *upkeep
	first step
	parts []*way // none, or what is cut off and what is left
}

// partings is the most times that cloth is parted in two so that one part is cut at full
// weights and the other with a weight of 1 for sizes of which there is enough.
const partings = 4

// best returns the best way for the whole cloth.
func (g *guillotine) best() *way {
	weights := make([]float64, len(g.sizes))
	for k, z := range g.sizes {
		weights[k] = z.Weight
	}
	root := &way{i: len(g.x) - 1, j: len(g.y) - 1}
	var tables []*upkeep
	for enough := true; enough; {
		t := g.solve(weights)
		tables = append(tables, t)
		enough = false
		for k, n := range g.made(t, root.i, root.j)[:len(g.sizes)] {
			if g.sizes[k].capped() && n > g.sizes[k].Lack && weights[k] > 1 {
				weights[k], enough = 1, true
			}
		}
	}
	root.t = tables[0]
	for _, t := range tables[1:] {
		more := g.worth(g.made(t, root.i, root.j)) - g.worth(g.made(root.t, root.i, root.j))
		if more > alike || more > -alike && g.effort(t, root.i, root.j) < g.effort(root.t, root.i, root.j)-alike {
			root.t = t
		}
	}
	if len(tables) > 1 {
		leaves := []*way{root}
		for range partings {
			more := g.part(leaves, tables)
			if more == nil {
				break
			}
			leaves = more
		}
	}
	return root
}

// part parts one of the leaves, each half cut by one of the tables, where that
// brings the most, or as much by fewer cuts; nil where nothing is better.
func (g *guillotine) part(leaves []*way, tables []*upkeep) []*way {
	total := g.none()
	for _, w := range leaves {
		for k, n := range g.made(w.t, w.i, w.j) {
			total[k] += n
		}
	}
	most, least := g.worth(total), 0.0 // effort more than now
	which, best := -1, way{}
	counts := make([]int, len(total))
	for n, w := range leaves {
		own := g.made(w.t, w.i, w.j)
		for _, kind := range []kind{along, across} {
			end := w.i
			if kind == across {
				end = w.j
			}
			for k := 1; k < end; k++ {
				s := step{kind, int32(k), 1}
				off, rest := g.halves(s, w.i, w.j)
				for _, a := range tables {
					for _, b := range tables {
						if a == b {
							continue
						}
						one, two := g.made(a, off[0], off[1]), g.made(b, rest[0], rest[1])
						for i := range counts {
							counts[i] = total[i] - own[i] + one[i] + two[i]
						}
						v := g.worth(counts)
						more := 1 + g.effort(a, off[0], off[1]) + g.effort(b, rest[0], rest[1]) - g.effort(w.t, w.i, w.j)
						if v > most+alike || v > most-alike && more < least-alike {
							most, least, which = v, more, n
							best = way{w.i, w.j, nil, s, []*way{{i: off[0], j: off[1], t: a}, {i: rest[0], j: rest[1], t: b}}}
						}
					}
				}
			}
		}
	}
	if which < 0 {
		return nil
	}
	*leaves[which] = best
	return slices.Concat(leaves[:which], best.parts, leaves[which+1:])
}

// write adds the pieces, cuts and waste of cloth w × l at (x, y) to the answer. v says how
// cloth of its size, rounded down to places, is cut.
func (g *guillotine) write(v *way, x, y, w, l tick) {
	if w <= 0 || l <= 0 {
		return
	}
	of := rect(x, y, w, l)
	slice := func(along bool, at tick) {
		g.out.Slices = append(g.out.Slices, Slice{Of: of, Along: along, At: at.inches()})
	}
	s := v.first
	if v.parts == nil {
		s = v.t.cut[v.i*len(g.y)+v.j]
	}
	switch s.kind {
	case nothing:
		g.out.Waste = append(g.out.Waste, of)
	case piece:
		p, _ := g.fit(g.parts[s.k], v.i, v.j)
		if g.parts[s.k].across == 0 { // all there is, a little more than its place
			p.across = w
		}
		if g.parts[s.k].along == 0 {
			p.along = l
		}
		if p.across < w {
			slice(true, x+p.across)
			g.out.Waste = append(g.out.Waste, rect(x+p.across, y, w-p.across, l))
		}
		if p.along < l {
			of.W = p.across.inches()
			slice(false, y+p.along)
			g.out.Waste = append(g.out.Waste, rect(x, y+p.along, p.across, l-p.along))
		}
		g.out.Pieces = append(g.out.Pieces, Placement{Rect: rect(x, y, p.across, p.along), Want: p.want, Turned: p.turned})
	default:
		halves := v.parts
		if halves == nil {
			off, rest := g.halves(s, v.i, v.j)
			halves = []*way{{i: off[0], j: off[1], t: v.t}, {i: rest[0], j: rest[1], t: v.t}}
		}
		for range s.n {
			of = rect(x, y, w, l)
			if s.kind == along {
				long := g.x[s.k]
				if long < w {
					slice(true, x+long)
				}
				g.write(halves[0], x, y, long, l)
				x, w = x+long, w-long
			} else {
				long := g.y[s.k]
				if long < l {
					slice(false, y+long)
				}
				g.write(halves[0], x, y, w, long)
				y, l = y+long, l-long
			}
		}
		g.write(halves[1], x, y, w, l)
	}
}
