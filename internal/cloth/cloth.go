// Package cloth is the vocabulary of Piecebag: pictures, pieces, cuts,
// families and values. It does no I/O.
package cloth

import (
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Picture is an upright, colour-managed picture in linear light at a working
// size: row-major, 3 float32 a pixel (linear sRGB primaries, D65, nominally
// 0..1), pixel (x, y) starting at Pix[3*(y*W+x)].
type Picture struct {
	W, H int
	Pix  []float32 // len 3*W*H
	// Shrink is how many full-size pixels one working pixel spans, each way;
	// full-size coordinates are working coordinates times Shrink.
	Shrink       float64
	FullW, FullH int // upright, full size
	// Clipped is 255 times the share of a working pixel that the camera
	// recorded at its top value in some channel; len W*H, or nil.
	Clipped []uint8
	// Focal35 is the lens's 35 mm equivalent focal length, mm, as the camera
	// noted it; 0 where it did not.
	Focal35 float64
	// Camera says that the file names its colour space, as phones and cameras
	// write it: what it shows went through a camera's tone curve.
	Camera bool
}

// MeanIn returns the mean linear colour of the pixels in a polygon, in working pixels; how
// much of them is overexposed, 0..1; and how many they are. All are 0 where none is.
func (p *Picture) MeanIn(g geom.Polygon) (mean colour.Linear, clipped float64, pixels int) {
	g.Fill(p.W, p.H, func(y, x0, x1 int) {
		for k := y*p.W + x0; k < y*p.W+x1; k++ {
			for i := range mean {
				mean[i] += float64(p.Pix[3*k+i])
			}
			if p.Clipped != nil {
				clipped += float64(p.Clipped[k]) / 255
			}
		}
		pixels += x1 - x0
	})
	n := max(1, float64(pixels))
	for i := range mean {
		mean[i] /= n
	}
	return mean, clipped / n, pixels
}

// Kind is one of the four ways people photograph scraps.
type Kind string

// The kinds of photo.
const (
	Spread Kind = "spread" // pieces laid apart
	Board  Kind = "board"  // squares edge to edge
	Stack  Kind = "stack"  // folded strips on edge
	Pile   Kind = "pile"   // loose and overlapping
)

// Family is a hue family.
type Family string

// The hue families, in the order of a shelf: round the hue circle, then the
// browns and the neutrals. Many is for a print no one colour speaks for.
const (
	Red    Family = "red"
	Pink   Family = "pink"
	Orange Family = "orange"
	Yellow Family = "yellow"
	Green  Family = "green"
	Teal   Family = "teal"
	Blue   Family = "blue"
	Purple Family = "purple"
	Brown  Family = "brown"
	White  Family = "white"
	Grey   Family = "grey"
	Black  Family = "black"
	Many   Family = "many"
)

// Families lists every family in shelf order, Many last.
var Families = []Family{Red, Pink, Orange, Yellow, Green, Teal, Blue, Purple, Brown, White, Grey, Black, Many}

// Value is how light a colour reads, in five steps.
type Value string

// The values, lightest first.
const (
	Light       Value = "light"
	MediumLight Value = "medium-light"
	Medium      Value = "medium"
	MediumDark  Value = "medium-dark"
	Dark        Value = "dark"
)

// Values lists the values, lightest first.
var Values = []Value{Light, MediumLight, Medium, MediumDark, Dark}

// ValueCuts are the CIE L* limits between neighbouring Values, lightest first:
// equal Munsell value steps over V 1.5–9.5 (ASTM D1535).
var ValueCuts = [4]float64{79.56, 64.01, 47.94, 31.41}

// ValueOf names the value of a CIE L* (0..100).
func ValueOf(lightness float64) Value {
	for i, c := range ValueCuts {
		if lightness >= c {
			return Values[i]
		}
	}
	return Dark
}

// Ink is one of a print's colours: albedo under D65, and the share of the
// piece's area it covers, 0..1.
type Ink struct {
	Colour colour.Linear `json:"colour"`
	Share  float64       `json:"share"`
}

// Region is one piece of cloth as the finder gives it, in working pixels.
type Region struct {
	Polygon geom.Polygon
	Corners []geom.Point // four, clockwise on screen, where it is a rectangle; else nil
	Trust   float64      // 0..1
	Card    bool         // a white card or sheet by its look: no cloth
	Notes   []string
}

// Piece is one cut bit of cloth, measured. Coordinates are full-size pixels of
// the upright photo. Zero lengths and empty strings mean "no answer".
type Piece struct {
	ID      int
	Polygon geom.Polygon
	Corners []geom.Point
	Mean    colour.Linear // albedo, D65
	ReadsAs colour.Linear // the colour it reads as from across the room
	Colours []Ink         // most area first; shares sum to 1
	Munsell string        // of Mean, as the value and the lightness are
	Family  Family
	With    Family // the family said second ("blue with white"), or empty
	Value   Value
	// FamilyTrust and ValueTrust are the probabilities that they are right; FamilyOr
	// and ValueOr what they may be instead, empty where there is little doubt.
	FamilyTrust, ValueTrust float64
	FamilyOr                Family
	ValueOr                 Value
	Lightness               float64 // CIE L* of Mean
	WidthIn                 float64 // the shorter side, inches
	LengthIn                float64
	Cut                     string
	SizeTrust               float64 // probability that it was cut to that size; 0 without a size
	Motif                   float64 // inches, how wide the print's motifs are; 0 for plain cloth
	Print                   string
	Mark                    string // by which its print is known again: see palette.Signature
	Trust                   float64
	Notes                   []string
}

// LeftOut is what may be a piece, and is too doubtful to be taken for one.
type LeftOut struct {
	Polygon geom.Polygon // full-size pixels
	Trust   float64      // 0..1, as a piece's
}

// LightReading says what white is in a photo.
type LightReading struct {
	White colour.Linear // what perfectly white cloth at the middle of the photo would record
	From  string        // printed card, card, sheet, ground, pick, estimate
	Trust float64       // 0..1
	// LightnessSD is the standard deviation, in CIE L* at middle values, of
	// the error that all pieces of the photo share: what is left unknown of
	// the exposure.
	LightnessSD float64
	// WarmthSD and TintSD are the standard deviations of the error in white's colour:
	// along the line of daylights and lamps, half of ln R/G − ln B/G, and across it,
	// from green to magenta, half of ln R/G + ln B/G (linear sRGB).
	WarmthSD, TintSD float64
}

// ScaleReading says how many full-size pixels span an inch in the middle of the
// photo.
type ScaleReading struct {
	PxPerInch float64
	From      string // given, printed card, card, sheet, mat, widths
	Trust     float64
	Or        float64 // the next likeliest where it is worth naming, or 0
}

// Sheet is everything found in one photo.
type Sheet struct {
	File          string
	Width, Height int // upright, full size
	Kind          Kind
	KindGiven     bool
	Light         LightReading
	Scale         ScaleReading // PxPerInch 0 where unknown
	Pieces        []Piece
	Left          []LeftOut // the likeliest first
	Notes         []string
}
