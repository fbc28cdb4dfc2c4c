package desk

import (
	"context"

	"piecebag/internal/fault"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// SetFloor sets the fewest pieces wanted in a bin, in those of a colour or of a cut, or
// in all; isNew says that a bin is meant as written.
func (d *Desk) SetFloor(ctx context.Context, f shelf.Floor, isNew bool) (stash.Change, error) {
	st, err := d.naming(ctx, d.changing, written{bin: f.Own, isNew: isNew})
	if err != nil {
		return stash.Change{}, err
	}
	return st.SetFloor(ctx, f)
}

// ClearFloor takes the floor of these bins away. Errors: ErrNoFloor.
func (d *Desk) ClearFloor(ctx context.Context, f shelf.Floor) (stash.Change, error) {
	st, err := d.changing()
	if err != nil {
		return stash.Change{}, err
	}
	all, err := st.Floors(ctx)
	if err != nil {
		return stash.Change{}, err
	}
	f.Least = 0
	for _, x := range all {
		if x.Alike == f.Alike && x.Cut == f.Cut {
			return st.SetFloor(ctx, f)
		}
	}
	return stash.Change{}, fault.New(f.String(), "there is no such floor", "name one that is set", ErrNoFloor)
}

// Floors lists the floors; none where there is no stash yet.
func (d *Desk) Floors(ctx context.Context) ([]shelf.Floor, error) {
	return ask(d.reading, func(st *stash.Stash) ([]shelf.Floor, error) { return st.Floors(ctx) })
}
