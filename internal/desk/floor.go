package desk

import (
	"context"

	"piecebag/internal/fault"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// ShelfFloor is a floor as the shelf has it: a cut is of squares.
func ShelfFloor(f stash.Floor) shelf.Floor {
	out := shelf.Floor{Alike: shelf.Alike{Own: f.Bin, Family: f.Family, Value: f.Value}, Least: f.N}
	if f.Cut > 0 {
		out.Cut = shelf.Square(shelf.Mark(f.Cut))
	}
	return out
}

// SetFloor sets the fewest pieces wanted in a bin, in those of a colour or of a cut, or
// in all; isNew says that a bin is meant as written.
func (d *Desk) SetFloor(ctx context.Context, f stash.Floor, isNew bool) (stash.Change, error) {
	st, err := d.naming(ctx, d.changing, written{bin: f.Bin, isNew: isNew})
	if err != nil {
		return stash.Change{}, err
	}
	return st.SetFloor(ctx, f)
}

// ClearFloor takes the floor of these bins away. Errors: ErrNoFloor.
func (d *Desk) ClearFloor(ctx context.Context, f stash.Floor) (stash.Change, error) {
	st, err := d.changing()
	if err != nil {
		return stash.Change{}, err
	}
	all, err := st.Floors(ctx)
	if err != nil {
		return stash.Change{}, err
	}
	f.N = 0
	of := ShelfFloor(f)
	for _, x := range all {
		if have := ShelfFloor(x); have.Alike == of.Alike && have.Cut == of.Cut {
			return st.SetFloor(ctx, f)
		}
	}
	return stash.Change{}, fault.New(of.String(), "there is no such floor", "name one that is set", ErrNoFloor)
}

// Floors lists the floors; none where there is no stash yet.
func (d *Desk) Floors(ctx context.Context) ([]stash.Floor, error) {
	st, err := d.reading()
	if st == nil || err != nil {
		return nil, err
	}
	return st.Floors(ctx)
}
