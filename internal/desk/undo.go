package desk

import (
	"context"
	"slices"

	"piecebag/internal/stash"
)

// Undo takes back the last n changes, the latest first, and returns each with what taking
// it back added and removed; told, unless nil, is called with each as soon as it is done.
// Where Undo returns an error as well, the changes that it returns were taken back before.
func (d *Desk) Undo(ctx context.Context, n int, told func(stash.Change) error) ([]stash.Change, error) {
	return d.step(n, told, func(st *stash.Stash) (stash.Change, error) {
		c, err := st.Undo(ctx)
		return backwards(c), err
	})
}

// Redo does again what was taken back last, as Undo takes back.
func (d *Desk) Redo(ctx context.Context, n int, told func(stash.Change) error) ([]stash.Change, error) {
	return d.step(n, told, func(st *stash.Stash) (stash.Change, error) { return st.Redo(ctx) })
}

// step makes so many changes one after another.
func (d *Desk) step(n int, told func(stash.Change) error, change func(*stash.Stash) (stash.Change, error)) ([]stash.Change, error) {
	st, err := d.changingOne()
	if err != nil {
		return nil, err
	}
	var done []stash.Change
	for range n {
		c, err := change(st)
		if err != nil {
			return done, err
		}
		done = append(done, c)
		if told != nil {
			if err := told(c); err != nil {
				return done, err
			}
		}
	}
	return done, nil
}

// backwards returns a change that was taken back, with what that added and removed.
func backwards(c stash.Change) stash.Change {
	c.Difference = slices.Clone(c.Difference)
	for i := range c.Difference {
		x := &c.Difference[i]
		x.Count, x.AreaIn = -x.Count, -x.AreaIn
	}
	c.Undoable = false
	return c
}

// History lists the last changes, the last first; none where there is no stash yet.
func (d *Desk) History(ctx context.Context, n int) ([]stash.Change, error) {
	return ask(d.reading, func(st *stash.Stash) ([]stash.Change, error) { return st.History(ctx, n) })
}

// Undone lists the changes that Redo can do again, the one that it would do first.
func (d *Desk) Undone(ctx context.Context) ([]stash.Change, error) {
	return ask(d.reading, func(st *stash.Stash) ([]stash.Change, error) { return st.Undone(ctx) })
}

// ChangeOf returns the last change after another that was made of a photo; 0 where there is
// none.
func (d *Desk) ChangeOf(ctx context.Context, hash string, after int64) (int64, error) {
	return ask(d.reading, func(st *stash.Stash) (int64, error) { return st.ChangeOf(ctx, hash, after) })
}

// Latest returns the number of the last change, also one that another process made; 0 where
// there is no stash yet.
func (d *Desk) Latest(ctx context.Context) (int64, error) {
	return ask(d.reading, func(st *stash.Stash) (int64, error) { return st.Latest(ctx) })
}
