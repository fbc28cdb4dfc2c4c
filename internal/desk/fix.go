package desk

import (
	"context"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
)

// Numbers are numbers of pieces, as the stash gives them.
type Numbers struct {
	All  []int64 // each once, those of ranges too
	Said []int64 // those said one by one: the stash must hold them
}

func numbered(id int64) string { return fmt.Sprintf("piece %d", id) }

// heldIn finds the pieces of the stash that have these numbers: all of those
// said one by one, and what there is of the ranges.
func (n Numbers) heldIn(ctx context.Context, st *stash.Stash) ([]cloth.Holding, error) {
	held, err := st.Holdings(ctx, stash.Filter{IDs: n.All})
	if err != nil {
		return nil, err
	}
	const remedy = "give numbers that the stash has"
	for _, id := range n.Said {
		if !slices.ContainsFunc(held, func(h cloth.Holding) bool { return h.ID == id }) {
			return nil, fault.New(numbered(id), "the stash holds no such piece", remedy, ErrNoPiece)
		}
	}
	if len(held) == 0 {
		return nil, fault.New(fmt.Sprintf("pieces %d to %d", slices.Min(n.All), slices.Max(n.All)), "the stash holds none of them", remedy, ErrNoPiece)
	}
	return held, nil
}

// FixRequest corrects what the stash says of pieces.
type FixRequest struct {
	Pieces     Numbers // of one alone where Correction has an outline or Merge is given
	Correction stash.Correction
	Merge      Numbers // pieces that are parts of it; none: as Correction has it
	New        bool    // names are meant as written, though they are nearly known ones
}

// Fix corrects pieces, in one change. Those that are put in a bin of yours are
// examples to learn from. Errors: ErrNoPiece.
func (d *Desk) Fix(ctx context.Context, r FixRequest) (stash.Change, error) {
	c := r.Correction
	said := func(name *string) string {
		if name == nil {
			return ""
		}
		return *name
	}
	st, err := d.naming(ctx, d.changingOne, written{bin: said(c.Bin), basket: said(c.Basket), print: said(c.Print), isNew: r.New})
	if err != nil {
		return stash.Change{}, err
	}
	if r.Merge.All != nil {
		parts, err := r.Merge.heldIn(ctx, st)
		if err != nil {
			return stash.Change{}, err
		}
		c.Merge = nil
		for _, h := range parts {
			c.Merge = append(c.Merge, h.ID)
		}
	}
	held, err := r.Pieces.heldIn(ctx, st)
	if err != nil {
		return stash.Change{}, err
	}
	all := map[int64]stash.Correction{}
	for _, h := range held {
		one := c
		if f, ok := teach.FeaturesOfHolding(h); ok && c.Bin != nil {
			if one.Example, err = exampleOf(f); err != nil {
				return stash.Change{}, err
			}
		}
		all[h.ID] = one
	}
	return st.CorrectAll(ctx, all)
}
