package scale

import (
	"math"

	"piecebag/internal/card"
	"piecebag/internal/geom"
)

// cardWeight is what the printed card's outline counts for in the tilt, against a piece
// of cloth: its corners, known by sixteen of its marks, are true to a fifth of cloth's.
const cardWeight = 25

// cardQuad is the printed card as a quadrilateral that tells the tilt.
func cardQuad(f *card.Found) quad { return quad{c: f.Corners(), square: cardWeight} }

// cardScale is how many plane units span an inch by the printed card.
func cardScale(f *card.Found, l *plane) float64 {
	c := f.Corners()
	return math.Sqrt(geom.Polygon(c[:]).Map(l.at).Area() / (card.Width * card.Height))
}

// printedSD is the relative error of a length by the printed card.
const printedSD = 0.004

// tellsOf is what the printed card says of the scale, where it gives unit plane
// units an inch.
func tellsOf(f *card.Found, unit float64) *told {
	return &told{parts: []tellsScale{{from: FromPrint, s: math.Log(unit), sd: printedSD, odds: f.Trust / max(1e-3, 1-f.Trust)}}}
}
