package stash

import (
	"cmp"
	"database/sql"
	"errors"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/palette"
)

// Two photos show one print where that is likely enough. Which prints are
// compared at all goes by their mean colour, whose error is that of the light of two
// photos: the nearest few, each as its last pieces show it.
const (
	mostPrints = 24
	mostMarks  = 4
)

// printID finds a print by name, or adds it without colours; nil for no name.
func (t *tx) printID(name string) (any, error) {
	if name == "" {
		return nil, nil
	}
	var id int64
	err := t.one(`SELECT id FROM print WHERE name = ?`, []any{name}, &id)
	if errors.Is(err, sql.ErrNoRows) {
		id, err = t.insert(`INSERT INTO print (name) VALUES (?)`, name)
	}
	return id, err
}

// measurePrint notes the mean colour of a print that was known by its name alone.
func (t *tx) measurePrint(id any, mean colour.Lab) error {
	return t.exec(`UPDATE print SET l = ?, a = ?, b = ? WHERE id = ? AND l IS NULL`, mean.L, mean.A, mean.B, id)
}

// labelMark begins a print's label that holds in one photo alone. No name has
// it: CleanName sees to that.
const labelMark = "\x00"

// group is the pieces of one label.
type group struct {
	label string
	rows  []row
	mean  colour.Lab // of their means
}

// groupsOf returns the pieces whose Print is still a label, by labels in the order in which
// they come.
func groupsOf(rows []row) []group {
	var out []group
	at := map[string]int{}
	for _, h := range rows {
		if !strings.HasPrefix(h.Print, labelMark) {
			continue
		}
		i, ok := at[h.Print]
		if !ok {
			i = len(out)
			at[h.Print] = i
			out = append(out, group{label: h.Print})
		}
		out[i].rows = append(out[i].rows, h)
	}
	for i := range out {
		var mean colour.Linear
		for _, h := range out[i].rows {
			for c := range mean {
				mean[c] += h.Mean[c] / float64(len(out[i].rows))
			}
		}
		out[i].mean = mean.Lab()
	}
	return out
}

// signatureOf returns the signature of one print by the marks of its pieces; ok is false
// where none can be read.
func signatureOf(marks []string) (s palette.Signature, ok bool) {
	var all []palette.Signature
	for _, m := range marks {
		if s, err := palette.ReadMark(m); err == nil {
			all = append(all, s)
		}
	}
	if len(all) == 0 {
		return palette.Signature{}, false
	}
	return palette.Merge(all), true
}

// namePrints gives the pieces of one photo whose Print is still a label of that photo the
// stash's own name: that of the print they are likely of, where no label took it, else a
// new one; and says which prints those of a new name may be.
func (t *tx) namePrints(rows []row) ([]MayBe, error) {
	groups := groupsOf(rows)
	names, may, err := t.known(groups)
	if err != nil {
		return nil, err
	}
	var doubts []MayBe
	for _, g := range groups {
		if names[g.label] != "" {
			continue
		}
		if names[g.label], err = t.newPrint(g.mean); err != nil {
			return nil, err
		}
		if m, ok := may[g.label]; ok {
			m.Print = names[g.label]
			for _, h := range g.rows {
				m.Pieces = append(m.Pieces, h.Piece)
			}
			doubts = append(doubts, m)
		}
	}
	for i := range rows {
		if name, ok := names[rows[i].Print]; ok {
			rows[i].Print = name
		}
		if err := t.agree(&rows[i]); err != nil {
			return nil, err
		}
	}
	return doubts, nil
}

// agree gives a piece that lies between two names the name that most other pieces of its
// print have, where that is one of the two: so one cloth has one name in all photos.
func (t *tx) agree(h *row) error {
	if h.or == "" || h.corrected || h.Print == "" {
		return nil
	}
	var most cloth.Family
	err := t.one(`SELECT family FROM holding JOIN print ON print.id = holding.print
		WHERE print.name = ? AND measured AND photo <> ?
		GROUP BY family ORDER BY SUM(count) DESC, family LIMIT 1`, []any{h.Print, h.photo}, &most)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err == nil && most == h.or {
		h.Family, h.ReadsAs = most, family.Drawn(h.Colours, h.Mean, most)
	}
	return err
}

