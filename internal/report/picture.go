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
	"sync"

	"github.com/disintegration/imaging"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"piecebag/internal/cloth"
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
	return writePNG(w, c.out)
}

// contact is a contact sheet in the making.
type contact struct {
	out           *image.NRGBA
	side, columns int // of a tile, of the sheet
	places, left  []place
}

// place is where a piece, or something left out, goes and what is said of it.
type place struct {
	at    image.Point // the top left of its tile
	name  string      // of the shelf, which those beside it may share
	photo int
	cloth.Piece
	label string
	lines []string // after the label, the last softly
}

// newContact lays the sheet out and draws all but the pieces.
func newContact(l Looked) *contact {
	c := &contact{side: tileSide(len(l.Shelf.Items))}
	c.columns = (contactWide - 2*contactMargin + contactGap) / (c.side + contactGap)
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
	wide := 2*contactMargin + c.columns*(c.side+contactGap) - contactGap
	top := contactMargin + (3+len(l.Sheets))*contactLine
	bottom := c.lay(c.left, c.lay(c.places, top))
	c.out = imaging.New(wide, max(top, bottom-contactGap)+contactMargin, contactPaper)
	c.words(titleFace, inkInk, contactMargin, contactMargin+contactLine, titleOf(l))
	for i, s := range l.Sheets { // which letter is which photo, and in which nothing was found
		n := base(s.File) + ": " + foundWords(s)
		if len(l.Sheets) > 1 {
			n = letter(i) + "  " + n
		}
		c.words(regularFace, softInk, contactMargin, contactMargin+(i+3)*contactLine, fit(regularFace, n, wide-2*contactMargin))
	}
	for _, r := range slices.Concat(c.runs(c.places), c.runs(c.left)) {
		at := r.first.at.Sub(image.Pt(0, contactGap))
		c.words(boldFace, inkInk, at.X, at.Y-8, r.name)
		c.stitch(image.Rect(at.X, at.Y, at.X+r.tiles*(c.side+contactGap)-contactGap, at.Y+2))
	}
	return c
}

// lay puts tiles on shelves from y on, and says where the next would stand.
func (c *contact) lay(places []place, y int) int {
	high := contactLine + contactGap + c.side + contactBar + 4 + 3*contactLine + 2*contactGap // of a shelf
	for i := range places {
		places[i].at = image.Pt(contactMargin+i%c.columns*(c.side+contactGap), y+i/c.columns*high+contactLine+contactGap)
	}
	return y + (len(places)+c.columns-1)/c.columns*high
}

// run is tiles side by side under one name.
type run struct {
	name  string
	first place
	tiles int
}

// runs are those of some tiles; a name that goes on from the shelf before says so.
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

var (
	regularFace = faceOf(goregular.TTF, contactText)
	boldFace    = faceOf(gobold.TTF, contactText)
	titleFace   = faceOf(gobold.TTF, 2*contactText)
)

// faceOf reads a font, when it is first written with.
func faceOf(ttf []byte, size float64) func() font.Face {
	return sync.OnceValue(func() font.Face {
		f, err := opentype.Parse(ttf)
		if err != nil { // it came with the library
			panic(err)
		}
		face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
		if err != nil {
			panic(err)
		}
		return face
	})
}

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
	inset := 0
	if left {
		inset = 4
	}
	var m image.Image
	if ph != nil {
		if cut := ph.crop(t.Piece, c.side-2*inset, contactPaper); cut != nil {
			m = cut
		}
	}
	if m == nil && !left {
		plain := imaging.New(c.side/2, c.side/2, contactPaper)
		block(plain, plain.Rect, colourOf(t.ReadsAs))
		m = plain
	}
	if m != nil {
		draw.Draw(c.out, m.Bounds().Add(t.at.Add(image.Pt(inset, c.side-inset-m.Bounds().Dy()))), m, image.Point{}, draw.Src)
	}
	y := t.at.Y + c.side
	if left {
		for _, far := range [2]int{0, c.side - 2} {
			c.stitch(image.Rect(0, far, c.side, far+2).Add(t.at))
			c.stitch(image.Rect(far, 0, far+2, c.side).Add(t.at))
		}
	} else {
		x := 0.0
		for _, s := range t.Colours {
			next := x + s.Share
			block(c.out, image.Rect(t.at.X+int(math.Round(x*float64(c.side))), y+4, t.at.X+int(math.Round(next*float64(c.side))), y+4+contactBar), colourOf(s.Colour))
			x = next
		}
		y += 2 + contactBar
	}
	after := 0
	if !left {
		c.words(boldFace, inkInk, t.at.X, y+contactLine, t.label)
		after = font.MeasureString(boldFace(), t.label+" ").Ceil()
	}
	for i, words := range t.lines {
		ink := inkInk
		if i == len(t.lines)-1 {
			ink = softInk
		}
		c.words(regularFace, ink, t.at.X+after, y+(i+1)*contactLine, fit(regularFace, words, c.side-after))
		after = 0
	}
}

// words writes s with its baseline at y.
func (c *contact) words(face func() font.Face, ink color.Color, x, y int, s string) {
	d := font.Drawer{Dst: c.out, Src: image.NewUniform(ink), Face: face(), Dot: fixed.P(x, y)}
	d.DrawString(s)
}

// fit shortens s until it is at most wide pixels.
func fit(face func() font.Face, s string, wide int) string {
	if font.MeasureString(face(), s).Ceil() <= wide {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && font.MeasureString(face(), string(r)+"…").Ceil() > wide {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// block fills r within a thin edge, so that white shows on the paper.
func block(dst draw.Image, r image.Rectangle, fill color.RGBA) {
	draw.Draw(dst, r, image.NewUniform(edgeInk), image.Point{}, draw.Src)
	if in := r.Inset(1); !in.Empty() {
		draw.Draw(dst, in, image.NewUniform(fill), image.Point{}, draw.Src)
	}
}

// stitch draws a running stitch along a narrow box.
func (c *contact) stitch(r image.Rectangle) {
	const stitch, step = 9, 14
	along := image.Pt(step, 0)
	if r.Dy() > r.Dx() {
		along = image.Pt(0, step)
	}
	for at := (image.Rectangle{r.Min, r.Min.Add(image.Pt(stitch, stitch))}); at.Overlaps(r); at = at.Add(along) {
		draw.Draw(c.out, at.Intersect(r), image.NewUniform(threadInk), image.Point{}, draw.Src)
	}
}
