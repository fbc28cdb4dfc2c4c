package report

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/shelf"
)

// The contact sheet's measures, in pixels.
const (
	contactWide   = 1600 // at most
	contactMargin = 48
	contactText   = 15 // type size; a line is contactLine high
	contactLine   = 20
	contactBar    = 9 // the strip of a piece's colours
	contactGap    = 12
)

// The contact sheet's colours are those of document.css.
var (
	contactPaper = color.RGBA{0xf5, 0xf0, 0xe6, 0xff}
	contactInk   = color.RGBA{0x2a, 0x25, 0x20, 0xff}
	contactSoft  = color.RGBA{0x5b, 0x52, 0x47, 0xff}
	contactEdge  = color.RGBA{0x85, 0x7a, 0x6a, 0xff}
	contactRule  = color.RGBA{0x7c, 0x33, 0x29, 0xff}
)

// tileSide is how wide a piece's place is: the more pieces, the narrower, but
// never too narrow for its words.
func tileSide(pieces int) int {
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
// to dark.
func Picture(w io.Writer, l Look, pictures Pictures) error {
	c, err := newContact(l)
	if err != nil {
		return err
	}
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
		for _, p := range c.places {
			if it := l.Shelf.Items[p.item]; it.Photo == i {
				c.piece(ph, it, p.at)
			}
		}
		for _, p := range c.left {
			if p.photo == i {
				c.leftOut(ph, p)
			}
		}
	}
	return writePNG(w, c.out)
}

// contact is a contact sheet in the making.
type contact struct {
	out           *image.RGBA
	look          Look
	side, wide    int // of a tile, of the whole
	columns       int
	places        []place
	left          []leftPlace
	regular, bold font.Face
	title         font.Face
}

// place is where a piece goes: the top left of its tile.
type place struct {
	item int
	at   image.Point
}

// leftPlace is where something left out goes.
type leftPlace struct {
	photo int
	cloth.LeftOut
	at image.Point
}

// run is a part of one hue family that lies on one shelf.
type run struct {
	family cloth.Family
	at     image.Point // left end of its edge
	pieces int
	more   bool // it began on the shelf before
}

// newContact lays the sheet out and draws all but the pieces.
func newContact(l Look) (*contact, error) {
	c := &contact{look: l, side: tileSide(len(l.Shelf.Items))}
	c.columns = (contactWide - 2*contactMargin + contactGap) / (c.side + contactGap)
	c.wide = 2*contactMargin + c.columns*(c.side+contactGap) - contactGap
	var err error
	for _, f := range []struct {
		face *font.Face
		ttf  []byte
		size float64
	}{{&c.regular, goregular.TTF, contactText}, {&c.bold, gobold.TTF, contactText}, {&c.title, gobold.TTF, 2 * contactText}} {
		if *f.face, err = newFace(f.ttf, f.size); err != nil {
			return nil, err
		}
	}
	y := contactMargin + 2*contactLine
	notes := c.notes()
	y += (len(notes) + 1) * contactLine
	var runs []run
	for i, k := range shelf.Sorted(l.Shelf.Items) {
		f := l.Shelf.Items[k].Piece.Family
		column := i % c.columns
		if column == 0 && i > 0 {
			y += c.tileHeight() + contactGap
		}
		at := image.Pt(contactMargin+column*(c.side+contactGap), y)
		same := len(runs) > 0 && runs[len(runs)-1].family == f
		if column == 0 || !same {
			runs = append(runs, run{family: f, at: at, more: same})
		}
		runs[len(runs)-1].pieces++
		c.places = append(c.places, place{item: k, at: at.Add(image.Pt(0, contactLine+contactGap))})
	}
	if len(runs) > 0 {
		y += c.tileHeight()
	}
	at := image.Pt(contactMargin, y)
	if len(runs) > 0 {
		at.Y += contactGap
	}
	more := 0
	for i, s := range l.Sheets {
		for _, g := range s.Left {
			if len(c.left) == c.columns { // one shelf of them
				more++
				continue
			}
			c.left = append(c.left, leftPlace{i, g, at.Add(image.Pt(len(c.left)*(c.side+contactGap), contactLine+contactGap))})
		}
	}
	if c.left != nil {
		y = at.Y + c.tileHeight()
	}
	c.out = image.NewRGBA(image.Rect(0, 0, c.wide, y+contactMargin))
	draw.Draw(c.out, c.out.Rect, image.NewUniform(contactPaper), image.Point{}, draw.Src)
	c.words(c.title, contactInk, contactMargin, contactMargin+contactLine, titleOf(l))
	for i, n := range notes {
		c.words(c.regular, contactSoft, contactMargin, contactMargin+(i+3)*contactLine, n)
	}
	if c.left != nil {
		name := "left out, as too doubtful"
		if more > 0 {
			name += fmt.Sprintf(" (%d more)", more)
		}
		c.words(c.bold, contactInk, at.X, at.Y+contactLine-8, name)
		c.stitch(at.X, at.X+len(c.left)*(c.side+contactGap)-contactGap, at.Y+contactLine)
	}
	for _, r := range runs {
		name := string(r.family)
		switch {
		case name == "":
			name = "no colour"
		case r.more:
			name += ", more"
		}
		c.words(c.bold, contactInk, r.at.X, r.at.Y+contactLine-8, name)
		c.stitch(r.at.X, r.at.X+r.pieces*(c.side+contactGap)-contactGap, r.at.Y+contactLine)
	}
	return c, nil
}

