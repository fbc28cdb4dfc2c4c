package cutting

import (
	"cmp"
	"slices"
)

// node is a piece, or nodes laid end to end in a line: pieces in a row, rows in a
// band, bands in a cloth. Parts and waste are of its own cloth alone, so what a
// line leaves at its end is counted in.
type node struct {
	size tick // along the line that it lies in
	part part // of a piece
	kids []*node
	tally
	worth int64
}

// The levels of a line.
const (
	aPiece = iota - 1
	aRow
	aBand
	aCloth
)

// pricer finds the best way of filling cloth of one sig at prices of the pieces,
// with no more of each want than is left: for each length of a line that can be
// filled it knows one way, the best so far.
type pricer struct {
	p      *problem
	sig    *sig
	prices []int64        // by want
	free   map[line]*node // the best while nothing runs short
	effort *int           // steps taken so far
}

// line fills a line of a length, on cloth that is thick the other way; nil where
// nothing fits.
func (f *pricer) line(level int, room, thick tick, left []int) *node {
	at := line{level, room, thick}
	best, ok := f.free[at]
	if !ok {
		best = f.lineOf(at, f.p.demand)
		f.free[at] = best
	}
	if best == nil || within(best.counts, left) {
		return best
	}
	return f.lineOf(at, left)
}

func (f *pricer) lineOf(of line, left []int) *node {
	level, room, thick := of.level, of.room, of.thick
	if level == aPiece {
		return f.piece(room, thick, left)
	}
	var items []*node
	for _, side := range f.sig.sides {
		if side <= room && f.sig.starts(level, side, thick, left) {
			if n := f.item(level, side, thick, left); n != nil {
				items = append(items, n)
			}
		}
	}
	if items == nil {
		return nil
	}
	unit := max(f.sig.unit, room/mostWays)
	ways := make([]reached, room/unit+1)
	*f.effort += len(ways) * len(items)
	ways[0] = reached{left: left, from: -1}
	best, bestAt := reached{}, -1
	for at := range ways {
		w := ways[at]
		if w.left == nil {
			continue
		}
		end := w
		if rest := room - w.used; rest > 0 {
			end.parts++
			end.waste += f.p.lost(rest, thick)
		}
		if w.kid != nil && (bestAt < 0 || f.better(end, best)) {
			best, bestAt = end, at
		}
		for _, item := range items {
			if w.used+item.size > room {
				continue
			}
			if !within(item.counts, w.left) {
				if item = f.item(level, item.size, thick, w.left); item == nil {
					continue
				}
			}
			next := reached{used: w.used + item.size, worth: w.worth + item.worth, parts: w.parts + item.parts, waste: w.waste + item.waste, from: at, kid: item}
			cell := max(at+1, int(next.used/unit)) // on, though a piece be less than a unit
			if cell == len(ways) {
				continue
			}
			if to := &ways[cell]; to.left == nil || f.better(next, *to) {
				next.left = less(w.left, item.counts)
				*to = next
			}
		}
	}
	n := &node{worth: best.worth, tally: tally{counts: less(left, best.left), parts: best.parts, waste: best.waste}}
	for at := bestAt; at > 0; at = ways[at].from {
		n.kids = append(n.kids, ways[at].kid)
		n.pieces += ways[at].kid.pieces
	}
	return n
}

// starts says whether a line that thick may hold something of a size along it.
func (g *sig) starts(level int, size, thick tick, left []int) bool {
	for _, it := range g.parts {
		along, across := it.along, it.across
		if level == aBand {
			along, across = across, along
		}
		if along == size && (across == thick || across < thick && level > aRow) && left[it.want] > 0 {
			return true
		}
	}
	return false
}

// mostWays is the most lengths of one line that are told apart.
const mostWays = 400

// reached is how a line is filled up to a length: the last node laid and where it
// was reached from.
type reached struct {
	used  tick
	worth int64
	parts int
	waste area
	left  []int // of the wants
	from  int
	kid   *node
}

func (f *pricer) better(a, b reached) bool {
	if a.worth != b.worth {
		return a.worth > b.worth
	}
	return f.p.cheaper(tally{parts: a.parts, waste: a.waste}, tally{parts: b.parts, waste: b.waste})
}

func (f *pricer) item(level int, side, thick tick, left []int) *node {
	n := f.line(level-1, thick, side, left)
	if n != nil {
		n.size = side
	}
	return n
}

