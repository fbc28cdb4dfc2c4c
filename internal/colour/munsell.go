package colour

import (
	"fmt"
	"math"
	"strconv"
)

// Munsell is a Munsell renotation. Hue is the ASTM D1535 hue number, 0 < Hue ≤
// 100 round the circle from red: 5 is 5R, 10 is 10R, 15 is 5YR, 100 is 10RP.
// Value is 0..10, Chroma ≥ 0. Greys have Chroma 0, up to rounding, and their Hue
// says nothing.
type Munsell struct{ Hue, Value, Chroma float64 }

// hueLetters names the ten hue sectors; the hue numbers of sector k run from
// above 10k to 10(k+1).
var hueLetters = [10]string{"R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP"}

// ToMunsell returns the Munsell renotation of a colour; see XYZ.Munsell.
func ToMunsell(c Linear) Munsell { return c.XYZ().Munsell() }

// Munsell returns the renotation of a colour under D65: adapted to illuminant C by
// Bradford, then placed among the chips of the 1943 renotation. Chromas beyond
// the data continue at the spacing of the last chip. Colours darker than black
// or lighter than white keep hue and chroma and get value 0 or 10; what is not a
// number is black.
func (c XYZ) Munsell() Munsell {
	n := XYZ(d65ToC.Apply(c))
	value := MunsellValue(n[1])
	_, a, b := labOf(n, WhiteC)
	radius, degrees := polar(a, b, 1e-9)
	if !(radius >= 1e-9) || math.IsInf(radius, 0) {
		return Munsell{Hue: 100, Value: value}
	}
	hue, chroma := locate(value, radius, degrees)
	return Munsell{hue, value, chroma}
}

// XYZ returns the colour under D65 of a renotation, the inverse of XYZ.Munsell. Hue is
// taken round the circle, value clamped to 0..10, chroma to 0 and up.
func (m Munsell) XYZ() XYZ {
	var a, b float64
	if m.Chroma > 0 && !math.IsInf(m.Hue, 0) && !math.IsNaN(m.Hue) {
		a, b = cartesian(place(m.Hue, min(10, max(0, m.Value)), m.Chroma))
	}
	lightness := 116*labF(MunsellY(m.Value)) - 16
	return XYZ(cToD65.Apply(xyzOf(lightness, a, b, WhiteC)))
}

// Linear returns the colour in linear sRGB; it may lie outside the gamut.
func (m Munsell) Linear() Linear { return m.XYZ().Linear() }

// String returns the notation of ASTM D1535 to one decimal, "5P 4.6/6", or
// "N 5.2/" where the chroma rounds to 0.
func (m Munsell) String() string {
	value, chroma := tenth(m.Value), tenth(m.Chroma)
	if chroma == "0" {
		return "N " + value + "/"
	}
	tenths := int(math.Round(10*m.Hue)) % 1000
	if tenths <= 0 {
		tenths += 1000
	}
	sector := (tenths - 1) / 100
	return fmt.Sprintf("%s%s %s/%s", tenth(float64(tenths-100*sector)/10), hueLetters[sector], value, chroma)
}

// tenth writes a number with at most one decimal.
func tenth(v float64) string {
	return strconv.FormatFloat(math.Round(10*v)/10, 'f', -1, 64)
}
