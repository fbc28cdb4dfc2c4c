package cutting

import (
	"cmp"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
)

// Refill is which cloth to cut to bring thin boxes of the shelf up to the fewest
// wanted in them.
type Refill struct {
	Cover        // of Wants
	Wants []Want // what each of Thin lacks
	Thin  []int  // indices into the boxes that were given
	Held  []int  // of each stock entry, how many were left alone for the sake of its own box
	Have  []int  // in each box that was given, before cutting
}

// RefillBins finds which strips and larger pieces to sub-cut so that each box
// of cut pieces that holds less than its Least is brought up to it, as FromStash does.
// No box that was given is taken below its own Least: of its cloth the
// longest is left alone, for long strips are the harder to come by: short strips
// are sub-cut, long ones kept. Cloth that is kept for planned quilts, so many pieces of a holding by its
// ID, is not cut, and counts towards what its box holds. Thin boxes of
// strips are not filled: strips are cut from yardage. A box is a role, to be of
// many prints, with Options.Prefer Variety alone: else few strips are cut up whole.
//
// An error names a box or stock whose size or count cannot be.
func RefillBins(bins []shelf.Box, stock []cloth.Holding, kept map[int64]int, o Options) (Refill, error) {
	out := Refill{Held: make([]int, len(stock)), Have: make([]int, len(bins))}
	of := make([][]int, len(stock)) // the boxes that hold each
	for i, b := range bins {
		if err := checkLength("a bin of a size", b.Width); err != nil {
			return Refill{}, err
		}
		if b.Length < 0 || b.Length > maxLength || b.Least < 0 || b.Least > maxPieces {
			return Refill{}, fault.Usage("", fmt.Sprintf("bin %d: a floor of %d pieces of %v × %v inches cannot be", i+1, b.Least, b.Width, b.Length), "give sizes and floors of 0 or more")
		}
	}
	for k, s := range stock {
		alike, cut := shelf.AlikeOf(s), shelf.CutOf(s)
		for i, b := range bins {
			if b.Sorting.Of(alike) == b.Alike && cut == b.Cut {
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
		keep[i] = b.Least
	}
	hold := func(k, n int) {
		free[k].Count -= n
		out.Held[k] += n
		for _, i := range of[k] {
			keep[i] -= n
		}
	}
	for k, s := range stock {
		hold(k, min(kept[s.ID], s.Count))
	}
	for _, k := range order {
		for _, i := range of[k] {
			hold(k, max(0, min(keep[i], free[k].Count)))
		}
	}
	for i, b := range bins {
		lack := b.Least - out.Have[i]
		if lack <= 0 || b.Form != cloth.Square && b.Form != cloth.Rectangle {
			continue
		}
		w := Want{W: b.Width, L: cmp.Or(b.Length, b.Width), Count: lack, Bins: []string{b.Own}}
		w.Name = cloth.Holding{Bin: b.Own, Family: b.Family, Value: b.Value}.Alike() + " " + sizeName(w.W, w.L)
		if o.Prefer == Variety {
			w.Role = w.Name
		}
		if b.Own == "" && b.Sorting != shelf.ByValue {
			w.Families = []cloth.Family{b.Family}
		}
		if b.Own == "" && b.Sorting != shelf.ByFamily {
			w.Values = []cloth.Value{b.Value}
		}
		out.Wants = append(out.Wants, w)
		out.Thin = append(out.Thin, i)
	}
	var err error
	out.Cover, err = FromStash(out.Wants, free, o)
	return out, err
}
