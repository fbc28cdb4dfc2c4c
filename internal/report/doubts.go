package report

import (
	"fmt"
	"math"
	"slices"
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

// doubtRemedies say what mends each doubt of a look.
var doubtRemedies = []struct {
	of     desk.Doubt
	remedy string
}{
	{desk.OutlineDoubt, "an outline: draw it, or give a point in the piece, with --pieces"},
	{desk.FamilyDoubt, "a name: stow the photo, then 'piecebag fix NUMBER --family NAME'"},
	{desk.ValueDoubt, "a value: stow the photo, then 'piecebag fix NUMBER --value VALUE'"},
	{desk.SizeDoubt, "a size: give the scale with --scale, or the widths you cut with --cuts"},
}

// first returns the doubted pieces that are listed, how many there are besides, and what
// mends the doubts of those listed.
func first(sheets []cloth.Sheet) (listed []desk.Doubted, more int, remedies []string) {
	all := desk.DoubtedOf(sheets)
	listed = all[:min(len(all), MostFirst)]
	for _, r := range doubtRemedies {
		if slices.ContainsFunc(listed, func(d desk.Doubted) bool { return slices.Contains(d.Of, r.of) }) {
			remedies = append(remedies, r.remedy)
		}
	}
	return listed, len(all) - len(listed), remedies
}

// moreWords says how many there are besides those listed.
func moreWords(n int) string {
	return "and " + cloth.Count(n, "piece") + " more: --json lists them all"
}

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

// leftRemedy is how what was left out is taken in.
const leftRemedy = "to take in what is cloth of that, add its point to the pieces that --json writes, and give the file with --pieces"

// leftAt returns a place in what was left out, whole full-size pixels.
func leftAt(g cloth.LeftOut) (x, y float64) {
	p, _ := labelSpot(g.Polygon)
	return math.Floor(p.X), math.Floor(p.Y)
}
