package desk

import (
	"context"

	"piecebag/internal/stash"
)

// Use takes pieces out of the stash, the oldest first, or cloth by its weight; where it
// holds less nothing is taken. Errors: an UnknownName as a cause, stash.ErrShort.
func (d *Desk) Use(ctx context.Context, take stash.Take) (stash.Change, error) {
	st, err := d.changingOne()
	if err != nil {
		return stash.Change{}, err
	}
	u, err := unknown(ctx, st, take.Filter)
	switch {
	case err != nil:
		return stash.Change{}, err
	case u != nil:
		return stash.Change{}, u.Fault()
	}
	return st.Use(ctx, take)
}
