package recipe

import (
	"cmp"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// leastSpacer is the least finished width of a strip that fills a row or a border up,
// inches (common practice, no source).
const leastSpacer = 0.5

// rows reads the rows of a row quilt.
func (rd reader) rows(f fileText) error {
	r := rd.recipe
	if len(f.Row) == 0 {
		return nil
	}
	if len(f.Block) > 0 {
		return fault.New("", "it has both blocks in turn and rows", "name the blocks in the rows, as blocks = [...]")
	}
	r.Setting.Kind = InRows
	for i, t := range f.Row {
		where := fmt.Sprintf("row %d", i+1)
		var row Row
		var err error
		if row.HeightIn, err = length(t.Height, where+": height"); err != nil {
			return err
		}
		if row.Role, err = rd.role(cmp.Or(t.Role, backgroundWord), where); err != nil {
			return err
		}
		if row.HeightIn > 0 && row.HeightIn < leastSpacer {
			return fault.New("", fmt.Sprintf("%s: %s is too narrow to sew", where, cloth.FormatInches(row.HeightIn)), "make it at least ½ inch high, finished")
		}
		if t.Block != "" {
			t.Blocks = append([]string{t.Block}, t.Blocks...)
		}
		if len(t.Blocks) == 0 && row.HeightIn == 0 {
			return fault.New("", where+" has no block and no height", "name a block, or give the height of a strip")
		}
		for _, name := range t.Blocks {
			b, err := rd.fetch(where, name)
			if err != nil {
				return err
			}
			if row.HeightIn == 0 { // the first says how high the row is
				row.HeightIn = b.HeightIn
			}
			b.OwnIn = b.WidthIn
			b = b.resized(row.HeightIn * float64(b.Columns) / float64(b.Rows))
			if r.WidthIn == 0 {
				r.WidthIn = b.WidthIn
			}
			row.Blocks = append(row.Blocks, rd.put(b))
		}
		for _, d := range t.Turns {
			q, err := quarters(where+": turns", d)
			if err != nil {
				return err
			}
			for _, k := range row.Blocks {
				if b := r.Blocks[k]; q%2 == 1 && b.Columns != b.Rows {
					return fault.New("", where+": a block that is not square is turned on its side", "turn it by 0 or 180")
				}
			}
			row.Turns = append(row.Turns, q)
		}
		r.Rows = append(r.Rows, row)
	}
	if !slices.ContainsFunc(r.Rows, func(row Row) bool { return len(row.Blocks) > 0 }) {
		return fault.New("", "none of its rows has a block", "name one in a row, as blocks = [...]")
	}
	if r.HeightIn == 0 {
		r.HeightIn = r.WidthIn
	}
	return nil
}

// row returns what lies in a row of a row quilt.
func (r *Recipe) row(i int) Row { return r.Rows[i%len(r.Rows)] }

// rowFill returns how the blocks of a row fill a width: how many, in turn, and how wide what
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

// rowStrips returns the strips that are rows of their own, and the spacers at the ends of
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
