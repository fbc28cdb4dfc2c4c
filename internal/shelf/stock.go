package shelf

import (
	"cmp"
	"math"
	"slices"
	"strings"

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
	Prints []Count // how many different prints boxes hold, where the holdings come without
}

// Alike is the colour of cloth as a quilter looks for it: a bin of your own, or a hue
// family and a value. A family or value that is not known is empty.
type Alike struct {
	Family cloth.Family `json:"family,omitempty"`
	Value  cloth.Value  `json:"value,omitempty"`
	Own    string       `json:"bin,omitempty"` // your own bin; Family and Value are then empty
}

// AlikeOf returns where a holding belongs. Your own bins beat the families.
func AlikeOf(h cloth.Holding) Alike {
	if h.Bin != "" {
		return Alike{Own: h.Bin}
	}
	return Alike{Family: h.Family, Value: h.Value}
}

// String returns "sea greens", "dark blue", or "no colour".
func (a Alike) String() string {
	switch {
	case a.Own != "":
		return a.Own
	case a.Family == "" && a.Value == "":
		return "no colour"
	case a.Family == "":
		return string(a.Value)
	}
	family := string(a.Family)
	if a.Family == cloth.Many {
		family = "multicoloured"
	}
	return strings.TrimSpace(string(a.Value) + " " + family)
}

// Sorting says by what of their colour pieces lie together in a bin. It is kept in
// the ledger as its number.
type Sorting int

// The ways to sort a shelf.
const (
	ByBoth   Sorting = iota // by hue family and value
	ByFamily                // by hue family; its values are told within
	ByValue                 // by value; its hue families are told within
)

// Sortings are the ways to sort a shelf.
var Sortings = []Sorting{ByBoth, ByFamily, ByValue}

// String returns the word for a sorting.
func (s Sorting) String() string { return [...]string{"both", "family", "value"}[s] }

// Of returns the part of a colour by which bins are sorted. Your own bins stay whole in
// every sorting.
func (s Sorting) Of(a Alike) Alike {
	switch s {
	case ByFamily:
		a.Value = ""
	case ByValue:
		a.Family = ""
	}
	return a
}

// compare returns the order of a shelf: your own bins by name, then family, then
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
	Yields []Squares

	spare  []Squares           // of Yields, when Least strips are left alone, the longest
	strips []strip             // of known length, and
	prints map[string]struct{} // different ones: nil once they are counted
}

func (b Box) place() place { return place{b.Alike, b.Cut} }

// Bin is a bin of one cut as StockOptions.Bins has it. Its Prints are not counted
// where several boxes lie in it, for one print may lie in two of them.
type Bin struct {
	Box
	In []Box // by family and value, in shelf order
}

// Totals counts a stash by what is known about its pieces.
type Totals struct {
	Sized, Seen int     // pieces
	Bands       int     // of Seen, folds of a stack
	Weighed     float64 // square inches
	Prints      int     // different prints
	Unnamed     int     // pieces with neither a bin of your own nor a colour
}

// Stock sums up the whole stash.
type Stock struct {
	Boxes  []Box // by family and value, in shelf order
	Bins   []Bin // as StockOptions.Bins sorts them, in shelf order
	Totals Totals
	// Yields is what all strips give, by size from small to large.
	Yields  []Squares
	Balance Balance // of all pieces by their hue and value, whatever bin they lie in
	Lacks   []Lack  // of StockOptions.Lacks, what is lacking still
	Short   []Short // what planned quilts lack, then boxes in shelf order, then colours, then values
	Missing []Thin  // colours, then values, of which there is neither piece nor weighed cloth
	Trim    float64 // that the yields were counted with, inches
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
	var boxes gathered[place, Box]
	prints := map[string]struct{}{}
	sum := newBalance()
	for i := range all {
		h := &all[i]
		k := place{AlikeOf(*h), CutOf(*h)}
		b := boxes.of(k, Box{Alike: k.Alike, Cut: k.Cut})
		b.put(h)
		if h.Print != "" {
			if b.prints == nil {
				b.prints = map[string]struct{}{}
			}
			b.prints[h.Print], prints[h.Print] = struct{}{}, struct{}{}
		}
		switch {
		case h.Form == cloth.Weighed:
			s.Totals.Weighed += h.AreaIn2
			sum.add(h.Family, h.Value, 0, 0)
			continue
		case !seen(h):
			s.Totals.Sized += h.Count
		default:
			s.Totals.Seen += h.Count
			if h.Form == cloth.Band {
				s.Totals.Bands += h.Count
			}
		}
		if AlikeOf(*h) == (Alike{}) {
			s.Totals.Unnamed += h.Count
		}
		sum.add(h.Family, h.Value, h.Count, float64(h.Count)*h.WidthIn*h.LengthIn)
	}
	s.Totals.Prints = len(prints)
	s.Balance = sum.balance()
	s.Boxes = boxes.all
	slices.SortFunc(s.Boxes, func(a, b Box) int { return a.place().compare(b.place()) })
	for i := range s.Boxes {
		b := &s.Boxes[i]
		b.Prints, b.prints = len(b.prints), nil
		for _, c := range o.Prints {
			if c.Alike == b.Alike && c.Cut == b.Cut {
				b.Prints += c.Prints
			}
		}
		b.Least, _, _, _ = o.at(ByBoth).want(b.Alike, b.Cut)
		keepLongest(b.Least, *b)
	}
	s.Bins = s.bins(o)
	for _, b := range s.Bins {
		keepLongest(b.Least, b.In...)
	}
	s.yields(o)
	for i := range s.Boxes {
		s.Boxes[i].strips = nil
	}
	s.Bins = s.bins(o)
	s.Lacks, s.Short = lacking(all, o)
	s.Short = append(s.Short, short(s, o)...)
	s.Missing = sum.missing()
	return s
}

