// Package contrast holds prints against a background, and a pull of prints
// against the values a quilt needs. It does no I/O.
//
// No limit of light and dark has been published for quilts, so the bands are
// steps of the Munsell value scale (ASTM D1535), which was made to be even to the
// eye, and the ratio beside them is borrowed from signs on screens and named so.
package contrast

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// Print is what is known of one print, or of one colour.
type Print struct {
	Name   string
	Colour colour.Linear // its mean, area by area: albedo, D65
	Reads  colour.Linear // what it reads as: the colour to draw beside its name
	Inks   []cloth.Ink   // shares are taken relative to their sum; none for a plain colour
	Pieces int           // how many of it are in the pull, 1 or more
	Cloth  []Cloth       // what is known of their sizes
	// What its first piece is called by its colour, and where pieces lie; empty where that
	// is not known, as of a colour that was named.
	Family  cloth.Family
	Value   cloth.Value
	Baskets []string
}

// Cloth is pieces of one size, inches; 0 where a side is not known.
type Cloth struct {
	WidthIn, LengthIn float64
	Count             int
}

// leastBackground is what cloth must come to, square inches, before it is offered
// as the background of a quilt not planned: ⅛ yard of cloth 40 inches wide, the
// least that is sold. Our own judgement; no source.
const leastBackground = 4.5 * 40

// Small says that all there is of the print would hardly make a background, and
// Large that it would. Cloth of which some is of unknown size may be neither.
func (p Print) Small() bool {
	area, known := p.area()
	return p.Cloth != nil && known && area < leastBackground
}

// Large: see Small.
func (p Print) Large() bool {
	area, _ := p.area()
	return area >= leastBackground
}

// area is that of the cloth of known size, square inches, and whether that is all.
func (p Print) area() (in2 float64, all bool) {
	all = true
	for _, c := range p.Cloth {
		in2 += c.WidthIn * c.LengthIn * float64(c.Count)
		all = all && c.WidthIn > 0 && c.LengthIn > 0
	}
	return in2, all
}

// Without returns the pull but for what has a name, as no print is held against
// itself.
func Without(pull []Print, name string) []Print {
	return slices.DeleteFunc(slices.Clone(pull), func(p Print) bool { return name != "" && p.Name == name })
}

// Lightness is CIE L*, 0..100.
func (p Print) Lightness() float64 { return inside(p.Colour).Lab().L }

// Luminance returns relative to white, 0..1.
func (p Print) Luminance() float64 { return inside(p.Colour).Luminance() }

// MunsellValue returns 0..10.
func (p Print) MunsellValue() float64 { return valueOf(p.Colour) }

// Grey returns the grey of the same lightness: the print with its colour gone.
func (p Print) Grey() colour.Linear { return greyAt(p.Lightness()) }

func greyAt(lightness float64) colour.Linear { return colour.Lab{L: lightness}.Linear() }

// Spread returns the standard deviation, in Munsell value steps, of the print's inks
// about their mean, by area; 0 for a plain colour. Half of a print two steps
// above the other half has a spread of one.
func (p Print) Spread() float64 {
	var total, mean float64
	for _, s := range p.Inks {
		total += s.Share
		mean += s.Share * valueOf(s.Colour)
	}
	if !(total > 0) {
		return 0
	}
	mean /= total
	var square float64
	for _, s := range p.Inks {
		d := valueOf(s.Colour) - mean
		square += s.Share * d * d
	}
	return math.Sqrt(square / total)
}

// Mixed says that a print holds lights and darks so far apart that its mean does
// not speak for it: its spread reaches one Munsell value step, the width of a
// band.
func (p Print) Mixed() bool { return p.Spread() >= sinksBelow }

func valueOf(c colour.Linear) float64 { return colour.MunsellValue(inside(c).Luminance()) }

// inside clamps to the gamut: WCAG defines its luminance for screens, and an
// albedo above white is a fault of measurement.
func inside(c colour.Linear) colour.Linear {
	for i, v := range c {
		c[i] = min(1, max(0, v))
	}
	return c
}

// Band says how a print stands on a background.
type Band string

// The bands.
const (
	Sinks Band = "sinks"        // under one Munsell value step from the background
	Soft  Band = "soft"         // one to two steps
	Clear Band = "stands clear" // over two
)

// Bands lists the bands, least contrast first.
var Bands = []Band{Sinks, Soft, Clear}

// The limits of the bands in Munsell value steps. Munsell's steps are published
// (ASTM D1535); that one and two of them make the bands is our own judgement:
// common practice, no source.
const (
	sinksBelow = 1.0
	clearAbove = 2.0
)

// bandOf returns the band of a gap in Munsell value steps, either way.
func bandOf(steps float64) Band {
	switch s := math.Abs(steps); {
	case s < sinksBelow:
		return Sinks
	case s <= clearAbove:
		return Soft
	}
	return Clear
}

// someSunk is the share of a mixed print within a step of the background at which
// the edge of a patch gets lost in places: common practice, no source.
const someSunk = 0.1

// LeastRatio is the luminance ratio that WCAG 2.1, success criterion 1.4.11, asks
// of graphical objects on a screen. It is borrowed: nobody made it for cloth.
const LeastRatio = 3

// Verdict is a print against a background.
type Verdict struct {
	Gap    float64 // L* of the print less that of the background, -100..100
	Steps  float64 // the same in Munsell value steps, -10..10
	DeltaE float64 // CIEDE2000, 0 and up
	Ratio  float64 // WCAG 2.x luminance ratio, 1..21; borrowed, see LeastRatio
	Band   Band    // by Steps
	Spread float64 // of the print, see Print.Spread
	Mixed  bool    // see Print.Mixed
	Counts Band    // what it counts as: a band lower than Band where Mixed and some of it sinks
	Sunk   float64 // the share of the print within one step of the background, 0..1
}

// Against holds a print against a background.
func Against(background, p Print) Verdict {
	steps := p.MunsellValue() - background.MunsellValue()
	v := Verdict{
		Gap: p.Lightness() - background.Lightness(), Steps: steps, Band: bandOf(steps),
		DeltaE: colour.DeltaE00(inside(background.Colour).Lab(), inside(p.Colour).Lab()),
		Ratio:  colour.Contrast(inside(background.Colour), inside(p.Colour)),
		Spread: p.Spread(), Mixed: p.Mixed(), Sunk: sunk(background, p),
	}
	v.Counts = v.Band
	if v.Mixed && v.Sunk >= someSunk {
		v.Counts = Bands[max(0, slices.Index(Bands, v.Band)-1)]
	}
	return v
}

// sunk returns the share of a print that lies within a step of the background.
func sunk(background, p Print) float64 {
	ground := background.MunsellValue()
	var under, total float64
	for _, s := range p.Inks {
		total += s.Share
		if math.Abs(valueOf(s.Colour)-ground) < sinksBelow {
			under += s.Share
		}
	}
	if total > 0 {
		return under / total
	}
	if math.Abs(p.MunsellValue()-ground) < sinksBelow {
		return 1
	}
	return 0
}
