package desk

import (
	"context"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// LeftoversRequest asks how to cut what a project leaves.
type LeftoversRequest struct {
	Cloths []cutting.Leftover
	Cuts   []float64   // of the squares that you keep, inches; nil: those that the stash holds
	Strips []float64   // the widths of strips to cut too, inches
	Of     shelf.Alike // the colour of the cloth, or the bin it belongs in; zero: not said
	System recipe.System
}

// Leftovers is how leftovers of a project are cut into your sizes.
type Leftovers struct {
	Cloths []cutting.Leftover
	Sizes  []cutting.Size
	Thin   []shelf.Short // of each size: the thin bin that makes it worth more; zero where none does
	Cut    []cutting.CutUp
	Of     shelf.Alike
	System recipe.System
}

// The most that a leftover is searched for, inches: no cloth is wider, no bolt longer. A
// larger one would take minutes.
const mostWide, mostLong = 120, 400

// Leftovers finds how to cut what a project leaves into your sizes, of which those that
// thin bins want are worth more. Errors: of kind fault.ErrUsage where it cannot be cut,
// ErrTooLarge among them.
func (d *Desk) Leftovers(ctx context.Context, r LeftoversRequest) (Leftovers, error) {
	out := Leftovers{Cloths: r.Cloths, Of: r.Of, System: r.System}
	for _, c := range r.Cloths {
		if min(c.W, c.L) > mostWide || max(c.W, c.L) > mostLong {
			return out, fault.New("", fmt.Sprintf("a leftover is at most %s wide and %s long", cloth.FormatInches(mostWide), cloth.FormatInches(mostLong)), "cut it in two first", ErrTooLarge, fault.ErrUsage)
		}
	}
	st, err := d.reading()
	if err != nil {
		return out, err
	}
	var stock shelf.Stock
	if st != nil {
		if err := d.noteUnknown(ctx, st, stash.Filter{Bin: r.Of.Own}); err != nil {
			return out, err
		}
		v, err := takeStockByCounts(ctx, st, ShelfRequest{})
		if err != nil {
			return out, err
		}
		stock = v.Stock
	}
	out.Sizes, out.Thin = sizesFor(stock, r.Cuts, r.Strips, r.Of)
	out.Cut, err = cutting.CutUpLeftovers(r.Cloths, out.Sizes, r.System.Seam)
	return out, err
}

// usualSizes are the squares kept where the stash holds none: those that most
// savers of scraps keep (common practice, no source).
var usualSizes = []float64{1.5, 2, 2.5, 3.5, 5}

// sizesFor lists the squares to cut, and the strips: those named and those of which
// the bin is thin. Cloth of a size of which the bin of the colour is thin is worth
// more, by the share of its floor that is missing: twice as much where it is empty.
// A colour that is not named is that of every bin, of which the thinnest counts.
func sizesFor(stock shelf.Stock, cuts, strips []float64, a shelf.Alike) ([]cutting.Size, []shelf.Short) {
	if cuts == nil {
		for _, b := range stock.Boxes {
			if b.Form == cloth.Square && b.Width > 0 && !slices.Contains(cuts, b.Width) {
				cuts = append(cuts, b.Width)
			}
		}
	}
	if cuts == nil {
		cuts = usualSizes
	}
	for _, s := range stock.Short {
		if s.Form == cloth.Strip && s.Width > 0 && speaksOf(a, s.Alike) && !slices.Contains(strips, s.Width) {
			strips = append(strips, s.Width)
		}
	}
	var sizes []cutting.Size
	var thin []shelf.Short
	for k, c := range slices.Concat(cuts, strips) {
		size, kept, thinnest := cutting.Size{W: c, L: c, Weight: 1}, shelf.Square(c), shelf.Short{}
		if k >= len(cuts) {
			size.L, kept = 0, shelf.Cut{Form: cloth.Strip, Width: shelf.Mark(c)}
		}
		for _, s := range stock.Short {
			worth := 1 + float64(s.By())/float64(s.Want)
			if s.Cut == kept && speaksOf(a, s.Alike) && worth > size.Weight {
				size.Weight, size.Lack, thinnest = worth, s.By(), s
			}
		}
		sizes, thin = append(sizes, size), append(thin, thinnest)
	}
	return sizes, thin
}

// speaksOf reports whether a bin is of a colour, as far as that is named.
func speaksOf(a, bin shelf.Alike) bool {
	return (a.Own == "" || a.Own == bin.Own) && (a.Family == "" || a.Family == bin.Family) && (a.Value == "" || a.Value == bin.Value)
}