// piece is the dearest piece of a size.
func (f *pricer) piece(across, along tick, left []int) *node {
	best := -1
	for k, it := range f.sig.parts {
		if it.across == across && it.along == along && left[it.want] > 0 && f.prices[it.want] > 0 &&
			(best < 0 || f.prices[it.want] > f.prices[f.sig.parts[best].want]) {
			best = k
		}
	}
	if best < 0 {
		return nil
	}
	return f.p.leaf(f.sig.parts[best], f.prices)
}

func (p *problem) leaf(it part, prices []int64) *node {
	n := &node{part: it, tally: tally{counts: make([]int, len(p.wants)), pieces: 1, parts: 1}}
	n.counts[it.want] = 1
	if prices != nil {
		n.worth = prices[it.want]
	}
	return n
}

func within(counts, most []int) bool {
	for i, n := range counts {
		if n > most[i] {
			return false
		}
	}
	return true
}

func less(a, b []int) []int {
	out := make([]int, len(a))
	for i := range a {
		out[i] = a[i] - b[i]
	}
	return out
}

// lister finds every set of pieces that cloth of one sig can be cut into, and for
// each the best way, as long as that takes no more steps than budget.
type lister struct {
	p      *problem
	sig    *sig
	budget *int
	known  map[line][]*node
}

type line struct {
	level       int
	room, thick tick
}

// lines is as pricer.line, for every set of pieces.
func (l *lister) lines(at line) []*node {
	if out, ok := l.known[at]; ok {
		return out
	}
	var out []*node
	if at.level == aPiece {
		for _, it := range l.sig.parts {
			if it.across == at.room && it.along == at.thick {
				out = append(out, l.p.leaf(it, nil))
			}
		}
	} else {
		out = l.list(at)
	}
	l.known[at] = out
	return out
}

func (l *lister) list(at line) []*node {
	type full struct {
		node
		key int
	}
	var items []full
	for _, side := range l.sig.sides {
		if side <= at.room {
			for _, n := range l.lines(line{at.level - 1, at.thick, side}) {
				one := *n
				one.size = side
				items = append(items, full{one, l.p.stride(n.counts)})
			}
		}
	}
	type state struct {
		full
		from *state
		kid  *node
	}
	stages := map[tick]map[int]*state{0: {0: {full: full{node: node{tally: tally{counts: make([]int, len(l.p.wants))}}}}}}
	best := map[int]*state{}
	var order []int // keys of best, as found
	for ends := []tick{0}; len(ends) > 0; ends = ends[1:] {
		used := ends[0]
		states := stages[used]
		for _, key := range sortedKeys(states) {
			s := states[key]
			if s.kid != nil {
				end := *s
				if rest := at.room - used; rest > 0 {
					end.parts++
					end.waste += l.p.lost(rest, at.thick)
				}
				old, ok := best[key]
				if !ok {
					order = append(order, key)
				}
				if !ok || l.p.cheaper(end.tally, old.tally) {
					best[key] = &end
				}
			}
			for k := range items {
				item := &items[k]
				if used+item.size > at.room {
					continue
				}
				if *l.budget--; *l.budget < 0 {
					return nil
				}
				if !fitsIn(s.counts, item.counts, l.p.demand) {
					continue
				}
				t := tally{parts: s.parts + item.parts, waste: s.waste + item.waste}
				end := used + item.size
				if stages[end] == nil {
					stages[end] = map[int]*state{}
					i, _ := slices.BinarySearch(ends, end)
					ends = slices.Insert(ends, i, end)
				}
				old, ok := stages[end][key+item.key]
				if ok && !l.p.cheaper(t, old.tally) {
					continue
				}
				t.counts = make([]int, len(s.counts))
				for i := range t.counts {
					t.counts[i] = s.counts[i] + item.counts[i]
				}
				stages[end][key+item.key] = &state{full: full{node: node{tally: t}, key: key + item.key}, from: s, kid: &item.node}
			}
		}
	}
	out := make([]*node, len(order))
	for k, key := range order {
		n := best[key].node
		for s := best[key]; s.kid != nil; s = s.from {
			n.kids = append(n.kids, s.kid)
			n.pieces += s.kid.pieces
		}
		out[k] = &n
	}
	return out
}

func sortedKeys[V any](m map[int]V) []int {
	keys := make([]int, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, cmp.Compare)
	return keys
}

// fitsIn says whether a and b together are no more than most.
func fitsIn(a, b, most []int) bool {
	for i := range a {
		if a[i]+b[i] > most[i] {
			return false
		}
	}
	return true
}

// stride is counts of each want as one number, in mixed radix of the demand.
func (p *problem) stride(counts []int) int {
	n, step := 0, 1
	for i, c := range counts {
		n += c * step
		step *= p.demand[i] + 1
	}
	return n
}
