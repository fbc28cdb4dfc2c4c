package report

import (
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"
	"slices"

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
// to dark; then one shelf of what was left out.
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
		for _, t := range slices.Concat(c.places, c.left) {
			if t.photo == i {
				c.tile(ph, t)
			}
		}
	}
	return writePNG(w, c.out)
}

// contact is a contact sheet in the making.
type contact struct {
	out                  *image.RGBA
	side, wide           int // of a tile, of the whole
	columns              int
	places, left         []place
	runs                 []run
	regular, bold, title font.Face
}

// place is where a piece, or something left out, goes and what is said of it.
type place struct {
	at    image.Point // the top left of its tile
	photo int
	cloth.Piece
	label string
	lines []string // after the label, the last softly
	left  bool
}

// run is a row of tiles under one name.
type run struct {
	name  string
	more  bool        // it goes on from the shelf before
	at    image.Point // left end of its edge
	tiles int
}

// newContact lays the sheet out and draws all but the pieces.
func newContact(l Look) (*contact, error) {
	c := &contact{side: tileSide(len(l.Shelf.Items))}
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
	y := contactMargin + (3+len(l.Sheets))*contactLine
	high := contactLine + contactGap + c.side + contactBar + 4 + 3*contactLine + contactGap // of a shelf
	lay := func(i int, name string) image.Point {
		column := i % c.columns
		if column == 0 && i > 0 {
			y += high + contactGap
		}
		at := image.Pt(contactMargin+column*(c.side+contactGap), y)
		last := len(c.runs) - 1
		if same := last >= 0 && c.runs[last].name == name; column == 0 || !same {
			c.runs = append(c.runs, run{name: name, more: same, at: at})
		}
		c.runs[len(c.runs)-1].tiles++
		return at.Add(image.Pt(0, contactLine+contactGap))
	}
	for i, k := range shelf.Sorted(l.Shelf.Items) {
		it := l.Shelf.Items[k]
		name := cmp.Or(string(it.Piece.Family), "no colour")
		c.places = append(c.places, place{
			at: lay(i, name), photo: it.Photo, Piece: it.Piece, label: l.label(it),
			lines: []string{string(it.Piece.Family), string(it.Piece.Value), cmp.Or(it.Piece.Cut, size(it.Piece))},
		})
	}
	if c.places != nil {
		y += high + contactGap
	}
	more := 0
	for i, s := range l.Sheets {
		for _, g := range s.Left {
			if len(c.left) == c.columns { // one shelf of them
				more++
				continue
			}
			x, at := leftAt(g)
			where := fmt.Sprintf("at %.0f,%.0f", x, at)
			if len(l.Sheets) > 1 {
				where = letter(i) + " " + where
			}
			c.left = append(c.left, place{at: lay(len(c.left), "left out, as too doubtful"), photo: i, Piece: cloth.Piece{Polygon: g.Polygon}, lines: []string{where, percent(g.Trust)}, left: true})
		}
	}
	if c.left != nil {
		y += high + contactGap
	}
	if more > 0 {
		c.runs[len(c.runs)-1].name += fmt.Sprintf(" (%d more)", more)
	}
	if c.runs != nil {
		y -= contactGap
	}
	c.out = image.NewRGBA(image.Rect(0, 0, c.wide, y+contactMargin))
	draw.Draw(c.out, c.out.Rect, image.NewUniform(contactPaper), image.Point{}, draw.Src)
	c.words(c.title, contactInk, contactMargin, contactMargin+contactLine, titleOf(l))
	for i, s := range l.Sheets { // which letter is which photo, and in which nothing was found
		n := base(s.File) + ": " + foundWords(s)
		if len(l.Sheets) > 1 {
			n = letter(i) + "  " + n
		}
		c.words(c.regular, contactSoft, contactMargin, contactMargin+(i+3)*contactLine, c.fit(c.regular, n, c.wide-2*contactMargin))
	}
	for _, r := range c.runs {
		name := r.name
		if r.more {
			name += ", more"
		}
		c.words(c.bold, contactInk, r.at.X, r.at.Y+contactLine-8, name)
		c.stitch(r.at.X, r.at.X+r.tiles*(c.side+contactGap)-contactGap, r.at.Y+contactLine)
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

// tile draws a piece above its colours and what is said of it; what was left out stands
// in a dashed frame.
func (c *contact) tile(ph *photo, t place) {
	inset := 0
	if t.left {
		inset = 4
	}
	var m image.Image
	if ph != nil {
		if cut := ph.crop(t.Piece, c.side-2*inset, contactPaper); cut != nil {
			m = cut
		}
	}
	if m == nil && !t.left {
		plain := image.NewRGBA(image.Rect(0, 0, c.side/2, c.side/2))
		c.block(plain, plain.Rect, rgba(t.ReadsAs))
		m = plain
	}
	if m != nil {
		draw.Draw(c.out, m.Bounds().Add(t.at.Add(image.Pt(inset, c.side-inset-m.Bounds().Dy()))), m, image.Point{}, draw.Src)
	}
	y := t.at.Y + c.side
	if t.left {
		c.frame(t.at)
	} else {
		x := 0.0
		for _, s := range t.Colours {
			next := x + s.Share
			c.block(c.out, image.Rect(t.at.X+int(math.Round(x*float64(c.side))), y+4, t.at.X+int(math.Round(next*float64(c.side))), y+4+contactBar), rgba(s.Colour))
			x = next
		}
		y += 2 + contactBar
	}
	after := 0
	if t.label != "" {
		c.words(c.bold, contactInk, t.at.X, y+contactLine, t.label)
		after = font.MeasureString(c.bold, t.label+" ").Ceil()
	}
	for i, words := range t.lines {
		ink := contactInk
		if i == len(t.lines)-1 {
			ink = contactSoft
		}
		c.words(c.regular, ink, t.at.X+after, y+(i+1)*contactLine, c.fit(c.regular, words, c.side-after))
		after = 0
	}
}

// frame stitches round a tile.
func (c *contact) frame(at image.Point) {
	c.stitch(at.X, at.X+c.side, at.Y)
	c.stitch(at.X, at.X+c.side, at.Y+c.side-2)
	for y := at.Y; y < at.Y+c.side; y += 14 {
		for _, x := range [2]int{at.X, at.X + c.side - 2} {
			draw.Draw(c.out, image.Rect(x, y, x+2, min(y+9, at.Y+c.side)), image.NewUniform(contactRule), image.Point{}, draw.Src)
		}
	}
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
