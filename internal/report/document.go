package report

import (
	"piecebag/internal/colour"
	"piecebag/internal/recipe"
)

// Document is a report in headings, words, tables and drawings, to be written as
// text, as a page to look at, and on paper.
type Document struct {
	title, lead string
	sections    []section
	fine        []string // small print at the end
}

// section is a part under one heading. Its parts are written in the order of the
// fields.
type section struct {
	heading  string
	paras    []string
	verbatim []string  // lines of letters, in text alone
	drawings []drawing // side by side; text has none
	caption  string    // of the drawings
	scaled   bool      // the drawings are of one scale
	tables   []table
	items    []string
	numbered bool // items are to be done in order
	whys     []recipe.Why
	careful  bool // a caution, to be seen
}

// scale is how much of the width of a page a unit of the section's drawings
// takes where all are of one scale, so that the widest fits and none is high.
func (s section) scale() float64 {
	widest := 0.0
	for _, d := range s.drawings {
		widest = max(widest, d.W, 2*d.H)
	}
	return 1 / max(widest, 1)
}

// table is rows of as many cells as it has columns.
type table struct {
	heads []string
	right []bool // columns of figures; may be shorter than heads
	carry bool   // an empty first cell means the one above: on a new sheet it is written again
	rows  [][]cell
}

// cell is words, with a patch of colour before them where it has one.
type cell struct {
	words  string
	colour colour.Linear
	patch  bool
	exact  bool // the colour is written where it cannot be drawn
}

// row makes cells of plain words.
func row(words ...string) []cell {
	out := make([]cell, len(words))
	for i, w := range words {
		out[i].words = w
	}
	return out
}

func (t table) figures(column int) bool { return column < len(t.right) && t.right[column] }

// flatWhys writes steps under steps as lines, each set in by its depth.
func flatWhys(all []recipe.Why, depth int, line func(depth int, words string)) {
	for _, w := range all {
		line(depth, w.Text)
		flatWhys(w.Steps, depth+1, line)
	}
}
