package report

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"io"
	"math"
	"sync"

	"github.com/disintegration/imaging"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// writePNG writes a drawing, its lengths in pixels, on the colour of a page.
func (d drawing) writePNG(w io.Writer) error {
	c := &painting{out: blank(int(math.Ceil(d.W)), int(math.Ceil(d.H)), contactPaper)}
	d.on(c, geom.Point{}, 1)
	if c.err != nil {
		return c.err
	}
	return writePNG(w, c.out)
}

// painting is a canvas of pixels.
type painting struct {
	out *image.RGBA
	err error // the first
}

// touched returns the box of the pixels that an outline touches.
func touched(g geom.Polygon) image.Rectangle {
	lo, hi := g.Bounds()
	return image.Rect(int(math.Floor(lo.X)), int(math.Floor(lo.Y)), int(math.Ceil(hi.X)), int(math.Ceil(hi.Y)))
}

// cover draws a picture, which begins at a place, where an outline covers it.
func (c *painting) cover(g geom.Polygon, m image.Image, begins image.Point) {
	if box := touched(g).Intersect(c.out.Rect); !box.Empty() {
		draw.DrawMask(c.out, box, m, box.Min.Sub(begins), covered(box, g), box.Min, draw.Over)
	}
}

func (c *painting) paint(g geom.Polygon, fill *colour.Linear, edge *pen) {
	if fill != nil {
		c.cover(g, image.NewUniform(colourOf(*fill)), image.Point{})
	}
	if edge == nil {
		return
	}
	n := len(g)
	if n == 2 {
		n = 1
	}
	for i := range n {
		c.line(g[i], g[(i+1)%len(g)], *edge)
	}
}

// line draws a side of an outline, which meets others in corners; dashes are as long
// for their width as those of SVG drawings.
func (c *painting) line(a, b geom.Point, p pen) {
	length := a.Dist(b)
	if length == 0 {
		return
	}
	along := b.Sub(a).Mul(1 / length)
	aside := geom.Point{X: -along.Y, Y: along.X}.Mul(p.wide / 2)
	from, dash, step := -p.wide/2, length+p.wide, length+p.wide
	if p.dashed {
		from, dash, step = 0, 4*p.wide, 7*p.wide
	}
	for x := from; x < length; x += step {
		q, r := a.Add(along.Mul(x)), a.Add(along.Mul(min(x+dash, length+p.wide/2)))
		c.cover(geom.Polygon{q.Sub(aside), r.Sub(aside), r.Add(aside), q.Add(aside)}, image.NewUniform(p.ink), image.Point{})
	}
}

func (c *painting) show(g geom.Polygon, of chip) {
	lo, hi := g.Bounds()
	box := touched(g)
	cloth := blank(box.Dx(), box.Dy(), contactPaper)
	if of.Crop != nil {
		m, err := jpeg.Decode(bytes.NewReader(of.Crop.JPEG))
		if err != nil {
			c.err = err
			return
		}
		cloth = opaque(imaging.Fill(m, box.Dx(), box.Dy(), imaging.Center, imaging.CatmullRom))
	} else {
		in := &painting{out: cloth}
		for _, b := range of.bands(geom.Point{}, hi.Sub(lo)) {
			in.paint(b.Points, &b.Fill, nil)
		}
	}
	c.cover(g, cloth, box.Min)
}

func (c *painting) label(s shape) {
	face := typeface{s.Bold || s.haloed(), s.Size}.face()
	rim := 0
	if s.haloed() {
		rim = int(math.Ceil(0.12 * s.Size))
	}
	wide := font.MeasureString(face, s.Label).Ceil() + 2*rim
	high := int(math.Ceil(1.6*s.Size)) + 2*rim
	m := image.NewNRGBA(image.Rect(0, 0, wide, high))
	write := func(ink color.RGBA, x, y int) {
		d := font.Drawer{Dst: m, Src: image.NewUniform(ink), Face: face, Dot: fixed.P(rim+x, high/2+int(math.Round(baseline*s.Size))+y)}
		d.DrawString(s.Label)
	}
	for k := range 8 * rim { // a dark edge below the letters
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(8*rim))
		write(blackInk, int(math.Round(float64(rim)*cos)), int(math.Round(float64(rim)*sin)))
	}
	write(s.ink(), 0, 0)
	if s.Upward {
		m = imaging.Rotate90(m)
	}
	middle := s.middle()
	at := image.Pt(int(math.Round(middle.X)), int(math.Round(middle.Y)))
	corner := at.Sub(m.Rect.Size().Div(2))
	if s.Left {
		corner.X = at.X
	}
	draw.Draw(c.out, m.Rect.Add(corner), m, image.Point{}, draw.Over)
}

// typeface is type of a size in pixels.
type typeface struct {
	bold bool
	size float64
}

// The fonts, read when they are first written with.
var regularFont, boldFont = fontOf(goregular.TTF), fontOf(gobold.TTF)

func fontOf(ttf []byte) func() *opentype.Font {
	return sync.OnceValue(func() *opentype.Font {
		f, err := opentype.Parse(ttf)
		if err != nil { // it came with the library
			panic(err)
		}
		return f
	})
}

// face returns a face of the type, for one goroutine.
func (t typeface) face() font.Face {
	f := regularFont()
	if t.bold {
		f = boldFont()
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: t.size, DPI: 72, Hinting: font.HintingFull})
	if err != nil { // of no options but these
		panic(err)
	}
	return face
}

// fit shortens words until they are at most so many pixels wide.
func (t typeface) fit(s string, wide float64) string {
	face := t.face()
	r, end := []rune(s), ""
	for len(r) > 0 && float64(font.MeasureString(face, string(r)+end).Ceil()) > wide {
		r, end = r[:len(r)-1], "…"
	}
	return string(r) + end
}

// wide returns how many pixels words take.
func (t typeface) wide(s string) float64 { return float64(font.MeasureString(t.face(), s).Ceil()) }
