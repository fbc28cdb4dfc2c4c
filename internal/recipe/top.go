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
	Halves       int // half blocks, at the ends of shifted rows
	Sides        int // setting triangles at the sides, on point
	Corners      int // setting triangles at the corners
}

// Count is all whole blocks, plain squares too.
func (p Places) Count() int {
	n := p.PlainSquares
	for _, b := range p.Blocks {
		n += b.Count
	}
	return n
}

// Places counts what a setting holds; columns and rows as for TopSize.
func (r *Recipe) Places(columns, rows int) Places {
	p := Places{Blocks: make([]Stand, len(r.Blocks))}
	r.eachPlace(columns, rows, func(row, column int, between bool) {
		if i := r.Setting.at(row, column, between); i < 0 {
			p.PlainSquares++
		} else {
			p.Blocks[i].Count++
			p.Blocks[i].OnSide += r.Setting.turn(row, column) % 2
		}
	})
	switch r.Setting.Kind {
	case Shifted:
		p.Halves = rows / 2 * 2
	case OnPoint:
		p.Sides = 2*(columns-1) + 2*(rows-1)
		p.Corners = 4
	}
	return p
}

// eachPlace visits where blocks and plain squares stand, those between rows last.
func (r *Recipe) eachPlace(columns, rows int, visit func(row, column int, between bool)) {
	for row := range rows {
		wide := columns
		if r.Setting.Kind == Shifted && row%2 == 1 {
			wide--
		}
		for column := range wide {
			visit(row, column, false)
		}
	}
	if r.Setting.Kind == OnPoint {
		for row := range rows - 1 {
			for column := range columns - 1 {
				visit(row, column, true)
			}
		}
	}
}

// TopCuts are the pieces of a whole top without its borders: blocks, plain
// squares, setting triangles and sashing.
func (r *Recipe) TopCuts(columns, rows int, c Method) []Lot {
	p := r.Places(columns, rows)
	s := c.System
	var more pile
	piece := func(role Role, w, h float64, n int, what string, steps ...Why) {
		cw, whyW := s.Plain(w)
		ch, whyH := s.Plain(h)
		steps = append(steps, whyW)
		if w != h {
			steps = append(steps, whyH)
		}
		lot := Lot{Role: role, WidthIn: cw, LengthIn: ch, Count: n}
		if w > h {
			lot.Across = n
		}
		more.put(s, lot, what, steps...)
	}
	fill := r.Setting.Fill
	piece(fill, r.WidthIn, r.HeightIn, p.PlainSquares, "plain blocks")
	if p.Halves > 0 {
		piece(r.Blocks[0].Units[0].Roles[0], r.WidthIn/2, r.HeightIn, p.Halves, "half blocks")
	}
	if p.Corners > 0 {
		square := func(role Role, cut float64, why Why, n, each int, split Split, what string) {
			more.put(s, Lot{Role: role, WidthIn: cut, LengthIn: cut, Count: ceilDiv(n, each), Split: split}, what,
				Why{Text: fmt.Sprintf("triangles, %d a square: %s", each, dividedUp(n, each))}, why)
		}
		side, whySide := s.SideTriangle(r.WidthIn)
		square(fill, side, whySide, p.Sides, 4, Twice, "side triangles")
		corner, whyCorner := s.CornerTriangle(r.WidthIn)
		square(fill, corner, whyCorner, p.Corners, 2, Once, "corner triangles")
		if width := r.Sashing.WidthIn; width > 0 {
			sides, stones := 4*columns*rows, columns*(rows-1)+(columns-1)*rows
			piece(r.Sashing.Role, width, r.WidthIn, sides, "sashing", Why{Text: fmt.Sprintf("4 sides of %d × %d blocks = %d", columns, rows, sides)})
			piece(r.Sashing.Cornerstone, width, width, stones, "cornerstones", Why{Text: fmt.Sprintf("%d × %d + %d × %d crossings = %d", columns, rows-1, columns-1, rows, stones)})
			half, whyHalf := s.SideTriangle(width)
			square(r.Sashing.Cornerstone, half, whyHalf, 2*(columns+rows), 4, Twice, "half cornerstones, at the edges")
		}
	}
	if r.Sashing.WidthIn > 0 && r.Setting.Kind != OnPoint {
		r.sashing(&more, piece, columns, rows, c)
	}
	return AddCuts(r.Cuts(p.Blocks, c), more.cuts)
}

func (r *Recipe) sashing(more *pile, piece func(Role, float64, float64, int, string, ...Why), columns, rows int, c Method) {
	nx, ny := r.sashes(columns, rows)
	width := r.Sashing.WidthIn
	role := r.Sashing.Role
	piece(role, width, r.HeightIn, nx*rows, "sashing", Why{Text: fmt.Sprintf("%d rows × %d between blocks = %d", rows, nx, nx*rows)})
	if r.Sashing.Cornerstones {
		piece(role, r.WidthIn, width, ny*columns, "sashing", Why{Text: fmt.Sprintf("%d lines × %d blocks = %d", ny, columns, ny*columns)})
		piece(r.Sashing.Cornerstone, width, width, nx*ny, "cornerstones", Why{Text: fmt.Sprintf("%d × %d crossings = %d", nx, ny, nx*ny)})
		return
	}
	along, _ := r.TopSize(columns, rows)
	s := c.System
	long, whyLong := s.Plain(along)
	if long <= c.WOFIn || ny == 0 {
		piece(role, along, width, ny, "sashing between rows")
		return
	}
	cut, whyCut := s.Plain(width)
	n, whyJoin := s.Joined(float64(ny)*long, c.WOFIn)
	more.add(Lot{
		Role: role, WidthIn: cut, Count: n, For: []string{"sashing between rows"},
		Why: []Why{{
			Text:  fmt.Sprintf("%s %s wide, joined, for sashing between rows", cloth.Count(n, "strip"), s.Format(cut)),
			Steps: []Why{whyLong, {Text: fmt.Sprintf("%d × %s = %s", ny, s.Format(long), s.Format(float64(ny)*long))}, whyCut, whyJoin},
		}},
	})
}

// Joined is how many strips across the width of fabric reach a length when they
// are sewn end to end by straight seams; each join takes two seams.
func (s System) Joined(length, wof float64) (strips int, why Why) {
	return s.joined(length, wof, straightSeams*s.Seam, "straight join")
}

// JoinedAslant is how many strips of a cut width below half the width of fabric
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
	}
	return columns * rows
}
