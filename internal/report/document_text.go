package report

import (
	"cmp"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/charmbracelet/colorprofile"
	"github.com/charmbracelet/x/ansi"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// Text writes the document as words and tables, without its drawings; colours
// and width are those of Text.
func (d Document) Text(w io.Writer, o TextOptions) error {
	out := textWriter(w, o.Environ)
	t := text{width: o.Width, swatches: out.Profile >= colorprofile.ANSI, explained: map[string]bool{}}
	title, lead := d.title, d.lead
	if d.opening != "" {
		title, lead = d.opening, ""
	}
	if title != "" {
		t.heading(title)
	}
	if lead != "" {
		t.para("", printable(lead), 0)
	}
	for _, s := range d.sections {
		t.section(s)
	}
	for i, f := range d.fine {
		if i == 0 {
			t.line("")
		}
		t.para("", printable(f), 0)
	}
	_, err := io.WriteString(out, t.b.String())
	return err
}

func (t *text) section(s section) {
	if s.silent() {
		return
	}
	if t.b.Len() > 0 {
		t.line("")
	}
	if s.Heading != "" {
		t.heading(s.Heading)
	}
	for _, p := range s.Paras {
		t.para("", printable(p), 2)
	}
	wide := factWide
	for _, f := range s.Facts {
		wide = max(wide, 4+ansi.StringWidth(f.What))
	}
	for _, f := range s.Facts {
		t.para("  "+printable(f.What), printable(f.Words), wide)
	}
	for _, l := range s.Verbatim {
		t.line("  " + l)
	}
	shared := t.together(s.Tables)
	for _, tab := range s.Tables {
		t.cells(tab, shared)
	}
	for i, item := range open(s.Items, s.Fold) {
		mark := "  - "
		if s.Numbered {
			mark = "  " + strconv.Itoa(i+1) + ". "
		}
		t.para(mark, printable(item), max(4, ansi.StringWidth(mark)))
	}
	if len(behind(s.Items, s.Fold)) > 0 {
		t.para("  - ", printable(s.More), 4)
	}
	for _, w := range s.Steps() {
		t.para("", printable(w.Words), 2+2*w.Depth)
	}
}

// silent reports whether a section has nothing to say without its drawings.
func (s section) silent() bool {
	return s.Shown || (s.Heading == "" || s.Drawings != nil) && len(s.Paras)+len(s.Facts)+len(s.Verbatim)+len(s.Tables)+len(s.Items)+len(s.Whys) == 0
}

// factWide is the least that the words of facts are set in by.
const factWide = 9

// wordsLeast is how narrow the widest column of words becomes before a row is
// broken into lines of its own.
const wordsLeast = 16

// together returns the widths that columns of all of some tables have, so that they stand
// under one another; nil where they have not as many, or some would give way.
func (t *text) together(tabs []table) (wide []int) {
	if len(tabs) < 2 {
		return nil
	}
	for i, tab := range tabs {
		tab.Rows = open(tab.Rows, tab.Fold)
		if slices.ContainsFunc(tab.Columns, func(c column) bool { return c.give != nil || c.mayGo }) || i > 0 && len(tab.Columns) != len(wide) {
			return nil
		}
		for k, w := range t.widths(tab) {
			if i == 0 {
				wide = append(wide, w)
			}
			wide[k] = max(wide[k], w)
		}
	}
	return wide
}

// cells writes a table, its columns as wide as is said, where so many are; where it is wider than the place, columns give way, and then
// the cells of the widest are broken over several lines.
func (t *text) cells(tab table, wide []int) {
	tab = tab.answered()
	folded := len(behind(tab.Rows, tab.Fold)) > 0
	tab.Rows = open(tab.Rows, tab.Fold)
	if len(tab.Rows) == 0 && folded {
		t.para("", printable(tab.More), 2)
		return
	}
	tab, told := t.narrowed(tab)
	widths := t.widths(tab)
	if len(widths) == len(wide) {
		widths = slices.Clone(wide)
	}
	if over := tab.indent() + spread(widths) - t.width; t.width > 0 && over > 0 {
		widest := slices.Index(widths, slices.Max(widths))
		widths[widest] = max(wordsLeast, widths[widest]-over)
	}
	t.cellLine(tab, tab.head(), widths)
	for _, r := range tab.Rows {
		t.cellLine(tab, r, widths)
	}
	if folded {
		t.para("", printable(tab.More), 2)
	}
	t.once(told)
}

// spread returns how many columns of letters a table of such columns takes, but for the
// two that it may be set in by.
func spread(widths []int) int {
	total := -columnGap
	for _, w := range widths {
		total += w + columnGap
	}
	return total
}

func (t *text) widths(tab table) []int {
	out := make([]int, len(tab.Columns))
	for i, c := range tab.Columns {
		out[i] = ansi.StringWidth(c.Head)
		for _, r := range tab.Rows {
			out[i] = max(out[i], ansi.StringWidth(t.cellWords(r[i])))
		}
	}
	return out
}

// narrowed returns the table with as many columns in their short form or left out as make
// it fit, and what the short forms mean.
func (t *text) narrowed(tab table) (table, []string) {
	used := make([]int, len(tab.Columns)) // how often a column gave way
	last := 0
	for _, c := range tab.Columns {
		last = max(last, slices.Max(append(c.give, 0)))
	}
	for turn := 1; t.width > 0 && turn <= last && tab.indent()+spread(t.widths(tab.answered())) > t.width; turn++ {
		for i, c := range tab.Columns {
			if slices.Contains(c.give, turn) {
				tab.giveWay(i)
				used[i]++
			}
		}
	}
	var told []string
	for i, c := range tab.Columns {
		if used[i] == 1 {
			told = append(told, c.note)
		}
	}
	return tab.answered(), told
}

// giveWay turns a column to its next form, or leaves it out where there is none.
func (t table) giveWay(c int) {
	has := slices.ContainsFunc(t.Rows, func(r []cell) bool {
		return r[c].Narrow != "" || r[c].Codes != nil && r[c].Form < len(hexCodes)-1
	})
	if has {
		t.Columns[c].Head = cmp.Or(t.Columns[c].short, t.Columns[c].Head)
	}
	for _, r := range t.Rows {
		switch {
		case !has:
			r[c] = cell{}
		case r[c].Codes != nil:
			r[c].Form++
		case r[c].Narrow != "":
			r[c].Words, r[c].Narrow = r[c].Narrow, ""
		}
	}
}

// indent is by how many spaces the table is set in.
func (t table) indent() int {
	if t.gives() {
		return 0
	}
	return 2
}

// once writes what short forms mean, each once a report.
func (t *text) once(notes []string) {
	notes = slices.DeleteFunc(notes, func(n string) bool { return n == "" || t.explained[n] })
	for _, n := range notes {
		t.explained[n] = true
	}
	if len(notes) > 0 {
		t.para("", strings.Join(notes, ", "), 0)
	}
}

func (t *text) cellWords(c cell) string {
	s := printable(c.Words)
	switch {
	case c.Codes != nil:
		s = t.codeWords(c)
	case c.Chip.Some && t.swatches:
		s = onColour(c.Chip.Reads, 2) + " " + s
	case c.Chip.Some && c.Exact:
		s = c.Chip.Reads.Hex() + " " + s
	}
	return strings.TrimRight(s, " ")
}

// onColour returns a run of blank terminal columns whose background is c.
func onColour(c colour.Linear, columns int) string {
	return ansi.NewStyle().BackgroundColor(ansi.HexColor(c.Hex())).Styled(strings.Repeat(" ", columns))
}

// Colours are drawn over swatchWide columns, as wide as their shares, or written as
// this many hex codes.
var (
	swatchWide = []int{10, 5, 3}
	hexCodes   = []int{3, 2, 1}
)

func (t *text) codeWords(c cell) string {
	var b strings.Builder
	if !t.swatches {
		for _, s := range c.Codes[:min(hexCodes[c.Form], len(c.Codes))] {
			b.WriteString(s.Colour.Hex() + " ")
		}
		return b.String()
	}
	for i, n := range apportion(c.Codes, swatchWide[c.Form]) {
		if n > 0 {
			b.WriteString(onColour(c.Codes[i].Colour, n))
		}
	}
	return b.String()
}

func (t *text) cellLine(tab table, cells []cell, widths []int) {
	broken := make([][]string, len(cells))
	lines := 0
	for i, c := range cells {
		broken[i] = wrap(t.cellWords(c), widths[i])
		lines = max(lines, len(broken[i]))
	}
	for l := range lines {
		var b strings.Builder
		b.WriteString(strings.Repeat(" ", tab.indent()))
		for i := range cells {
			words := ""
			if l < len(broken[i]) {
				words = broken[i][l]
			}
			pad := strings.Repeat(" ", max(0, widths[i]-ansi.StringWidth(words)))
			if tab.Columns[i].Figure {
				words = pad + words
			} else {
				words += pad
			}
			b.WriteString(words + strings.Repeat(" ", columnGap))
		}
		t.line(b.String())
	}
}

// columnGap is how many spaces stand between columns.
const columnGap = 2

// apportion divides columns of letters over swatches by their shares: each ends at the
// column nearest to where its share of the whole does.
func apportion(swatches []cloth.Ink, columns int) []int {
	out := make([]int, len(swatches))
	total := 0.0
	for _, s := range swatches {
		total += s.Share
	}
	if !(total > 0) {
		return out
	}
	end, x := 0, 0.0
	for i, s := range swatches {
		x += s.Share / total
		out[i] = int(math.Round(x*float64(columns))) - end
		end += out[i]
	}
	return out
}

// TextOptions say where the table goes.
type TextOptions struct {
	// Width is how many columns there are; 0 sets no limit, as in a pipe.
	Width int
	// Environ is the environment as os.Environ gives it; TERM, COLORTERM,
	// CLICOLOR_FORCE and NO_COLOR decide about colour.
	Environ []string
}

// textWriter takes out of what is written the codes that w cannot show.
func textWriter(w io.Writer, environ []string) *colorprofile.Writer {
	out := colorprofile.NewWriter(w, environ)
	for _, e := range environ {
		if v, ok := strings.CutPrefix(e, "NO_COLOR="); ok && v != "" {
			out.Profile = min(out.Profile, colorprofile.ASCII)
		}
	}
	return out
}

// text gathers the lines of one report.
type text struct {
	b        strings.Builder
	width    int // 0: no limit
	swatches bool
	// explained holds the short forms whose meaning was written already.
	explained map[string]bool
}

func (t *text) line(s string) {
	t.b.WriteString(strings.TrimRight(strings.ReplaceAll(s, noBreak, " "), " "))
	t.b.WriteByte('\n')
}

func (t *text) heading(s string) {
	for _, l := range wrap(printable(s), t.width) {
		t.line(ansi.NewStyle().Bold().Styled(l))
	}
}

// para writes s over as many lines as it takes, all but the first set in by
// indent.
func (t *text) para(first, s string, indent int) {
	room := 0
	if t.width > 0 {
		if t.width < indent+16 {
			indent = min(indent, 5)
		}
		room = max(1, t.width-indent)
	}
	for i, l := range wrap(s, room) {
		if i == 0 && ansi.StringWidth(first) <= indent {
			t.line(first + strings.Repeat(" ", indent-ansi.StringWidth(first)) + l)
			continue
		}
		if i == 0 && first != "" {
			for _, f := range wrap(strings.TrimSpace(first), max(1, t.width-2)) {
				t.line("  " + f)
			}
		}
		t.line(strings.Repeat(" ", indent) + l)
	}
}

// noBreak is a space at which no line ends.
const noBreak = "\u00a0"

// wrap breaks s at spaces into lines of at most width columns; a word longer
// than that stands alone and whole. Width 0 sets no limit. What fits is left as
// it is: a file name may hold two spaces.
func wrap(s string, width int) []string {
	if width <= 0 || ansi.StringWidth(s) <= width {
		return []string{s}
	}
	var lines []string
	line := ""
	for _, word := range strings.FieldsFunc(s, breaks) {
		switch {
		case line == "":
			line = word
		case ansi.StringWidth(line)+1+ansi.StringWidth(word) > width:
			lines = append(lines, line)
			line = word
		default:
			line += " " + word
		}
	}
	return append(lines, line)
}

// breaks reports whether a line may end at a letter.
func breaks(r rune) bool { return unicode.IsSpace(r) && string(r) != noBreak }
