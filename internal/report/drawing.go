package report

import (
	"cmp"
	"fmt"
	"html/template"
	"image/color"
	"math"
	"slices"
	"strings"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// drawing is a picture in plane shapes, to be set on a page or on paper. Lengths
// are in any one unit; x runs right and y down.
type drawing struct {
	W, H   float64
	Title  string  // what it shows, for those who cannot see it
	Name   string  // written below it; may be empty
	Line   float64 // how wide lines are; 0: lineShare of the longer side
	Shapes []shape
}

// shape is one polygon of a drawing.
type shape struct {
	Points geom.Polygon
	Fill   colour.Linear
	Cloth  chip   // drawn in place of Fill where it has a crop or several inks
	Name   string // what it is called; may be empty
	Title  string // said of it where it is pointed at; may be empty
	Hollow bool   // not filled
	Dashed bool
	Thread bool // the outline is a thread's, to be seen
	// Marked shapes are outlines over a photo: white on black, the label where there is
	// most room in them.
	Marked bool
	// Seamless shapes have no outline: what they show has none.
	Seamless bool
	Label    string // drawn in the middle of its box
	Size     float64
	Upward   bool // the label reads from bottom to top
	Left     bool // the label begins at the left of its box
	Bold     bool // the label is
	Soft     bool // the label is
}

// rect returns a rectangle as a polygon.
func rect(x, y, w, h float64) geom.Polygon {
	return geom.Polygon{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// baseline is how far below the middle of a label its letters stand, of their size.
const baseline = 0.35

// write adds words that stand from (x, y) on.
func (d *drawing) write(x, y float64, t typeface, soft bool, s string) {
	high := 2 * baseline * t.size
	d.Shapes = append(d.Shapes, shape{Points: rect(x, y-high, 0, high), Hollow: true, Seamless: true, Label: s, Size: t.size, Left: true, Bold: t.bold, Soft: soft})
}

// stitch adds an outline, or a line of two points, in thread.
func (d *drawing) stitch(points ...geom.Point) {
	d.Shapes = append(d.Shapes, shape{Points: points, Hollow: true, Dashed: true, Thread: true})
}

// middle returns where the middle of a shape's label stands; of one to the left, its beginning.
func (s shape) middle() geom.Point {
	if s.Marked || len(s.Points) == 3 { // the middle of a triangle's box may lie outside it
		at, _ := labelSpot(s.Points)
		return at
	}
	lo, hi := s.Points.Bounds()
	if s.Left {
		hi.X = lo.X
	}
	return lo.Add(hi).Mul(0.5)
}

// ink returns what the label is written in.
func (s shape) ink() color.RGBA {
	switch {
	case s.haloed():
		return whiteInk
	case s.Soft:
		return softInk
	case s.Hollow:
		return inkInk
	}
	return colourOf(inkOn(s.Fill))
}

// pen draws lines: solid, or dashed.
type pen struct {
	ink    color.RGBA
	wide   float64 // in units of the canvas
	dashed bool
}

// canvas is what a drawing is painted on: a sheet of paper or a picture.
type canvas interface {
	// paint fills an outline with a colour, where there is one, and draws it with a pen,
	// where there is one. Two points are a line.
	paint(g geom.Polygon, fill *colour.Linear, p *pen)
	// show fills an outline with cloth of several colours.
	show(g geom.Polygon, c chip)
	// label writes the label of a shape.
	label(s shape)
}

// on paints the drawing with its corner at a place, in a scale: shapes, those that are
// marked a second time above all others, labels.
func (d drawing) on(c canvas, corner geom.Point, scale float64) {
	shapes := mapped(d.Shapes, func(s shape) shape {
		s.Points, s.Size = s.Points.Map(func(q geom.Point) geom.Point { return q.Mul(scale).Add(corner) }), s.Size*scale
		return s
	})
	line := d.line() * scale
	for _, s := range shapes {
		edge := &pen{edgeInk, line, s.Dashed}
		if s.Thread {
			edge.ink = threadInk
		}
		if s.Seamless {
			edge = nil
		}
		switch {
		case s.Marked:
			c.paint(s.Points, nil, &pen{blackInk, underShare * line, false})
		case s.Cloth.patterned():
			c.show(s.Points, s.Cloth)
			c.paint(s.Points, nil, edge)
		case s.Hollow:
			c.paint(s.Points, nil, edge)
		default:
			c.paint(s.Points, &s.Fill, edge)
		}
	}
	for _, s := range shapes {
		if s.Marked {
			c.paint(s.Points, nil, &pen{whiteInk, line, s.Dashed})
		}
	}
	for _, s := range shapes {
		if s.Label != "" && s.Size > 0 {
			c.label(s)
		}
	}
}

// haloed reports whether a label is white letters on a dark edge, to be read on a print.
func (s shape) haloed() bool { return s.Marked || s.Cloth.patterned() }

// grey returns the drawing with its colours gone.
func (d drawing) grey() drawing {
	out := d
	out.Title += ", in grey"
	out.Shapes = make([]shape, len(d.Shapes))
	for i, s := range d.Shapes {
		s.Fill, s.Cloth = greyOf(s.Fill.Lab().L), s.Cloth.grey()
		out.Shapes[i] = s
	}
	return out
}

// beside sets another drawing to the right, gap away.
func (d drawing) beside(e drawing, gap float64) drawing {
	out := drawing{W: d.W + gap + e.W, H: max(d.H, e.H), Title: d.Title + "; " + e.Title, Shapes: slices.Clone(d.Shapes)}
	for _, s := range e.Shapes {
		s.Points = s.Points.Map(func(p geom.Point) geom.Point { return p.Add(geom.Point{X: d.W + gap}) })
		out.Shapes = append(out.Shapes, s)
	}
	return out
}

// svgDrawing is a drawing for the page's template.
type svgDrawing struct {
	Title, Name     string
	Box, Line, Dash string
	Under           string  // the width of the dark line below an outline that is marked
	Wide, High      string  // pixels at first sight
	Across          float64 // units
	Shapes          []svgShape
	Photo           svgPhoto
}

// svgPhoto is a picture under the shapes, as far left of them as above.
type svgPhoto struct {
	X, Wide, High string
	Data          template.URL // empty: none
}

type svgShape struct {
	Points, Fill, Ink string
	Title             string
	Dashed, Seamless  bool
	Thread, Marked    bool
	Left, Bold        bool // of the label
	Halo              bool // the label is drawn on a dark edge of its own
	Label, Size       string
	X, Y, Turn        string
}

// svgSide is the longer side of a drawing in a file of its own, pixels.
const svgSide = 800

// lineShare is how wide a line is, of the longer side of a drawing.
const lineShare = 0.0022

// underShare is how much wider the dark line below an outline that is marked is.
const underShare = 2.4

func (d drawing) line() float64 { return cmp.Or(d.Line, lineShare*max(d.W, d.H)) }

func (d drawing) svg(id func(chip) string) svgDrawing {
	edge := d.line() / 2
	v := svgDrawing{
		Title: d.Title, Name: d.Name, Across: d.W,
		Box:  fmt.Sprintf("%s %s %s %s", short(-edge), short(-edge), short(d.W+2*edge), short(d.H+2*edge)),
		Wide: short(d.W * svgSide / max(d.W, d.H)), High: short(d.H * svgSide / max(d.W, d.H)),
		Line: short(d.line()), Under: short(underShare * d.line()), Dash: short(4*d.line()) + " " + short(3*d.line()),
	}
	for _, s := range d.Shapes {
		out := svgShape{Title: s.Title, Points: shortPoints(s.Points), Fill: "none", Dashed: s.Dashed, Seamless: s.Seamless, Thread: s.Thread, Marked: s.Marked, Left: s.Left, Bold: s.Bold, Ink: "currentColor"}
		if !s.Hollow {
			out.Fill = s.Fill.Hex()
			if s.Cloth.patterned() {
				out.Fill = "url(#p" + id(s.Cloth) + ")"
			}
		}
		out.Halo = s.haloed()
		if !s.Hollow || s.Soft || out.Halo {
			ink := s.ink()
			out.Ink = fmt.Sprintf("#%02x%02x%02x", ink.R, ink.G, ink.B)
		}
		if s.Label != "" && s.Size > 0 {
			at := s.middle()
			out.Label, out.Size = s.Label, short(s.Size)
			out.X, out.Y = short(at.X), short(at.Y)
			if s.Upward {
				out.Turn = fmt.Sprintf("rotate(-90 %s %s)", out.X, out.Y)
			}
		}
		v.Shapes = append(v.Shapes, out)
	}
	return v
}

// short writes a number to a thousandth: a hundredth of a mark on a ruler.
func short(v float64) string { return number(v, 1000) }

func shortPoints(p geom.Polygon) string {
	words := make([]string, len(p))
	for i, q := range p {
		words[i] = short(q.X) + "," + short(q.Y)
	}
	return strings.Join(words, " ")
}

// labelled returns a shape with a label as large as three quarters of its box have room for,
// within least and most; none where there is no room.
func (s shape) labelled(label string, least, most float64) shape {
	lo, hi := s.Points.Bounds()
	s.Label = label
	s.Size, s.Upward = fitLabel(label, (hi.X-lo.X)*0.75, (hi.Y-lo.Y)*0.75, least, most)
	return s
}

// fitLabel returns the largest size at which a label fits a box of w × h, and whether it
// reads better upward; 0 where it would be under least.
func fitLabel(label string, w, h, least, most float64) (size float64, upward bool) {
	letters := float64(len([]rune(label)))
	// A letter is 0.6 of its size wide on average, figures of Go and Helvetica.
	const wide, high = 0.62, 1.2
	size = min(most, w/(wide*letters), h/high)
	if up := min(most, h/(wide*letters), w/high); up > 1.3*size {
		size, upward = up, true
	}
	if size < least {
		return 0, false
	}
	return size, upward
}

// inkOn returns black or white, whichever is read better on what is shown of c. At the
// luminance where both are alike, √(0.05·1.05) − 0.05, each still has a contrast of
// √21 = 4.58 (WCAG 2.1).
func inkOn(c colour.Linear) colour.Linear {
	for i, v := range c {
		c[i] = min(1, max(0, v))
	}
	if c.Luminance() >= math.Sqrt(0.05*1.05)-0.05 {
		return colour.Linear{}
	}
	return colour.Linear{1, 1, 1}
}

// greyOf returns the grey of the same lightness, CIE L* 0..100.
func greyOf(lightness float64) colour.Linear {
	return colour.Lab{L: lightness}.Linear()
}