func (b *Box) put(h *cloth.Holding) {
	if h.Form == cloth.Weighed {
		b.AreaIn += h.AreaIn2
		return
	}
	b.Count += h.Count
	if seen(h) {
		b.Seen += h.Count
	} else if h.Form == cloth.Strip {
		b.strips = append(b.strips, strip{width: h.WidthIn, length: h.LengthIn, count: h.Count})
	}
}

// keepLongest marks the longest strips of some boxes as kept, until so many are.
func keepLongest(least int, boxes ...Box) {
	var all []*strip
	for _, b := range boxes {
		for i := range b.strips {
			least -= b.strips[i].kept
			all = append(all, &b.strips[i])
		}
	}
	slices.SortStableFunc(all, func(a, b *strip) int { return cmp.Or(cmp.Compare(b.length, a.length), cmp.Compare(b.width, a.width)) })
	for _, p := range all {
		n := max(0, min(least, p.count-p.kept))
		p.kept += n
		least -= n
	}
}

// bins sorts boxes into bins, in shelf order.
func (s *Stock) bins(o StockOptions) []Bin {
	var g gathered[place, Bin]
	for _, in := range s.Boxes {
		k := place{o.Bins.Of(in.Alike), in.Cut}
		b := g.of(k, Bin{Box: Box{Sorting: o.Bins, Alike: k.Alike, Cut: k.Cut, Prints: in.Prints}})
		b.In = append(b.In, in)
		b.Count, b.Seen, b.AreaIn = b.Count+in.Count, b.Seen+in.Seen, b.AreaIn+in.AreaIn
		for _, y := range in.Yields {
			i, has := slices.BinarySearchFunc(b.Yields, y, func(a, b Squares) int { return cmp.Compare(a.Size, b.Size) })
			if has {
				b.Yields[i].Count += y.Count
			} else {
				b.Yields = slices.Insert(b.Yields, i, y)
			}
		}
	}
	for i := range g.all {
		b := &g.all[i]
		b.Least, _, _, _ = o.at(o.Bins).want(b.Alike, b.Cut)
		if len(b.In) > 1 {
			b.Prints = 0
		}
	}
	slices.SortStableFunc(g.all, func(a, b Bin) int { return a.place().compare(b.place()) })
	return g.all
}

// yields counts every box of strips in squares.
func (s *Stock) yields(o StockOptions) {
	sizes := o.Sizes
	if sizes == nil {
		sizes = s.squareSizes(o)
	}
	for _, size := range slices.Compact(slices.Sorted(slices.Values(sizes))) {
		all := Squares{Size: size}
		for i := range s.Boxes {
			b := &s.Boxes[i]
			n, spare := 0, 0
			for _, p := range b.strips {
				each := Yield(p.width, p.length, size, size, o.Trim)
				n += p.count * each
				spare += (p.count - p.kept) * each
			}
			if n > 0 {
				b.Yields = append(b.Yields, Squares{size, n})
				b.spare = append(b.spare, Squares{size, spare})
				all.Count += n
			}
		}
		if all.Count > 0 {
			s.Yields = append(s.Yields, all)
		}
	}
}

// squareSizes returns the sizes that are asked for and, of those that squares and
// strips are held in, the usual ones: a size that only a measurement gave is none
// to cut to. Where none held is usual all are taken.
func (s *Stock) squareSizes(o StockOptions) []float64 {
	var usual, held, asked []float64
	sized := func(c Cut) bool { return (c.Form == cloth.Square || c.Form == cloth.Strip) && c.Width > 0 }
	for _, b := range s.Boxes {
		switch {
		case !sized(b.Cut):
		case usualCut(b.Width):
			usual = append(usual, b.Width)
		default:
			held = append(held, b.Width)
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

// usualCut reports whether a width is one that scraps are cut to on purpose: one
// that package scale looks for, or metric.
func usualCut(in float64) bool {
	return slices.Contains(scale.DefaultCuts, in) || in != math.Round(8*in)/8
}

// Sorted returns the sorting of the bins.
func (s Stock) Sorted() Sorting {
	if len(s.Bins) == 0 {
		return ByBoth
	}
	return s.Bins[0].Sorting
}

// FromStrips returns how many squares of a size the strips of one colour give, without the
// longest of each box that are wanted as strips.
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
