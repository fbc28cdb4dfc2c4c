package desk

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/look"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// Mend is what you say of one photo before it is stowed: of the photo, of where its
// pieces lie, and of what they are. It is kept as JSON. The zero value says nothing.
type Mend struct {
	Kind       cloth.Kind   `json:"kind,omitempty"`
	Rows, Cols int          `json:",omitempty"`
	White      *geom.Point  `json:"white,omitempty"`       // a white place, full-size pixels
	PxPerInch  float64      `json:"px_per_inch,omitempty"` // 0: it is found
	Cuts       []float64    `json:"cuts,omitempty"`        // the widths you cut, inches; nil: the usual ones
	Crop       *look.Window `json:"crop,omitempty"`        // what is looked at; nil: all of it
	Board      geom.Polygon `json:"board,omitempty"`       // its four corners, the upper left one first; nil: they are found
	Said       []SaidOfLook `json:"said,omitempty"`
	// Drawn are the outlines of all pieces where you changed any, nil where they are as
	// found; Found are those that were found before, and FoundKind what was said there.
	Drawn     []geom.Polygon `json:"drawn,omitempty"`
	Found     []geom.Polygon `json:"found,omitempty"`
	FoundKind cloth.Kind     `json:"found_kind,omitempty"`
}

// SaidOfLook is what you say of the piece of an outline: a correction, or that it is right.
type SaidOfLook struct {
	stash.Said
	Right bool `json:"right,omitempty"` // where nothing was wrong, or nothing more
}

// Options returns how the photo is to be looked at.
func (m Mend) Options() look.Options {
	o := look.Options{Kind: m.Kind, Rows: m.Rows, Cols: m.Cols, White: m.White, PxPerInch: m.PxPerInch, Cuts: m.Cuts, Crop: m.Crop, Outline: m.Board}
	if m.Drawn != nil {
		o.Pieces, o.PiecesFrom, o.Rows, o.Cols, o.Crop, o.Outline = m.Drawn, "what you drew", 0, 0, nil, nil
		if o.Kind == "" {
			o.Kind = m.FoundKind
		}
	}
	return o
}

// sameOutline is the overlap of two outlines, 0..1, from which what was said of one counts
// for the other.
const sameOutline = 0.6

// of returns the index of what was said of an outline, -1 where nothing was.
func (m Mend) of(g geom.Polygon) int {
	return likest(m.Said, func(s SaidOfLook) geom.Polygon { return s.Outline }, g)
}

// Apply returns a look as you mended it, and the pieces that you say are no cloth. One of
// these that the look no longer shows has its outline alone, and a number after all others.
// What you said of a piece has full trust.
func (m Mend) Apply(s cloth.Sheet) (mended cloth.Sheet, none []cloth.Piece) {
	mended = s
	mended.Pieces = nil
	last := 0
	for _, p := range s.Pieces {
		last = max(last, p.ID)
		i := m.of(p.Polygon)
		if i >= 0 && m.Said[i].NotAPiece {
			none = append(none, p)
			continue
		}
		if i >= 0 {
			m.Said[i].apply(&p)
		}
		mended.Pieces = append(mended.Pieces, p)
	}
	for _, said := range m.Said {
		if said.NotAPiece && !shows(s, said.Outline) {
			last++
			none = append(none, cloth.Piece{ID: last, Polygon: said.Outline})
		}
	}
	return mended, none
}

// shows reports whether a look has a piece of an outline.
func shows(s cloth.Sheet, g geom.Polygon) bool {
	return likest(s.Pieces, outlineOf, g) >= 0
}

// Restore takes back that something is no cloth. Where the look s no longer shows it, it is
// drawn again; drawn then says that the photo has to be looked at again.
func (m *Mend) Restore(s cloth.Sheet, g geom.Polygon) (drawn bool) {
	m.TakeBack(g)
	if shows(s, g) {
		return false
	}
	if m.Drawn == nil {
		shown, _ := m.Apply(s)
		m.outlined(shown)
	}
	m.Drawn = append(m.Drawn, g)
	return true
}

