package shelf

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
)

// Floor is the fewest pieces you want in each bin that it names. A field that is empty
// names all: a Floor with Least alone is for every bin.
type Floor struct {
	Alike
	Cut
	Least int `json:"n"` // 0 takes the floor away
}

// names counts the properties that a floor names; one that names more is more specific.
// Where two name as many, the one that names more of the colour is.
func (f Floor) names() (all, colours int) {
	count := func(named ...bool) (n int) {
		for _, yes := range named {
			if yes {
				n++
			}
		}
		return n
	}
	own := f.Own != "" // as much as a family and a value
	colours = count(own, own, f.Family != "", f.Value != "")
	return colours + count(f.Form != "", f.Width > 0), colours
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
	// a bin of your own.
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
	// Set joins lacks of a quilt, where it is not 0: Each pieces of every one of them come
	// from one print. What is in the stash fills none.
	Set, Each int
}

func (l Lack) suits(f cloth.Family, v cloth.Value, c Cut) bool {
	return l.Cut == c && (l.Family == "" || l.Family == f) && (l.Values == nil || slices.Contains(l.Values, v))
}

// particular orders lacks, those that the fewest prints suit first.
func (l Lack) particular(m Lack) int {
	values := func(l Lack) int {
		if l.Values == nil {
			return len(cloth.Values)
		}
		return len(l.Values)
	}
	return cmp.Or(unknownLast(string(l.Family), string(m.Family)), cmp.Compare(values(l), values(m)))
}

// The further reasons to be short.
const (
	Needed  Reason = "needed for a planned quilt"
	Lacking Reason = "lacking for a planned quilt" // in no one box: any that suits will do
)

// Short is a box, a colour or a value that wants filling. Where the reason is
// Lacking it is no box: Value is then the recipe's word, and Count the pieces that
// suit and that nothing else takes.
type Short struct {
	Sorting // of a box: by which it is alike
	Alike
	Cut   // empty: all cuts together
	Count int
	Want  int // at least this many
	// InBins is how many pieces the thin boxes of a colour or a value want already; for a
	// bin, those of its thin boxes that have a floor or a need of their own.
	InBins int
	Reason Reason
	Rule   string   // the floor in its own words, where that is the reason
	Quilts []string // planned ones that take it or lack it, where they are the reason
	// Middle is the median count that SmallShare was held against.
	Middle float64
	// FromStrips is how many squares the strips of the same colour give, without the
	// longest, which are wanted as strips; 0 where the box is not of squares.
	FromStrips int

	values []cloth.Value // that suit, where the reason is Lacking; nil: all
}

// Of reports whether s is about the box b.
func (s Short) Of(b Box) bool {
	return s.Reason != Lacking && s.Sorting == b.Sorting && s.Alike == b.Alike && s.Cut == b.Cut
}

// Name says what is short: "dark blue, 2½ square", "red"; of what planned quilts
// lack "any light print, 2½ square".
func (s Short) Name() string {
	words := s.Alike.String()
	if s.Reason == Lacking {
		words = "any print"
		if s.Alike != (Alike{}) {
			words = "any " + s.Alike.String() + " print"
		}
	}
	if s.Form != "" {
		words += ", " + s.Cut.String()
	}
	return words
}

// By returns how many pieces are missing, apart from those that thin boxes want.
func (s Short) By() int { return s.Want - s.Count - s.InBins }

// FilledBy reports whether more of such a piece would fill it. A colour or a value
// that is not known may be any.
func (s Short) FilledBy(h cloth.Holding) bool {
	if h.Family == "" {
		h.Family = s.Family
	}
	switch {
	case h.Value != "":
	case s.Reason != Lacking:
		h.Value = s.Value
	case len(s.values) > 0:
		h.Value = s.values[0]
	}
	switch {
	case s.Reason == Lacking:
		return Lack{Family: s.Family, Values: s.values, Cut: s.Cut}.suits(h.Family, h.Value, CutOf(h))
	case s.Form == "":
		return (s.Family == "" || s.Family == h.Family) && (s.Value == "" || s.Value == h.Value)
	}
	return s.Alike == s.Sorting.Of(AlikeOf(h)) && s.Cut == CutOf(h)
}

