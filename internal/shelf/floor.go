package shelf

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
)

// Floor is the fewest pieces she wants in each bin that it speaks of. What it
// leaves empty it says of all: a Floor with nothing but Least is for every bin.
type Floor struct {
	Alike
	Cut
	Least int
}

// names counts what a floor names; one that names more is more particular. A
// colour goes before a cut where both name as much.
func (f Floor) names() (all, colours int) {
	colours = 0
	for _, named := range []bool{f.Own != "", f.Family != "", f.Value != ""} {
		if named {
			colours++
		}
	}
	if f.Own != "" {
		colours++ // as much as a family and a value
	}
	all = colours
	if f.Form != "" {
		all++
	}
	if f.Width > 0 {
		all++
	}
	return all, colours
}

func (f Floor) speaksOf(a Alike, c Cut) bool {
	return (f.Own == "" || f.Own == a.Own) && (f.Family == "" || f.Family == a.Family) && (f.Value == "" || f.Value == a.Value) &&
		(f.Form == "" || f.Form == c.Form) && (f.Width == 0 || f.Width == c.Width) && (f.Length == 0 || f.Length == c.Length)
}

// String says what the floor speaks of: "every bin", "2½ square", "dark blue",
// "dark blue, 2½ square".
func (f Floor) String() string {
	var words []string
	if f.Alike != (Alike{}) {
		words = append(words, f.Alike.String())
	}
	if f.Form != "" {
		words = append(words, f.Cut.String())
	}
	if words == nil {
		return "every bin"
	}
	return strings.Join(words, ", ")
}

// Need is what a planned quilt takes of one bin.
type Need struct {
	Quilt string
	Alike
	Cut
	Count int
	// Hue and Shade are the family and value of the cloth, also where it lies in
	// a bin of her own.
	Hue   cloth.Family
	Shade cloth.Value
}

// Lack is what a planned quilt wanted, when it was planned, beyond all that it
// takes: pieces of one cut, of any print that suits their part in the quilt.
type Lack struct {
	Quilt  string
	Family cloth.Family  // empty: any
	Tone   string        // what the recipe calls the value; empty: any
	Values []cloth.Value // that suit Tone; nil: all
	Cut
	Count int
}

func (l Lack) suits(f cloth.Family, v cloth.Value, c Cut) bool {
	return l.Cut == c && (l.Family == "" || l.Family == f) && (l.Values == nil || slices.Contains(l.Values, v))
}

// The further reasons to be short.
const (
	Needed  Reason = "needed for a planned quilt"
	Lacking Reason = "lacking for a planned quilt" // in no one box: any that suits will do
)

// Short is a box, a colour or a value that wants filling. Where the reason is
// Lacking it is no box: Value is then the recipe's word, and Count the pieces that
// suit and that no planned quilt takes.
type Short struct {
	Alike
	Cut    // empty: all cuts together
	Count  int
	Want   int // at least this many
	Reason Reason
	// Rule is the floor in its own words, the planned quilts, or empty.
	Rule string
	// Middle is the median count that SmallShare was held against.
	Middle float64
	// FromStrips is how many of the missing squares the strips of the same
	// colour would give; 0 where the box is not of squares.
	FromStrips int
}

// Of says whether it is a box that is short.
func (s Short) Of(b Box) bool { return s.Reason != Lacking && s.Alike == b.Alike && s.Cut == b.Cut }

// By is how many are missing.
func (s Short) By() int { return s.Want - s.Count }

// short finds what is thin: boxes below a floor or below what planned quilts
// take, then the colours and values out of balance.
//
// A box is held against the most particular floor that speaks of it, the later
// of two alike. A floor that names a cut is also held against the colours that
// she keeps in other cuts only, and one that names a colour and a cut against
// that box even where it is empty: an empty box is the thinnest.
func short(s Stock, o StockOptions) []Short {
	var out []Short
	type place struct {
		Alike
		Cut
	}
	var places []place
	seen := map[place]bool{}
	add := func(a Alike, c Cut) {
		if p := (place{a, c}); c.Form != "" && c.Form != cloth.Weighed && a != (Alike{}) && !seen[p] {
			seen[p] = true
			places = append(places, p)
		}
	}
	held := map[place]int{}
	for _, b := range s.Boxes {
		held[place{b.Alike, b.Cut}] = b.Count
		add(b.Alike, b.Cut)
	}
	alikes := s.Alikes()
	for _, f := range o.Floors {
		if f.Width <= 0 {
			continue
		}
		for _, a := range alikes {
			if f.speaksOf(a, f.Cut) {
				add(a, f.Cut)
			}
		}
		if f.Own != "" || f.Family != "" && f.Value != "" {
			add(f.Alike, f.Cut)
		}
	}
	for _, n := range o.Needs {
		add(n.Alike, n.Cut)
	}
	slices.SortStableFunc(places, func(a, b place) int { return cmp.Or(a.Alike.compare(b.Alike), a.Cut.compare(b.Cut)) })
	for _, p := range places {
		n := held[p]
		t := Short{Alike: p.Alike, Cut: p.Cut, Count: n}
		if f, ok := floorOf(o.Floors, p.Alike, p.Cut); ok && n < f.Least {
			t.Want, t.Reason, t.Rule = f.Least, BelowFloor, f.String()
		}
		if want, quilts := needOf(o.Needs, p.Alike, p.Cut); n < want && want > t.Want {
			t.Want, t.Reason, t.Rule = want, Needed, strings.Join(quilts, ", ")
		}
		if t.Want == 0 {
			continue
		}
		if p.Form == cloth.Square {
			t.FromStrips = s.FromStrips(p.Alike, p.Width)
		}
		out = append(out, t)
	}
	return append(out, unbalanced(s.Balance)...)
}

