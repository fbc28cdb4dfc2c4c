package report

import (
	"io"
	"strconv"
	"strings"

	"piecebag/internal/shelf"
)

// StashText writes the stash as tables to read, with colours as Text has them:
// none here, so that it reads the same in a pipe.
func StashText(w io.Writer, s Stash, o TextOptions) error {
	out := textWriter(w, o.Environ)
	t := text{width: o.Width, explained: map[string]bool{}}
	for _, l := range wrap(s.title()+": "+stashWords(s.Stock.Totals), t.width) {
		t.line(bold.Render(l))
	}
	if len(s.Stock.Boxes) > 0 {
		t.line("")
		columns := boxColumns(s.Stock)
		t.table(columns, len(s.Stock.Boxes))
		t.legend(columns)
	}
	if s.Stock.Totals.Bands > 0 {
		t.line("")
		t.para("", bandWords, 0)
	}
	if len(s.Stock.Yields) > 0 {
		t.heading("All strips together give")
		t.para("", "squares "+trimWords(s.Stock.Trim)+": "+yieldWords(s.Stock.Yields), 2)
	}
	if len(s.Stock.Balance.Families) > 0 {
		t.heading("Balance")
		t.para("  colour", partsLine(familyParts(s.Stock.Balance)), 10)
		t.para("  value", partsLine(valueParts(s.Stock.Balance)), 10)
	}
	if len(s.Stock.Short) > 0 {
		t.heading("Thin")
	}
	for _, x := range thinLines(s.Stock.Short) {
		t.para("", x, 2)
	}
	if missing := missingWords(s.Stock.Missing); len(missing) > 0 {
		t.heading("Missing altogether")
		for _, m := range missing {
			t.para("", m, 2)
		}
	}
	if s.Since != "" {
		t.heading("Changed since " + s.Since)
		t.para("", printable(Difference(s.Changes)), 2)
		for _, c := range Changes(s.Changes) {
			t.para("", printable(c), 4)
		}
	}
	_, err := io.WriteString(out, t.b.String())
	return err
}

// boxColumns is the table of the boxes, a row a box; a colour is named in its
// first row only.
func boxColumns(s shelf.Stock) []*column {
	colour := &column{head: []string{"colour"}}
	cut := &column{head: []string{"cut"}}
	pieces := &column{head: []string{"pieces", "pieces"}, right: true, give: []int{1}, short: "* thin"}
	seen := &column{head: []string{"note"}, give: []int{3}}
	prints := &column{head: []string{"prints"}, right: true, give: []int{2}}
	yields := &column{head: []string{"gives squares"}, give: []int{4}}
	for i, b := range s.Boxes {
		name := printable(b.Alike.String())
		if i > 0 && s.Boxes[i-1].Alike == b.Alike {
			name = ""
		}
		colour.cells = append(colour.cells, []string{name})
		cut.cells = append(cut.cells, []string{b.Cut.String()})
		_, thin := shortOf(s.Short, b)
		pieces.cells = append(pieces.cells, thinForms(heldWords(b), thin))
		seen.cells = append(seen.cells, []string{unsized(b)})
		prints.cells = append(prints.cells, []string{blankZero(b.Prints)})
		yields.cells = append(yields.cells, []string{yieldWords(b.Yields)})
	}
	var out []*column
	for _, c := range []*column{colour, cut, pieces, seen, prints, yields} {
		if c.answers() {
			out = append(out, c)
		}
	}
	return out
}

// answers tells whether any cell of a column says something.
func (c *column) answers() bool {
	for _, cell := range c.cells {
		if cell[0] != "" {
			return true
		}
	}
	return false
}

// heldWords is how much lies in a box: pieces, or an area where it was weighed.
func heldWords(b shelf.Box) string {
	if b.Count == 0 && b.AreaIn > 0 {
		return areaWords(b.AreaIn)
	}
	return strconv.Itoa(b.Count)
}

func blankZero(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// namedPart is a share of the whole with its name.
type namedPart struct {
	name string
	shelf.Part
}

func familyParts(b shelf.Balance) []namedPart {
	out := make([]namedPart, len(b.Families))
	for i, f := range b.Families {
		out[i] = namedPart{string(f.Family), f.Part}
	}
	return out
}

func valueParts(b shelf.Balance) []namedPart {
	out := make([]namedPart, len(b.Values))
	for i, v := range b.Values {
		out[i] = namedPart{string(v.Value), v.Part}
	}
	return out
}

func partsLine(parts []namedPart) string {
	words := make([]string, len(parts))
	for i, p := range parts {
		words[i] = p.name + " " + strconv.Itoa(p.Count) + " (" + percent(p.Share) + ")"
	}
	return strings.Join(words, ", ")
}
