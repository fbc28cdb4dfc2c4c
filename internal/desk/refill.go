package desk

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// RefillRequest asks which strips to cut up for the thin bins.
type RefillRequest struct {
	Prefer cutting.Prefer // empty: scraps
	System recipe.System  // the lengths that you work in
}

// Refill is which strips to sub-cut for the thin bins.
type Refill struct {
	cutting.Refill
	Bins     []shelf.Box     // as given to cutting.RefillBins
	Holdings []cloth.Holding // likewise
	System   recipe.System
	LeftOut  []shelf.Short // thin, but in no one bin: pieces of any cut, or of any colour
	Sets     []shelf.Lack  // of planned quilts, of which no bin is filled; one of each set
}

// Refill finds which strips and larger pieces to cut for the bins that are below their
// floors, or below what planned quilts take. It changes nothing.
func (d *Desk) Refill(ctx context.Context, r RefillRequest) (Refill, error) {
	w, err := d.wants(ctx, r.System.Metric, r.Prefer)
	if err != nil {
		return Refill{}, err
	}
	out := Refill{Refill: w.refill, Bins: w.bins, Holdings: w.Holdings, System: r.System}
	for _, s := range w.Stock.Short {
		if !slices.ContainsFunc(w.bins, s.Of) {
			out.LeftOut = append(out.LeftOut, s)
		}
	}
	for _, l := range w.Stock.Lacks {
		if l.Set > 0 && !slices.ContainsFunc(out.Sets, func(o shelf.Lack) bool { return o.Quilt == l.Quilt && o.Set == l.Set }) {
			out.Sets = append(out.Sets, l)
		}
	}
	return out, nil
}

// wants is what the whole stash is short of, by its floors and the saved plans, and
// what of it sub-cutting gives.
type wants struct {
	Shelf
	quilts []planned
	bins   []shelf.Box
	refill cutting.Refill
}

func (d *Desk) wants(ctx context.Context, metric bool, prefer cutting.Prefer) (wants, error) {
	st, err := d.readingOne()
	if err != nil {
		return wants{}, err
	}
	quilts, err := plannedQuilts(ctx, st)
	if err != nil {
		return wants{}, err
	}
	settings, err := st.Settings(ctx)
	if err != nil {
		return wants{}, err
	}
	v, err := takeStockOf(ctx, st, ShelfRequest{})
	if err != nil {
		return wants{}, err
	}
	return subCut(v, quilts, cuttingOptions(settings, metric, prefer))
}

func subCut(v Shelf, quilts []planned, o cutting.Options) (wants, error) {
	w := wants{Shelf: v, quilts: quilts, bins: binsOf(v.Stock)}
	var err error
	w.refill, err = cutting.RefillBins(w.bins, w.Holdings, plan.Kept(savedPlans(quilts)), o)
	return w, err
}

// bought returns how many of what is short are still wanted after the sub-cutting.
func (w wants) bought(s shelf.Short) int {
	for k, i := range w.refill.Thin {
		if s.Of(w.bins[i]) {
			return w.refill.Short[k]
		}
	}
	return s.By()
}

// binsOf lists the thin boxes, also empty ones, and those that hold something, each with
// the fewest pieces wanted in it. Cloth without size or colour is in no box.
func binsOf(stock shelf.Stock) []shelf.Box {
	var out []shelf.Box
	add := func(s shelf.Short) {
		known := slices.ContainsFunc(out, func(b shelf.Box) bool { return s.Of(b) })
		if !known && s.Width > 0 && s.Alike != (shelf.Alike{}) {
			out = append(out, shelf.Box{Sorting: s.Sorting, Alike: s.Alike, Cut: s.Cut, Least: s.Want - s.InBins})
		}
	}
	for _, s := range stock.Short {
		if s.Form != "" && s.Reason != shelf.Lacking {
			add(s)
		}
	}
	for _, b := range stock.Bins {
		for _, x := range append([]shelf.Box{b.Box}, b.In...) {
			add(shelf.Short{Sorting: x.Sorting, Alike: x.Alike, Cut: x.Cut, Want: x.Least})
		}
	}
	return out
}

// Pulled returns a function for OneOfEach that names each piece that is taken, whole or to
// be cut, by its number.
func Pulled(c cutting.Cover) func(cloth.Holding) string {
	in := map[int64]bool{}
	for _, p := range c.Pulls {
		for _, l := range p.Lines {
			in[l.ID] = true
		}
	}
	return func(h cloth.Holding) string {
		if !in[h.ID] {
			return ""
		}
		return strconv.FormatInt(h.ID, 10)
	}
}

// LeftoversRequest asks how to cut what a project leaves.
type LeftoversRequest struct {
	Cloths []cutting.Leftover
	As     []string    // how words of the trade were counted, to be said
	Cuts   []float64   // of the squares that you keep, inches; nil: those that the stash holds
	Strips []float64   // the widths of strips to cut too, inches
	Of     shelf.Alike // the colour of the cloth, or the bin it belongs in; zero: not said
	System recipe.System
}

// Leftovers is how leftovers of a project are cut into your sizes.
type Leftovers struct {
	Cloths []cutting.Leftover
	As     []string // as asked
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
	out := Leftovers{Cloths: r.Cloths, As: r.As, Of: r.Of, System: r.System}
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

// speaksOf reports whether a bin is of a colour, of which family, value or both may be left
// open.
func speaksOf(a, bin shelf.Alike) bool {
	return (a.Own == "" || a.Own == bin.Own) && (a.Family == "" || a.Family == bin.Family) && (a.Value == "" || a.Value == bin.Value)
}
