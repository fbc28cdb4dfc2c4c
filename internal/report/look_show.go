package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/shelf"
)

const (
	photoSide    = 1500 // longest side of an embedded photo, pixels
	greySide     = 1000
	cropSide     = 200
	photoQuality = 80 // of JPEG, 1..100
	cropQuality  = 84
)

// Text writes l as tables to read. On a terminal with colours a piece's colours
// are drawn; in a pipe, on a plain terminal, or where NO_COLOR holds anything
// (no-color.org), their hex codes stand instead and no colour code is written.
// Where the width is short, words are shortened and then columns left out; a
// row is never broken.
func Text(w io.Writer, l Looked, o TextOptions) error {
	d, err := l.document(nil, false)
	if err != nil {
		return err
	}
	return d.Text(w, o)
}

// HTML writes l as one self-contained page to look at and print: it asks for
// nothing from anywhere and runs no script. Photos are shrunk to photoSide and
// embedded; with no pictures the outlines stand on plain paper.
func HTML(w io.Writer, l Looked, pictures Pictures) error {
	d, err := l.document(pictures, true)
	if err != nil {
		return err
	}
	d.title, d.lead, d.fine = "What is in the bag", lead(l), []string{"The photos went nowhere."}
	return d.HTML(w)
}

// lead returns the first sentence of the page.
func lead(l Looked) string {
	s := "No pieces found"
	if n := len(l.Shelf.Items); n > 0 {
		s = fmt.Sprintf("%s of cloth in %s", cloth.Count(n, "piece"), cloth.Count(coloursOf(l.Shelf.Balance), "colour"))
	}
	if len(l.Sheets) > 0 {
		s += ", from " + cloth.Count(len(l.Sheets), "photo")
	}
	return s + "."
}

// document returns what was found: what may be wrong of it, photo by photo, and the stacks
// to make of it. Pictures and cards, which text does not show, are made where drawn is
// set.
func (l Looked) document(pictures Pictures, drawn bool) (Document, error) {
	var photos, every []section
	var cards []*pieceCard // of the items
	for i, s := range l.Sheets {
		var ph *photo
		if drawn {
			picture, err := pictures.at(i)
			if err != nil {
				return Document{}, fmt.Errorf("%s: %w", s.File, err)
			}
			if picture != nil {
				full := newPhoto(picture, s, photoSide)
				ph = &full
			}
		}
		photos = append(photos, l.sheet(i, ph, drawn)...)
		part := section{Shown: true}
		if len(l.Sheets) > 1 {
			part.Heading = letter(i) + "  " + base(s.File)
		}
		for _, p := range s.Pieces {
			c := l.card(shelf.Item{Photo: i, Piece: p}, ph)
			cards = append(cards, c)
			part.Facts = append(part.Facts, fact{What: c.Tiles[0].Words, Card: c})
		}
		if part.Facts != nil {
			every = append(every, part)
		}
	}
	var d Document
	d.sections = append(l.first(cards), photos...)
	if len(l.Shelf.Items) > 0 {
		var all []cloth.Holding
		for _, it := range l.Shelf.Items {
			p := it.Piece
			all = append(all, cloth.Holding{Form: cloth.Square, Count: 1, Family: p.Family, Value: p.Value, Measured: true, ReadsAs: p.ReadsAs})
		}
		d.sections = append(d.sections, theWhole(l.Shelf.Balance, tonesOf(all)))
	}
	if len(l.Shelf.Groups) > 0 {
		d.sections = append(d.sections,
			section{Heading: "Colours and values", Said: true, Tables: []table{l.binTable(false)}},
			section{Heading: "Colours and values", Shown: true, Tables: []table{l.binTable(true)}, Paras: []string{"Pieces of each colour and value, all cuts together. The patch shows their middle colour."}})
		d.add(section{Heading: "Thin", Paras: thinWords(l.Shelf.Thin)}, section{Heading: "Missing altogether", Paras: missingWords(l.Shelf.Missing)}, l.stacks(cards))
	}
	if every != nil {
		d.sections = append(d.sections, section{Heading: "Every piece", Shown: true, Paras: []string{"Pieces are shown as photographed. The colours beside them are the cloth's own, with the light of the room taken out."}})
		d.add(every...)
	}
	d.add(section{Heading: "Not read", Shown: true, Items: mapped(l.Refused, func(r Refused) string { return base(r.File) + ": " + printable(r.Error) })})
	return d, nil
}

