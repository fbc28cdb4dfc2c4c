package report

import (
	"fmt"
	"math"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
)

// Doubts says what may be wrong of a piece: "outline 43%; teal or blue, 55%".
func Doubts(d desk.Doubted) string {
	p := d.Piece
	words := make([]string, len(d.Of))
	for i, of := range d.Of {
		switch of {
		case desk.OutlineDoubt:
			words[i] = "outline " + percent(p.Trust)
		case desk.FamilyDoubt:
			words[i] = familyWords(p) + ", " + percent(p.FamilyTrust)
		case desk.ValueDoubt:
			words[i] = valueWords(p) + ", " + percent(p.ValueTrust)
		case desk.SizeDoubt:
			words[i] = size(p) + ", " + percent(p.SizeTrust)
		}
	}
	return strings.Join(words, "; ")
}

// MostFirst is how many doubted pieces, and how many things left out, are listed: with
// what stands beside them they fit on a screen.
const MostFirst = 8

// leftWords returns the places of what was left out of a sheet, those listed, and the
// points that have them taken in.
func leftWords(s cloth.Sheet) (places, points string) {
	listed := s.Left[:min(len(s.Left), MostFirst)]
	var at, give []string
	for _, g := range listed {
		x, y := leftAt(g)
		at = append(at, fmt.Sprintf("%.0f,%.0f (%s)", x, y, percent(g.Trust)))
		give = append(give, fmt.Sprintf(`{"point":[%.0f,%.0f]}`, x, y))
	}
	places = "left out at " + strings.Join(at, ", ")
	if n := len(s.Left) - len(listed); n > 0 {
		places += fmt.Sprintf(" and %d more places", n)
	}
	return places, strings.Join(give, ", ")
}

// leftAt returns a place in what was left out, whole full-size pixels.
func leftAt(g cloth.LeftOut) (x, y float64) {
	p, _ := labelSpot(g.Polygon)
	return math.Floor(p.X), math.Floor(p.Y)
}
