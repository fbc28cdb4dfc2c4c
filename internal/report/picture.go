package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

// The contact sheet's measures, in pixels.
const (
	contactWide    = 1600 // at most
	contactMargin  = 48
	contactText    = 15 // type size; a line is contactLine high
	contactLine    = 20
	contactBar     = 9 // the strip of a piece's colours
	contactGap     = 12
	contactThread  = 2
	contactQuality = 92 // of JPEG, 1..100
)

// tileSide returns how wide a piece's place is: the more pieces, the narrower, but
// never too narrow for its words.
func tileSide(pieces int) float64 {
	switch {
	case pieces <= 60:
		return 168
	case pieces <= 200:
		return 132
	}
	return 116
}

// Picture writes l as a PNG contact sheet: every piece cut out, straightened
// and labelled, hue family after hue family along the shelves, each from light
// to dark; then one shelf of what was left out.
func Picture(w io.Writer, l Looked, pictures Pictures) error {
	c := newContact(l)
	for i, s := range l.Sheets {
		picture, err := pictures.at(i)
		if err != nil {
			return fmt.Errorf("%s: %w", s.File, err)
		}
		var ph *photo
		if picture != nil && len(s.Pieces)+len(s.Left) > 0 {
			full := newPhoto(picture, s, 2*photoSide)
			ph = &full
		}
		for _, t := range slices.Concat(c.places, c.left) {
			if t.photo == i {
				c.tile(ph, t)
			}
		}
	}
	return c.writePNG(w)
}

// contact is a contact sheet in the making.
type contact struct {
	drawing
	side         float64 // of a tile
	columns      int     // of tiles
	places, left []place
}

// place is where a piece, or something left out, goes and what is said of it.
type place struct {
	at    geom.Point // the top left of its tile
	name  string     // of the shelf, which those beside it may share
	photo int
	cloth.Piece
	label string
	lines []string // after the label, the last softly
}

// newContact lays the sheet out and draws all but the pieces.
func newContact(l Looked) *contact {
	c := &contact{side: tileSide(len(l.Shelf.Items))}
	c.Line = contactThread
	c.columns = int((contactWide - 2*contactMargin + contactGap) / (c.side + contactGap))
	for _, k := range shelf.Sorted(l.Shelf.Items) {
		it := l.Shelf.Items[k]
		c.places = append(c.places, place{
			name: cmp.Or(string(it.Piece.Family), "no colour"), photo: it.Photo, Piece: it.Piece, label: l.label(it),
			lines: []string{string(it.Piece.Family), string(it.Piece.Value), cmp.Or(it.Piece.Cut, size(it.Piece))},
		})
	}
	for i, s := range l.Sheets {
		for _, g := range s.Left {
			x, y := leftAt(g)
			where := fmt.Sprintf("at %.0f,%.0f", x, y)
			if len(l.Sheets) > 1 {
				where = letter(i) + " " + where
			}
			c.left = append(c.left, place{photo: i, Piece: cloth.Piece{Polygon: g.Polygon}, lines: []string{where, percent(g.Trust)}})
		}
	}
	name := "left out, as too doubtful"
	if more := len(c.left) - c.columns; more > 0 { // one shelf of them
		name += fmt.Sprintf(" (%d more)", more)
		c.left = c.left[:c.columns]
	}
	for i := range c.left {
		c.left[i].name = name
	}
	c.W = 2*contactMargin + float64(c.columns)*(c.side+contactGap) - contactGap
	top := contactMargin + float64(3+len(l.Sheets))*contactLine
	c.H = max(top, c.lay(c.left, c.lay(c.places, top))-contactGap) + contactMargin
	c.write(contactMargin, contactMargin+contactLine, typeface{true, 2 * contactText}, false, titleOf(l))
	for i, s := range l.Sheets { // which letter is which photo, and in which nothing was found
		n := base(s.File) + ": " + foundWords(s)
		if len(l.Sheets) > 1 {
			n = letter(i) + "  " + n
		}
		c.write(contactMargin, contactMargin+float64(i+3)*contactLine, usualType, true, usualType.fit(n, c.W-2*contactMargin))
	}
	for _, r := range slices.Concat(c.runs(c.places), c.runs(c.left)) {
		at := r.first.at.Sub(geom.Point{Y: contactGap})
		c.write(at.X, at.Y-8, boldType, false, r.name)
		c.stitch(at, at.Add(geom.Point{X: float64(r.tiles)*(c.side+contactGap) - contactGap}))
	}
	return c
}

