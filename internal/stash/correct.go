package stash

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/family"
	"piecebag/internal/geom"
)

// said is a correction as it is kept. Of a merger Outline is always set, and
// Parts are the outlines of the pieces joined to it.
type said struct {
	Correction
	Merged bool           `json:"merged,omitempty"`
	Parts  []geom.Polygon `json:"parts,omitempty"`
}

// Correct says of one holding what the look got wrong. What is said of a piece
// of a photo stays with the photo and the piece's outline, and is said again
// when the photo is looked at again. What says that a piece is none, or is in
// another bin or in none, takes away what your bins learnt from it.
func (s *Stash) Correct(ctx context.Context, id int64, c Correction) (Change, error) {
	return s.CorrectAll(ctx, map[int64]Correction{id: c})
}

// CorrectAll makes the corrections of several holdings, by their numbers, in one
// change: all of them, or none.
func (s *Stash) CorrectAll(ctx context.Context, all map[int64]Correction) (Change, error) {
	ids := sortedKeys(all)
	var said []string
	of := map[string][]int64{}
	for _, id := range ids {
		c := all[id]
		if err := c.check(); err != nil {
			return Change{}, err
		}
		w := c.words()
		if of[w] == nil {
			said = append(said, w)
		}
		of[w] = append(of[w], id)
	}
	if len(ids) == 0 {
		return Change{}, refuse("correction", "it names no piece", "name the piece by its number")
	}
	what := make([]string, len(said))
	for i, w := range said {
		what[i] = fmt.Sprintf("%s %s: %s", cloth.Plural(len(of[w]), "piece"), numberList(of[w]), w)
	}
	return s.change(ctx, "correct", func(t *tx) (string, error) {
		for _, id := range ids {
			if err := t.correct(id, all[id]); err != nil {
				return "", err
			}
		}
		return some(what), nil
	})
}

func (t *tx) correct(id int64, c Correction) error {
	h, err := t.holding(id)
	if err != nil {
		return err
	}
	parts, err := t.partsOf(h, c.Merge)
	if err != nil {
		return err
	}
	if err := t.insidePhoto(h, c.Outline); err != nil {
		return err
	}
	k := said{Correction: c, Merged: len(parts) > 0, Parts: outlines(parts)}
	if k.Merged && k.Outline == nil {
		if k.Outline, err = t.joined(h, parts); err != nil {
			return err
		}
	}
	if err := t.learn(c, h, parts); err != nil {
		return err
	}
	if h.photo != 0 {
		if err := t.exec(`INSERT INTO correction (photo, outline, what) VALUES (?, ?, ?)`, h.photo, writeOutline(h.outline), asJSON(k)); err != nil {
			return err
		}
	}
	if c.NotAPiece {
		return t.remove(h, goneNotPiece)
	}
	for _, p := range parts {
		if err := t.remove(p, goneMerged); err != nil {
			return err
		}
	}
	rows := k.apply(h)
	if len(rows) > 1 {
		if err := t.remove(h, goneSplit); err != nil {
			return err
		}
	}
	return t.putAll(rows)
}

// Said is a correction of the piece of an outline, made before its photo came in.
type Said struct {
	Outline geom.Polygon `json:"of"` // full-size pixels of the upright photo
	Correction
}

// Says reports whether anything is corrected.
func (s Said) Says() bool { return s.words() != "" }

// say keeps what was said of a photo before it came in.
func (t *tx) say(photo int64, all []Said) error {
	for _, s := range all {
		if err := s.check(); err != nil {
			return err
		}
		if err := t.exec(`INSERT INTO correction (photo, outline, what) VALUES (?, ?, ?)`, photo, writeOutline(s.Outline), asJSON(said{Correction: s.Correction})); err != nil {
			return err
		}
	}
	return nil
}