// first returns the pieces of which something may well be wrong, with what mends it.
func (l Looked) first(cards []*pieceCard) []section {
	all := desk.DoubtedOf(l.Sheets)
	if len(all) == 0 {
		return nil
	}
	listed := all[:min(len(all), MostFirst)]
	s := section{Heading: "Look at these first"}
	for _, x := range listed {
		c := &pieceCard{Tiles: cards[l.index(x.Item)].Tiles, Lines: []cardLine{{Doubts(x), "doubt"}}}
		s.Facts = append(s.Facts, fact{l.label(x.Item), Doubts(x), c})
	}
	if n := len(all) - len(listed); n > 0 {
		s.Facts = append(s.Facts, fact{Words: "and " + cloth.Count(n, "piece") + " more" + l.Wording.Listed})
	}
	what := "mend"
	for _, m := range l.Wording.Mends {
		if slices.ContainsFunc(listed, func(d desk.Doubted) bool { return slices.Contains(d.Of, m.Of) }) {
			s.Facts = append(s.Facts, fact{What: what, Words: m.Words})
			what = ""
		}
	}
	return []section{s}
}

// index returns where a piece stands among the items.
func (l Looked) index(it shelf.Item) int {
	n := it.Piece.ID - 1
	for _, s := range l.Sheets[:it.Photo] {
		n += len(s.Pieces)
	}
	return n
}

// sheet returns one photo: what was found, by which light and scale, and a row a piece.
func (l Looked) sheet(i int, ph *photo, drawn bool) []section {
	s := l.Sheets[i]
	name := s.File
	if drawn { // a page may be shown to others: it does not tell where the photo lies
		name = base(name)
	}
	head := section{Heading: name + ": " + foundWords(s)}
	if len(l.Sheets) > 1 {
		head.Heading = letter(i) + "  " + head.Heading
	}
	if s.Kind != "" {
		head.Heading += ", " + string(s.Kind)
	}
	if words := lightWords(s.Light); words != "" {
		head.Facts = append(head.Facts, fact{What: "light", Words: words})
	}
	if len(s.Pieces) > 0 {
		head.Facts = append(head.Facts, fact{What: "scale", Words: scaleWords(s.Scale)})
	}
	for _, n := range s.Notes {
		head.Facts = append(head.Facts, fact{What: "note", Words: n})
	}
	if s.Left != nil {
		places, points := leftWords(s)
		head.Facts = append(head.Facts, fact{Words: places + l.Wording.TakeIn}, fact{Words: points})
	}
	notes := section{Said: true}
	var labels []string
	for _, p := range s.Pieces {
		label := l.label(shelf.Item{Photo: i, Piece: p})
		labels = append(labels, label)
		if len(p.Notes) > 0 {
			notes.Facts = append(notes.Facts, fact{What: label + ":", Words: strings.Join(p.Notes, "; ")})
		}
	}
	if drawn {
		head.photo(s, labels, ph, true)
	}
	return []section{head, {Said: true, Tables: l.pieces(i)}, notes}
}

// pieces returns a row a piece of a photo.
func (l Looked) pieces(photo int) []table {
	t := table{Columns: []column{
		{Head: "no.", Figure: true}, {Head: "colours", give: []int{3, 4, 11}}, {Head: "colour", give: []int{5}},
		{Head: "value", short: "val.", note: valueLegend, give: []int{2}}, {Head: "L*", Figure: true, give: []int{7}}, {Head: "Munsell", give: []int{1}},
		{Head: "size", Figure: true, give: []int{6}}, {Head: "cut", give: []int{10}}, {Head: "print", give: []int{8}}, {Head: "trust", Figure: true, give: []int{9}},
	}}
	for _, p := range l.Sheets[photo].Pieces {
		family, value := cell{Words: familyWords(p), Narrow: string(p.Family)}, cell{Words: valueWords(p), Narrow: shortValueWords(p)}
		t.add(l.label(shelf.Item{Photo: photo, Piece: p}), cell{Codes: p.Colours}, family, value, fmt.Sprintf("%.0f", p.Lightness), p.Munsell, size(p), p.Cut, p.Print, percent(p.Trust))
	}
	if t.Rows == nil {
		return nil
	}
	return []table{t}
}

// card shows a piece with all that is known of it.
func (l Looked) card(it shelf.Item, ph *photo) *pieceCard {
	p := it.Piece
	name := "no colour"
	if p.Family != "" {
		name = familyWords(p) + ", " + valueWords(p)
	}
	x := tile{Words: l.label(it), Says: "piece " + l.label(it) + ": " + name, Chip: plainChip(p.ReadsAs)}
	cut := p.Cut
	if cut == "" {
		cut = size(p)
	} else {
		x.Says += ", " + cut
	}
	if cut == "" {
		cut = "size not known"
	}
	if ph != nil {
		if m := ph.crop(p, cropSide, cardPaper); m != nil {
			x.Chip.Crop = cropOf(m, cropQuality)
		}
	}
	c := &pieceCard{Tiles: []tile{x}, Reads: &p.ReadsAs, Colours: p.Colours, Lines: []cardLine{{name, "strong"}, {cut, ""}}}
	if p.Cut != "" && size(p) != "" {
		c.Lines = append(c.Lines, cardLine{"measured " + size(p), "small"})
	}
	if p.Print != "" {
		c.Lines = append(c.Lines, cardLine{"print " + cloth.ShortPrint(p.Print), "small"})
	}
	c.Lines = append(c.Lines, cardLine{strings.TrimSpace(fmt.Sprintf("L* %.0f  %s", p.Lightness, p.Munsell)), "small"})
	trust := cardLine{sure(p.Trust) + ", " + percent(p.Trust), "small"}
	if p.Trust < desk.Doubtful {
		trust = cardLine{trust.Words + ": look for yourself", "small doubt"}
	}
	c.Lines = append(c.Lines, trust)
	if len(p.Notes) > 0 {
		c.Lines = append(c.Lines, cardLine{printable(strings.Join(p.Notes, "; ")), "small"})
	}
	return c
}

