package recipe

import (
	"fmt"
	"math"

	"piecebag/internal/cloth"
)

// Places is how many of each thing a setting of columns × rows holds.
type Places struct {
	Blocks       []Stand // of each of Recipe.Blocks, in order
	PlainSquares int
	Halves       int     // half blocks, at the ends of shifted rows
	Sides        int     // setting triangles at the sides, on point
	Corners      int     // setting triangles at the corners
	InBorders    []Stand // as Blocks, of pieced borders
}

// Count returns all whole blocks of the setting, plain squares too.
func (p Places) Count() int {
	n := p.PlainSquares
	for _, b := range p.Blocks {
		n += b.Count
	}
	return n
}

// Stands returns how often a block stands in a top, borders counted in.
func (p Places) Stands(i int) int { return p.Blocks[i].Count + p.InBorders[i].Count }

// Places counts what a setting holds; columns and rows as for TopSize.
func (r *Recipe) Places(columns, rows int) Places {
	p := Places{Blocks: make([]Stand, len(r.Blocks)), InBorders: make([]Stand, len(r.Blocks))}
	r.field(columns, rows, func(s stand) {
		switch {
		case s.of >= 0:
			p.Blocks[s.of].Count++
			p.Blocks[s.of].OnSide += s.turn % 2
		case s.w < r.WidthIn:
			p.Halves++
		default:
			p.PlainSquares++
		}
	})
	for _, x := range r.Rounds(columns, rows) {
		x.blocks(func(s stand) {
			p.InBorders[s.of].Count++
			p.InBorders[s.of].OnSide += s.turn % 2
		})
	}
	if r.Setting.Kind == OnPoint {
		p.Sides = 2*(columns-1) + 2*(rows-1)
		p.Corners = 4
	}
	return p
}

// TopCuts returns the pieces of a whole top: blocks, plain squares, setting triangles,
// sashing, and of borders what is pieced; not their plain strips.
func (r *Recipe) TopCuts(columns, rows int, c Method) []Lot {
	p := r.Places(columns, rows)
	var more pile
	more.putLoose(loose{role: r.Setting.Fill, what: "plain blocks", w: r.WidthIn, h: r.HeightIn}, p.PlainSquares, c)
	if p.Halves > 0 {
		more.putLoose(loose{role: r.Blocks[0].Units[0].Roles[0], what: "half blocks", w: r.WidthIn / 2, h: r.HeightIn}, p.Halves, c)
	}
	for _, g := range r.between(columns, rows) {
		more.putLoose(g, len(g.at), c)
	}
	stands := p.Blocks
	for _, x := range r.Rounds(columns, rows) {
		for _, g := range x.loose() {
			more.putLoose(g, len(g.at), c)
		}
	}
	for i, s := range p.InBorders {
		stands[i].Count += s.Count
		stands[i].OnSide += s.OnSide
	}
	return AddCuts(r.Cuts(stands, c), more.cuts)
}

// Joined returns how many strips across the width of fabric reach a length when they
// are sewn end to end by straight seams; each join takes two seams.
func (s System) Joined(length, wof float64) (strips int, why Why) {
	return s.joined(length, wof, straightSeams*s.Seam, "straight join")
}

// JoinedAslant returns how many strips of a cut width below half the width of fabric
// reach a length when they are sewn end to end by seams of 45 degrees. Two ends are
// laid across each other at right angles and sewn from corner to corner of the
// square that they share. Each strip keeps half of that square, which is half its
// own width along its middle: a join takes the width of the strip, whatever the
// seam.
func (s System) JoinedAslant(length, width, wof float64) (strips int, why Why) {
	return s.joined(length, wof, width, "diagonal join")
}

func (s System) joined(length, wof, join float64, what string) (strips int, why Why) {
	strips = max(1, int(math.Ceil((length-join)/(wof-join)-slack)))
	return strips, Why{Text: fmt.Sprintf("%s × %s less %s of %s = %s, enough for %s",
		cloth.Count(strips, "strip"), s.Format(wof), cloth.Count(strips-1, what), s.Format(join),
		s.Format(float64(strips)*wof-float64(strips-1)*join), s.Format(length))}
}

// BlockCount is Places(columns, rows).Count, without the counting.
func (r *Recipe) BlockCount(columns, rows int) int {
	switch r.Setting.Kind {
	case OnPoint:
		return columns*rows + (columns-1)*(rows-1)
	case Shifted:
		return columns*rows - rows/2
	case InRows:
		n, width := 0, r.WidthIn*float64(columns)
		for i := range rows {
			n += r.rowFill(r.row(i), width).count
		}
		return n
	}
	return columns * rows
}
