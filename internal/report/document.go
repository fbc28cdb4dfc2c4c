package report

import (
	"fmt"
	"slices"
	"strings"

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

// add adds sections, but for those that say nothing.
func (d *Document) add(all ...section) {
	for _, s := range all {
		rows := slices.ContainsFunc(s.Tables, func(t table) bool { return len(t.Rows) > 0 })
		if rows || len(s.Paras)+len(s.Facts)+len(s.Drawings)+len(s.Items)+len(s.Whys) > 0 {
			d.sections = append(d.sections, s)
		}
	}
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
	Wide     bool      // each drawing is as wide as the page
	Lettered bool      // the labels are to be read: on paper drawings get no smaller than that takes
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
	Colours []cloth.Ink
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

// scale returns how much of the width of a page a unit of the section's drawings
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
	Columns []column
	Carry   bool // an empty first cell means the one above: on a new sheet it is written again
	Rows    [][]cell
	Fold    int    // of rows, as of a section's items
	Whole   bool   // on paper, where nothing opens, all rows stand
	More    string // what the rows folded away are
	Lead    int    // columns whose words need no head beside them; 0: one
	Title   string // of the table on the page, where it opens and closes by it; may be empty
	Closed  bool   // by its title, at first
}

// column is what a table says of all cells of a column.
type column struct {
	Head   string
	Figure bool   // to the right, as figures are
	short  string // the head of short forms; empty: the same
	note   string // what the short forms mean
	mayGo  bool   // left out where no row says anything
	// give says in which turns the column gives way where text is narrow: it takes its next
	// form, and after the last is left out. The lowest turn comes first.
	give []int
}

// columns returns columns with these heads; one after > is of figures.
func columns(heads ...string) []column {
	return mapped(heads, func(h string) column {
		head, figure := strings.CutPrefix(h, ">")
		return column{Head: head, Figure: figure}
	})
}

// cell is words, with cloth before them where it has a chip.
type cell struct {
	Words  string
	Narrow string // the words where text is narrow; empty: the same
	Chip   chip
	Exact  bool        // the colour is written where it cannot be drawn
	Bar    []cloth.Ink // of the whole width
	Codes  []cloth.Ink // in text: colours, drawn or written as codes, fewer from form to form
	Form   int         // of the codes
	Head   string      // on the page: of its column, where the words need it
	Figure bool        // on the page: as its column
}

// open returns the first of all, which a fold leaves to be seen at once.
func open[T any](all []T, fold int) []T {
	if fold == 0 {
		return all
	}
	return all[:min(len(all), max(0, fold))]
}

// onPaper returns the rows that stand on paper.
func (t table) onPaper() [][]cell {
	if t.Whole {
		return t.Rows
	}
	return open(t.Rows, max(0, t.Fold))
}

// behind returns the rest, which a fold has behind those.
func behind[T any](all []T, fold int) []T { return all[len(open(all, fold)):] }

// Pictured reports whether a cell has a picture before its words.
func (c cell) Pictured() bool { return c.Chip.Some || c.Chip.Any }

// row makes cells of words and numbers; cells are taken as they are.
func row(all ...any) []cell {
	return mapped(all, func(a any) cell {
		if c, ok := a.(cell); ok {
			return c
		}
		return cell{Words: fmt.Sprint(a)}
	})
}

// head returns the row of the columns' heads.
func (t table) head() []cell {
	return mapped(t.Columns, func(c column) cell { return cell{Words: c.Head} })
}

// add adds a row, as row makes it.
func (t *table) add(all ...any) { t.Rows = append(t.Rows, row(all...)) }

// gives reports whether columns give way where text is narrow.
func (t table) gives() bool {
	return slices.ContainsFunc(t.Columns, func(c column) bool { return c.give != nil })
}

// answered returns a table without the columns that may go and in which no row says anything:
// all of a table that may give way.
func (t table) answered() table {
	gives := t.gives()
	said := mapped(t.Columns, func(c column) bool { return !gives && !c.mayGo })
	for _, r := range t.Rows {
		for i, c := range r {
			said[i] = said[i] || c.Words != "" || c.Pictured() || c.Bar != nil || c.Codes != nil
		}
	}
	t.Columns = kept(t.Columns, said)
	t.Rows = mapped(t.Rows, func(r []cell) []cell { return kept(r, said) })
	return t
}

// kept returns the members of a slice that are to be kept.
func kept[T any](all []T, keep []bool) (out []T) {
	for i, x := range all {
		if keep[i] {
			out = append(out, x)
		}
	}
	return out
}

// step is a line of arithmetic, set in by its depth.
type step struct {
	Words string
	Depth int
}

// Steps returns the section's arithmetic, steps under steps.
func (s section) Steps() []step { return stepsOf(s.Whys, 0) }

func stepsOf(all []recipe.Why, depth int) (out []step) {
	for _, w := range all {
		out = append(append(out, step{w.Text, depth}), stepsOf(w.Steps, depth+1)...)
	}
	return out
}
