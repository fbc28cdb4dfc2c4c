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
	heading  string
	shown    bool // on the page and on paper alone: text says it otherwise
	said     bool // in text alone
	paras    []string
	facts    []fact
	dense    bool      // the facts are many and short: in columns on the page
	verbatim []string  // lines of letters, in text alone
	drawings []drawing // side by side; text has none
	caption  string    // of the drawings
	scaled   bool      // the drawings are of one scale
	tables   []table
	items    []string
	// fold is after how many items the rest are folded behind the first; 0: none, below
	// 0: all, which then stand open on paper. more says in text and on paper what the
	// rest are.
	fold     int
	more     string
	numbered bool // items are to be done in order
	whys     []recipe.Why
	careful  bool // a caution, to be seen
}

// fact is a word and what is said of it, which on the page stands on a card where it
// has one.
type fact struct {
	what, words string
	card        *pieceCard
}

// pieceCard shows a piece by itself, or those of a stack side by side.
type pieceCard struct {
	title   string // of a stack, below its name
	tiles   []tile
	lines   []cardLine
	reads   *colour.Linear // nil: colours are not shown
	colours []cloth.Swatch
}

// tile is a piece as large as its crop.
type tile struct {
	chip   chip
	words  string // below it
	says   string // for those who cannot see it
	marked bool
}

// cardLine is a line of a card in a style of document.css; none is usual.
type cardLine struct{ words, style string }

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
		for _, f := range s.facts {
			if f.card == nil {
				continue
			}
			for _, x := range f.card.tiles {
				if x.chip.crop != nil {
					add(x.chip)
				}
			}
		}
		for _, t := range s.tables {
			for _, r := range t.rows {
				for _, c := range r {
					if c.chip.crop != nil {
						add(c.chip)
					}
				}
			}
		}
		for _, g := range s.drawings {
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
	fold  int    // of rows, as of a section's items
	more  string // what the rows folded away are
	lead  int    // columns whose words need no head beside them; 0: one
	// give says of each column in which turns it gives way where text is narrow: it takes
	// its next form, and after the last is left out. The lowest turn comes first.
	give  [][]int
	short []string // heads for the short forms; empty: the same
	notes []string // of each column, what its short forms mean
}

// cell is words, with cloth before them where it has a chip.
type cell struct {
	words  string
	narrow string // the words where text is narrow; empty: the same
	chip   chip
	exact  bool // the colour is written where it cannot be drawn
	bar    []stretch
	codes  []cloth.Swatch // in text: colours, drawn or written as codes, fewer from form to form
	form   int            // of the codes
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
func (c cell) pictured() bool { return c.chip.some || c.chip.any }

// stretch is a part of a bar, its length a share of the whole width.
type stretch struct {
	long float64
	fill colour.Linear
}

// row makes cells of plain words.
func row(words ...string) []cell {
	out := make([]cell, len(words))
	for i, w := range words {
		out[i].words = w
	}
	return out
}

// answered is a table that may give way without the columns in which no row says
// anything.
func (t table) answered() table {
	if t.give == nil {
		return t
	}
	t.rows = slices.Clone(t.rows)
	for c := len(t.heads) - 1; c >= 0; c-- {
		if slices.ContainsFunc(t.rows, func(r []cell) bool {
			return r[c].words != "" || r[c].chip.some || r[c].chip.any || r[c].bar != nil || r[c].codes != nil
		}) {
			continue
		}
		t.heads, t.right, t.give = without(t.heads, c), without(t.right, c), without(t.give, c)
		t.short, t.notes = without(t.short, c), without(t.notes, c)
		for i, r := range t.rows {
			t.rows[i] = without(r, c)
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

func (t table) figures(column int) bool { return column < len(t.right) && t.right[column] }

// flatWhys writes steps under steps as lines, each set in by its depth.
func flatWhys(all []recipe.Why, depth int, line func(depth int, words string)) {
	for _, w := range all {
		line(depth, w.Text)
		flatWhys(w.Steps, depth+1, line)
	}
}
