package report

import (
	"io"
	"strings"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/colorprofile"
)

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

var bold = lipgloss.NewStyle().Bold(true)

func (t *text) line(s string) {
	t.b.WriteString(strings.TrimRight(s, " "))
	t.b.WriteByte('\n')
}

func (t *text) heading(s string) {
	for _, l := range wrap(printable(s), t.width) {
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
