package desk

import (
	"context"

	"piecebag/internal/cloth"
	"piecebag/internal/stash"
)

// AddRequest puts into the stash what no photo shows.
type AddRequest struct {
	Holding cloth.Holding
	Grams   float64 // of cloth by weight, of the holding's colour and place; 0: pieces
	New     bool    // names are meant as written, though they are nearly known ones
}

// Add puts pieces into the stash, or cloth by its weight, which the stash's settings
// turn into an area.
func (d *Desk) Add(ctx context.Context, r AddRequest) (stash.Change, error) {
	st, err := d.changing()
	if err != nil {
		return stash.Change{}, err
	}
	h := r.Holding
	if err := d.newNames(ctx, st, Written{Bin: h.Bin, Basket: h.Basket, Print: h.Print, New: r.New}); err != nil {
		return stash.Change{}, err
	}
	if r.Grams > 0 {
		set, err := st.Settings(ctx)
		if err != nil {
			return stash.Change{}, err
		}
		h.Form, h.Count, h.AreaIn2 = cloth.Weighed, 1, set.AreaIn2(r.Grams)
	}
	return st.Add(ctx, h)
}
