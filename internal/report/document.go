package report

import (
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/recipe"
)

// Document is a report in headings, words, tables and drawings, to be written as
// text, as a page to look at, and on paper.
type Document struct {
	title, lead string
	opening     string // of the text, in place of title and lead; may be empty
	sections    []section
	fine        []string // small print at the end
}

// section is a part under one heading. Its parts are written in the order of the
// fields.
type section struct {
	Heading  string
	Shown    bool // on the page and on paper alone: text says it otherwise
	Said     bool // in text alone
	Paras    []string
	Facts    []fact
	Dense    bool      // the facts are many and short: in columns on the page
	Verbatim []string  // lines of letters, in text alone
	Drawings []drawing // side by side; text has none
	Caption  string    // of the drawings
	Scaled   bool      // the drawings are of one scale
	Tables   []table
	Items    []string
	// fold is after how many items the rest are folded behind the first; 0: none, below
	// 0: all, which then stand open on paper. more says in text and on paper what the
	// rest are.
	Fold     int
	More     string
	Numbered bool // items are to be done in order
	Whys     []recipe.Why
	Careful  bool // a caution, to be seen
}

// fact is a word and what is said of it, which on the page stands on a card where it
// has one.
type fact struct {
	What, Words string
	Card        *pieceCard
}

// pieceCard shows a piece by itself, or those of a stack side by side.
type pieceCard struct {
	Title   string // of a stack, below its name
	Tiles   []tile
	Lines   []cardLine
	Reads   *colour.Linear // nil: colours are not shown
	Colours []cloth.Swatch
}

// tile is a piece as large as its crop.
type tile struct {
	Chip   chip
	Words  string // below it
	Says   string // for those who cannot see it
	Marked bool
}

// cardLine is a line of a card in a style of document.css; none is usual.
type cardLine struct{ Words, Style string }

// chips lists all that the document shows of cloth in pictures of its own, each once:
// crops, photos, and in drawings prints of several inks.
func (d Document) chips() []chip {
	var out []chip
	seen := map[string]bool{}
	add := func(c chip) {
		if k := c.key(); !seen[k] {
			seen[k] = true
			out = append(out, c)
		}
	}
	for _, s := range d.sections {
		for _, f := range s.Facts {
			if f.Card == nil {
				continue
			}
			for _, x := range f.Card.Tiles {
				if x.Chip.Crop != nil {
					add(x.Chip)
				}
			}
		}
		for _, t := range s.Tables {
			for _, r := range t.Rows {
				for _, c := range r {
					if c.Chip.Crop != nil {
						add(c.Chip)
					}
				}
			}
		}
		for _, g := range s.Drawings {
			for _, x := range g.Shapes {
				if x.Cloth.patterned() {
					add(x.Cloth)
				}
			}
		}
	}
	return out
}

// scale is how much of the width of a page a unit of the section's drawings
// takes where all are of one scale, so that the widest fits and none is high.
func (s section) scale() float64 {
	widest := 0.0
	for _, d := range s.Drawings {
		widest = max(widest, d.W, 2*d.H)
	}
	return 1 / max(widest, 1)
}

// table is rows of as many cells as it has columns.
type table struct {
	Heads []string
	Right []bool // columns of figures; may be shorter than heads
	Carry bool   // an empty first cell means the one above: on a new sheet it is written again
	Rows  [][]cell
	Fold  int    // of rows, as of a section's items
	More  string // what the rows folded away are
	Lead  int    // columns whose words need no head beside them; 0: one
	// give says of each column in which turns it gives way where text is narrow: it takes
	// its next form, and after the last is left out. The lowest turn comes first.
	Give  [][]int
	Short []string // heads for the short forms; empty: the same
	Notes []string // of each column, what its short forms mean
}

// cell is words, with cloth before them where it has a chip.
type cell struct {
	Words  string
	Narrow string // the words where text is narrow; empty: the same
	Chip   chip
	Exact  bool // the colour is written where it cannot be drawn
	Bar    []stretch
	Codes  []cloth.Swatch // in text: colours, drawn or written as codes, fewer from form to form
	Form   int            // of the codes
}

// folded parts what stands open from what is folded behind it, by a fold as sections
// and tables have it.
func folded[T any](all []T, fold int) (open, behind []T) {
	n := max(0, fold)
	if fold == 0 || len(all) <= n {
		return all, nil
	}
	return all[:n], all[n:]
}

// pictured tells whether a cell has a picture before its words.
func (c cell) pictured() bool { return c.Chip.Some || c.Chip.Any }

// stretch is a part of a bar, its length a share of the whole width.
type stretch struct {
	long float64
	fill colour.Linear
}

// row makes cells of plain words.
func row(words ...string) []cell {
	out := make([]cell, len(words))
	for i, w := range words {
		out[i].Words = w
	}
	return out
}

// answered is a table that may give way without the columns in which no row says
// anything.
func (t table) answered() table {
	if t.Give == nil {
		return t
	}
	t.Rows = slices.Clone(t.Rows)
	for c := len(t.Heads) - 1; c >= 0; c-- {
		if slices.ContainsFunc(t.Rows, func(r []cell) bool {
			return r[c].Words != "" || r[c].Chip.Some || r[c].Chip.Any || r[c].Bar != nil || r[c].Codes != nil
		}) {
			continue
		}
		t.Heads, t.Right, t.Give = without(t.Heads, c), without(t.Right, c), without(t.Give, c)
		t.Short, t.Notes = without(t.Short, c), without(t.Notes, c)
		for i, r := range t.Rows {
			t.Rows[i] = without(r, c)
		}
	}
	return t
}

// without is a slice with one of its elements, where it has so many, left out.
func without[T any](all []T, i int) []T {
	if i >= len(all) {
		return all
	}
	return slices.Delete(slices.Clone(all), i, i+1)
}

func (t table) figures(column int) bool { return column < len(t.Right) && t.Right[column] }

// flatWhys writes steps under steps as lines, each set in by its depth.
func flatWhys(all []recipe.Why, depth int, line func(depth int, words string)) {
	for _, w := range all {
		line(depth, w.Text)
		flatWhys(w.Steps, depth+1, line)
	}
}
