package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/shelf"
)

// percent writes a share 0..1 as a whole percentage. What is there is never 0,
// and what is not the whole is never 100.
func percent(share float64) string {
	p := math.Round(100 * share)
	switch {
	case share > 0 && p < 1:
		return "under 1%"
	case share < 1 && p > 99:
		p = 99
	}
	return fmt.Sprintf("%.0f%%", p)
}

// sure says in words how far an answer can be trusted.
func sure(trust float64) string {
	switch {
	case trust >= 0.9:
		return "sure"
	case trust >= desk.Doubtful:
		return "fairly sure"
	case trust >= 0.4:
		return "unsure"
	}
	return "a guess"
}

// lightWords says where white came from; empty where nothing was read.
func lightWords(l cloth.LightReading) string {
	from := map[string]string{
		"printed card": "white from the printed card in the photo",
		"card":         "white from the card in the photo",
		"sheet":        "white from the paper in the photo",
		"ground":       "white from the white ground",
		"pick":         "white from the spot you picked",
		"estimate":     "white estimated, with no white thing in view",
	}[l.From]
	switch {
	case l.From == "":
		return ""
	case from == "":
		from = "white from " + l.From
	}
	words := from + " (" + sure(l.Trust) + ", " + percent(l.Trust) + ")"
	if l.LightnessSD >= wideLightness {
		words += "; L* may be off by " + strconv.Itoa(int(math.Round(l.LightnessSD))) + " for all pieces alike"
	}
	return words
}

// wideLightness is the error of L* that is worth saying: a quarter of a step of
// value.
const wideLightness = 4

// scaleWords says how large things are; "not known" where no scale was found.
func scaleWords(s cloth.ScaleReading) string {
	if s.PxPerInch <= 0 {
		return "not known, so no sizes"
	}
	from := map[string]string{
		"printed card": "from the printed card in the photo",
		"card":         "from the card in the photo",
		"sheet":        "from the paper in the photo",
		"mat":          "from the lines of the mat in the photo",
		"widths":       "from the widths of the pieces themselves",
	}[s.From]
	switch {
	case s.From == "":
		from = "from an unknown source"
	case from == "":
		from = "from " + s.From
	}
	if s.From == "given" { // how well it was measured nobody knows
		return fmt.Sprintf("%.1f pixels an inch, as given", s.PxPerInch)
	}
	or := ""
	if s.Or > 0 {
		or = fmt.Sprintf("; else %.1f", s.Or)
	}
	return fmt.Sprintf("%.1f pixels an inch, %s (%s, %s%s)", s.PxPerInch, from, sure(s.Trust), percent(s.Trust), or)
}

// size writes the measured sides; empty where unknown.
func size(p cloth.Piece) string {
	if p.WidthIn <= 0 || p.LengthIn <= 0 {
		return ""
	}
	return shelf.Size(p.WidthIn, p.LengthIn)
}

// thinWords says what is thin, a line a reason: "bins below the floor of 4: yellow (1),
// light blue (2)". A bin is left out where its whole colour is listed for the same
// reason, which says it already.
func thinWords(all []shelf.Thin) []string {
	told := slices.DeleteFunc(slices.Clone(all), func(t shelf.Thin) bool {
		whole, ok := thinCell(all, t.Family, "")
		return t.Family != "" && t.Value != "" && ok && whole.Reason == t.Reason
	})
	return mapped(grouped(told, thinReason), func(g group[string, shelf.Thin]) string {
		return g.key + ": " + strings.Join(mapped(g.all, func(t shelf.Thin) string {
			return fmt.Sprintf("%s (%d)", strings.TrimSpace(string(t.Value)+" "+string(t.Family)), t.Count)
		}), ", ")
	})
}

// thinReason says why, with the figure that the count was held against.
func thinReason(t shelf.Thin) string {
	sort := "bin"
	switch {
	case t.Family == "":
		sort = "value"
	case t.Value == "":
		sort = "colour"
	}
	if t.Reason == shelf.BelowFloor {
		return fmt.Sprintf("%ss below the floor of %.0f", sort, t.Against)
	}
	return fmt.Sprintf("%ss with less than half as many pieces as the middle %[1]s, which has %s", sort, halves(t.Against))
}

// halves writes a median of counts, which may end in a half.
func halves(x float64) string {
	if whole := math.Floor(x); whole != x {
		return fmt.Sprintf("%.0f½", whole)
	}
	return fmt.Sprintf("%.0f", x)
}

// missingWords lists the colours, then the values, that no piece has: one
// sentence each, or none.
func missingWords(missing []shelf.Thin) (out []string) {
	colours, values := missingNames(missing)
	if len(colours) > 0 {
		out = append(out, "colours: "+strings.Join(colours, ", "))
	}
	if len(values) > 0 {
		out = append(out, "values: "+strings.Join(values, ", "))
	}
	return out
}

func missingNames(missing []shelf.Thin) (colours, values []string) {
	for _, t := range missing {
		if t.Family == "" {
			values = append(values, string(t.Value))
		} else {
			colours = append(colours, string(t.Family))
		}
	}
	return colours, values
}

// thinCell finds why the bin of f and v, all cuts together, is thin.
func thinCell(all []shelf.Thin, f cloth.Family, v cloth.Value) (shelf.Thin, bool) {
	for _, t := range all {
		if t.Family == f && t.Value == v {
			return t, true
		}
	}
	return shelf.Thin{}, false
}

// stackWords says how the stacks are made: they lie side by side in the order
// listed.
func stackWords(stacks []shelf.Stack) string {
	moves := shelf.Moves(stacks)
	stay := -moves
	for _, s := range stacks {
		stay += s.Len()
	}
	return fmt.Sprintf("%s, side by side in this order: %s where they lie, %s", cloth.Count(len(stacks), "stack"), verb(stay, "stays", "stay"), verb(moves, "is moved", "are moved"))
}

func verb(n int, one, more string) string { return verbs(n, "piece", one, more) }

// verbs returns verb for things of another name.
func verbs(n int, noun, one, more string) string {
	if n == 1 {
		more = one
	}
	return cloth.Count(n, noun) + " " + more
}

// foundWords says how many pieces a photo holds.
func foundWords(s cloth.Sheet) string {
	if len(s.Pieces) == 0 {
		return "no pieces found"
	}
	return cloth.Count(len(s.Pieces), "piece")
}

// familyWords returns what a piece is called: "blue with white", "teal or blue".
func familyWords(p cloth.Piece) string {
	switch {
	case desk.FamilyInDoubt(p):
		return string(p.Family) + " or " + string(p.FamilyOr)
	case p.With != "":
		return string(p.Family) + " with " + string(p.With)
	}
	return string(p.Family)
}

// valueWords returns a piece's value, and the one it may be instead.
func valueWords(p cloth.Piece) string {
	if p.ValueOr != "" {
		return string(p.Value) + " or " + string(p.ValueOr)
	}
	return string(p.Value)
}

func shortValueWords(p cloth.Piece) string {
	if p.ValueOr != "" {
		return shortValues[p.Value] + "/" + shortValues[p.ValueOr]
	}
	return shortValues[p.Value]
}

// shortValues are the values for narrow places.
var shortValues = map[cloth.Value]string{
	cloth.Light: "L", cloth.MediumLight: "ML", cloth.Medium: "M", cloth.MediumDark: "MD", cloth.Dark: "D",
}

// valueLegend explains shortValues.
const valueLegend = "L light, ML medium-light, M medium, MD medium-dark, D dark"

func dashOrCount(n int) string {
	if n == 0 {
		return "–"
	}
	return strconv.Itoa(n)
}