func (s SaidOfLook) apply(p *cloth.Piece) {
	if s.Family != "" || s.Right {
		p.FamilyOr, p.FamilyTrust = "", 1
	}
	if s.Family != "" && s.Family != p.Family {
		p.Family, p.With = s.Family, ""
	}
	if s.Value != "" || s.Right {
		p.ValueOr, p.ValueTrust = "", 1
	}
	if s.Value != "" {
		p.Value = s.Value
	}
	if s.WidthIn > 0 {
		if square := math.Abs(p.LengthIn-p.WidthIn) < 1./16; square || p.LengthIn == 0 {
			p.LengthIn = s.WidthIn
		}
		p.WidthIn, p.Cut, p.SizeTrust = s.WidthIn, cutNamed(p.Cut, s.WidthIn, p.LengthIn), 1
	}
	if s.Right && p.SizeTrust > 0 {
		p.SizeTrust = 1
	}
	if s.Right {
		p.Trust = 1
	}
	if s.Print != nil {
		p.Print = *s.Print
	}
}

// cutNamed names a cut by its sides, inches, where it was a square, a strip or a rectangle
// before; another by its width alone.
func cutNamed(was string, width, length float64) string {
	form := cloth.FormOfCut(was)
	if form == "" {
		return shelf.Length(width)
	}
	short, long := min(width, length), max(width, length)
	if form = stash.FormOfSize(short, long, form); form == cloth.Rectangle {
		return shelf.Size(short, long) + " rectangle"
	}
	return shelf.Length(short) + " " + string(form)
}

// Stow returns the corrections to be kept with a photo that is stowed, so that a later look
// at it keeps them too.
func (m Mend) Stow() []stash.Said {
	var out []stash.Said
	for _, g := range m.Drawn {
		if !slices.ContainsFunc(m.Found, func(f geom.Polygon) bool { return slices.Equal(f, g) }) {
			out = append(out, stash.Said{Outline: g, Correction: stash.Correction{Outline: g}})
		}
	}
	for _, s := range m.Said {
		if s.Said.Says() {
			out = append(out, s.Said)
		}
	}
	return out
}

// Say corrects pieces of a look as it is mended, by their outlines.
func (m *Mend) Say(c stash.Correction, right bool, outlines ...geom.Polygon) {
	for _, g := range outlines {
		i := m.of(g)
		if i < 0 {
			m.Said = append(m.Said, SaidOfLook{Said: stash.Said{Outline: g}})
			i = len(m.Said) - 1
		}
		s := &m.Said[i]
		s.Outline = g
		if c.NotAPiece {
			s.Correction, s.Right = c, false
			continue
		}
		s.NotAPiece = false
		s.Right = s.Right || right
		if c.Family != "" {
			s.Family = c.Family
		}
		if c.Value != "" {
			s.Value = c.Value
		}
		if c.WidthIn > 0 {
			s.WidthIn = c.WidthIn
		}
		if c.Print != nil {
			s.Print = c.Print
		}
	}
}

// TakeBack forgets what was said of the piece of an outline.
func (m *Mend) TakeBack(g geom.Polygon) {
	if i := m.of(g); i >= 0 {
		m.Said = slices.Delete(m.Said, i, i+1)
	}
}

// outlined begins to say where pieces lie, from a look as it is mended.
func (m *Mend) outlined(s cloth.Sheet) {
	if m.Drawn == nil {
		m.FoundKind = s.Kind
		for _, p := range s.Pieces {
			m.Found = append(m.Found, p.Polygon)
		}
	}
	m.Drawn = nil
	for _, p := range s.Pieces {
		m.Drawn = append(m.Drawn, p.Polygon)
	}
}

// Draw adds a piece to a look as it is mended: of one point what lies there, of two
// what lies in their box, of more the outline.
func (m *Mend) Draw(s cloth.Sheet, g geom.Polygon) error {
	if err := drawable(s, g, 1); err != nil {
		return err
	}
	m.outlined(s)
	m.Drawn = append(m.Drawn, g)
	m.isCloth(g)
	return nil
}

// Reshape gives piece i of a look as it is mended, from 0, another outline.
func (m *Mend) Reshape(s cloth.Sheet, i int, g geom.Polygon) error {
	if err := drawable(s, g, 3); err != nil {
		return err
	}
	m.outlined(s)
	if k := m.of(m.Drawn[i]); k >= 0 {
		m.Said[k].Outline = g
	}
	m.Drawn[i] = g
	return nil
}

