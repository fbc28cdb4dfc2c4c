package cutting

import (
	"cmp"
	"slices"
)

// node is a piece, or nodes laid end to end in a line: pieces in a row, rows in a
// band, bands in a cloth. Its parts and waste count its own cloth only; what a line
// leaves at its end is among them.
type node struct {
	size tick // along the line that it lies in: how thick its own is
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

// filler finds ways of filling cloth of one sig: at prices of the pieces the one
// best way, with no more of each want than is left; without prices every set of
// pieces that it can be cut into, and for each the best way.
type filler struct {
	p      *problem
	sig    *sig
	prices []int64          // by want; nil without
	known  map[line][]*node // found while nothing ran short
	effort *int             // steps taken so far
}

// line is a line to be filled for the length of room, on cloth that is thick the
// other way.
type line struct {
	level       int
	room, thick tick
}

// The most lengths of one line that are told apart: at prices lengths that are
// nearer count as one; without prices a line of more is not filled.
const (
	mostWays    = 400
	mostLengths = 10_000
)

// lines returns the ways of filling a line.
func (f *filler) lines(of line, left []int) []*node {
	known, ok := f.known[of]
	if !ok {
		known = f.fill(of, f.p.demand)
		f.known[of] = known
	}
	if f.prices == nil || known == nil || within(known[0].counts, left) {
		return known
	}
	return f.fill(of, left)
}

// reached is how a line is filled up to a length: the last node laid and what it
// was laid after.
type reached struct {
	used  tick
	worth int64
	tally
	left  []int // of the wants
	key   int   // of the set of pieces, where sets are told apart
	after *reached
	kid   *node
}

// fill goes along a line from its beginning, one node more at a time, and keeps the best
// way of reaching each length.
func (f *filler) fill(of line, left []int) []*node {
	if of.level == aPiece {
		return f.pieces(of.room, of.thick, left)
	}
	var items []*node
	for _, side := range f.sig.sides {
		if side <= of.room && (f.prices == nil || f.sig.starts(of, side, left)) {
			items = append(items, f.lines(line{of.level - 1, of.thick, side}, left)...)
		}
	}
	if items == nil {
		return nil
	}
	unit := f.sig.unit
	if f.prices != nil {
		unit = max(unit, finest, of.room/mostWays)
	} else if of.room/unit >= mostLengths {
		*f.effort += exactList
	}
	if f.prices == nil && *f.effort >= exactList {
		return nil
	}
	cells, room := make([][]*reached, of.room/unit+1), make([]*reached, of.room/unit+1)
	for at := range cells {
		cells[at] = room[at : at : at+1] // with prices only one way is kept for a length
	}
	cells[0] = append(cells[0], &reached{left: left})
	var ends []*reached
	for at, cell := range cells {
		if f.prices == nil && *f.effort >= exactList {
			return nil
		}
		for _, w := range cell {
			if w.kid != nil {
				end := *w
				if rest := of.room - w.used; rest > 0 {
					end.parts++
					end.waste += lost(rest, of.thick)
				}
				f.keep(&ends, end)
			}
			*f.effort += len(items)
			for _, item := range items {
				if w.used+item.size > of.room {
					continue
				}
				if !within(item.counts, w.left) {
					if f.prices == nil {
						continue
					}
					fewer := f.lines(line{of.level - 1, of.thick, item.size}, w.left)
					if fewer == nil {
						continue
					}
					item = fewer[0]
				}
				next := reached{used: w.used + item.size, worth: w.worth + item.worth, after: w, kid: item}
				next.parts, next.waste = w.parts+item.parts, w.waste+item.waste
				if f.prices == nil {
					next.key = w.key + f.p.stride(item.counts)
				}
				// on, though a piece be less than a unit
				if to := max(at+1, int(next.used/unit)); to < len(cells) {
					f.keep(&cells[to], next)
				}
			}
		}
	}
	out := make([]*node, len(ends))
	for k, end := range ends {
		n := &node{size: of.thick, worth: end.worth, tally: end.tally}
		n.counts = less(left, end.left)
		for w := end; w.kid != nil; w = w.after {
			n.kids = append(n.kids, w.kid)
			n.pieces += w.kid.pieces
		}
		out[k] = n
	}
	return out
}

// keep puts what was reached among others, by key; of two of a key the better stays.
func (f *filler) keep(among *[]*reached, next reached) {
	i, found := slices.BinarySearchFunc(*among, next.key, func(r *reached, key int) int { return cmp.Compare(r.key, key) })
	if found && !f.better(next, *(*among)[i]) {
		return
	}
	kept := next
	if kept.left == nil {
		kept.left = less(kept.after.left, kept.kid.counts)
	}
	if found {
		(*among)[i] = &kept
	} else {
		*among = slices.Insert(*among, i, &kept)
	}
}

func (f *filler) better(a, b reached) bool {
	if a.worth != b.worth {
		return a.worth > b.worth
	}
	return f.p.cheaper(a.tally, b.tally)
}

// starts reports whether a line may hold something of a size along it.
func (g *sig) starts(of line, size tick, left []int) bool {
	for _, it := range g.parts {
		along, across := it.along, it.across
		if of.level == aBand {
			along, across = across, along
		}
		if along == size && (across == of.thick || across < of.thick && of.level > aRow) && left[it.want] > 0 {
			return true
		}
	}
	return false
}

// pieces returns the pieces of a size; where there are prices, only the dearest.
func (f *filler) pieces(across, along tick, left []int) []*node {
	var out []*node
	for _, it := range f.sig.parts {
		if it.across != across || it.along != along || left[it.want] == 0 {
			continue
		}
		n := &node{size: along, part: it, tally: tally{counts: make([]int, len(left)), pieces: 1, parts: 1}}
		n.counts[it.want] = 1
		if f.prices != nil {
			if n.worth = f.prices[it.want]; n.worth <= 0 || out != nil && n.worth <= out[0].worth {
				continue
			}
			out = nil
		}
		out = append(out, n)
	}
	return out
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
	out := slices.Clone(a)
	for i, n := range b {
		out[i] -= n
	}
	return out
}

// stride returns counts of each want as one number, in mixed radix of the demand.
func (p *problem) stride(counts []int) int {
	n, step := 0, 1
	for i, c := range counts {
		n += c * step
		step *= p.demand[i] + 1
	}
	return n
}
