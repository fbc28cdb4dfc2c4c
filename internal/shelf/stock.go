package shelf

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/scale"
)

// StockOptions are what you want of your whole stash.
type StockOptions struct {
	Bins   Sorting   // what a bin is
	Trim   float64   // squared off the end of every strip, inches; DefaultTrim is usual
	Sizes  []float64 // of the squares that strips are counted in, inches; nil: those of usual cuts that are held or asked for
	Floors []Floor
	Needs  []Need
	Lacks  []Lack
}

// Alike is what a quilter looks for: a bin of your own, or a hue family and a
// value. A family or value that is not known is empty.
type Alike struct {
	Family cloth.Family `json:"family,omitempty"`
	Value  cloth.Value  `json:"value,omitempty"`
	Own    string       `json:"bin,omitempty"` // your own bin; Family and Value are then empty
}

// AlikeOf is where a holding belongs. Your own bins beat the families.
func AlikeOf(h cloth.Holding) Alike {
	if h.Bin != "" {
		return Alike{Own: h.Bin}
	}
	return Alike{Family: h.Family, Value: h.Value}
}

// String is "sea greens", "dark blue", or "no colour".
func (a Alike) String() string {
	switch {
	case a.Own != "":
		return a.Own
	case a.Family == "" && a.Value == "":
		return "no colour"
	case a.Family == "":
		return string(a.Value)
	case a.Value == "":
		return string(a.Family)
	}
	return string(a.Value) + " " + string(a.Family)
}

// Sorting says by what of their colour pieces lie together in a bin. It is kept in
// the ledger as a number.
type Sorting float64

// The ways to sort a shelf.
const (
	ByBoth   Sorting = iota // by hue family and value
	ByFamily                // by hue family; its values are told within
	ByValue                 // by value; its hue families are told within
)

// Sortings names the ways to sort a shelf, by their numbers.
var Sortings = []string{"both", "family", "value"}

func (s Sorting) String() string { return Sortings[int(s)] }

// Of is what of a colour a bin goes by. Your own bins are your own in every sorting.
func (s Sorting) Of(a Alike) Alike {
	switch s {
	case ByFamily:
		a.Value = ""
	case ByValue:
		a.Family = ""
	}
	return a
}

// compare is the order of a shelf: your own bins by name, then family, then
// light to dark; what has no colour comes last.
func (a Alike) compare(b Alike) int {
	return cmp.Or(unknownLast(a.Own, b.Own), cmp.Compare(a.Own, b.Own), compareCell(a.Family, a.Value, b.Family, b.Value))
}

// Box is one box of the shelf: what is alike in colour and cut. Count is never
// added to cloth that was only weighed.
type Box struct {
	Sorting // by which it is alike
	Alike
	Cut
	Count  int     // pieces, both sized and seen
	Seen   int     // of those, the pieces whose lengths are not all known
	AreaIn float64 // of weighed cloth, square inches
	Prints int     // different prints; pieces of no known print are not counted
	Least  int     // pieces wanted in it at least, by its floor or planned quilts; 0: none
	Yields []Cutting

	spare []Cutting // of Yields, when Least strips are left alone, the longest
}

func (b Box) place() place { return place{b.Alike, b.Cut} }

// Basket is a bin of one cut as StockOptions.Bins has it. Its Prints are not counted
// where several boxes lie in it, for one print may lie in two of them.
type Basket struct {
	Box
	In []Box // by family and value, in shelf order
}

// Part of a stash by what is known of it.
type Totals struct {
	Sized, Seen int     // pieces
	Bands       int     // of Seen, folds of a stack
	Weighed     float64 // square inches
	Prints      int     // different prints
	Unnamed     int     // pieces with neither a bin of your own nor a colour
}

// Stock is what the whole stash comes to.
type Stock struct {
	Boxes   []Box    // by family and value, in shelf order
	Baskets []Basket // as StockOptions.Bins sorts them, in shelf order
	Totals  Totals
	// Yields is what all strips give, by size from small to large.
	Yields  []Cutting
	Balance Balance // of all pieces by their hue and value, whatever bin they lie in
	Lacks   []Lack  // of StockOptions.Lacks, what is lacking still
	Short   []Short // what planned quilts lack, then boxes in shelf order, then colours, then values
	Missing []Thin  // colours, then values, of which there is neither piece nor weighed cloth
	Trim    float64 // that the yields were counted with, inches
}