func (c Correction) check() error {
	none, split, merge := c.NotAPiece, c.Split != 0, c.Merge != nil
	switch {
	case none && split || none && merge || split && merge:
		return refuse("correction", "not a piece, split and merge cannot be said together", "make them one after another")
	case c.Split < 0 || c.Split == 1 || c.Split > 100:
		return refuse("correction", "a piece cannot be split into so many", "give a number from 2 to 100")
	case c.Outline != nil && (len(c.Outline) < 3 || c.Outline.Area() == 0):
		return refuse("correction", "the outline encloses nothing", "give three corners or more")
	case c.Example != nil && (c.Bin == nil || !json.Valid(c.Example)):
		return refuse("correction", "it is not an example of a bin", "name the bin, or say that it is in none")
	case min(c.WidthIn, c.LengthIn) < 0:
		return refuse("correction", "no cloth has a side below 0", "give its width and its length")
	case c.Form == cloth.Square && c.WidthIn > 0 && c.LengthIn > 0 && c.WidthIn != c.LengthIn:
		return refuse("correction", "a square has one size", "give its width alone, or another form")
	case c.Form == cloth.Strip && c.LengthIn > 0 && c.LengthIn < c.WidthIn:
		return refuse("correction", "a strip is longer than it is wide", "give its width first, or another form")
	case c.words() == "":
		return refuse("correction", "it says nothing", "say what is wrong: family, value, size, outline, print, bin, split, merge or not a piece")
	}
	for _, name := range []*string{c.Print, c.Bin, c.Basket} {
		if name != nil {
			if err := shortNames(CleanName(*name)); err != nil {
				return err
			}
		}
	}
	return checkColour(c.Family, c.Value)
}

// partsOf reads the holdings that are parts of h.
func (t *tx) partsOf(h row, ids []int64) ([]row, error) {
	var parts []row
	for _, id := range slices.Compact(slices.Sorted(slices.Values(ids))) {
		p, err := t.holding(id)
		if err != nil {
			return nil, err
		}
		if p.ID == h.ID || p.photo != h.photo || h.photo == 0 {
			return nil, refuse(fmt.Sprintf("piece %d", id), "it is not another piece of the same photo", "merge pieces of one photo")
		}
		parts = append(parts, p)
	}
	return parts, nil
}

// joined returns the outline of a piece that was found in parts. What lies between
// them must be the piece's own.
func (t *tx) joined(h row, parts []row) (geom.Polygon, error) {
	all := append(outlines(parts), h.outline)
	whole, sideBySide := geom.Join(all)
	if whole == nil {
		return nil, nil
	}
	thing := fmt.Sprintf("piece %d", h.ID)
	if !sideBySide {
		return nil, refuse(thing, "the pieces to merge lie apart in the photo; parts of one piece lie side by side",
			"merge the parts alone, or give the outline of the whole piece; a photo of it in one piece is best")
	}
	rows, err := rowsOf(t.ctx, t, (*row).columns, selectRows+`WHERE h.photo = ? AND h.count > 0 ORDER BY h.id`, h.photo)
	if err != nil {
		return nil, err
	}
	for _, other := range rows {
		named := func(p row) bool { return p.ID == other.ID }
		if !slices.ContainsFunc(append(parts, h), named) && inside(other.outline, whole) {
			return nil, refuse(thing, fmt.Sprintf("piece %d lies between the pieces to merge", other.ID), "merge it too, or give the outline of the whole piece")
		}
	}
	return whole, nil
}

// insidePhoto refuses an outline with a corner outside the photo.
func (t *tx) insidePhoto(h row, outline geom.Polygon) error {
	if outline == nil || h.photo == 0 {
		return nil
	}
	var w, tall float64
	if err := t.one(`SELECT width, height FROM photo WHERE id = ?`, []any{h.photo}, &w, &tall); err != nil {
		return err
	}
	for _, p := range outline {
		switch {
		case !(p.X >= 0 && p.Y >= 0), w > 0 && !(p.X <= w), tall > 0 && !(p.Y <= tall):
			remedy := "give corners from 0,0 in full-size pixels of the upright photo"
			if w > 0 && tall > 0 {
				remedy = fmt.Sprintf("give corners from 0,0 to %.0f,%.0f, in full-size pixels of the upright photo", w, tall)
			}
			return refuse(fmt.Sprintf("corner %.6g,%.6g", p.X, p.Y), "it lies outside the photo", remedy)
		}
	}
	return nil
}

// learn keeps the example that a correction gives of a bin, and removes the one that it
// contradicts.
func (t *tx) learn(c Correction, h row, parts []row) error {
	gone := parts
	if c.Bin != nil || c.NotAPiece {
		gone = append([]row{h}, parts...)
	}
	for _, p := range gone {
		if err := t.exec(`DELETE FROM taught WHERE holding = ?`, p.ID); err != nil {
			return err
		}
	}
	if c.Example == nil {
		return nil
	}
	return t.exec(`INSERT INTO taught (bin, what, holding) VALUES (?, ?, ?)`, CleanName(*c.Bin), string(c.Example), h.ID)
}

