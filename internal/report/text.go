package report

import (
	"fmt"
	"io"
	"strings"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/colorprofile"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// TextOptions say where the table goes.
type TextOptions struct {
	// Width is how many columns there are; 0 sets no limit, as in a pipe.
	Width int
	// Environ is the environment as os.Environ gives it; TERM, COLORTERM,
	// CLICOLOR_FORCE and NO_COLOR decide about colour.
	Environ []string
}

// Text writes l as tables to read. On a terminal with colours a piece's colours
// are drawn; in a pipe, on a plain terminal, or where NO_COLOR holds anything
// (no-color.org), their hex codes stand instead and no colour code is written.
// Where the width is short, words are shortened and then columns left out; a
// row is never broken.
func Text(w io.Writer, l Look, o TextOptions) error {
	out := textWriter(w, o.Environ)
	t := text{width: o.Width, swatches: out.Profile >= colorprofile.ANSI, explained: map[string]bool{}}
	t.first(l)
	for i, s := range l.Sheets {
		if i > 0 {
			t.line("")
		}
		t.sheet(l, i, s)
	}
	if len(l.Shelf.Bins) > 0 {
		t.bins(l)
		t.stacks(l)
	}
	_, err := io.WriteString(out, t.b.String())
	return err
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

var bold = lipgloss.NewStyle().Bold(true)

func (t *text) line(s string) {
	t.b.WriteString(strings.TrimRight(s, " "))
	t.b.WriteByte('\n')
}

func (t *text) heading(s string) {
	t.line("")
	for _, l := range wrap(s, t.width) {
		t.line(bold.Render(l))
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
		if i == 0 && lipgloss.Width(first) <= indent {
			t.line(first + strings.Repeat(" ", indent-lipgloss.Width(first)) + l)
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

// wrap breaks s at spaces into lines of at most width columns; a word longer
// than that stands alone and whole. Width 0 sets no limit. What fits is left as
// it is: a file name may hold two spaces.
func wrap(s string, width int) []string {
	if width <= 0 || lipgloss.Width(s) <= width {
		return []string{s}
	}
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		switch {
		case line == "":
			line = word
		case lipgloss.Width(line)+1+lipgloss.Width(word) > width:
			lines = append(lines, line)
			line = word
		default:
			line += " " + word
		}
	}
	return append(lines, line)
}

// first writes the pieces that are the likeliest wrong, and what mends them.
func (t *text) first(l Look) {
	listed, more, remedies := first(l.Sheets)
	if listed == nil {
		return
	}
	t.line(bold.Render("Look at these first"))
	for _, d := range listed {
		t.para("  "+l.label(d.Item), Doubts(d), 9)
	}
	if more > 0 {
		t.para("", moreWords(more), 9)
	}
	for i, r := range remedies {
		t.para([]string{"  mend", ""}[min(i, 1)], r, 9)
	}
	t.line("")
}

// sheet writes one photo: what was found, by which light and scale, and a row
// a piece.
func (t *text) sheet(l Look, i int, s cloth.Sheet) {
	head := printable(s.File) + ": " + foundWords(s)
	if len(l.Sheets) > 1 {
		head = letter(i) + "  " + head
	}
	if s.Kind != "" {
		head += ", " + string(s.Kind)
	}
	for _, h := range wrap(head, t.width) {
		t.line(bold.Render(h))
	}
	if words := lightWords(s.Light); words != "" {
		t.para("  light", words, 9)
	}
	if len(s.Pieces) > 0 {
		t.para("  scale", scaleWords(s.Scale), 9)
	}
	for _, n := range s.Notes {
		t.para("  note", printable(n), 9)
	}
	if s.Left != nil {
		places, points := leftWords(s)
		t.para("", places+"; "+leftRemedy+":", 9)
		t.para("", points, 9)
	}
	if len(s.Pieces) == 0 {
		return
	}
	t.line("")
	columns := t.pieceColumns(l, i)
	t.table(columns, len(s.Pieces))
	t.legend(columns)
	for _, p := range s.Pieces {
		if len(p.Notes) > 0 {
			t.para("  "+l.label(shelf.Item{Photo: i, Piece: p})+":", printable(strings.Join(p.Notes, "; ")), 9)
		}
	}
}

// bins writes the table of hue family × value with its thin bins, and what is
// missing.
func (t *text) bins(l Look) {
	t.heading("Colours and values")
	columns := binColumns(l.Shelf)
	t.table(columns, len(columns[0].cells))
	t.legend(columns)
	thin := thinGroups(l.Shelf.Thin)
	if len(thin) > 0 {
		t.heading("Thin")
	}
	for _, g := range thin {
		t.para("", g.Reason+": "+strings.Join(g.Held, ", "), 2)
	}
	missing := missingWords(l.Shelf.Missing)
	if len(missing) > 0 {
		t.heading("Missing altogether")
	}
	for _, m := range missing {
		t.para("", m, 2)
	}
}

func (t *text) stacks(l Look) {
	t.heading("Make these stacks")
	t.para("", stackWords(l.Shelf.Stacks), 2)
	names := make([]string, len(l.Shelf.Stacks))
	wide := 0
	for i, s := range l.Shelf.Stacks {
		names[i] = fmt.Sprintf("%3d. %s, %s  ", i+1, s.Family, s.Value)
		wide = max(wide, len(names[i]))
	}
	for i, s := range l.Shelf.Stacks {
		t.para(names[i], stackPieces(l, s), wide)
	}
	if n := len(l.Shelf.Unnamed); n > 0 {
		t.para("", "in no stack, since their colour is not known: "+strings.Join(l.labels(l.Shelf.Unnamed), " "), 2)
	}
}

// stackPieces lists a stack: those that stay, then those to bring.
func stackPieces(l Look, s shelf.Stack) string {
	stay, bring := strings.Join(l.labels(s.Stay), " "), strings.Join(l.labels(s.Bring), " ")
	switch {
	case bring == "":
		return stay
	case stay == "":
		return "bring " + bring
	}
	return stay + "; bring " + bring
}
