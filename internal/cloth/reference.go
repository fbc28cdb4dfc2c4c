package cloth

import "piecebag/internal/geom"

// ReferenceKind is a thing of known size and near-white colour.
type ReferenceKind string

// The references that are found without being told.
const (
	IDCard    ReferenceKind = "card"   // ISO/IEC 7810 ID-1
	Letter    ReferenceKind = "letter" // ANSI/ASME Y14.1 size A
	A4        ReferenceKind = "a4"     // ISO 216
	IndexCard ReferenceKind = "index"  // 3 × 5 in
	// PrintedCard is the program's own reference card.
	PrintedCard ReferenceKind = "printed card"
)

// Reference is a white card or sheet lying among the pieces, in working
// pixels.
type Reference struct {
	Kind ReferenceKind
	// Corners run clockwise on screen; the first side (0 to 1) is a long one.
	Corners [4]geom.Point
	// Blank is where it shows bare paper, working pixels; nil: everywhere.
	Blank geom.Polygon
	// Region is the finder's region that this is, or -1 where it was found
	// without one.
	Region int
	Trust  float64 // 0..1
}