// leastPart is the share of a piece that each part of it has when it is split, 0..1.
const leastPart = 0.02

// Split parts piece i of a look as it is mended, from 0, along the line through two
// places. The hue family, the value and the print that you said of it are those of its parts;
// the cut that you said is of neither.
func (m *Mend) Split(s cloth.Sheet, i int, a, b geom.Point) error {
	g := s.Pieces[i].Polygon
	if a == b {
		return fault.Usage("the line", "its two places are one", "give two places, one on each side of the piece")
	}
	line := geom.LineThrough(a, b)
	one, other := g.Side(line, 1), g.Side(line, -1)
	if least := leastPart * g.Area(); one.Area() < least || other.Area() < least {
		return fault.Usage("the line", fmt.Sprintf("it does not cross piece %d", s.Pieces[i].ID), "draw it across the piece, from one side to the other")
	}
	m.outlined(s)
	m.handOn([]geom.Polygon{g}, one, other)
	m.Drawn[i] = one
	m.Drawn = slices.Insert(m.Drawn, i+1, other)
	return nil
}

// handOn gives the hue family, the value and the print that were said of some pieces to
// others of the same cloth; where they differ, those of the first.
func (m *Mend) handOn(from []geom.Polygon, to ...geom.Polygon) {
	var c stash.Correction
	for _, g := range from {
		if i := m.of(g); i >= 0 {
			c.Family = cmp.Or(c.Family, m.Said[i].Family)
			c.Value = cmp.Or(c.Value, m.Said[i].Value)
			c.Print = cmp.Or(c.Print, m.Said[i].Print)
			m.TakeBack(g)
		}
	}
	if (stash.Said{Correction: c}).Says() {
		for _, g := range to {
			m.Said = append(m.Said, SaidOfLook{Said: stash.Said{Outline: g, Correction: c}})
		}
	}
}

// Forgot returns, in words, what an earlier mend said of an outline that is gone and is
// said of none that took its place.
func (m Mend) Forgot(was Mend) []string {
	words := func(of, in []SaidOfLook) (out []string) { // said of outlines that only the one has
		for _, s := range of {
			if slices.ContainsFunc(in, func(o SaidOfLook) bool { return slices.Equal(o.Outline, s.Outline) }) {
				continue
			}
			out = append(out, correctionWords(s.Correction)...)
		}
		return out
	}
	stay := words(m.Said, was.Said)
	return slices.DeleteFunc(words(was.Said, m.Said), func(w string) bool { return slices.Contains(stay, w) })
}

// Merge makes pieces of a look as it is mended, from 0, one. What you said of the cloth of
// any counts for the whole, and where they differ that of the one named first.
func (m *Mend) Merge(s cloth.Sheet, which []int) error {
	if len(which) < 2 {
		return fault.Usage("", "one piece cannot be merged", "choose two or more that are parts of one piece")
	}
	var parts []geom.Polygon
	for _, i := range which {
		parts = append(parts, s.Pieces[i].Polygon)
	}
	whole, ok := geom.Join(parts)
	if !ok {
		return fault.Usage("", "they lie apart in the photo; parts of one piece lie side by side", "choose the parts alone, or draw the whole piece")
	}
	for i, p := range s.Pieces {
		if !slices.Contains(which, i) && whole.Contains(p.Polygon.Centroid()) {
			return fault.Usage("", fmt.Sprintf("together they would lie over piece %d", p.ID), "choose pieces that lie side by side")
		}
	}
	m.outlined(s)
	m.handOn(parts, whole)
	m.Drawn[which[0]] = whole
	for _, i := range slices.Backward(slices.Sorted(slices.Values(which[1:]))) {
		m.Drawn = slices.Delete(m.Drawn, i, i+1)
	}
	return nil
}

// MayJoin returns the numbers of the pieces of a look that may be parts of one piece with
// p: of one print, side by side, with nothing else between.
func MayJoin(s cloth.Sheet, p cloth.Piece) []int {
	var out []int
	for _, o := range s.Pieces {
		if o.ID == p.ID || o.Print != p.Print || p.Print == "" {
			continue
		}
		whole, ok := geom.Join([]geom.Polygon{p.Polygon, o.Polygon})
		if own := p.Polygon.Area() + o.Polygon.Area(); !ok || own < snug*whole.Area() {
			continue
		}
		if !slices.ContainsFunc(s.Pieces, func(q cloth.Piece) bool {
			return q.ID != p.ID && q.ID != o.ID && whole.Contains(q.Polygon.Centroid())
		}) {
			out = append(out, o.ID)
		}
	}
	return out
}

