package cloth

import (
	"strings"

	"piecebag/internal/colour"
)

// Form says what is known of cloth in the stash, and so what it can be counted
// as.
type Form string

// The forms. Only squares, rectangles, strips and irregular pieces with both
// lengths known can be cut from; bands were only seen, on edge in a stack, and
// weighed cloth has an area and no shape.
const (
	Square    Form = "square"
	Rectangle Form = "rectangle"
	Strip     Form = "strip"     // of a known width; LengthIn may be unknown
	Irregular Form = "irregular" // its lengths are those of the box round it
	Band      Form = "band"      // one fold of a stack
	Weighed   Form = "weighed"
)

// Forms lists the forms in the order of a report.
var Forms = []Form{Square, Rectangle, Strip, Irregular, Band, Weighed}

// StripFrom is how many widths long a rectangle is a strip.
const StripFrom = 2.2

// FormOfCut returns the form that the name of a cut ends with, as "1½ strip" does; empty where
// that is neither a square nor a strip nor a rectangle.
func FormOfCut(cut string) Form {
	for _, form := range []Form{Square, Strip, Rectangle} {
		if strings.HasSuffix(cut, " "+string(form)) {
			return form
		}
	}
	return ""
}

// Holding is one entry of the stash: a piece from a photo, or a count of pieces
// alike. Zero lengths and empty strings mean "not known".
type Holding struct {
	ID       int64
	Form     Form
	Count    int     // pieces alike, 1 or more
	WidthIn  float64 // as cut, the shorter side, inches
	LengthIn float64
	AreaIn2  float64 // of weighed cloth, square inches, all of Count together
	Grams    float64 // of weighed cloth, all of Count together
	Family   Family
	Value    Value
	Bin      string // your own bin; it goes before Family and Value
	Print    string // the same name in every photo of one print
	Basket   string

	Measured  bool          // whether the colours below were measured in a photo
	Mean      colour.Linear // albedo, D65
	ReadsAs   colour.Linear
	Colours   []Ink   // most area first; shares sum to 1
	Lightness float64 // CIE L* of Mean, 0..100
	Motif     float64 // inches, how wide the print's motifs are; 0 for plain cloth
	Mark      string  // by which its print is known again: see palette.Signature

	Photo string  // SHA-256 of the photo in hex; empty where entered by hand
	Piece int     // its number in the photo, from 1; 0 by hand
	Trust float64 // 0..1; 1 by hand
}

// Alike says what bin you would look in: your own, or hue family and
// value.
func (h Holding) Alike() string {
	if h.Bin != "" {
		return h.Bin
	}
	return string(h.Family) + " " + string(h.Value)
}
