package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/plan"
	"piecebag/internal/shelf"
)

// The headings of what Around leaves out.
const onTheShelf, nothingYet, onlyThin = "On the shelf", "Nothing yet", "Thin"

// Document shows the whole of the stash, its shelf basket by basket, what is thin and
// what changed.
func (s Shelf) Document() Document {
	t := tonesOf(s.Holdings)
	d := Document{title: s.title(), lead: stashLead(s), opening: s.title() + ": " + stashWords(s.Stock.Totals)}
	if len(s.Stock.Boxes) == 0 {
		d.sections = append(d.sections, section{Heading: nothingYet, Shown: true, Paras: []string{"Stow a photo of some cloth, or add what you have by hand."}})
	}
	families, lines := s.Thin()
	thin := section{Heading: onlyThin, Shown: true, Paras: families, Items: lines}
	if n := len(lines) - mostThinLines; n > 1 {
		thin.Fold, thin.More = mostThinLines, fmt.Sprintf("and %s more that want fewer", cloth.Count(n, "line"))
	}
	d.add(thin)
	if len(s.Stock.Boxes) > 0 {
		d.sections = append(d.sections,
			section{Said: true, Tables: []table{s.baskets(t)}},
			section{Heading: onTheShelf, Shown: true, Tables: []table{s.baskets(t)}, Paras: []string{s.sorted() + " Strips are counted in squares " + trimWords(s.Stock.Trim) + "."}})
	}
	if s.Stock.Totals.Bands > 0 {
		d.sections = append(d.sections, section{Said: true, Paras: []string{bandWords}})
	}
	if len(s.Stock.Yields) > 0 {
		d.sections = append(d.sections, section{Heading: "All strips together give", Paras: []string{"squares " + trimWords(s.Stock.Trim) + ": " + yieldWords(s.Stock.Yields)}})
	}
	if len(s.Stock.Balance.Families) > 0 {
		d.sections = append(d.sections, theWhole(s.Stock.Balance, t), section{Heading: "Balance", Said: true, Facts: []fact{
			{What: "colour", Words: strings.Join(mapped(s.Stock.Balance.Families, partWords), ", ")},
			{What: "value", Words: strings.Join(mapped(s.Stock.Balance.Values, partWords), ", ")},
		}})
	}
	if n := len(lines) - mostNamed; n > 0 {
		lines = append(slices.Clone(lines[:mostNamed]), "and "+cloth.Count(n, "line")+" more"+s.Wording.Whole)
	}
	d.add(section{Heading: onlyThin, Said: true, Paras: append(families, lines...)}, section{Heading: "Missing altogether", Paras: missingWords(s.Stock.Missing)})
	if s.Since != "" {
		d.sections = append(d.sections, section{Heading: "Changed since " + s.Since, Paras: []string{Difference(s.Changes)}, Items: Changes(s.Changes)})
	}
	return d
}

func stashLead(s Shelf) string {
	words := stashWords(s.Stock.Totals)
	if n := coloursOf(s.Stock.Balance); n > 0 {
		words += ", in " + cloth.Count(n, "colour")
	}
	return capital(words) + "."
}

// coloursOf returns how many hue families there are.
func coloursOf(b shelf.Balance) int {
	return len(slices.DeleteFunc(slices.Clone(b.Families), func(f shelf.Portion) bool { return f.Family == cloth.Many }))
}

