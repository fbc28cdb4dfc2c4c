package recipe

import (
	"fmt"
	"slices"
	"strings"
)

// overTold is by how much a block may come out larger than it should before that is told,
// inches: a sixteenth, which pressing and easing take up (common practice, no source).
const overTold = 1.0 / 16

// Over is by how much wider and higher than it finishes a block comes out, inches, at the
// row and the column that grow most: its pieces are cut to marks of the ruler, each rounded
// up, and sewn as they are cut.
func (b Block) Over(s System) (wide, high float64) {
	cell := b.CellIn()
	rows, columns := map[int]float64{}, map[int]float64{}
	for _, u := range b.Units { // one that begins a row, or a column, begins what may grow otherwise
		rows[u.Row], columns[u.Column] = 0, 0
	}
	for _, u := range b.Units {
		at := u.place()
		x, y := u.over(s, cell) // as it lies before it is turned
		if u.Turn%2 == 1 {
			x, y = y, x
		}
		for r := range rows {
			if r >= at.Row && r < at.Row+at.High {
				rows[r] += x
			}
		}
		for c := range columns {
			if c >= at.Column && c < at.Column+at.Wide {
				columns[c] += y
			}
		}
	}
	for _, x := range rows {
		wide = max(wide, x)
	}
	for _, y := range columns {
		high = max(high, y)
	}
	return wide, high
}

// over is by how much wider and higher a unit comes out, before it is turned. Units of
// triangles are trimmed down to their size, which is a mark of the ruler too.
func (u Unit) over(s System, cell float64) (wide, high float64) {
	grown := func(cells float64) float64 { return s.grown(cell * cells) }
	switch u.Make {
	case StripSet:
		xs, ys := shares(float64(u.Wide), u.Segments), shares(float64(u.High), u.Strips)
		for i := range u.Segments {
			wide += grown(xs[i+1] - xs[i])
		}
		for i := range u.Strips {
			high += grown(ys[i+1] - ys[i])
		}
		return wide, high
	case LogCabin, CourthouseSteps:
		x := grown(float64(u.Centre)) + 2*float64(u.Rounds)*grown(float64(u.Log))
		return x, x
	}
	return grown(float64(u.Wide)), grown(float64(u.High))
}

// ComesOut reports whether a block, cut to marks of the ruler, comes out at its size.
func (b Block) ComesOut(s System) bool {
	wide, high := b.Over(s)
	return max(wide, high) <= overTold
}

// ComesOut reports whether all blocks of a recipe, and its rows that are strips, come out at
// their size.
func (r *Recipe) ComesOut(s System) bool {
	return !slices.ContainsFunc(r.Blocks, func(b Block) bool { return !b.ComesOut(s) }) &&
		!slices.ContainsFunc(r.Rows, func(row Row) bool { return len(row.Blocks) == 0 && s.grown(row.HeightIn) > overTold })
}

// grown is by how much a finished length between two seams comes out longer, cut up to a mark
// of the ruler.
func (s System) grown(finished float64) float64 {
	cut, _ := s.Plain(finished)
	return cut - straightSeams*s.Seam - finished
}

// OffMarks says of each block that does not come out at its size what OffMarks of it says.
func (r *Recipe) OffMarks(s System) []string {
	var out []string
	for _, b := range r.Blocks {
		if off := b.OffMarks(s); off != "" {
			out = append(out, b.Name+": "+off)
		}
	}
	return out
}

// OffMarks says by how much a block comes out too large where it is cut to marks of the
// ruler, and what to do; "" where it comes out at its size.
func (b Block) OffMarks(s System) string {
	wide, high := b.Over(s)
	if max(wide, high) <= overTold {
		return ""
	}
	remedy := "cut those patches a little under the mark"
	if at := b.widthsThatComeOut(s); at != nil {
		what := "make it"
		if b.InBorder { // as high as its border is wide
			what = "make the border"
			for i := range at {
				at[i] *= b.HeightIn / b.WidthIn
			}
		}
		remedy = fmt.Sprintf("%s %s wide, which comes out, or %s", what, s.either(at), remedy)
	}
	return fmt.Sprintf("some patches lie between two marks of the ruler and are cut up to the next. Sewn as cut, it comes out up to %s too large: %s. Sew one block first, and measure it", s.Format(s.Up(max(wide, high))), remedy)
}

