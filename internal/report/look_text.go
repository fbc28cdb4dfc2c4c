package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// Text writes l as tables to read. On a terminal with colours a piece's colours
// are drawn; in a pipe, on a plain terminal, or where NO_COLOR holds anything
// (no-color.org), their hex codes stand instead and no colour code is written.
// Where the width is short, words are shortened and then columns left out; a
// row is never broken.
func Text(w io.Writer, l Look, o TextOptions) error {
	var d Document
	if listed, more, remedies := first(l.Sheets); listed != nil {
		s := section{heading: "Look at these first"}
		for _, x := range listed {
			s.facts = append(s.facts, fact{l.label(x.Item), Doubts(x)})
		}
		if more > 0 {
			s.facts = append(s.facts, fact{"", moreWords(more)})
		}
		for i, r := range remedies {
			s.facts = append(s.facts, fact{[]string{"mend", ""}[min(i, 1)], r})
		}
		d.sections = append(d.sections, s)
	}
	for i, s := range l.Sheets {
		d.sections = append(d.sections, l.sheet(i, s)...)
	}
	if len(l.Shelf.Bins) > 0 {
		d.sections = append(d.sections, section{heading: "Colours and values", tables: []table{binTable(l.Shelf)}})
		var thin []string
		for _, g := range thinGroups(l.Shelf.Thin) {
			thin = append(thin, g.Reason+": "+strings.Join(g.Held, ", "))
		}
		for _, s := range []section{{heading: "Thin", paras: thin}, {heading: "Missing altogether", paras: missingWords(l.Shelf.Missing)}} {
			if s.paras != nil {
				d.sections = append(d.sections, s)
			}
		}
		d.sections = append(d.sections, l.stacks())
	}
	return d.Text(w, o)
}

// sheet is one photo: what was found, by which light and scale, and a row a piece.
func (l Look) sheet(i int, s cloth.Sheet) []section {
	head := section{heading: s.File + ": " + foundWords(s)}
	if len(l.Sheets) > 1 {
		head.heading = letter(i) + "  " + head.heading
	}
	if s.Kind != "" {
		head.heading += ", " + string(s.Kind)
	}
	if words := lightWords(s.Light); words != "" {
		head.facts = append(head.facts, fact{"light", words})
	}
	if len(s.Pieces) > 0 {
		head.facts = append(head.facts, fact{"scale", scaleWords(s.Scale)})
	}
	for _, n := range s.Notes {
		head.facts = append(head.facts, fact{"note", n})
	}
	if s.Left != nil {
		places, points := leftWords(s)
		head.facts = append(head.facts, fact{"", places + "; " + leftRemedy + ":"}, fact{"", points})
	}
	var notes section
	for _, p := range s.Pieces {
		if len(p.Notes) > 0 {
			notes.facts = append(notes.facts, fact{l.label(shelf.Item{Photo: i, Piece: p}) + ":", strings.Join(p.Notes, "; ")})
		}
	}
	return []section{head, {tables: l.pieces(i)}, notes}
}

// pieces is a row a piece of a photo.
func (l Look) pieces(photo int) []table {
	t := table{
		heads: []string{"no.", "colours", "colour", "value", "L*", "Munsell", "size", "cut", "print", "trust"},
		right: []bool{0: true, 4: true, 6: true, 9: true}, short: []string{3: "val."}, notes: []string{3: valueLegend},
		give: [][]int{nil, {3, 4, 11}, {5}, {2}, {7}, {1}, {6}, {10}, {8}, {9}},
	}
	for _, p := range l.Sheets[photo].Pieces {
		r := row(l.label(shelf.Item{Photo: photo, Piece: p}), "", familyWords(p), valueWords(p), fmt.Sprintf("%.0f", p.Lightness), p.Munsell, size(p), p.Cut, p.Print, percent(p.Trust))
		r[1].codes, r[2].narrow, r[3].narrow = p.Colours, string(p.Family), shortValueWords(p)
		t.rows = append(t.rows, r)
	}
	if t.rows == nil {
		return nil
	}
	return []table{t}
}

// binTable is the table of hue family × value: a row a family, the missing ones too,
// and a row of sums.
func binTable(s shelf.Shelf) table {
	g := gridOf(s)
	t := table{heads: []string{"colour"}, right: []bool{false}, short: []string{""}, notes: []string{""}, give: [][]int{nil}}
	for _, v := range cloth.Values {
		t.heads, t.right, t.short = append(t.heads, string(v)), append(t.right, true), append(t.short, shortValues[v])
		t.notes, t.give = append(t.notes, ""), append(t.give, []int{1, 2})
	}
	t.notes[1] = valueLegend
	t.heads, t.right, t.notes, t.give = append(t.heads, "all"), append(t.right, true), append(t.notes, "* thin"), append(t.give, []int{1})
	count := func(words string, thin bool) cell {
		if thin {
			return cell{words: words + " thin", narrow: words + "*"}
		}
		return cell{words: words, narrow: words}
	}
	for _, r := range g.rows {
		cells := row(string(r.family))
		for _, c := range r.cells {
			cells = append(cells, count(dashOrCount(c.count), c.thin))
		}
		all := dashOrCount(r.count)
		if r.count == 0 {
			all = "none"
		}
		t.rows = append(t.rows, append(cells, count(all, r.thin)))
	}
	sums := row("all")
	for _, n := range append(g.values, g.all) {
		sums = append(sums, count(dashOrCount(n), false))
	}
	t.rows = append(t.rows, sums)
	return t
}

// stacks is how to make stacks by colour, those that stay before those to bring.
func (l Look) stacks() section {
	s := section{heading: "Make these stacks", paras: []string{stackWords(l.Shelf.Stacks)}}
	for i, x := range l.Shelf.Stacks {
		words := strings.Join(l.labels(x.Stay), " ")
		if bring := strings.Join(l.labels(x.Bring), " "); bring != "" {
			words = strings.TrimPrefix(words+"; bring "+bring, "; ")
		}
		s.facts = append(s.facts, fact{strconv.Itoa(i+1) + ". " + string(x.Family) + ", " + string(x.Value), words})
	}
	if n := len(l.Shelf.Unnamed); n > 0 {
		s.items = []string{"in no stack, since their colour is not known: " + strings.Join(l.labels(l.Shelf.Unnamed), " ")}
	}
	return s
}
