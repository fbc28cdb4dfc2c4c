package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// Doubt is what may be wrong of a piece.
type Doubt string

// What may be wrong.
const (
	OutlineDoubt Doubt = "outline"
	FamilyDoubt  Doubt = "family"
	ValueDoubt   Doubt = "value"
	SizeDoubt    Doubt = "size"
)

// Doubted is a piece of which something may well be wrong.
type Doubted struct {
	shelf.Item
	Of    []Doubt // the likeliest wrong first
	Words string  // "outline 43%; teal or blue, 55%"
	Right float64 // probability that all that is said of it is right
}

// DoubtedOf lists the pieces of some sheets of which something may well be wrong, the
// likeliest wrong first: an outline or a size below a trust of 0.7, and a name
// beside which another is nearly as likely.
func DoubtedOf(sheets []cloth.Sheet) []Doubted {
	var out []Doubted
	for i, s := range sheets {
		for _, p := range s.Pieces {
			if d := doubtedOf(p); d.Of != nil {
				d.Photo = i
				out = append(out, d)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Doubted) int { return cmp.Compare(a.Right, b.Right) })
	return out
}

func doubtedOf(p cloth.Piece) Doubted {
	d := Doubted{Item: shelf.Item{Piece: p}, Right: 1}
	type part struct {
		of    Doubt
		in    bool
		trust float64 // 0: no answer
		words string
	}
	parts := []part{
		{OutlineDoubt, p.Trust < doubtful, p.Trust, "outline"},
		{FamilyDoubt, familyInDoubt(p), p.FamilyTrust, familyWords(p) + ","},
		{ValueDoubt, p.ValueOr != "", p.ValueTrust, valueWords(p) + ","},
		{SizeDoubt, p.SizeTrust < doubtful, p.SizeTrust, size(p) + ","},
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(a.trust, b.trust) })
	var words []string
	for _, a := range parts {
		if a.trust == 0 {
			continue
		}
		d.Right *= a.trust
		if a.in {
			d.Of, words = append(d.Of, a.of), append(words, a.words+" "+percent(a.trust))
		}
	}
	d.Words = strings.Join(words, "; ")
	return d
}

// MostFirst is how many doubted pieces, and how many things left out, are listed: with
// what stands beside them they fit on a screen.
const MostFirst = 8

// doubtRemedies say what mends each doubt of a look.
var doubtRemedies = []struct {
	of     Doubt
	remedy string
}{
	{OutlineDoubt, "an outline: draw it, or give a point in the piece, with --pieces"},
	{FamilyDoubt, "a name: stow the photo, then 'piecebag fix NUMBER --family NAME'"},
	{ValueDoubt, "a value: stow the photo, then 'piecebag fix NUMBER --value VALUE'"},
	{SizeDoubt, "a size: give the scale with --scale, or the widths you cut with --cuts"},
}

// first are the doubted pieces that are listed, how many there are besides, and what
// mends the doubts of those listed.
func first(sheets []cloth.Sheet) (listed []Doubted, more int, remedies []string) {
	all := DoubtedOf(sheets)
	listed = all[:min(len(all), MostFirst)]
	for _, r := range doubtRemedies {
		if slices.ContainsFunc(listed, func(d Doubted) bool { return slices.Contains(d.Of, r.of) }) {
			remedies = append(remedies, r.remedy)
		}
	}
	return listed, len(all) - len(listed), remedies
}

// moreWords says how many there are besides those listed.
func moreWords(n int) string { return "and " + cloth.Count(n, "piece") + " more" }

// leftWords are the places of what was left out of a sheet, those listed, and the
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

// leftAt is a place in what was left out, whole full-size pixels.
func leftAt(g cloth.LeftOut) (x, y float64) {
	p, _ := labelSpot(g.Polygon)
	return math.Floor(p.X), math.Floor(p.Y)
}
