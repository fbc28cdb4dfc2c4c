package desk

import (
	"context"
	"reflect"
	"slices"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// ShelfRequest asks what the stash holds.
type ShelfRequest struct {
	Which   stash.Filter // a part of it; zero: all
	Trim    *float64     // squared off the end of every strip, inches; nil: as the stash is set
	Sizes   []float64    // of squares that strips are counted in, inches; nil: the usual
	Since   time.Time    // what changed since then is told too; zero: not asked for. Of all of it alone
	Colours bool         // every piece with its colours; without it a large stash is read sooner
}

// Shelf is what the stash holds.
type Shelf struct {
	Holdings []cloth.Holding // for their colours; nil where those were not asked for
	Stock    shelf.Stock     // taken of Holdings
	Part     string          // what part of the stash it is, in words; empty: all of it
	Since    string          // the day that Changes are counted from; empty where none was asked for
	Changes  []shelf.Count   // since then, in shelf order
}

// Shelf takes stock of the stash by its floors, planned quilts and settings; where
// there is none yet it is empty.
func (d *Desk) Shelf(ctx context.Context, r ShelfRequest) (Shelf, error) {
	st, err := d.reading()
	if err != nil {
		return Shelf{}, err
	}
	if err := d.noteUnknown(ctx, st, r.Which); err != nil {
		return Shelf{}, err
	}
	if r.Colours || !all(r.Which) {
		return takeStockOf(ctx, st, r)
	}
	return takeStockByCounts(ctx, st, r)
}

// all reports whether a filter leaves everything in.
func all(which stash.Filter) bool { return reflect.ValueOf(which).IsZero() }

// takeStockOf takes stock of the holdings that the request means, with their colours; of
// none where there is no stash.
func takeStockOf(ctx context.Context, st *stash.Stash, r ShelfRequest) (Shelf, error) {
	var held []cloth.Holding
	if st != nil {
		var err error
		if held, err = st.Holdings(ctx, r.Which); err != nil {
			return Shelf{}, err
		}
	}
	v, err := takeStock(ctx, st, held, nil, r)
	if err != nil {
		return v, err
	}
	v.Holdings = held
	if !all(r.Which) {
		v.Part = r.Which.String()
		v.Stock.Short, err = shortOf(ctx, st, r)
	}
	return v, err
}

// shortOf finds which of the filter's colours and cuts are thin, counted over the whole
// stash. Where a filter asks for anything else, such as a basket, nothing is called thin.
func shortOf(ctx context.Context, st *stash.Stash, r ShelfRequest) ([]shelf.Short, error) {
	which := r.Which
	of := stash.Filter{Family: which.Family, Value: which.Value, Bin: which.Bin, Form: which.Form, Cut: which.Cut}
	if st == nil || !reflect.DeepEqual(of, which) {
		return nil, nil
	}
	whole, err := takeStockByCounts(ctx, st, ShelfRequest{Sizes: r.Sizes})
	return slices.DeleteFunc(whole.Stock.Short, func(s shelf.Short) bool {
		return of.Family != "" && s.Family != of.Family || of.Value != "" && s.Value != of.Value || of.Bin != "" && s.Own != of.Bin ||
			of.Form != "" && s.Form != of.Form || of.Cut > 0 && s.Width != shelf.Mark(of.Cut)
	}), err
}

// takeStockByCounts is takeStockOf for the whole stash without its colours. It reads no
// piece, so that a large stash takes no longer.
func takeStockByCounts(ctx context.Context, st *stash.Stash, r ShelfRequest) (Shelf, error) {
	if st == nil {
		return takeStock(ctx, nil, nil, nil, r)
	}
	held, err := st.Stock(ctx)
	if err != nil {
		return Shelf{}, err
	}
	counts, err := st.Counts(ctx)
	if err != nil {
		return Shelf{}, err
	}
	return takeStock(ctx, st, held, counts, r)
}

// takeStock takes stock of holdings by the floors, planned quilts and settings of
// the stash; counts hold the prints of holdings that come without. A part of it says
// nothing of what is thin.
func takeStock(ctx context.Context, st *stash.Stash, held []cloth.Holding, counts []shelf.Count, r ShelfRequest) (Shelf, error) {
	var v Shelf
	o := shelf.StockOptions{Trim: shelf.DefaultTrim, Sizes: r.Sizes, Prints: counts}
	if r.Trim != nil {
		o.Trim = *r.Trim
	}
	if !r.Since.IsZero() {
		v.Since = r.Since.Format(time.DateOnly)
	}
	if st == nil {
		v.Stock = shelf.TakeStock(nil, o)
		return v, nil
	}
	set, err := st.Settings(ctx)
	if err != nil {
		return v, err
	}
	if o.Bins = set.Bins; r.Trim == nil {
		o.Trim = set.TrimIn
	}
	part := !all(r.Which)
	if !part {
		if o.Floors, err = st.Floors(ctx); err != nil {
			return v, err
		}
		quilts, err := plannedQuilts(ctx, st)
		if err != nil {
			return v, err
		}
		if quilts, err = withSetsLeft(ctx, st, quilts, set); err != nil {
			return v, err
		}
		o.Needs, o.Lacks = shelfNeeds(quilts), shelfLacks(quilts)
	}
	v.Stock = shelf.TakeStock(held, o)
	if part {
		v.Stock.Short, v.Stock.Missing = nil, nil
	}
	if !r.Since.IsZero() {
		v.Changes, err = st.ChangedSince(ctx, r.Since)
	}
	return v, err
}