// stockCell gathers a box.
type stockCell struct {
	Box
	strips []strip
}

// strip is so many strips of one length.
type strip struct {
	width, length float64
	count         int
	kept          int // of count, to be left whole
}

// TakeStock sorts holdings onto the shelf in one pass over them.
func TakeStock(all []cloth.Holding, o StockOptions) Stock {
	s := Stock{Trim: o.Trim}
	at := map[place]int{}
	var cells []*stockCell
	prints := map[string]int{}    // numbered
	seen := map[[2]int]struct{}{} // which lie in which boxes
	sum := newBalance()
	for i := range all {
		h := &all[i]
		k := place{AlikeOf(*h), CutOf(*h)}
		j, ok := at[k]
		if !ok {
			j = len(cells)
			at[k] = j
			cells = append(cells, &stockCell{Box: Box{Alike: k.Alike, Cut: k.Cut}})
		}
		cells[j].put(h)
		if h.Print != "" {
			n, known := prints[h.Print]
			if !known {
				n = len(prints)
				prints[h.Print] = n
			}
			seen[[2]int{j, n}] = struct{}{}
		}
		switch SortOf(*h) {
		case Sized:
			s.Totals.Sized += h.Count
		case Seen:
			s.Totals.Seen += h.Count
			if h.Form == cloth.Band {
				s.Totals.Bands += h.Count
			}
		case Weight:
			s.Totals.Weighed += h.AreaIn2
			sum.add(h.Family, h.Value, 0, 0)
			continue
		}
		if AlikeOf(*h) == (Alike{}) {
			s.Totals.Unnamed += h.Count
		}
		sum.add(h.Family, h.Value, h.Count, float64(h.Count)*h.WidthIn*h.LengthIn)
	}
	s.Totals.Prints = len(prints)
	for in := range seen {
		cells[in[0]].Prints++
	}
	s.Balance = sum.balance()
	slices.SortFunc(cells, func(a, b *stockCell) int { return a.place().compare(b.place()) })
	for _, c := range cells {
		c.Least, _, _ = o.at(ByBoth).want(c.Alike, c.Cut)
		keepLongest(c.Least, c)
	}
	groups := basketCells(cells, o)
	s.yields(cells, o)
	for _, c := range cells {
		s.Boxes = append(s.Boxes, c.Box)
	}
	for _, g := range groups {
		s.Baskets = append(s.Baskets, g.basket())
	}
	s.Lacks, s.Short = lacking(all, o)
	s.Short = append(s.Short, short(s, o)...)
	s.Missing = sum.missing()
	return s
}

func (c *stockCell) put(h *cloth.Holding) {
	if h.Form == cloth.Weighed {
		c.AreaIn += h.AreaIn2
		return
	}
	c.Count += h.Count
	if SortOf(*h) == Seen {
		c.Seen += h.Count
	} else if h.Form == cloth.Strip {
		c.strips = append(c.strips, strip{width: h.WidthIn, length: h.LengthIn, count: h.Count})
	}
}

// keepLongest marks the longest strips of some boxes as kept, until so many are.
func keepLongest(least int, boxes ...*stockCell) {
	var all []*strip
	for _, c := range boxes {
		for i := range c.strips {
			least -= c.strips[i].kept
			all = append(all, &c.strips[i])
		}
	}
	slices.SortStableFunc(all, func(a, b *strip) int { return cmp.Or(cmp.Compare(b.length, a.length), cmp.Compare(b.width, a.width)) })
	for _, p := range all {
		n := max(0, min(least, p.count-p.kept))
		p.kept += n
		least -= n
	}
}

// basketCell gathers the boxes of a basket.
type basketCell struct {
	Box
	in []*stockCell
}

// basketCells sorts boxes into baskets, in shelf order, and keeps the strips that
// are wanted in a basket as strips.
func basketCells(cells []*stockCell, o StockOptions) []basketCell {
	var g gathered[place, basketCell]
	for _, c := range cells {
		k := place{o.Bins.Of(c.Alike), c.Cut}
		b := g.of(k, basketCell{Box: Box{Sorting: o.Bins, Alike: k.Alike, Cut: k.Cut}})
		b.in = append(b.in, c)
		b.Count, b.Seen, b.AreaIn = b.Count+c.Count, b.Seen+c.Seen, b.AreaIn+c.AreaIn
	}
	for i := range g.all {
		b := &g.all[i]
		b.Least, _, _ = o.at(o.Bins).want(b.Alike, b.Cut)
		keepLongest(b.Least, b.in...)
	}
	slices.SortStableFunc(g.all, func(a, b basketCell) int { return a.place().compare(b.place()) })
	return g.all
}

