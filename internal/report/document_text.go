package report

import (
	"io"
	"strconv"
	"strings"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/colorprofile"
)

// Text writes the document as words and tables, without its drawings; colours
// and width are those of Text.
func (d Document) Text(w io.Writer, o TextOptions) error {
	out := textWriter(w, o.Environ)
	t := text{width: o.Width, swatches: out.Profile >= colorprofile.ANSI, explained: map[string]bool{}}
	for _, l := range wrap(printable(d.title), t.width) {
		t.line(bold.Render(l))
	}
	if d.lead != "" {
		t.para("", printable(d.lead), 0)
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
	t.heading(s.heading)
	for _, p := range s.paras {
		t.para("", printable(p), 2)
	}
	for _, l := range s.verbatim {
		t.line("  " + l)
	}
	for _, tab := range s.tables {
		t.cells(tab)
	}
	for i, item := range s.items {
		mark := "  - "
		if s.numbered {
			mark = "  " + strconv.Itoa(i+1) + ". "
		}
		t.para(mark, printable(item), max(4, lipgloss.Width(mark)))
	}
	flatWhys(s.whys, 0, func(depth int, words string) { t.para("", printable(words), 2+2*depth) })
}

// silent tells whether a section has nothing to say without its drawings.
func (s section) silent() bool {
	return len(s.paras)+len(s.verbatim)+len(s.tables)+len(s.items)+len(s.whys) == 0
}

// wordsLeast is how narrow the widest column of words becomes before a row is
// broken into lines of its own.
const wordsLeast = 16

// cells writes a table; where it is wider than the place, the cells of its
// widest column are broken over several lines.
func (t *text) cells(tab table) {
	widths := make([]int, len(tab.heads))
	total := 2 - columnGap
	for i, h := range tab.heads {
		widths[i] = lipgloss.Width(h)
		for _, r := range tab.rows {
			widths[i] = max(widths[i], lipgloss.Width(t.cellWords(r[i])))
		}
		total += widths[i] + columnGap
	}
	if t.width > 0 && total > t.width {
		widest := 0
		for i, w := range widths {
			if w > widths[widest] {
				widest = i
			}
		}
		widths[widest] = max(wordsLeast, widths[widest]-(total-t.width))
	}
	t.cellLine(tab, row(tab.heads...), widths)
	for _, r := range tab.rows {
		t.cellLine(tab, r, widths)
	}
}

func (t *text) cellWords(c cell) string {
	s := printable(c.words)
	switch {
	case c.patch && t.swatches:
		s = lipgloss.NewStyle().Background(lipgloss.Color(c.colour.Hex())).Render("  ") + " " + s
	case c.patch && c.exact:
		s = c.colour.Hex() + " " + s
	}
	return strings.TrimRight(s, " ")
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
		b.WriteString("  ")
		for i := range cells {
			words := ""
			if l < len(broken[i]) {
				words = broken[i][l]
			}
			pad := strings.Repeat(" ", max(0, widths[i]-lipgloss.Width(words)))
			if tab.figures(i) {
				words = pad + words
			} else {
				words += pad
			}
			b.WriteString(words + strings.Repeat(" ", columnGap))
		}
		t.line(b.String())
	}
}