// at returns what is wanted of the boxes of one sorting. A floor speaks of the bins of the
// shelf where they tell apart all that it names; else of family and value, as planned
// quilts do.
func (o StockOptions) at(by Sorting) StockOptions {
	bins := o.Bins
	o.Floors = slices.DeleteFunc(slices.Clone(o.Floors), func(f Floor) bool {
		return (bins != ByBoth && bins.Of(f.Alike) == f.Alike) != (by != ByBoth)
	})
	if by != ByBoth {
		o.Needs = nil
	}
	return o
}

// whole reports whether an Alike names all that a box of this sorting goes by.
func (s Sorting) whole(a Alike) bool {
	return a.Own != "" || (a.Family != "" || s == ByValue) && (a.Value != "" || s == ByFamily)
}

// short finds what is thin: bins, then boxes of a family and a value that have a floor
// or a need of their own, then the colours and values out of balance.
func short(s Stock, o StockOptions) []Short {
	boxes := shortBoxes(s, o.at(ByBoth), ByBoth)
	var out []Short
	if o.Bins != ByBoth {
		for _, t := range shortBoxes(s, o.at(o.Bins), o.Bins) {
			for _, x := range boxes {
				if o.Bins.Of(x.Alike) == t.Alike && x.Cut == t.Cut {
					t.InBins += x.By()
				}
			}
			if t.By() > 0 {
				out = append(out, t)
			}
		}
	}
	out = append(out, boxes...)
	return append(out, unbalanced(s.Balance, out, o.Floors)...)
}

// shortBoxes finds the boxes of one sorting that are below a floor or below what
// planned quilts take.
//
// A box is held against the most particular floor that speaks of it, the later
// of two alike. A floor that names a cut is also held against the colours that
// you keep in other cuts only, and one that names a colour and a cut against
// that box even where it is empty: an empty box is the thinnest.
func shortBoxes(s Stock, o StockOptions, by Sorting) []Short {
	var g gathered[place, Short]
	hold := func(a Alike, c Cut, count int) {
		if c.Form != "" && c.Form != cloth.Weighed && a != (Alike{}) {
			g.of(place{a, c}, Short{Sorting: by, Alike: a, Cut: c}).Count += count
		}
	}
	for _, b := range s.Boxes {
		hold(by.Of(b.Alike), b.Cut, b.Count)
	}
	alikes := s.Alikes()
	for _, f := range o.Floors {
		if f.Width <= 0 {
			continue
		}
		for _, a := range alikes {
			if a = by.Of(a); f.speaksOf(a, f.Cut) {
				hold(a, f.Cut, 0)
			}
		}
		if by.whole(f.Alike) {
			hold(f.Alike, f.Cut, 0)
		}
	}
	for _, n := range o.Needs {
		hold(n.Alike, n.Cut, 0)
	}
	for i := range g.all {
		t := &g.all[i]
		t.Want, t.Reason, t.Rule, t.Quilts = o.want(t.Alike, t.Cut)
	}
	out := slices.DeleteFunc(g.all, func(t Short) bool { return t.By() <= 0 })
	slices.SortStableFunc(out, func(a, b Short) int { return place{a.Alike, a.Cut}.compare(place{b.Alike, b.Cut}) })
	for i := range out {
		for _, a := range alikes {
			if t := &out[i]; t.Form == cloth.Square && by.Of(a) == t.Alike {
				t.FromStrips += s.FromStrips(a, t.Width)
			}
		}
	}
	return out
}

// want returns the fewest pieces wanted in a box, and why: the most specific floor, or what
// planned quilts take of the box where that is more; 0 where nothing is wanted.
func (o StockOptions) want(a Alike, c Cut) (least int, why Reason, rule string, quilts []string) {
	if f, ok := floorOf(o.Floors, a, c); ok {
		least, why, rule = f.Least, BelowFloor, f.String()
	}
	if n, all := needOf(o.Needs, a, c); n > least {
		return n, Needed, "", all
	}
	return least, why, rule, nil
}