// lay puts tiles on shelves from y on, and says where the next would stand.
func (c *contact) lay(places []place, y float64) float64 {
	high := contactLine + contactGap + c.side + contactBar + 4 + 3*contactLine + 2*contactGap // of a shelf
	for i := range places {
		across, down := float64(i%c.columns), float64(i/c.columns)
		places[i].at = geom.Point{X: contactMargin + across*(c.side+contactGap), Y: y + down*high + contactLine + contactGap}
	}
	return y + float64((len(places)+c.columns-1)/c.columns)*high
}

// run is tiles side by side under one name.
type run struct {
	name  string
	first place
	tiles int
}

// runs returns the runs of tiles of one name; a name that goes on from the shelf before says so.
func (c *contact) runs(places []place) (out []run) {
	for i, p := range places {
		same := i > 0 && places[i-1].name == p.name
		switch {
		case !same:
			out = append(out, run{p.name, p, 1})
		case i%c.columns == 0:
			out = append(out, run{p.name + ", more", p, 1})
		default:
			out[len(out)-1].tiles++
		}
	}
	return out
}

// The type of the contact sheet.
var usualType, boldType = typeface{false, contactText}, typeface{true, contactText}

func titleOf(l Looked) string {
	if len(l.Shelf.Items) == 0 {
		return "No pieces found"
	}
	return cloth.Count(len(l.Shelf.Items), "piece") + " by colour, light to dark"
}

// tile draws a piece above its colours and what is said of it; what was left out, which
// has none, stands in a dashed frame.
func (c *contact) tile(ph *photo, t place) {
	left := t.label == ""
	inset := 0.0
	if left {
		inset = 4
	}
	foot := t.at.Y + c.side
	if ph == nil {
		if !left {
			c.Shapes = append(c.Shapes, plainChip(t.ReadsAs).fill(rect(t.at.X, foot-c.side/2, c.side/2, c.side/2)))
		}
	} else if cut := ph.crop(t.Piece, int(c.side-2*inset), contactPaper); cut != nil {
		crop := cropOf(cut, contactQuality)
		s := chip{Crop: crop}.fill(rect(t.at.X+inset, foot-inset-float64(crop.H), float64(crop.W), float64(crop.H)))
		s.Seamless = true
		c.Shapes = append(c.Shapes, s)
	}
	y, after := foot, 0.0
	if left {
		c.stitch(rect(t.at.X+1, t.at.Y+1, c.side-2, c.side-2)...)
	} else {
		x := t.at.X
		for _, s := range t.Colours {
			c.Shapes = append(c.Shapes, shape{Points: rect(x, y+4, s.Share*c.side, contactBar), Fill: s.Colour, Seamless: true})
			x += s.Share * c.side
		}
		if x > t.at.X {
			c.Shapes = append(c.Shapes, shape{Points: rect(t.at.X+1, y+5, c.side-2, contactBar-2), Hollow: true})
		}
		y += 2 + contactBar
		c.write(t.at.X, y+contactLine, boldType, false, t.label)
		after = boldType.wide(t.label + " ")
	}
	for i, words := range t.lines {
		c.write(t.at.X+after, y+float64(i+1)*contactLine, usualType, i == len(t.lines)-1, usualType.fit(words, c.side-after))
		after = 0
	}
}
