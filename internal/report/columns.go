package report

import (
	"fmt"
	"strconv"
	"strings"

	"charm.land/lipgloss/v2"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// column is one column of a text table: the same cells in one or more forms,
// the fullest first.
type column struct {
	head  []string // one a form
	cells [][]string
	right bool
	short string // what the second form means, where it needs saying
	// give says when the column gives way in a narrow place: it leaves form i
	// for the next, or after the last is left out, in turn give[i]; the lowest
	// turns come first. A form without a turn stays.
	give []int
	form int
}

// width of the column in its present form; -1 where it is left out.
func (c *column) width() int {
	if c.form == len(c.head) {
		return -1
	}
	w := lipgloss.Width(c.head[c.form])
	for _, cell := range c.cells {
		w = max(w, lipgloss.Width(cell[c.form]))
	}
	return w
}

// turn is when the column gives way next; 0 never.
func (c *column) turn() int {
	if c.form < len(c.give) {
		return c.give[c.form]
	}
	return 0
}

const columnGap = 2

// table writes columns of the given number of rows, narrowed to the width.
func (t *text) table(columns []*column, rows int) {
	if t.width > 0 {
		narrow(columns, t.width)
	}
	for r := -1; r < rows; r++ {
		var b strings.Builder
		for _, c := range columns {
			w := c.width()
			if w < 0 {
				continue
			}
			cell := c.head[c.form%len(c.head)]
			if r >= 0 {
				cell = c.cells[r][c.form]
			}
			if b.Len() > 0 {
				b.WriteString(strings.Repeat(" ", columnGap))
			}
			pad := strings.Repeat(" ", w-lipgloss.Width(cell))
			if c.right {
				b.WriteString(pad + cell)
			} else {
				b.WriteString(cell + pad)
			}
		}
		t.line(b.String())
	}
}

// narrow shortens and leaves out columns until they fit into width, or until
// none can give way any more.
func narrow(columns []*column, width int) {
	for {
		total, first := -columnGap, 0
		for _, c := range columns {
			if w := c.width(); w >= 0 {
				total += w + columnGap
			}
			if turn := c.turn(); turn > 0 && (first == 0 || turn < first) {
				first = turn
			}
		}
		if total <= width || first == 0 {
			return
		}
		for _, c := range columns {
			if c.turn() == first {
				c.form++
			}
		}
	}
}

// shortValues are the values for narrow places.
var shortValues = map[cloth.Value]string{
	cloth.Light: "L", cloth.MediumLight: "ML", cloth.Medium: "M", cloth.MediumDark: "MD", cloth.Dark: "D",
}

// valueLegend explains shortValues.
const valueLegend = "L light, ML medium-light, M medium, MD medium-dark, D dark"

// pieceColumns are the columns of a photo's table; one in which no piece has
// an answer is left out.
func (t *text) pieceColumns(l Look, photo int) []*column {
	pieces := l.Sheets[photo].Pieces
	spec := []struct {
		head  []string
		right bool
		give  []int
		short string
		cells func(cloth.Piece) []string
	}{
		{[]string{"no."}, true, nil, "", func(p cloth.Piece) []string { return []string{l.label(shelf.Item{Photo: photo, Piece: p})} }},
		{t.colourHeads(), false, []int{3, 4, 11}[3-len(t.colourHeads()):], "", t.colourCells},
		{[]string{"colour", "colour"}, false, []int{5}, "", func(p cloth.Piece) []string { return []string{familyWords(p), string(p.Family)} }},
		{[]string{"value", "val."}, false, []int{2}, valueLegend, func(p cloth.Piece) []string { return []string{valueWords(p), shortValueWords(p)} }},
		{[]string{"L*"}, true, []int{7}, "", func(p cloth.Piece) []string { return []string{fmt.Sprintf("%.0f", p.Lightness)} }},
		{[]string{"Munsell"}, false, []int{1}, "", func(p cloth.Piece) []string { return []string{p.Munsell} }},
		{[]string{"size"}, true, []int{6}, "", func(p cloth.Piece) []string { return []string{size(p)} }},
		{[]string{"cut"}, false, []int{10}, "", func(p cloth.Piece) []string { return []string{p.Cut} }},
		{[]string{"print"}, false, []int{8}, "", func(p cloth.Piece) []string { return []string{p.Print} }},
		{[]string{"trust"}, true, []int{9}, "", func(p cloth.Piece) []string { return []string{percent(p.Trust)} }},
	}
	var out []*column
	for _, s := range spec {
		c := &column{head: s.head, right: s.right, give: s.give, short: s.short}
		answered := false
		for _, p := range pieces {
			cell := s.cells(p)
			answered = answered || cell[0] != ""
			c.cells = append(c.cells, cell)
		}
		if answered {
			out = append(out, c)
		}
	}
	return out
}

// A piece's colours are drawn over swatchWide columns, as wide as their
// shares, or written as this many hex codes.
var (
	swatchWide = []int{10, 5}
	hexCodes   = []int{3, 2, 1}
)

func (t *text) colourHeads() []string {
	if t.swatches {
		return []string{"colours", ""}
	}
	return []string{"colours", "colours", "colours"}
}

func (t *text) colourCells(p cloth.Piece) []string {
	var out []string
	if !t.swatches {
		for _, n := range hexCodes {
			var codes []string
			for _, c := range p.Colours[:min(n, len(p.Colours))] {
				codes = append(codes, c.Colour.Hex())
			}
			out = append(out, strings.Join(codes, " "))
		}
		return out
	}
	for _, wide := range swatchWide {
		var b strings.Builder
		for i, n := range apportion(p.Colours, wide) {
			if n > 0 {
				b.WriteString(lipgloss.NewStyle().Background(lipgloss.Color(p.Colours[i].Colour.Hex())).Render(strings.Repeat(" ", n)))
			}
		}
		out = append(out, b.String())
	}
	return out
}

// apportion divides seats over swatches by their shares, by largest remainder
// (Hamilton's method), ties to the first.
func apportion(swatches []cloth.Swatch, seats int) []int {
	out := make([]int, len(swatches))
	rest := make([]float64, len(swatches))
	total := 0.0
	for _, s := range swatches {
		total += s.Share
	}
	if total <= 0 {
		return out
	}
	left := seats
	for i, s := range swatches {
		exact := s.Share / total * float64(seats)
		out[i] = int(exact)
		rest[i] = exact - float64(out[i])
		left -= out[i]
	}
	for ; left > 0; left-- {
		best := 0
		for i := range rest {
			if rest[i] > rest[best] {
				best = i
			}
		}
		out[best]++
		rest[best] = -1
	}
	return out
}

// binColumns is the table of hue family × value: a row a family, the missing
// ones too, and a row of sums.
func binColumns(s shelf.Shelf) []*column {
	g := gridOf(s)
	family := &column{head: []string{"colour"}}
	all := &column{head: []string{"all", "all"}, right: true, give: []int{1}, short: "* thin"}
	values := make([]*column, len(cloth.Values))
	for i, v := range cloth.Values {
		values[i] = &column{head: []string{string(v), shortValues[v]}, right: true, give: []int{1, 2}, short: valueLegend}
	}
	for _, r := range g.rows {
		family.cells = append(family.cells, []string{string(r.family)})
		for i, c := range r.cells {
			values[i].cells = append(values[i].cells, thinForms(dashOrCount(c.count), c.thin))
		}
		cell := dashOrCount(r.count)
		if r.count == 0 {
			cell = "none"
		}
		all.cells = append(all.cells, thinForms(cell, r.thin))
	}
	family.cells = append(family.cells, []string{"all"})
	for i, n := range g.values {
		values[i].cells = append(values[i].cells, thinForms(dashOrCount(n), false))
	}
	all.cells = append(all.cells, thinForms(strconv.Itoa(g.all), false))
	return append(append([]*column{family}, values...), all)
}

// thinForms marks a thin cell, in the full and the short form.
func thinForms(cell string, thin bool) []string {
	if thin {
		return []string{cell + " thin", cell + "*"}
	}
	return []string{cell, cell}
}

// legend explains the short forms in use, each once a report.
func (t *text) legend(columns []*column) {
	var words []string
	for _, c := range columns {
		if c.short == "" || c.form != 1 || t.explained[c.short] {
			continue
		}
		t.explained[c.short] = true
		words = append(words, c.short)
	}
	if len(words) > 0 {
		t.para("", strings.Join(words, ", "), 0)
	}
}

func dashOrCount(n int) string {
	if n == 0 {
		return "–"
	}
	return strconv.Itoa(n)
}
