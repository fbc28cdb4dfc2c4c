// Package card is the printable reference card: where its marks, its grey wedge
// and its rules lie, and how it is found again in a photo. It does no I/O.
//
// The card is laid out in inches, the origin in its upper left corner, x right,
// y down. It is cut out of a Letter or A4 sheet, and fits either with room for
// any printer's margins.
package card

import (
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// Width and Height are the size of the card as cut out, inches.
const (
	Width  = 5.0
	Height = 7.0
)

// A mark is a dark square ring one cell wide round 3 × 3 cells of code, with
// one cell's width of bare paper left about it at least.
const (
	Cell = 0.25 // inches
	// markCells is how many cells a mark is wide.
	markCells = 5
	Mark      = markCells * Cell
)

func rect(x, y, w, h float64) geom.Rect { return geom.Rect{X: x, Y: y, W: w, H: h} }

// Marks are the four coded marks: upper left, upper right, lower right, lower
// left.
var Marks = [4]geom.Rect{
	rect(Cell, Cell, Mark, Mark),
	rect(Width-Cell-Mark, Cell, Mark, Mark),
	rect(Width-Cell-Mark, Height-Cell-Mark, Mark, Mark),
	rect(Cell, Height-Cell-Mark, Mark, Mark),
}

// codes are the marks' 3 × 3 cells, row by row from the upper left, the highest
// bit first; 1 is dark. A search through all sets of four found them: the 16
// words that they and their quarter turns make differ in four cells or more
// each from each, so that up to three cells read wrongly are noticed, and each
// word tells the mark and which way up it is. Five cells of each are dark.
var codes = [4]uint16{0b000101111, 0b001010111, 0b001111010, 0b011100101}

// Outline is the edge of the card.
var Outline = rect(0, 0, Width, Height)

// Blank is where nothing is printed: the paper's own white.
var Blank = rect(1.75, Cell, 1.5, Mark)

// Step is one grey of the wedge. Lightness is its nominal CIE L*, 0..100, with
// the bare paper at 100: a printer without correction is off by several.
type Step struct {
	geom.Rect
	Lightness float64
}

// Steps is the wedge of greys, lightest first. Bare paper lies above and below
// each, so that uneven light can be told from grey.
var Steps = wedge([]float64{88, 74, 60, 46, 32, 18})

const (
	wedgeX, wedgeY          = 0.25, 1.95
	stepWidth, stepHeight   = 0.75, 0.9
	paperAbove, paperHeight = 0.06, 0.14 // from a step to the bare paper read, and its height
)

func wedge(lightness []float64) []Step {
	out := make([]Step, len(lightness))
	for i, l := range lightness {
		out[i] = Step{rect(wedgeX+stepWidth*float64(i), wedgeY, stepWidth, stepHeight), l}
	}
	return out
}

// paper returns the two places of bare paper beside a step.
func (s Step) paper() [2]geom.Rect {
	return [2]geom.Rect{
		rect(s.X, s.Y-paperAbove-paperHeight, s.W, paperHeight),
		rect(s.X, s.Y+s.H+paperAbove, s.W, paperHeight),
	}
}

// Where the rules begin, and how long they are.
const (
	ruleX       = 0.5
	inchRuleY   = 3.52
	cmRuleY     = 4.14
	checkInches = 4.0
	checkY      = 4.72
	hairline    = 0.01
	// tenCentimetres is where the check line is marked a second time.
	tenCentimetres = 100 / cloth.MMPerInch
)

// CheckLine is the line that shows whether the card was printed at its size:
// exactly 4 inches from the outside of its first stop to that of its last, and
// 100 mm to the outer edge of the stop between.
var CheckLine = rect(ruleX, checkY, checkInches, 0.03)

// Shape is a filled rectangle; Lightness is its nominal CIE L*, 0..100.
type Shape struct {
	geom.Rect
	Lightness float64
}

// Shapes returns all that is printed but the words, in no overlapping order.
func Shapes() []Shape {
	var out []Shape
	ink := func(x, y, w, h float64) { out = append(out, Shape{rect(x, y, w, h), 0}) }
	for i := range Marks {
		out = append(out, markShapes(i)...)
	}
	for _, s := range Steps {
		out = append(out, Shape(s))
	}
	// Rules stand on a line; a tick is a hairline about its place.
	ticks := func(y, step float64, n, every int, tall func(i int) float64) {
		ink(ruleX-hairline/2, y-hairline/2, step*float64(n*every)+hairline, hairline)
		for i := range n*every + 1 {
			h := tall(i)
			ink(ruleX+step*float64(i)-hairline/2, y-h, hairline, h)
		}
	}
	ticks(inchRuleY, 1./8, 4, 8, func(i int) float64 {
		return [8]float64{0.24, 0.08, 0.12, 0.08, 0.17, 0.08, 0.12, 0.08}[i%8]
	})
	ticks(cmRuleY, 1/cloth.MMPerInch, 10, 10, func(i int) float64 {
		switch {
		case i%10 == 0:
			return 0.24
		case i%5 == 0:
			return 0.16
		}
		return 0.08
	})
	out = append(out, Shape{CheckLine, 0})
	const stop = 0.02
	for _, end := range [3]float64{stop, tenCentimetres, checkInches} {
		ink(ruleX+end-stop, checkY-0.08, stop, 0.08+CheckLine.H)
	}
	return out
}

// markShapes returns mark i's ring and dark cells.
func markShapes(i int) []Shape {
	m := Marks[i]
	out := []Shape{
		{rect(m.X, m.Y, Mark, Cell), 0},
		{rect(m.X, m.Y+Mark-Cell, Mark, Cell), 0},
		{rect(m.X, m.Y+Cell, Cell, Mark-2*Cell), 0},
		{rect(m.X+Mark-Cell, m.Y+Cell, Cell, Mark-2*Cell), 0},
	}
	for k := range 9 {
		if codes[i]>>(8-k)&1 == 1 {
			out = append(out, Shape{rect(m.X+Cell*float64(1+k%3), m.Y+Cell*float64(1+k/3), Cell, Cell), 0})
		}
	}
	return out
}

// Text is a line of words; Y is its baseline, Size its type size in points.
type Text struct {
	X, Y   float64 // inches
	Size   float64 // points, 1/72 inch
	Centre bool    // X is the middle of the line, not its start
	Bold   bool
	Words  string
}

// Texts returns the words on the card.
func Texts() []Text {
	out := []Text{{X: Width / 2, Y: wedgeY + stepHeight + 0.31, Size: 7, Centre: true, Words: "greys for the camera: leave the paper beside them bare"}}
	numbers := func(y, step float64, last int, unit string) {
		for i := range last + 1 {
			words := strconv.Itoa(i)
			if i == last {
				words += " " + unit
			}
			out = append(out, Text{X: ruleX + step*float64(i), Y: y + 0.12, Size: 7, Centre: true, Words: words})
		}
	}
	numbers(inchRuleY, 1, 4, "in")
	numbers(cmRuleY, tenCentimetres/10, 10, "cm")
	out = append(out, Text{X: Width / 2, Y: checkY + 0.19, Size: 7.5, Centre: true, Words: "This line is 4 inches long, and 100 mm to its inner stop: measure it."})
	out = append(out, Text{X: Width / 2, Y: checkY + 0.35, Size: 7.5, Centre: true, Words: "If it is not, print again at 100 %, “actual size”, not fitted to the page."})
	for i, s := range [...]string{
		"Reference card",
		"Print on plain white",
		"matt paper and cut",
		"out along the outline.",
		"Lay it flat among the",
		"pieces, in their light,",
		"nothing on top of it.",
		"Do not laminate it.",
		"Print anew when it",
		"yellows or creases.",
	} {
		out = append(out, Text{X: Width / 2, Y: 5.63 + 0.125*float64(i), Size: 7.5, Centre: true, Bold: i == 0, Words: s})
	}
	return out
}