func (b basketCell) basket() Basket {
	out := Basket{Box: b.Box}
	yields := map[float64]int{}
	for _, c := range b.in {
		out.In = append(out.In, c.Box)
		for _, y := range c.Yields {
			yields[y.Size] += y.Count
		}
	}
	for _, size := range slices.Sorted(maps.Keys(yields)) {
		out.Yields = append(out.Yields, Cutting{size, yields[size]})
	}
	if len(out.In) == 1 {
		out.Prints = out.In[0].Prints
	}
	return out
}

// yields counts every box of strips in squares.
func (s *Stock) yields(cells []*stockCell, o StockOptions) {
	sizes := o.Sizes
	if sizes == nil {
		sizes = squareSizes(cells, o)
	}
	sizes = slices.Compact(slices.Sorted(slices.Values(sizes)))
	for _, size := range sizes {
		all := Cutting{Size: size}
		for _, c := range cells {
			n, spare := 0, 0
			for _, p := range c.strips {
				each := Yield(p.width, p.length, size, o.Trim)
				n += p.count * each
				spare += (p.count - p.kept) * each
			}
			if n > 0 {
				c.Yields = append(c.Yields, Cutting{size, n})
				c.spare = append(c.spare, Cutting{size, spare})
				all.Count += n
			}
		}
		if all.Count > 0 {
			s.Yields = append(s.Yields, all)
		}
	}
}

// squareSizes are the sizes that are asked for and, of those that squares and
// strips are held in, the usual ones: a size that only a measurement gave is none
// to cut to. Where none held is usual all are taken.
func squareSizes(cells []*stockCell, o StockOptions) []float64 {
	var usual, held, asked []float64
	sized := func(c Cut) bool { return (c.Form == cloth.Square || c.Form == cloth.Strip) && c.Width > 0 }
	for _, c := range cells {
		switch {
		case !sized(c.Cut):
		case usualCut(c.Width):
			usual = append(usual, c.Width)
		default:
			held = append(held, c.Width)
		}
	}
	for _, f := range o.Floors {
		if sized(f.Cut) {
			asked = append(asked, f.Width)
		}
	}
	for _, n := range o.Needs {
		if sized(n.Cut) {
			asked = append(asked, n.Width)
		}
	}
	if usual == nil && asked == nil {
		return held
	}
	return append(usual, asked...)
}

// usualCut says whether a width is one that scraps are cut to on purpose: one
// that package scale looks for, or metric.
func usualCut(in float64) bool {
	return slices.Contains(scale.DefaultCuts, in) || in != math.Round(8*in)/8
}

// NotePrints says how many different prints a box holds, where the stock was
// taken of holdings without their prints.
func (s *Stock) NotePrints(c Count) {
	for i := range s.Boxes {
		if s.Boxes[i].Alike == c.Alike && s.Boxes[i].Cut == c.Cut {
			s.Boxes[i].Prints += c.Prints
		}
	}
	for i := range s.Baskets {
		in := s.Baskets[i].In
		for k := range in {
			if in[k].Alike == c.Alike && in[k].Cut == c.Cut {
				in[k].Prints += c.Prints
				if len(in) == 1 { // counts do not tell prints of several boxes apart
					s.Baskets[i].Prints += c.Prints
				}
			}
		}
	}
}

// Sorted is the sorting of the baskets.
func (s Stock) Sorted() Sorting {
	if len(s.Baskets) == 0 {
		return ByBoth
	}
	return s.Baskets[0].Sorting
}

// FromStrips is how many squares of a size the strips of one colour give, but for
// the longest of each box that are wanted as strips.
func (s Stock) FromStrips(a Alike, size float64) int {
	n := 0
	for _, b := range s.Boxes {
		if b.Alike != a {
			continue
		}
		for _, y := range b.spare {
			if y.Size == size {
				n += y.Count
			}
		}
	}
	return n
}

// Alikes lists the colours and bins that hold something, in shelf order.
func (s Stock) Alikes() []Alike {
	var out []Alike
	for _, b := range s.Boxes {
		if len(out) == 0 || out[len(out)-1] != b.Alike {
			out = append(out, b.Alike)
		}
	}
	return out
}
