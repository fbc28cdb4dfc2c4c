package recipe

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// leastSpacer is the least finished width of a strip that fills a row or a border up,
// inches (common practice, no source).
const leastSpacer = 0.5

var spacers = []string{string(AtEnds), string(Between), string(Throughout)}

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
		if t.Block != "" && len(t.Blocks) > 0 {
			return fault.New("", where+" has both block and blocks", "keep one of them")
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
		row.Spacers = cmp.Or(Spacers(t.Spacers), AtEnds)
		switch {
		case !slices.Contains(spacers, string(row.Spacers)):
			return fault.New("", fmt.Sprintf("%s: spacers cannot be at %q", where, t.Spacers), meant(t.Spacers, spacers)+"write one of "+strings.Join(spacers, ", "))
		case t.Spacers != "" && len(row.Blocks) == 0:
			return fault.New("", where+" is a strip and has spacers", "take out spacers, or name a block")
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

// filled is how the blocks of a row fill its width. Lengths are inches, finished.
type filled struct {
	count    int     // of blocks, in turn
	spaces   int     // spacers, all alike
	space    float64 // how wide each is
	end, gap float64 // what is left at each end, and between two blocks
}

// rowFill fills a width with as many blocks of a row as fit and leave no spacer too narrow
// to sew.
func (r *Recipe) rowFill(row Row, width float64) filled {
	var best filled
	used := 0.0
	for n := 1; len(row.Blocks) > 0 && n <= maxPlaces; n++ {
		used += r.Blocks[row.Blocks[(n-1)%len(row.Blocks)]].WidthIn
		left := width - used
		if left < -touch {
			break
		}
		f := filled{count: n}
		if left > touch {
			switch {
			case row.Spacers == Between && n > 1:
				f.spaces = n - 1
				f.gap = left / float64(f.spaces)
			case row.Spacers == Throughout:
				f.spaces = n + 1
				f.gap = left / float64(f.spaces)
				f.end = f.gap
			default:
				f.spaces, f.end = 2, left/2
			}
			if f.space = max(f.end, f.gap); f.space < leastSpacer-touch {
				continue
			}
		}
		best = f
	}
	return best
}

// TooNarrow says which rows of a row quilt have no block, as it is narrower than theirs.
func (r *Recipe) TooNarrow(columns, rows int, s System) []string {
	width, _ := r.TopSize(columns, rows)
	var out []string
	for i := range min(rows, len(r.Rows)) {
		row := r.Rows[i]
		if r.rowFill(row, width).count == 0 && len(row.Blocks) > 0 {
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
		f := r.rowFill(row, width)
		x := f.end
		for k := range f.count {
			s := stand{of: row.Blocks[k%len(row.Blocks)], row: i, column: k, x: x, y: y}
			if len(row.Turns) > 0 {
				s.turn = row.Turns[k%len(row.Turns)]
			}
			visit(s)
			x += r.Blocks[s.of].WidthIn + f.gap
		}
		y += row.HeightIn
	}
}

// rowStrips returns the strips that are rows of their own, and the spacers in others.
func (r *Recipe) rowStrips(columns, rows int) []loose {
	width, _ := r.TopSize(columns, rows)
	var out []loose
	y := 0.0
	for i := range rows {
		row := r.row(i)
		f := r.rowFill(row, width)
		g := loose{kind: Spacer, role: row.Role, h: row.HeightIn}
		switch {
		case f.count == 0:
			g.w, g.what, g.joined = width, "strips between rows", true
			g.at = []geom.Polygon{box(0, y, width, y+row.HeightIn)}
		case f.spaces > 0:
			g.w, g.what = f.space, "spacers at the ends of rows"
			share := "half of it at each end"
			if f.gap > 0 {
				g.what, share = "spacers between the blocks of rows", fmt.Sprintf("in %d", f.spaces)
			}
			g.why = func(s System) []Why {
				return []Why{{Text: fmt.Sprintf("row %d: %s wide less %s = %s, %s", i+1, s.Format(width), cloth.Count(f.count, "block"), s.Format(f.space*float64(f.spaces)), share)}}
			}
			space := func(x float64) {
				g.at = append(g.at, box(x, y, x+f.space, y+row.HeightIn))
			}
			if f.end > 0 {
				space(0)
			}
			x := f.end
			for k := range f.count {
				if k > 0 && f.gap > 0 {
					space(x - f.gap)
				}
				x += r.Blocks[row.Blocks[k%len(row.Blocks)]].WidthIn + f.gap
			}
			if f.end > 0 {
				space(width - f.end)
			}
		}
		if g.at != nil {
			out = append(out, g)
		}
		y += row.HeightIn
	}
	return out
}

// LosesRows is the error of a row quilt whose layout has fewer rows than are written. Read lets
// it be, for quilts that were kept so.
func (r *Recipe) LosesRows() error {
	if s := r.Setting; s.Kind == InRows && s.Rows > 0 && s.Rows < len(r.Rows) {
		return fault.New(r.File, fmt.Sprintf("setting: its layout has %s, and %d rows are written", cloth.Count(s.Rows, "row"), len(r.Rows)), fmt.Sprintf("write layout = [%d, %d], or take out the rows that are not meant", s.Columns, len(r.Rows)))
	}
	return nil
}