// known names the groups that show a print of the stash, and those that may, by their
// labels.
func (t *tx) known(groups []group) (names map[string]string, may map[string]MayBe, err error) {
	prints, err := t.litPrints()
	if err != nil {
		return nil, nil, err
	}
	names, may = map[string]string{}, map[string]MayBe{}
	var fresh []palette.Signature
	var of []string // label of each
	var near []int64
	for _, g := range groups {
		var marks []string
		for _, h := range g.rows {
			marks = append(marks, h.Mark)
		}
		s, ok := signatureOf(marks)
		if !ok {
			continue
		}
		fresh, of = append(fresh, s), append(of, g.label)
		for _, print := range nearest(g.mean, prints) {
			if !slices.Contains(near, print) {
				near = append(near, print)
			}
		}
	}
	seen, err := t.sightings(near)
	if err != nil {
		return nil, nil, err
	}
	nameOf := func(id int64) string {
		return prints[slices.IndexFunc(prints, func(p lit) bool { return p.print == id })].name
	}
	for i, g := range palette.Known(fresh, seen, len(prints)) {
		switch {
		case g.Print != 0:
			names[of[i]] = nameOf(g.Print)
		case g.MayBe.Print != 0:
			may[of[i]] = MayBe{Known: nameOf(g.MayBe.Print), Trust: g.MayBe.Trust}
		}
	}
	return names, may, nil
}

// sightings returns how the last pieces of prints show them, those of one photo together.
func (t *tx) sightings(prints []int64) ([]palette.Sighting, error) {
	type seen struct{ print, photo int64 }
	type piece struct {
		seen
		mark string
	}
	pieces, err := rowsOf(t.ctx, t, func(p *piece) []any { return []any{&p.print, &p.photo, &p.mark} }, `SELECT print, photo, mark FROM json_each(?) AS p JOIN holding ON holding.id IN
			(SELECT id FROM holding WHERE print = p.value AND mark <> '' ORDER BY id DESC LIMIT ?)
		ORDER BY p.key, holding.id`, asJSON(prints), mostMarks)
	if err != nil {
		return nil, err
	}
	var order []seen
	marks := map[seen][]string{}
	for _, p := range pieces {
		if marks[p.seen] == nil {
			order = append(order, p.seen)
		}
		marks[p.seen] = append(marks[p.seen], p.mark)
	}
	out := make([]palette.Sighting, 0, len(order))
	for _, of := range order {
		if s, ok := signatureOf(marks[of]); ok {
			out = append(out, palette.Sighting{Print: of.print, Photo: of.photo, Signature: s})
		}
	}
	return out, nil
}

// lit is a print, its mean colour and light, and how far that is from another's.
type lit struct {
	print int64
	name  string
	mean  colour.Lab
	light palette.Light
	away  float64
}

// litPrints returns the prints that were measured.
func (t *tx) litPrints() ([]lit, error) {
	prints, err := rowsOf(t.ctx, t, func(p *lit) []any { return []any{&p.print, &p.name, &p.mean.L, &p.mean.A, &p.mean.B} },
		`SELECT id, name, l, a, b FROM print WHERE l IS NOT NULL ORDER BY id`)
	for i := range prints {
		prints[i].light = palette.LightOf(prints[i].mean.Linear())
	}
	return prints, err
}

// nearest lists the prints whose mean is nearest, at most mostPrints.
func nearest(mean colour.Lab, prints []lit) []int64 {
	var near []lit
	light := palette.LightOf(mean.Linear())
	for _, p := range prints {
		if p.away = light.Apart(p.light); p.away <= palette.FarLight {
			near = append(near, p)
		}
	}
	slices.SortStableFunc(near, func(a, b lit) int { return cmp.Compare(a.away, b.away) })
	return eachAs(near[:min(len(near), mostPrints)], func(p lit) int64 { return p.print })
}

// newPrint notes a print under the next free number.
func (t *tx) newPrint(mean colour.Lab) (name string, err error) {
	id, err := t.insert(`INSERT INTO print (name, l, a, b) VALUES ('', ?, ?, ?)`, mean.L, mean.A, mean.B)
	if err != nil {
		return "", err
	}
	for n := id; ; n++ {
		name = cloth.NumberedPrint(n)
		taken, err := t.printKnown(name)
		if err != nil {
			return "", err
		}
		if !taken {
			return name, t.exec(`UPDATE print SET name = ? WHERE id = ?`, name, id)
		}
	}
}