// apply returns h with the correction k: one row, or the parts it is split into. What k
// says of its size counts for every part.
func (k said) apply(h row) []row {
	h.corrected = true
	if k.Outline != nil {
		h.reshape(k.Outline)
	}
	rows := []row{h}
	if k.Split > 1 {
		rows = h.split(k.Split)
	}
	for i := range rows {
		k.set(&rows[i])
	}
	return rows
}

// set sets the fields that k names.
func (k said) set(h *row) {
	if k.Family != "" && k.Family != h.Family {
		h.Family = k.Family
		if h.Measured {
			h.ReadsAs = family.Drawn(h.Colours, h.Mean, h.Family)
		}
	}
	if k.Value != "" {
		h.Value = k.Value
	}
	if k.Form != "" {
		h.Form = k.Form
	}
	k.setSize(h)
	for _, p := range []struct {
		to *string
		v  *string
	}{{&h.Print, k.Print}, {&h.Bin, k.Bin}, {&h.Basket, k.Basket}} {
		if p.v != nil {
			*p.to = CleanName(*p.v)
		}
	}
}

// setSize sets the sides that k names. The width of a square is its length too; a piece
// whose form k does not give takes the form of its new size.
func (k said) setSize(h *row) {
	if k.WidthIn > 0 {
		h.WidthIn = k.WidthIn
	}
	if k.LengthIn > 0 {
		h.LengthIn = k.LengthIn
	}
	switch square := h.Form == cloth.Square; {
	case k.Form == "" && k.WidthIn == 0 && k.LengthIn == 0:
	case square && k.LengthIn == 0:
		h.LengthIn = h.WidthIn
	case square && k.Form == cloth.Square:
		h.WidthIn = h.LengthIn
	case k.Form != "" || h.WidthIn == 0 || h.LengthIn == 0:
	case square || math.Abs(h.LengthIn-h.WidthIn) < eighth/2:
		h.Form = FormOfSize(min(h.WidthIn, h.LengthIn), max(h.WidthIn, h.LengthIn), h.Form)
	}
}

// reshape gives a piece another outline. Its lengths change as the sides of the box round
// it do, so that the photo's perspective stays allowed for.
func (h *row) reshape(outline geom.Polygon) {
	if slices.Equal(h.outline, outline) {
		return
	}
	if len(h.outline) >= 3 {
		w0, l0 := boxOf(h.outline)
		w1, l1 := boxOf(outline)
		if w0 > 0 && h.WidthIn > 0 {
			h.WidthIn = roundTo(h.WidthIn*w1/w0, eighth)
		}
		if l0 > 0 && h.LengthIn > 0 {
			h.LengthIn = roundTo(h.LengthIn*l1/l0, eighth)
		}
	}
	h.outline = outline
}

const eighth = 1. / 8 // inch, the mark of a quilting ruler

// boxOf returns the shorter and the longer side of the smallest box round an outline.
func boxOf(g geom.Polygon) (short, long float64) {
	r := geom.MinAreaRect(g)
	a, b := r[0].Dist(r[1]), r[1].Dist(r[2])
	return min(a, b), max(a, b)
}

// split cuts a piece across its length into n equal parts.
func (h row) split(n int) []row {
	parts := make([]row, n)
	var box [4]geom.Point
	if len(h.outline) >= 3 {
		box = geom.MinAreaRect(h.outline)
		if box[0].Dist(box[1]) < box[1].Dist(box[2]) {
			box = [4]geom.Point{box[1], box[2], box[3], box[0]}
		}
	}
	for i := range parts {
		p := h
		p.ID = 0
		if p.LengthIn /= float64(n); p.LengthIn < p.WidthIn && p.LengthIn > 0 {
			p.WidthIn, p.LengthIn = p.LengthIn, p.WidthIn
		}
		if p.Form = h.Form; p.LengthIn > 0 {
			p.Form = FormOfSize(p.WidthIn, p.LengthIn, h.Form)
		}
		if h.outline != nil {
			at := func(a, b geom.Point, k int) geom.Point { return a.Add(b.Sub(a).Mul(float64(k) / float64(n))) }
			p.outline = geom.Polygon{at(box[0], box[1], i), at(box[0], box[1], i+1), at(box[3], box[2], i+1), at(box[3], box[2], i)}
		}
		parts[i] = p
	}
	return parts
}