// theWhole draws all there is by hue and by value.
func theWhole(b shelf.Balance, t tones) section {
	return section{
		Heading: "The whole of it", Shown: true,
		Drawings: []drawing{wheelDrawing(b, t), barsDrawing("Value", valueBars(b), t), barsDrawing("Off the wheel", offBars(b), t)},
		Caption:  "The more pieces in a wedge, the longer it is; the dark ones lie nearest the middle. Bars: the colours of each value above its grey, and the colours that have no place on the wheel.",
		Items:    drawnWords(b, t),
	}
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// drawnWords says what the shares by area rest on, and which pieces are drawn
// otherwise than as they were measured.
func drawnWords(b shelf.Balance, t tones) []string {
	var out []string
	if b.Sized > 0 {
		out = append(out, fmt.Sprintf("Areas are of the %s of known size, %.0f square inches in all.", cloth.Count(b.Sized, "piece"), b.Area))
	}
	if t.byHand > 0 {
		out = append(out, cloth.Count(t.byHand, "piece")+" entered by hand: "+map[bool]string{true: "its colour is", false: "their colours are"}[t.byHand == 1]+" drawn from the name alone.")
	}
	if t.half > 0 {
		out = append(out, cloth.Count(t.half, "piece")+" with a colour and no value, or the other way about: counted, and not drawn.")
	}
	return out
}

// sorted says by what the shelf is sorted.
func (s Shelf) sorted() string {
	switch s.Stock.Sorted() {
	case shelf.ByFamily:
		return "Bins by hue family and cut; the bar shows the values in each."
	case shelf.ByValue:
		return "Bins by value and cut; the bar shows the hue families in each."
	}
	return "Bins by hue family, value and cut."
}

// Thin says what is thin: in a sentence of colours, where any is, and bin by bin.
func (s Shelf) Thin() (colours, bins []string) {
	return s.thinFamilies(), thinLines(s.Stock.Short)
}

// thinFamilies says in a sentence of which colours, and of which values of any colour, there is
// too little, what wants the most pieces first, and which value of a colour there is least of:
// "greens, first the darks".
func (s Shelf) thinFamilies() []string {
	type kind struct {
		family cloth.Family
		value  cloth.Value // where it is of any family
	}
	kinds := grouped(slices.DeleteFunc(slices.Clone(s.Stock.Short), func(x shelf.Short) bool {
		return x.Family == "" && x.Value == "" || x.Reason == shelf.Lacking
	}), func(x shelf.Short) kind {
		if x.Family == "" {
			return kind{value: x.Value}
		}
		return kind{family: x.Family}
	})
	slices.SortStableFunc(kinds, func(a, b group[kind, shelf.Short]) int { return missing(b.all) - missing(a.all) })
	var words, others []string
	for k, l := range kinds {
		w := string(l.key.family) + "s"
		switch l.key.family {
		case "":
			w = string(l.key.value) + "s of any colour"
		case cloth.Many:
			w = "multicoloured prints"
		}
		if k >= mostThin {
			others = append(others, w)
			continue
		}
		if l.key.family != "" {
			if v := s.fewest(l.key.family); v != "" {
				w += ", first the " + string(v) + "s"
			}
		}
		words = append(words, w)
	}
	if words == nil {
		return nil
	}
	line := "Above all " + strings.Join(words, "; ") + "."
	if others != nil {
		line += " Then " + strings.Join(others, ", ") + "."
	}
	return []string{printable(line)}
}

// missing returns how many pieces are wanted in all.
func missing(all []shelf.Short) (n int) {
	for _, x := range all {
		n += x.By()
	}
	return n
}

// mostThin is how many colours are named as thin above all; mostThinLines is how many lines about
// single bins are seen at once.
const mostThin, mostThinLines = 3, 6

// fewest returns the value of which there is the least in a family, where that is less than
// half of its fullest; the darkest of several alike.
func (s Shelf) fewest(f cloth.Family) cloth.Value {
	held := map[cloth.Value]int{}
	most := 0
	for _, b := range s.Stock.Boxes {
		if b.Family == f && b.Value != "" {
			held[b.Value] += b.Count
			most = max(most, held[b.Value])
		}
	}
	var least cloth.Value
	for _, v := range cloth.Values {
		if _, is := plan.SwatchOf(plan.Sought{Family: f, Value: v}); is && (least == "" || held[v] <= held[least]) {
			least = v
		}
	}
	if 2*held[least] >= most {
		return ""
	}
	return least
}

// baskets returns the table of the shelf; a bin is named in its first row only.
func (s Shelf) baskets(t tones) table {
	out := table{
		Carry: true, Lead: 2, Columns: []column{
			{Head: "bin"}, {Head: "cut"}, {Head: "pieces", Figure: true, note: "* thin", give: []int{2}}, {Head: "note", give: []int{4}},
			{Head: "values", note: valueLegend, give: []int{1, 6}}, {Head: "prints", Figure: true, give: []int{3}}, {Head: "gives squares", give: []int{5}},
		},
	}
	if s.Stock.Sorted() == shelf.ByValue {
		out.Columns[4].Head, out.Columns[4].note = "colours", ""
	}
	most := 1
	for _, b := range s.Stock.Bins {
		most = max(most, b.Count)
	}
	for i, b := range s.Stock.Bins {
		r := row("", b.Cut.String(), heldWords(b.Box), unsized(b.Box), "", blankZero(b.Prints), yieldWords(b.Yields))
		if i == 0 || s.Stock.Bins[i-1].Alike != b.Alike {
			r[0] = cell{Words: b.Alike.String(), Chip: s.basketChip(t, b)}
		}
		if _, thin := shortOf(s.Stock.Short, b.Box); thin {
			r[2].Words, r[2].Narrow = r[2].Words+" thin", r[2].Words+"*"
		}
		if b.Sorting != shelf.ByBoth && b.Own == "" && b.Count > 0 {
			r[4] = withinCell(within(t, b), most)
		}
		out.Rows = append(out.Rows, r)
	}
	return out
}

// within returns how many pieces of each value lie in a bin, or of each hue family where the shelf
// is sorted by value.
func within(t tones, b shelf.Bin) []Stretch {
	var out []Stretch
	for _, x := range b.In {
		if x.Count == 0 {
			continue
		}
		s := Stretch{Words: string(x.Value), short: shortValues[x.Value], Count: x.Count, at: slices.Index(cloth.Values, x.Value)}
		if b.Sorting == shelf.ByValue {
			s.Words, s.short, s.at = string(x.Family), string(x.Family), slices.Index(cloth.Families, x.Family)
		}
		if s.Words == "" {
			s.Words, s.short, s.at = "not known", "?", math.MaxInt
		}
		if c, ok := t.colour(x.Alike); ok {
			s.Fill = &c
		}
		out = append(out, s)
	}
	return out
}

// withinCell returns what lies in a basket as a bar and in words; most pieces make a full bar.
func withinCell(in []Stretch, most int) cell {
	var out cell
	var words, narrow []string
	for _, x := range in {
		words, narrow = append(words, strconv.Itoa(x.Count)+" "+x.Words), append(narrow, strconv.Itoa(x.Count)+" "+x.short)
		if x.Fill != nil {
			out.Bar = append(out.Bar, cloth.Ink{Colour: *x.Fill, Share: float64(x.Count) / float64(most)})
		}
	}
	out.Words, out.Narrow = strings.Join(words, ", "), strings.Join(narrow, ", ")
	return out
}

// basketChip shows a bin by your own photo of a piece in it, or by its middle colour.
func (s Shelf) basketChip(t tones, b shelf.Bin) chip {
	for _, h := range s.Holdings {
		if s.Crops[h.ID] != nil && b.Sorting.Of(shelf.AlikeOf(h)) == b.Alike {
			c, _ := chipOf(h, s.Crops)
			return c
		}
	}
	for _, x := range b.In {
		if c, ok := t.colour(x.Alike); ok {
			return plainChip(c)
		}
	}
	return chip{}
}

// heldWords returns how much lies in a box: pieces, or an area where it was weighed.
func heldWords(b shelf.Box) string {
	if b.Count == 0 && b.AreaIn > 0 {
		return areaWords(b.AreaIn)
	}
	return strconv.Itoa(b.Count)
}

func blankZero(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// partWords returns "red 3 (12%)".
func partWords(p shelf.Portion) string {
	return fmt.Sprintf("%s%s %d (%s)", p.Family, p.Value, p.Count, percent(p.Share))
}