// snug is how much of their hull two parts of one piece fill, 0..1.
const snug = 0.85

// Settle puts the outlines that a look found in place of the points and boxes that were
// given.
func (m *Mend) Settle(s cloth.Sheet) {
	for i := range m.Drawn {
		if len(m.Drawn[i]) < 3 && i < len(s.Pieces) {
			m.Drawn[i] = s.Pieces[i].Polygon
			m.isCloth(m.Drawn[i])
		}
	}
}

// isCloth forgets that what lies at an outline is no cloth.
func (m *Mend) isCloth(g geom.Polygon) {
	if i := m.of(g); i >= 0 && m.Said[i].NotAPiece {
		m.TakeBack(g)
	}
}

// leastDrawn is the least that a drawn piece covers, pixels of the photo: a colour is read
// from many pixels. Our choice.
const leastDrawn = 10 * 10

// covers returns the area inside an outline, or inside the box of two corners, in square
// pixels.
func covers(g geom.Polygon) float64 {
	if len(g) == 2 {
		lo, hi := g.Bounds()
		return (hi.X - lo.X) * (hi.Y - lo.Y)
	}
	return g.Area()
}

// drawable refuses an outline that is not one, or does not lie in the photo.
func drawable(s cloth.Sheet, g geom.Polygon, least int) error {
	const remedy = "tap its corners in order, one round of it"
	switch {
	case len(g) < least || len(g) > mostPoints:
		return fault.Usage("the outline", fmt.Sprintf("it has %s", cloth.Count(len(g), "corner")), remedy)
	case slices.ContainsFunc(g, func(p geom.Point) bool {
		return !(p.X >= 0 && p.Y >= 0 && p.X <= float64(s.Width) && p.Y <= float64(s.Height))
	}):
		return fault.Usage("the outline", fmt.Sprintf("a corner lies outside the photo of %d × %d pixels", s.Width, s.Height), remedy)
	case len(g) > 2 && crosses(g):
		return fault.Usage("the outline", "it crosses itself", remedy)
	case len(g) > 1 && covers(g) < leastDrawn:
		return fault.Usage("the outline", fmt.Sprintf("it encloses next to nothing, %.0f pixels of the photo; a piece has %d or more", covers(g), leastDrawn), "tap its corners where the edge of the piece is, or come nearer with the camera")
	}
	return nil
}

// Differs reports whether anything is said that an earlier mend does not say; nil says
// nothing.
func (m Mend) Differs(before *Mend) bool {
	written := func(m Mend) string {
		data, _ := json.Marshal(m) // of numbers, words and places: it does not fail
		return string(data)
	}
	now := written(m)
	return now != written(Mend{}) && (before == nil || now != written(*before))
}

// Clone returns a copy to change.
func (m Mend) Clone() *Mend {
	m.Said = slices.Clone(m.Said)
	m.Drawn, m.Found = slices.Clone(m.Drawn), slices.Clone(m.Found)
	return &m
}

func outlineOf(p cloth.Piece) geom.Polygon { return p.Polygon }

// likest returns the index of the member of all whose outline is the same piece as g, -1
// for none.
func likest[T any](all []T, of func(T) geom.Polygon, g geom.Polygon) int {
	at, most := -1, sameOutline
	for i, o := range all {
		if v := geom.IoU(of(o), g); v >= most {
			at, most = i, v
		}
	}
	return at
}

// correctionWords returns in words what a correction says of a piece of a photo.
func correctionWords(c stash.Correction) (out []string) {
	if c.NotAPiece {
		out = append(out, "no cloth")
	}
	if c.Outline != nil {
		out = append(out, "drawn")
	}
	print, cut := "", ""
	if c.Print != nil {
		print = "print " + cloth.ShortPrint(*c.Print)
	}
	if c.WidthIn > 0 {
		cut = "cut " + shelf.Length(c.WidthIn)
	}
	for _, w := range []string{string(c.Family), string(c.Value), print, cut} {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}
