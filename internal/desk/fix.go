package desk

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

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

// mostNumbers bounds a range of numbers: no stash holds more.
const mostNumbers = 1_000_000

// ReadNumbers reads numbers of pieces with commas or spaces between, and ranges of them
// such as 13-60; none where the text holds none. Errors: ErrNoNumbers, about what is no
// number.
func ReadNumbers(text string) (Numbers, error) {
	var out Numbers
	seen := map[int64]bool{}
	for _, x := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' }) {
		first, last, isRange := strings.Cut(strings.ReplaceAll(x, "–", "-"), "-")
		if !isRange {
			last = first
		}
		from, err1 := strconv.ParseInt(first, 10, 64)
		to, err2 := strconv.ParseInt(last, 10, 64)
		if err1 != nil || err2 != nil || from < 1 || to < from || to-from >= mostNumbers {
			return out, fault.New(x, "this is not the number of a piece, nor a range of numbers", "write numbers like 12 or 12,15 or 13-60", ErrNoNumbers, fault.ErrUsage)
		}
		if !isRange {
			out.Said = append(out.Said, from)
		}
		for id := from; id <= to; id++ {
			if !seen[id] {
				seen[id] = true
				out.All = append(out.All, id)
			}
		}
	}
	return out, nil
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