// lacking finds what planned quilts lack still, quilt by quilt and together. What
// they take of the stash is theirs already and does not fill what they lack; every
// other piece fills one lack, the most particular first.
func lacking(all []cloth.Holding, o StockOptions) (left []Lack, together []Short) {
	if o.Lacks == nil {
		return nil, nil
	}
	free := map[place]int{}
	for i := range all {
		h := &all[i]
		free[place{Alike{Family: h.Family, Value: h.Value}, CutOf(*h)}] += h.Count
	}
	for _, n := range o.Needs {
		free[place{Alike{Family: n.Hue, Value: n.Shade}, n.Cut}] -= n.Count
	}
	cells := slices.SortedFunc(maps.Keys(free), func(a, b place) int { return a.Alike.compare(b.Alike) })
	order := make([]int, len(o.Lacks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return o.Lacks[i].particular(o.Lacks[j]) })
	left = slices.Clone(o.Lacks)
	for _, i := range order {
		if left[i].Set > 0 { // pieces of several prints fill no set
			continue
		}
		for _, c := range cells {
			if n := min(free[c], left[i].Count); n > 0 && left[i].suits(c.Family, c.Value, c.Cut) {
				free[c] -= n
				left[i].Count -= n
			}
		}
	}
	var g gathered[place, Short]
	for i, l := range o.Lacks {
		a := Alike{Family: l.Family, Value: cloth.Value(l.Tone)}
		t := g.of(place{a, l.Cut}, Short{Alike: a, Cut: l.Cut, Reason: Lacking, values: l.Values})
		t.Want += l.Count
		t.Count += l.Count - left[i].Count
		if left[i].Count > 0 {
			t.Quilts = withName(t.Quilts, l.Quilt)
		}
	}
	left = slices.DeleteFunc(left, func(l Lack) bool { return l.Count <= 0 })
	return left, slices.DeleteFunc(g.all, func(s Short) bool { return s.By() <= 0 })
}

// floorOf returns the floor that applies to a box. What is not cut to a size is held
// against none: more odd pieces or folds of a stack are nothing to ask for.
func floorOf(floors []Floor, a Alike, c Cut) (Floor, bool) {
	best, all, colours := -1, -1, -1
	if c.Width <= 0 {
		return Floor{}, false
	}
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
			quilts = withName(quilts, n.Quilt)
		}
	}
	return count, quilts
}

// withName adds a name to a list, once; a quilt that is not named is not listed.
func withName(all []string, name string) []string {
	if name == "" || slices.Contains(all, name) {
		return all
	}
	return append(all, name)
}

// unbalanced finds the colours and the values with less than half of the middle
// count, as thin does of photos, by what their thin boxes do not want already. A
// colour or value with a floor of its own is held to that alone.
func unbalanced(b Balance, boxes []Short, floors []Floor) []Short {
	var out []Short
	for _, parts := range [][]Portion{b.Families, b.Values} {
		var group []Thin
		for _, p := range parts {
			if p.Count > 0 {
				group = append(group, Thin{Family: p.Family, Value: p.Value, Count: p.Count})
			}
		}
		middle := middleCount(group)
		for _, t := range group {
			s := Short{
				Alike: Alike{Family: t.Family, Value: t.Value}, Count: t.Count,
				Want: int(math.Ceil(middle / 2)), Reason: SmallShare, Middle: middle,
			}
			if t.Family == cloth.Many || slices.ContainsFunc(floors, func(f Floor) bool { return f.Alike == s.Alike && f.Form == "" }) {
				continue
			}
			for _, x := range boxes {
				if t.Family != "" && x.Family == t.Family || t.Value != "" && x.Value == t.Value {
					s.InBins += x.By()
				}
			}
			if s.By() > 0 {
				out = append(out, s)
			}
		}
	}
	return out
}

// Why says why a box is short, in words.
func (s Short) Why() string {
	switch s.Reason {
	case Lacking:
		return "for " + strings.Join(s.Quilts, ", ")
	case Needed:
		who, verb := cmp.Or(strings.Join(s.Quilts, ", "), "planned quilts"), " take "
		if len(s.Quilts) == 1 {
			verb = " takes "
		}
		return who + verb + strconv.Itoa(s.Want)
	case BelowFloor:
		words := "floor " + strconv.Itoa(s.Want) + " for " + s.Rule
		if s.InBins > 0 {
			words += ", even when the thin values in it are filled"
		}
		return words
	}
	sort := "colour"
	if s.Family == "" {
		sort = "value"
	}
	words := "less than half as many as the middle " + sort + ", which has " + strconv.FormatFloat(s.Middle, 'f', -1, 64)
	if s.InBins > 0 {
		words += ", even when its thin bins are filled"
	}
	return words
}
