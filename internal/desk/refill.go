package desk

import (
	"context"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
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
}

// Refill finds which strips and larger pieces to cut for the bins that are below their
// floors, or below what planned quilts take. It changes nothing.
func (d *Desk) Refill(ctx context.Context, r RefillRequest) (Refill, error) {
	w, err := d.wants(ctx, r.System.Metric, r.Prefer)
	if err != nil {
		return Refill{}, err
	}
	return Refill{Refill: w.refill, Bins: w.bins, Holdings: w.Holdings, System: r.System}, nil
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

// cuttingOptions are your settings as cutting takes them.
func cuttingOptions(s stash.Settings, metric bool, prefer cutting.Prefer) cutting.Options {
	return cutting.Options{Trim: s.TrimIn, Metric: metric, Prefer: prefer}
}

func subCut(v Shelf, quilts []planned, o cutting.Options) (wants, error) {
	w := wants{Shelf: v, quilts: quilts, bins: binsOf(v.Stock)}
	var err error
	w.refill, err = cutting.RefillBins(w.bins, w.Holdings, plan.Kept(savedPlans(quilts)), o)
	return w, err
}

// bought is how many of what is short are wanted when the sub-cutting is done.
func (w wants) bought(s shelf.Short) int {
	for k, i := range w.refill.Thin {
		if s.Of(w.bins[i]) {
			return w.refill.Short[k]
		}
	}
	return s.By()
}

// binsOf lists the thin boxes, empty ones too, and those that hold something, each
// with the fewest pieces wanted in it; what has no size or no colour is none.
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
	for _, b := range stock.Baskets {
		for _, x := range append([]shelf.Box{b.Box}, b.In...) {
			add(shelf.Short{Sorting: x.Sorting, Alike: x.Alike, Cut: x.Cut, Want: x.Least})
		}
	}
	return out
}

// Pulled names the pieces that are taken as they are or cut, each by its number, for
// OneOfEach.
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
