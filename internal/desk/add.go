package desk

import (
	"context"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// AddRequest puts into the stash what no photo shows.
type AddRequest struct {
	// Holding is the pieces: of it the form, the count, the sides in inches, the names
	// and the colour count, each empty or 0 where it is not said.
	Holding cloth.Holding
	Grams   float64 // of cloth by weight, of the holding's colour and place; 0: pieces
	New     bool    // names are meant as written, though they are nearly known ones
}

// pieces are those of the request as the stash keeps them, the longer side last. Where
// no form is said, pieces with a length are strips and others squares; where no count
// is, they are one. Errors: of kind fault.ErrUsage, among them ErrNothingToAdd and
// ErrNoWeight.
func (r AddRequest) pieces() (cloth.Holding, error) {
	h := r.Holding
	h.Trust = 1
	size := func() string { return string(h.Form) + " " + shelf.Length(h.WidthIn) }
	switch {
	case h.Form == cloth.Weighed:
		return h, fault.New("", "weighed cloth is added by its weight", "say what it weighs", ErrNoWeight, fault.ErrUsage)
	case h.Form == "" && h.LengthIn > 0:
		h.Form = cloth.Strip
	case h.Form == "" && (h.WidthIn > 0 || h.Count > 0):
		h.Form = cloth.Square
	}
	h.Count = max(1, h.Count)
	switch {
	case h.Form == "" || h.WidthIn == 0 && h.Family == "" && h.Bin == "":
		return h, fault.New("", "nothing to add: there is neither a size nor a colour nor a weight", "say one of them", ErrNothingToAdd, fault.ErrUsage)
	case h.Form == cloth.Square && h.LengthIn > 0 && h.LengthIn != h.WidthIn:
		return h, fault.Usage(size()+" × "+shelf.Length(h.LengthIn), "a square has one size", "write one size, or call it a rectangle or a strip")
	case h.Form == cloth.Square:
		h.LengthIn = h.WidthIn
	case (h.Form == cloth.Rectangle || h.Form == cloth.Irregular) && h.WidthIn > 0 && h.LengthIn == 0:
		return h, fault.Usage(size(), "its length is missing", "write both sides, like 2½ x 4½")
	}
	if h.LengthIn > 0 && h.LengthIn < h.WidthIn {
		h.WidthIn, h.LengthIn = h.LengthIn, h.WidthIn
	}
	return h, nil
}

// Add puts pieces into the stash, or cloth by its weight, which the stash's settings
// turn into an area. Errors: those of what cannot be added, of kind fault.ErrUsage.
func (d *Desk) Add(ctx context.Context, r AddRequest) (stash.Change, error) {
	h := r.Holding
	if r.Grams == 0 {
		var err error
		if h, err = r.pieces(); err != nil {
			return stash.Change{}, err
		}
	}
	st, err := d.naming(ctx, d.changing, written{bin: h.Bin, basket: h.Basket, print: h.Print, isNew: r.New})
	if err != nil {
		return stash.Change{}, err
	}
	if r.Grams > 0 {
		set, err := st.Settings(ctx)
		if err != nil {
			return stash.Change{}, err
		}
		h.Form, h.Count, h.Trust, h.AreaIn2 = cloth.Weighed, 1, 1, set.AreaIn2(r.Grams)
	}
	return st.Add(ctx, h)
}