// widthsThatComeOut are the widths next below and above a block's own at which it comes
// out, inches, on marks of the ruler or whole centimetres; none of one that is framed.
func (b Block) widthsThatComeOut(s System) (out []float64) {
	if b.FramedIn > 0 {
		return nil
	}
	step := s.Step
	if s.Metric {
		step *= 10
	}
	own := b.WidthIn
	for _, way := range []float64{-1, 1} {
		for k := 0.0; k*step < own/2; k++ {
			w := roundUp(own+way*k*step, step)
			if way*(w-own) < slack {
				continue
			}
			c := b
			c.WidthIn, c.HeightIn = w, b.HeightIn*w/own
			if c.ComesOut(s) {
				out = append(out, w)
				break
			}
		}
	}
	slices.Sort(out)
	return out
}

// StripsOffMarks says what between and round the blocks of a setting comes out too large where
// it is cut to marks of the ruler, and what to do: sashing, rows, borders, and the sides of
// pieced borders whose blocks grow together.
func (r *Recipe) StripsOffMarks(columns, rows int, s System) []string {
	var out []string
	strip := func(what string, in float64) {
		if in > 0 && s.grown(in) > overTold {
			up := in + s.grown(in)
			out = append(out, fmt.Sprintf("%s of %s lies between two marks of the ruler and is cut up to the next: it finishes at %s. Write %s, which comes out", what, s.Format(in), s.Format(up), s.either([]float64{up - s.Step, up})))
		}
	}
	strip("sashing", r.Sashing.WidthIn)
	if r.Setting.Kind == InRows {
		width, _ := r.TopSize(columns, rows)
		for i := range min(rows, len(r.Rows)) {
			row, f := r.Rows[i], r.rowFill(r.Rows[i], width)
			if f.count == 0 {
				strip(fmt.Sprintf("row %d", i+1), row.HeightIn)
			} else if over := float64(f.spaces) * s.grown(f.space); over > overTold {
				out = append(out, fmt.Sprintf("row %d comes out %s too long: its spacers of %s lie between two marks of the ruler and are cut up to the next. Cut those a little under the mark, or give the blocks a width that leaves whole marks", i+1, s.Format(s.Up(over)), s.Format(f.space)))
			}
		}
	}
	for _, x := range r.Rounds(columns, rows) {
		what := fmt.Sprintf("border %d", x.Number+1)
		if x.Strips() {
			if !x.Spaces { // a spacer is trimmed to fit
				strip(what, x.Border.WidthIn)
			}
			continue
		}
		if len(x.Keys) > 1 { // the last is cut to what is left
			continue
		}
		top, side := x.overs(r, s)
		if over := max(top, side); over > overTold {
			out = append(out, fmt.Sprintf("%s: its pieces grow together to %s too long at the top and %s at a side", what, s.Format(s.Up(top)), s.Format(s.Up(side))))
		}
	}
	return out
}

// overs is by how much the pieces of a pieced border come out too long together, along the top
// and along a side, inches.
func (x Round) overs(r *Recipe, s System) (top, side float64) {
	all := func(pieces []float64) (sum float64) {
		for i, w := range pieces {
			if len(x.Blocks) == 0 {
				sum += s.grown(w)
				continue
			}
			wide, _ := r.Blocks[x.Blocks[i%len(x.Blocks)]].Over(s)
			sum += wide
		}
		return sum
	}
	return all(x.top), all(x.side)
}

// either writes lengths of which any will do: "10½ or 14".
func (s System) either(in []float64) string {
	var out []string
	for _, x := range in {
		out = append(out, s.Format(x))
	}
	return strings.Join(out, " or ")
}
