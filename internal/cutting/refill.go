package cutting

import (
	"cmp"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
)

// Bin is one box of the shelf and the fewest pieces wanted in it. An empty family
// or value is of pieces of which it is not known, unless the sorting of the bin goes
// by the other alone. L is 0 for a bin of strips of the width W.
type Bin struct {
	shelf.Sorting
	Family cloth.Family
	Value  cloth.Value
	Own    string // a bin of your own; Family and Value are then empty
	W, L   float64
	Floor  int
}

// Refill is which cloth to cut to bring thin bins up to their floors.
type Refill struct {
	Cover       // its wants are the thin bins, in the order of Thin
	Thin  []int // indices into the bins that were given
	Held  []int // of each stock entry, how many were left alone for the sake of its own bin
	Have  []int // in each bin that was given, before cutting
}

// RefillBins finds which strips and larger pieces to sub-cut so that each bin
// of cut pieces that is below its floor is brought up to it, as FromStash does.
// No bin that was given is taken below its own floor: of a bin's cloth the
// longest is left alone, for long strips are the harder to come by (the refill
// habit of wyomingbreezes.blogspot.com, Apr 2021: short strips are sub-cut, long
// ones kept). Cloth that is kept for planned quilts is not cut, and counts towards
// its bin's floor. A piece lies in the bin that package shelf counts it in. Thin bins of
// strips are not filled: strips are cut from yardage. A bin is a role, to be of
// many prints, with Options.Prefer Variety alone: else few strips are cut up whole.
//
// An error names a bin or stock whose size or count cannot be.
func RefillBins(bins []Bin, stock []Stock, o Options) (Refill, error) {
	out := Refill{Held: make([]int, len(stock)), Have: make([]int, len(bins))}
	of := make([][]int, len(stock)) // the bins that hold each
	for i, b := range bins {
		if err := checkLength("a bin of a size", b.W); err != nil {
			return Refill{}, err
		}
		if b.L < 0 || b.L > maxLength || b.Floor < 0 || b.Floor > maxPieces {
			return Refill{}, fault.Usage("", fmt.Sprintf("bin %d: a floor of %d pieces of %v × %v inches cannot be", i+1, b.Floor, b.W, b.L), "give sizes and floors of 0 or more")
		}
	}
	for k, s := range stock {
		for i, b := range bins {
			if b.holds(s) {
				of[k] = append(of[k], i)
				out.Have[i] += s.Count
			}
		}
	}
	order := make([]int, len(stock)) // longest first
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(stock[b].LengthIn, stock[a].LengthIn), cmp.Compare(stock[b].WidthIn, stock[a].WidthIn))
	})
	free := slices.Clone(stock)
	keep := make([]int, len(bins))
	for i, b := range bins {
		keep[i] = b.Floor
	}
	hold := func(k, n int) {
		free[k].Count -= n
		out.Held[k] += n
		for _, i := range of[k] {
			keep[i] -= n
		}
	}
	for k, s := range stock {
		hold(k, min(s.Kept, s.Count))
	}
	for _, k := range order {
		for _, i := range of[k] {
			hold(k, max(0, min(keep[i], free[k].Count)))
		}
	}
	var wants []Want
	for i, b := range bins {
		if lack := b.Floor - out.Have[i]; lack > 0 && b.L > 0 {
			w := Want{Name: b.name(), W: b.W, L: b.L, Count: lack, Bins: []string{b.Own}}
			if o.Prefer == Variety {
				w.Role = w.Name
			}
			if b.Own == "" && b.Sorting != shelf.ByValue {
				w.Families = []cloth.Family{b.Family}
			}
			if b.Own == "" && b.Sorting != shelf.ByFamily {
				w.Values = []cloth.Value{b.Value}
			}
			wants = append(wants, w)
			out.Thin = append(out.Thin, i)
		}
	}
	var err error
	out.Cover, err = FromStash(wants, free, o)
	return out, err
}

// holds reports whether a piece of the stash lies in the bin.
func (b Bin) holds(s Stock) bool {
	h := cloth.Holding{Form: s.Form, WidthIn: s.WidthIn, LengthIn: s.LengthIn, Family: s.Family, Value: s.Value, Bin: s.Bin}
	if b.Sorting.Of(shelf.AlikeOf(h)) != (shelf.Alike{Own: b.Own, Family: b.Family, Value: b.Value}) {
		return false
	}
	cut := shelf.Cut{Form: cloth.Rectangle, Width: b.W, Length: b.L}
	switch {
	case b.L == 0:
		cut.Form = cloth.Strip
	case b.L == b.W:
		cut = shelf.Square(b.W)
	}
	return shelf.CutOf(h) == cut
}

func (b Bin) name() string {
	alike := Stock{Family: b.Family, Value: b.Value, Bin: b.Own}.alike()
	return alike + " " + sizeName(b.W, b.L)
}