// lacking finds what planned quilts lack still. What they take of the stash is
// theirs already and does not fill what they lack.
func lacking(all []cloth.Holding, o StockOptions) []Short {
	var out []Short
	var lacks []Lack // what each of out came of first
	for _, l := range o.Lacks {
		a := Alike{Family: l.Family, Value: cloth.Value(l.Tone)}
		i := slices.IndexFunc(out, func(s Short) bool { return s.Alike == a && s.Cut == l.Cut })
		if i < 0 {
			out = append(out, Short{Alike: a, Cut: l.Cut, Want: l.Count, Reason: Lacking, Rule: l.Quilt})
			lacks = append(lacks, l)
			continue
		}
		out[i].Want += l.Count
		out[i].Rule += ", " + l.Quilt
	}
	for i, l := range lacks {
		n := 0
		for k := range all {
			if h := &all[k]; l.suits(h.Family, h.Value, CutOf(*h)) {
				n += h.Count
			}
		}
		for _, t := range o.Needs {
			if l.suits(t.Hue, t.Shade, t.Cut) {
				n -= t.Count
			}
		}
		out[i].Count = max(0, n)
	}
	return slices.DeleteFunc(out, func(s Short) bool { return s.By() <= 0 })
}

func floorOf(floors []Floor, a Alike, c Cut) (Floor, bool) {
	best, all, colours := -1, -1, -1
	for i, f := range floors {
		if n, k := f.names(); f.speaksOf(a, c) && (n > all || n == all && k >= colours) {
			best, all, colours = i, n, k
		}
	}
	if best < 0 {
		return Floor{}, false
	}
	return floors[best], true
}

func needOf(needs []Need, a Alike, c Cut) (count int, quilts []string) {
	for _, n := range needs {
		if n.Alike == a && n.Cut == c {
			count += n.Count
			if n.Quilt != "" && !slices.Contains(quilts, n.Quilt) {
				quilts = append(quilts, n.Quilt)
			}
		}
	}
	return count, quilts
}

// unbalanced finds the colours and the values with less than half of the middle
// count, as thin does of photos.
func unbalanced(b Balance) []Short {
	var families, values []Thin
	for _, p := range b.Families {
		families = append(families, Thin{Family: p.Family, Count: p.Count})
	}
	for _, p := range b.Values {
		if p.Count > 0 {
			values = append(values, Thin{Value: p.Value, Count: p.Count})
		}
	}
	var out []Short
	for _, group := range [][]Thin{families, values} {
		middle := middleCount(group)
		for _, t := range group {
			if t.smallShare(middle) {
				out = append(out, Short{
					Alike: Alike{Family: t.Family, Value: t.Value}, Count: t.Count,
					Want: int(math.Ceil(middle / 2)), Reason: SmallShare, Middle: middle,
				})
			}
		}
	}
	return out
}

// Why says why a box is short, in words.
func (s Short) Why() string {
	switch s.Reason {
	case Lacking:
		return "for " + s.Rule
	case Needed:
		if s.Rule == "" {
			return "planned quilts take " + strconv.Itoa(s.Want)
		}
		if strings.Contains(s.Rule, ", ") { // several quilts
			return s.Rule + " take " + strconv.Itoa(s.Want)
		}
		return s.Rule + " takes " + strconv.Itoa(s.Want)
	case BelowFloor:
		return "floor " + strconv.Itoa(s.Want) + " for " + s.Rule
	}
	return "less than half of the middle count, " + strconv.FormatFloat(s.Middle, 'f', -1, 64)
}
