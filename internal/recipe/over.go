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
	grown := func(cells float64) float64 {
		cut, _ := s.Plain(cell * cells)
		return cut - straightSeams*s.Seam - cell*cells
	}
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

// ComesOut reports whether all blocks of a recipe come out at their size.
func (r *Recipe) ComesOut(s System) bool {
	return !slices.ContainsFunc(r.Blocks, func(b Block) bool { return !b.ComesOut(s) })
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
		remedy = fmt.Sprintf("make it %s wide, which comes out, or %s", s.either(at), remedy)
	}
	return fmt.Sprintf("some patches lie between two marks of the ruler and are cut up to the next. Sewn as cut, it comes out up to %s too large: %s. Sew one block first, and measure it", s.Format(s.Up(max(wide, high))), remedy)
}

// widthsThatComeOut are the widths next below and above a block's own at which it comes
// out, inches, in half inches or whole centimetres; none of one that is framed, or that has
// its size from a border.
func (b Block) widthsThatComeOut(s System) (out []float64) {
	if b.FramedIn > 0 || b.InBorder {
		return nil
	}
	step := 0.5
	if s.Metric {
		step = 10 * s.Step
	}
	own := b.WidthIn
	for _, way := range []float64{-1, 1} {
		for k := 1.0; k*step < own/2; k++ {
			w := RoundUp(own+way*k*step, step)
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

// either writes lengths of which any will do: "10½ or 14".
func (s System) either(in []float64) string {
	var out []string
	for _, x := range in {
		out = append(out, s.Format(x))
	}
	return strings.Join(out, " or ")
}
