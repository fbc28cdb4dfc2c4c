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

// add appends the sections that have any content.
func (d *Document) add(all ...section) {
	for _, s := range all {
		rows := slices.ContainsFunc(s.Tables, func(t table) bool { return len(t.Rows) > 0 })
		if rows || len(s.Paras)+len(s.Facts)+len(s.Drawings)+len(s.Items)+len(s.Whys) > 0 {
			d.sections = append(d.sections, s)
		}
	}
}

// section is a part of a document under one heading, which may be empty. What it holds is
// written in the order of the fields.
type section struct {
	Heading  string
	Shown    bool // left out of text, which says it in other words
	Said     bool // left out of the page and of paper
	Paras    []string
	Facts    []fact
	Dense    bool      // the facts are many and short: in columns on the page
	Verbatim []string  // lines drawn in letters, for text alone
	Drawings []drawing // side by side; left out of text
	Caption  string    // of the drawings
	Scaled   bool      // all drawings have one scale
	Wide     bool      // each drawing is as wide as the page
	Lettered bool      // on paper drawings stay large enough for their labels to be read
	Tables   []table
	Items    []string
	// Fold is how many items are seen at once; the page hides the rest until it is opened, and
	// text and paper have More in place of them. 0: all are seen; below 0: the page hides all,
	// and paper shows all.
	Fold     int
	More     string
	Numbered bool // the items are steps, done in order
	Whys     []recipe.Why
	Careful  bool // a caution about safety, drawn in another colour
}

// fact is a name with words about it. On the page a fact with a card is drawn as that card.
type fact struct {
	What, Words string
	Card        *pieceCard
}

// pieceCard shows one piece of cloth, or the pieces of a stack side by side.
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
	Says   string // read aloud in place of the picture
	Marked bool
}

// cardLine is a line of a card in a style of document.css; none is usual.
type cardLine struct{ Words, Style string }

// scale returns the share of the width of a page that one unit of the drawings takes where
// all have one scale: the widest drawing fits the page, and none is higher than half its width.
func (s section) scale() float64 {
	widest := 0.0
	for _, d := range s.Drawings {
		widest = max(widest, d.W, 2*d.H)
	}
	return 1 / max(widest, 1)
}

// table has rows, each of as many cells as there are columns.
type table struct {
	Columns []column
	Carry   bool // an empty first cell stands for the one above it, which is written again at the top of a sheet
	Rows    [][]cell
	Fold    int    // of rows, as of a section's items
	Whole   bool   // on paper, where nothing opens, all rows stand
	More    string // what the rows folded away are
	Lead    int    // on a narrow page the first so many cells of a row stand without their heads; 0: one
	Title   string // of the table on the page, where it opens and closes by it; may be empty
	Closed  bool   // by its title, at first
}

// column says how the cells of a column are written.
type column struct {
	Head   string
	Figure bool   // flush right, as figures are
	short  string // the head of short forms; empty: the same
	note   string // what the short forms mean
	mayGo  bool   // left out where all its cells are empty
	// give lists the turns, lowest first, in which a column is made narrower where text does
	// not fit the terminal: each turn gives it its next shorter form, and the last leaves it out.
	give []int
}

// columns returns columns with these heads; a head that begins with > is that of figures.
func columns(heads ...string) []column {
	return mapped(heads, func(h string) column {
		head, figure := strings.CutPrefix(h, ">")
		return column{Head: head, Figure: figure}
	})
}

// cell is a cell of a table: words, with a picture of cloth before them where it has a chip.
type cell struct {
	Words  string
	Narrow string // the words where text is narrow; empty: the same
	Chip   chip
	Exact  bool        // text without colours writes the code of the colour
	Bar    []cloth.Ink // of the whole width
	Codes  []cloth.Ink // in text: colours, drawn or written as codes, fewer from form to form
	Form   int         // of the codes
	Head   string      // on the page: of its column, where the words need it
	Figure bool        // on the page: as its column
}

// open returns the first members of a list, which are seen at once; see section.Fold.
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

// behind returns the members that are hidden until a list is opened.
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

// answered returns a table without its empty columns: those with mayGo, and all columns of a
// table that can be made narrower.
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

// step is a line of arithmetic. Depth is by how many levels it is indented.
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
