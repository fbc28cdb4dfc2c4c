package recipe

import (
	"fmt"

	"piecebag/internal/geom"
)

// leastSpacer is how narrow, finished, a strip may be that makes others come out even,
// inches (common practice, no source).
const leastSpacer = 0.5

// row is what lies in a row of a row quilt.
func (r *Recipe) row(i int) Row { return r.Rows[i%len(r.Rows)] }

// rowFill is how the blocks of a row fill a width: how many, in turn, and how wide what
// is left at each end is.
func (r *Recipe) rowFill(row Row, width float64) (count int, end float64) {
	used := 0.0
	for len(row.Blocks) > 0 && count < maxPlaces {
		w := r.Blocks[row.Blocks[count%len(row.Blocks)]].WidthIn
		if left := width - used - w; left < -touch || left > touch && left < 2*leastSpacer-touch {
			break // it does not fit, or leaves too little for spacers
		}
		used += w
		count++
	}
	if end = (width - used) / 2; end < touch {
		end = 0
	}
	return count, end
}

// TooNarrow says which rows of a row quilt have no block, as it is narrower than theirs.
func (r *Recipe) TooNarrow(columns, rows int, s System) []string {
	width, _ := r.TopSize(columns, rows)
	var out []string
	for i := range min(rows, len(r.Rows)) {
		row := r.Rows[i]
		if count, _ := r.rowFill(row, width); count == 0 && len(row.Blocks) > 0 {
			b := r.Blocks[row.Blocks[0]]
			out = append(out, fmt.Sprintf("row %d is a plain strip: %s is %s wide and the quilt %s; ask for a wider one", i+1, b.Name, s.Format(b.WidthIn), s.Format(width)))
		}
	}
	return out
}

// rowBlocks visits the blocks of the rows of a row quilt.
func (r *Recipe) rowBlocks(columns, rows int, visit func(stand)) {
	width, _ := r.TopSize(columns, rows)
	y := 0.0
	for i := range rows {
		row := r.row(i)
		count, x := r.rowFill(row, width)
		for k := range count {
			s := stand{of: row.Blocks[k%len(row.Blocks)], row: i, column: k, x: x, y: y}
			if len(row.Turns) > 0 {
				s.turn = row.Turns[k%len(row.Turns)]
			}
			visit(s)
			x += r.Blocks[s.of].WidthIn
		}
		y += row.HeightIn
	}
}

// rowStrips are the strips that are rows of their own, and the spacers at the ends of
// others.
func (r *Recipe) rowStrips(columns, rows int) []loose {
	width, _ := r.TopSize(columns, rows)
	var out []loose
	y := 0.0
	for i := range rows {
		row := r.row(i)
		count, end := r.rowFill(row, width)
		g := loose{kind: Spacer, role: row.Role, h: row.HeightIn}
		switch {
		case count == 0:
			g.w, g.what, g.joined = width, "strips between rows", true
			g.at = []geom.Polygon{box(0, y, width, y+row.HeightIn)}
		case end > 0:
			g.w, g.what = end, "spacers at the ends of rows"
			g.why = func(s System) []Why {
				return []Why{{Text: fmt.Sprintf("row %d: %s wide less %d blocks = %s, half of it at each end", i+1, s.Format(width), count, s.Format(2*end))}}
			}
			g.at = []geom.Polygon{box(0, y, end, y+row.HeightIn), box(width-end, y, width, y+row.HeightIn)}
		}
		if g.at != nil {
			out = append(out, g)
		}
		y += row.HeightIn
	}
	return out
}
