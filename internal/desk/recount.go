package desk

import (
	"context"
	"maps"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/stash"
)

// RecountRequest asks that the stash hold, of a basket or of a cut, exactly what photos
// show.
type RecountRequest struct {
	Files   []string       // of photos
	Refused []*fault.Error // photos named that are none: nothing is recounted, and all faults are told
	Look    look.Options
	Basket  string
	CutIn   float64    // inches; 0: of every cut. One of Basket and CutIn is given at least
	As      cloth.Form // what the pieces are; empty: as they are found
	New     bool       // the basket is meant as written, though its name is nearly a known one
	Alike   bool       // copies of a photo count too
}

// Recounted is what a recount changed. Where a photo was refused it changed nothing.
type Recounted struct {
	Change    stash.Change
	Seen      []Seen
	Left      []stash.Left // of each photo: what became of what the camera wrote into it
	NewBasket bool
	Moved     []Moved
	Refused   []*fault.Error
}

// Moved are pieces of a known photo that were kept elsewhere.
type Moved struct {
	Photo  string `json:"photo"`
	Basket string `json:"basket"` // where they were; empty: in none
	Pieces int    `json:"pieces"`
}

// Recount looks at photos of all that is in a basket, or of all that is of one cut, and
// makes the stash hold just that, as one change.
func (d *Desk) Recount(ctx context.Context, r RecountRequest) (Recounted, error) {
	results, err := d.Look(ctx, r.Files, r.Look)
	if err != nil {
		return Recounted{}, err
	}
	return d.RecountLooked(ctx, r, results)
}

// RecountLooked is Recount of photos that were looked at before, in the order of the
// request's files.
func (d *Desk) RecountLooked(ctx context.Context, r RecountRequest, results []Looked) (Recounted, error) {
	out := Recounted{Refused: r.Refused, Moved: []Moved{}}
	for i, x := range results {
		if x.Err != nil {
			out.Refused = append(out.Refused, x.Err)
		}
		out.Seen = append(out.Seen, Seen{File: r.Files[i], Found: x.Sheet.Pieces, Notes: x.Sheet.Notes})
	}
	if !r.Alike {
		more, err := copies(r.Files, results)
		if err != nil {
			return out, err
		}
		out.Refused = append(out.Refused, more...)
	}
	if len(out.Refused) > 0 {
		return out, nil
	}
	st, err := d.naming(ctx, d.changing, written{basket: r.Basket, isNew: r.New})
	if err != nil {
		return out, err
	}
	return out, out.recount(ctx, st, r, results)
}

func (out *Recounted) recount(ctx context.Context, st *stash.Stash, r RecountRequest, results []Looked) error {
	sorter, err := taught(ctx, st)
	if err != nil {
		return err
	}
	photos := make([]stash.Photo, len(r.Files))
	for i, x := range results {
		if photos[i], err = stashPhoto(r.Files[i], x.Sheet, r.As, r.Basket, r.CutIn); err != nil {
			return err
		}
		photos[i].Bins, photos[i].Said = sortPieces(sorter, x.Sheet.Pieces).bins, x.Said
	}
	if !r.Alike {
		which := stash.Filter{Basket: r.Basket, Cut: r.CutIn, Form: r.As}
		if out.Refused, err = copiesKept(ctx, st, r.Files, results, photos, which); err != nil || len(out.Refused) > 0 {
			return err
		}
	}
	if err := out.before(ctx, st, r.Basket, photos); err != nil {
		return err
	}
	if out.Change, out.Left, err = st.Recount(ctx, r.Basket, r.CutIn, photos...); err != nil {
		return err
	}
	for i, p := range photos {
		hash, err := st.HashOf(ctx, p.Bytes)
		if err != nil {
			return err
		}
		if out.Seen[i].IDs, err = idsOf(ctx, st, hash); err != nil {
			return err
		}
	}
	return nil
}

// before finds out, before anything is changed, whether a basket is new, as after a slip of
// the pen, and where the pieces of photos that the stash knows were.
func (out *Recounted) before(ctx context.Context, st *stash.Stash, basket string, photos []stash.Photo) error {
	if basket == "" {
		return nil
	}
	held, err := st.Holdings(ctx, stash.Filter{Basket: basket})
	if err != nil {
		return err
	}
	out.NewBasket = len(held) == 0
	for _, p := range photos {
		hash, err := st.HashOf(ctx, p.Bytes)
		if err != nil {
			return err
		}
		held, err := st.Holdings(ctx, stash.Filter{Photo: hash})
		if err != nil {
			return err
		}
		from := map[string]int{}
		for _, h := range held {
			if h.Basket != basket {
				from[h.Basket] += h.Count
			}
		}
		for _, b := range slices.Sorted(maps.Keys(from)) {
			out.Moved = append(out.Moved, Moved{p.Name, b, from[b]})
		}
	}
	return nil
}
