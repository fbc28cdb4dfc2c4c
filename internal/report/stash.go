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

// Shelf shows what the stash holds.
type Shelf struct {
	desk.Shelf
	Wording Wording
	Crops   Crops // of Holdings, where photos of them are kept
}

// title returns what a report of the stash is called.
func (s Shelf) title() string {
	if s.Part != "" {
		return "A part of the stash, " + printable(s.Part)
	}
	return "The stash"
}

// inchesPerYard is exact, as is all of the yard: NIST Handbook 44, appendix C.
const inchesPerYard = 36

// areaWords writes square inches in square yards.
func areaWords(in2 float64) string {
	return strconv.FormatFloat(math.Round(in2/(inchesPerYard*inchesPerYard)*100)/100, 'f', -1, 64) + " sq yd"
}

// stashWords returns what the stash comes to in one line; what is told apart stays
// told apart.
func stashWords(t shelf.Totals) string {
	var words []string
	if t.Sized > 0 {
		words = append(words, cloth.Count(t.Sized, "piece")+" of known size")
	}
	if n := t.Seen - t.Bands; n > 0 {
		what := strconv.Itoa(n)
		if words == nil {
			what = cloth.Count(n, "piece")
		}
		words = append(words, what+" of no known size")
	}
	if t.Bands > 0 {
		words = append(words, cloth.Count(t.Bands, "band")+" seen on edge")
	}
	if t.Weighed > 0 {
		words = append(words, areaWords(t.Weighed)+" weighed")
	}
	if words == nil {
		return "nothing yet"
	}
	if t.Prints > 0 {
		words = append(words, cloth.Count(t.Prints, "print"))
	}
	return strings.Join(words, ", ")
}

// unsized says of how many pieces of a box the size is not known: "seen on edge" of
// bands, "no length known" of strips, with a number where it is not all of them.
func unsized(b shelf.Box) string {
	what := "size"
	switch {
	case b.Seen == 0:
		return ""
	case b.Form == cloth.Band:
		return "seen on edge"
	case b.Form == cloth.Strip && b.Width > 0:
		what = "length"
	}
	if b.Seen < b.Count {
		return fmt.Sprintf("%d of no known %s", b.Seen, what)
	}
	return "no " + what + " known"
}

// bandWords explain what a stack shows.
const bandWords = "A band is one fold of a stack. Only its edge was seen, so its size is not known."

// yieldWords returns "24 of 1½ or 14 of 2½": one or the other, never both. Empty
// with none.
func yieldWords(yields []shelf.Squares) string {
	return strings.Join(mapped(yields, func(y shelf.Squares) string { return fmt.Sprintf("%d of %s", y.Count, shelf.Length(y.Size)) }), " or ")
}

// trimWords says what the yields were counted with.
func trimWords(trim float64) string {
	if trim <= 0 {
		return "with nothing squared off the ends"
	}
	return "after " + inches(trim) + " squared off the end of each"
}

// inches writes a length with its unit: ½ inch, 2½ inches, 1 cm.
func inches(in float64) string {
	s := shelf.Length(in)
	switch {
	case strings.HasSuffix(s, "cm"):
		return s
	case in <= 1:
		return s + " inch"
	}
	return s + " inches"
}

// thinLines says what is thin, by how many and why: a line for all the boxes of one cut that
// lack as many for one reason, the line that wants the most pieces first.
func thinLines(all []shelf.Short) []string {
	type alike struct {
		cut shelf.Cut
		why string
		by  int
	}
	groups := grouped(all, func(s shelf.Short) alike { return alike{s.Cut, s.Why(), s.By()} })
	slices.SortStableFunc(groups, func(a, b group[alike, shelf.Short]) int { return missing(b.all) - missing(a.all) })
	return mapped(groups, func(g group[alike, shelf.Short]) string {
		if len(g.all) == 1 {
			return printable(shortWords(g.all[0]))
		}
		names := mapped(g.all, func(s shelf.Short) string {
			name := strings.TrimSuffix(s.Name(), ", "+g.key.cut.String())
			if s.FromStrips > 0 {
				name += fmt.Sprintf(" (its strips give %d)", s.FromStrips)
			}
			return name
		})
		line := fmt.Sprintf("%d each, want %d more each (%s): %s", g.all[0].Count, g.key.by, g.key.why, strings.Join(names, ", "))
		if g.key.cut.Form != "" {
			line = g.key.cut.String() + ": " + line
		}
		return printable(line)
	})
}

// shortWords returns one thin box: what, how many, how many more, and why.
func shortWords(s shelf.Short) string {
	line := fmt.Sprintf("%s: %d, wants %d more (%s)", s.Name(), s.Count, s.By(), s.Why())
	if s.FromStrips > 0 {
		line += fmt.Sprintf("; its strips give %d", s.FromStrips)
	}
	return line
}

// shortOf finds why a box is thin.
func shortOf(all []shelf.Short, b shelf.Box) (shelf.Short, bool) {
	for _, s := range all {
		if s.Of(b) {
			return s, true
		}
	}
	return shelf.Short{}, false
}

// signed writes how much more or less there is, with a true minus.
func signed(n int) string {
	if n < 0 {
		return "−" + strconv.Itoa(-n)
	}
	return "+" + strconv.Itoa(n)
}

// changeWords returns "+3 dark blue, 2½ square", or the area where it was weighed.
func changeWords(c shelf.Count) string {
	what := printable(c.Alike.String())
	if c.Cut.Form != "" {
		what += ", " + c.Cut.String()
	}
	if c.Count != 0 {
		return signed(c.Count) + " " + what
	}
	sign := "+"
	if c.AreaIn < 0 {
		sign = "−"
	}
	return sign + areaWords(math.Abs(c.AreaIn)) + " " + what
}

// Difference says in one line how the colours changed: "+3 blue, −5 green", or
// "no change".
func Difference(changes []shelf.Count) string {
	switch colours := shelf.ByColour(changes); {
	case len(colours) > 0:
		return strings.Join(Changes(colours), ", ")
	case len(changes) > 0:
		return "no colour more or less, but other values or cuts"
	}
	return "no change"
}

// Changes lists what each box holds more or less, a line a box.
func Changes(changes []shelf.Count) []string {
	return mapped(changes, changeWords)
}