func newFace(ttf []byte, size float64) (font.Face, error) {
	f, err := opentype.Parse(ttf)
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
}

func titleOf(l Look) string {
	if len(l.Shelf.Items) == 0 {
		return "No pieces found"
	}
	return cloth.Count(len(l.Shelf.Items), "piece") + " by colour, light to dark"
}

// notes are the lines under the title: which letter is which photo, and in
// which nothing was found.
func (c *contact) notes() []string {
	var out []string
	for i, s := range c.look.Sheets {
		n := base(s.File) + ": " + foundWords(s)
		if len(c.look.Sheets) > 1 {
			n = letter(i) + "  " + n
		}
		out = append(out, c.fit(c.regular, n, c.wide-2*contactMargin))
	}
	return out
}

// tileHeight is the height of a shelf: the family's name and edge, pictures,
// colours, three lines.
func (c *contact) tileHeight() int {
	return contactLine + contactGap + c.side + contactBar + 4 + 3*contactLine + contactGap
}

// piece draws it at the top left of its tile.
func (c *contact) piece(ph *photo, it shelf.Item, at image.Point) {
	p := it.Piece
	var m *image.RGBA
	if ph != nil {
		m = ph.crop(p, c.side, contactPaper)
	}
	if m == nil {
		m = image.NewRGBA(image.Rect(0, 0, c.side/2, c.side/2))
		c.block(m, m.Rect, rgba(p.ReadsAs))
	}
	corner := image.Pt(at.X, at.Y+c.side-m.Rect.Dy())
	draw.Draw(c.out, m.Rect.Add(corner), m, image.Point{}, draw.Src)
	y := at.Y + c.side + 4
	x := 0.0
	for _, s := range p.Colours {
		next := x + s.Share
		c.block(c.out, image.Rect(at.X+int(math.Round(x*float64(c.side))), y, at.X+int(math.Round(next*float64(c.side))), y+contactBar), rgba(s.Colour))
		x = next
	}
	y += contactBar
	label := c.look.label(it)
	c.words(c.bold, contactInk, at.X, y+contactLine-2, label)
	after := font.MeasureString(c.bold, label+" ").Ceil()
	c.words(c.regular, contactInk, at.X+after, y+contactLine-2, c.fit(c.regular, string(p.Family), c.side-after))
	c.words(c.regular, contactInk, at.X, y+2*contactLine-2, c.fit(c.regular, string(p.Value), c.side))
	cut := p.Cut
	if cut == "" {
		cut = size(p)
	}
	c.words(c.regular, contactSoft, at.X, y+3*contactLine-2, c.fit(c.regular, cut, c.side))
}

// leftOut draws what was left out, in a dashed frame, with its place and trust.
func (c *contact) leftOut(ph *photo, p leftPlace) {
	if ph != nil {
		if m := ph.crop(cloth.Piece{Polygon: p.Polygon}, c.side-8, contactPaper); m != nil {
			draw.Draw(c.out, m.Rect.Add(p.at.Add(image.Pt(4, c.side-4-m.Rect.Dy()))), m, image.Point{}, draw.Src)
		}
	}
	c.stitch(p.at.X, p.at.X+c.side, p.at.Y)
	c.stitch(p.at.X, p.at.X+c.side, p.at.Y+c.side-2)
	for y := p.at.Y; y < p.at.Y+c.side; y += 14 {
		for _, x := range [2]int{p.at.X, p.at.X + c.side - 2} {
			draw.Draw(c.out, image.Rect(x, y, x+2, min(y+9, p.at.Y+c.side)), image.NewUniform(contactRule), image.Point{}, draw.Src)
		}
	}
	x, y := leftAt(p.LeftOut)
	where := fmt.Sprintf("at %.0f,%.0f", x, y)
	if len(c.look.Sheets) > 1 {
		where = letter(p.photo) + " " + where
	}
	c.words(c.regular, contactInk, p.at.X, p.at.Y+c.side+contactLine, c.fit(c.regular, where, c.side))
	c.words(c.regular, contactSoft, p.at.X, p.at.Y+c.side+2*contactLine, percent(p.Trust))
}

func rgba(c colour.Linear) color.RGBA {
	b := c.Bytes()
	return color.RGBA{b[0], b[1], b[2], 0xff}
}

// words writes s with its baseline at y.
func (c *contact) words(f font.Face, ink color.Color, x, y int, s string) {
	d := font.Drawer{Dst: c.out, Src: image.NewUniform(ink), Face: f, Dot: fixed.P(x, y)}
	d.DrawString(s)
}

// fit shortens s until it is at most wide pixels.
func (c *contact) fit(f font.Face, s string, wide int) string {
	if font.MeasureString(f, s).Ceil() <= wide {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && font.MeasureString(f, string(r)+"…").Ceil() > wide {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// block fills r within a thin edge, so that white shows on the paper.
func (c *contact) block(dst draw.Image, r image.Rectangle, fill color.RGBA) {
	draw.Draw(dst, r, image.NewUniform(contactEdge), image.Point{}, draw.Src)
	if in := r.Inset(1); !in.Empty() {
		draw.Draw(dst, in, image.NewUniform(fill), image.Point{}, draw.Src)
	}
}

// stitch draws a shelf's edge: a running stitch from x0 to x1.
func (c *contact) stitch(x0, x1, y int) {
	for x := x0; x < x1; x += 14 {
		draw.Draw(c.out, image.Rect(x, y, min(x+9, x1), y+2), image.NewUniform(contactRule), image.Point{}, draw.Src)
	}
}
