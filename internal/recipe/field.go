package recipe

import "math"

// field visits the blocks and plain squares of a setting where they stand, row by row,
// on point those between rows last.
func (r *Recipe) field(columns, rows int, visit func(stand)) {
	put := func(s stand, between bool) {
		s.of = r.Setting.at(s.row, s.column, columns, between)
		if s.of < 0 {
			s.w, s.h, s.role = r.WidthIn, r.HeightIn, r.Setting.Fill
		} else {
			s.turn = r.Setting.turn(s.row, s.column)
		}
		visit(s)
	}
	at := func(row, column int, x, y float64) { put(stand{row: row, column: column, x: x, y: y}, false) }
	switch r.Setting.Kind {
	case OnPoint:
		for row := range rows {
			for column := range columns {
				put(r.onPoint(row, column, false), false)
			}
		}
		for row := range rows - 1 {
			for column := range columns - 1 {
				put(r.onPoint(row, column, true), true)
			}
		}
	case Shifted:
		for row := range rows {
			y := float64(row) * r.HeightIn
			if row%2 == 0 {
				for column := range columns {
					at(row, column, float64(column)*r.WidthIn, y)
				}
				continue
			}
			half := stand{of: -1, row: row, y: y, w: r.WidthIn / 2, h: r.HeightIn, role: r.Blocks[0].Units[0].Roles[0]}
			visit(half)
			for column := range columns - 1 {
				at(row, column, (float64(column)+0.5)*r.WidthIn, y)
			}
			half.column, half.x = columns-1, (float64(columns)-0.5)*r.WidthIn
			visit(half)
		}
	case InRows:
		r.rowBlocks(columns, rows, visit)
	default:
		first, s := 0.0, r.Sashing.WidthIn
		if r.Sashing.Edge {
			first = s
		}
		for row := range rows {
			for column := range columns {
				at(row, column, first+float64(column)*(r.WidthIn+s), first+float64(row)*(r.HeightIn+s))
			}
		}
	}
}

// onPoint returns where a block on point stands; between marks the blocks between two rows.
func (r *Recipe) onPoint(row, column int, between bool) stand {
	d, off := r.diagonal(), 0.5
	if between {
		off = 1
	}
	top := (float64(row)+off)*d - r.WidthIn/math.Sqrt2
	return stand{row: row, column: column, x: (float64(column) + off) * d, y: top, onPoint: true}
}

// at says what stands at a place of the setting: the number of a block, or -1
// for a plain square. between marks the places between rows, on point.
func (s Setting) at(row, column, columns int, between bool) int {
	line := row // on point every second one is between
	if s.Kind == OnPoint {
		line = 2 * row
		if between {
			line++
		}
	}
	if len(s.Plan) > 0 {
		names := s.Plan[line%len(s.Plan)]
		return names[column%len(names)]
	}
	if len(s.Order) == 0 {
		return 0
	}
	kinds, n := len(s.Order), row*columns+column
	switch {
	case s.Kind != OnPoint:
		if columns%kinds == 0 { // else each would stand under itself
			n += row
		}
	case columns%kinds == 0 || (columns-1)%kinds == 0: // else each would lie beside itself
		n = line
	default:
		n = row*(2*columns-1) + column
		if between {
			n += columns
		}
	}
	return s.Order[n%len(s.Order)]
}

func (s Setting) turn(row, column int) int {
	if len(s.Turns) == 0 {
		return 0
	}
	line := s.Turns[row%len(s.Turns)]
	return line[column%len(line)]
}

// between returns the pieces of a top that are in no block: setting triangles, sashing,
// cornerstones, and what fills rows up.
func (r *Recipe) between(columns, rows int) []loose {
	switch r.Setting.Kind {
	case OnPoint:
		return append(r.triangles(columns, rows), r.sashingOnPoint(columns, rows)...)
	case InRows:
		return r.rowStrips(columns, rows)
	}
	return r.sashing(columns, rows)
}