// binTable returns the table of hue family × value, all cuts together: a row a family, the
// missing ones too, and a row of sums. On the page it shows the middle colours and
// leaves empty what is not held.
func (l Looked) binTable(shown bool) table {
	t := table{Columns: columns("colour")}
	for _, v := range cloth.Values {
		t.Columns = append(t.Columns, column{Head: string(v), Figure: true, short: shortValues[v], give: []int{1, 2}})
	}
	t.Columns[1].note = valueLegend
	t.Columns = append(t.Columns, column{Head: "all", Figure: true, note: "* thin", give: []int{1}})
	if shown {
		for i := range t.Columns {
			t.Columns[i].give = nil
		}
	}
	count := func(n int, thin bool) cell {
		words := dashOrCount(n)
		switch {
		case thin:
			return cell{Words: words + " thin", Narrow: words + "*"}
		case shown && n == 0:
			return cell{}
		}
		return cell{Words: words, Narrow: words}
	}
	sums := make([]int, len(cloth.Values)+1)
	for _, f := range cloth.Families {
		var all []int
		r := row(string(f))
		for i, v := range cloth.Values {
			var items []int
			for _, b := range l.Shelf.Groups {
				if b.Family == f && b.Value == v {
					items = append(items, b.Items...)
				}
			}
			_, thin := thinCell(l.Shelf.Thin, f, v)
			c := count(len(items), thin)
			if shown {
				c.Chip = l.middle(items)
			}
			r = append(r, c)
			sums[i] += len(items)
			all = append(all, items...)
		}
		sums[len(cloth.Values)] += len(all)
		_, thin := thinCell(l.Shelf.Thin, f, "")
		c := count(len(all), thin)
		if len(all) == 0 {
			if f == cloth.Many {
				continue
			}
			c = cell{Words: strings.Replace(c.Words, "–", "none", 1), Narrow: strings.Replace(c.Narrow, "–", "none", 1)}
			if c.Words == "" {
				c.Words = "none"
			}
		}
		if shown {
			r[0].Chip = l.middle(all)
		}
		t.Rows = append(t.Rows, append(r, c))
	}
	last := row("all")
	for _, n := range sums {
		last = append(last, count(n, false))
	}
	t.Rows = append(t.Rows, last)
	return t
}

// middle returns the middle colour of some pieces; an empty chip where there are none.
func (l Looked) middle(items []int) chip {
	var t tone
	for _, i := range items {
		t.add(1, l.Shelf.Items[i].Piece.ReadsAs.OKLab())
	}
	if t.measured == 0 {
		return chip{}
	}
	return plainChip(t.fill(l.Shelf.Items[items[0]].Piece.ReadsAs))
}

// stacks returns how to make stacks by colour, those that stay before those to bring.
func (l Looked) stacks(cards []*pieceCard) section {
	s := section{Heading: "Make these stacks", Paras: []string{stackWords(l.Shelf.Stacks)}}
	for i, x := range l.Shelf.Stacks {
		words := strings.Join(l.labels(x.Stay), " ")
		if bring := strings.Join(l.labels(x.Bring), " "); bring != "" {
			words = strings.TrimPrefix(words+"; bring "+bring, "; ")
		}
		c := &pieceCard{Title: cloth.Count(x.Len(), "piece")}
		if len(x.Stay) == 0 {
			c.Title += ", bring " + map[bool]string{true: "it", false: "all"}[x.Len() == 1]
		}
		for _, k := range x.Stay {
			c.Tiles = append(c.Tiles, cards[k].Tiles[0])
		}
		for _, k := range x.Bring {
			b := cards[k].Tiles[0]
			if len(x.Stay) > 0 {
				b.Words, b.Marked = "bring "+b.Words, true
			}
			c.Tiles = append(c.Tiles, b)
		}
		s.Facts = append(s.Facts, fact{strconv.Itoa(i+1) + ". " + string(x.Family) + ", " + string(x.Value), words, c})
	}
	if n := len(l.Shelf.Unnamed); n > 0 {
		s.Items = []string{"in no stack, since their colour is not known: " + strings.Join(l.labels(l.Shelf.Unnamed), " ")}
	}
	return s
}
