package shelf

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
)

// seen reports whether some length of the pieces is unknown. Such pieces, like the folded
// bands of a stack, are never counted among those that can be cut from.
func seen(h *cloth.Holding) bool {
	return h.Form == cloth.Band || h.WidthIn <= 0 || h.LengthIn <= 0
}

// Cut is what a box holds by form and size, inches to the mark of a ruler. Zero
// lengths are not told apart: a strip is known by its width, and weighed cloth
// by nothing.
type Cut struct {
	Form   cloth.Form `json:"-"` // a floor of a cut is of squares
	Width  float64    `json:"cut_in,omitempty"`
	Length float64    `json:"-"` // of rectangles alone
}

// Square returns the cut of squares of a size in inches.
func Square(size float64) Cut { return Cut{Form: cloth.Square, Width: Mark(size)} }

// CutOf returns the cut of a holding.
func CutOf(h cloth.Holding) Cut {
	c := Cut{Form: h.Form}
	switch h.Form {
	case cloth.Square, cloth.Strip:
		c.Width = Mark(h.WidthIn)
	case cloth.Rectangle:
		c.Width, c.Length = Mark(h.WidthIn), Mark(h.LengthIn)
	}
	return c
}

// near is how far from a ruler's mark a length may lie and still be that mark, inches.
const near = 1e-3

// Mark returns the mark of a ruler that a length is cut by: the nearest eighth of an
// inch, unless the length is a whole number of millimetres and no eighth.
func Mark(in float64) float64 {
	e, mm := math.Round(8*in)/8, math.Round(cloth.MMPerInch*in)/cloth.MMPerInch
	if math.Abs(in-e) > near && math.Abs(in-mm) <= near {
		return mm
	}
	return e
}

// Length writes a length in inches as it was cut: 2½, or 6 cm where it is
// metric.
func Length(in float64) string { return Size(in) }

// Size writes lengths with × between, in centimetres where any is metric.
func Size(in ...float64) string {
	write, unit := cloth.FormatInches, ""
	for _, x := range in {
		if x = Mark(x); x != math.Round(8*x)/8 {
			write, unit = centimetres, " cm"
		}
	}
	words := make([]string, len(in))
	for i, x := range in {
		words[i] = write(x)
	}
	return strings.Join(words, " × ") + unit
}

func centimetres(in float64) string {
	return strconv.FormatFloat(math.Round(in*cloth.MMPerInch)/10, 'f', -1, 64)
}

// String names the cut as quilters do: 2½ square, 2½ strip, 2½ × 4½ rectangle;
// "square" alone where its size is not known, and "band" or "weighed" for what is
// no cut.
func (c Cut) String() string {
	switch {
	case c.Form == cloth.Irregular:
		return "odd piece"
	case c.Width <= 0:
		return string(c.Form)
	case c.Length > 0:
		return Size(c.Width, c.Length) + " " + string(c.Form)
	}
	return Length(c.Width) + " " + string(c.Form)
}

// compare returns the order of cuts on a shelf: squares, rectangles, strips, odd
// pieces, bands, weighed cloth; each from narrow to wide with unknown sizes
// last.
func (c Cut) compare(d Cut) int {
	return cmp.Or(
		cmp.Compare(slices.Index(cloth.Forms, c.Form), slices.Index(cloth.Forms, d.Form)),
		cmp.Compare(unknownAsWidest(c.Width), unknownAsWidest(d.Width)),
		cmp.Compare(unknownAsWidest(c.Length), unknownAsWidest(d.Length)))
}

func unknownAsWidest(in float64) float64 {
	if in <= 0 {
		return math.Inf(1)
	}
	return in
}
