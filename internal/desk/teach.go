package desk

import (
	"context"

	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
)

// TeachRequest asks that a bin of yours be learnt from photos of what is in it.
type TeachRequest struct {
	Bin   string
	New   bool     // it is meant as written, though its name is nearly a known one
	Files []string // of photos
	Look  look.Options
}

// Taught is what a bin was learnt from. Where no piece was found, since photos were
// refused, nothing was.
type Taught struct {
	Change  stash.Change
	Seen    []Seen
	Learnt  int // from so many pieces
	Refused []*fault.Error
}

// Teach learns a bin from photos. Errors: ErrNothingSeen.
func (d *Desk) Teach(ctx context.Context, r TeachRequest) (Taught, error) {
	var out Taught
	results, err := d.Look(ctx, r.Files, r.Look)
	if err != nil {
		return out, err
	}
	var examples [][]byte
	for i, x := range results {
		if x.Err != nil {
			out.Refused = append(out.Refused, x.Err)
			continue
		}
		for _, p := range x.Sheet.Pieces {
			e, err := exampleOf(teach.FeaturesOf(p))
			if err != nil {
				return out, err
			}
			examples = append(examples, e)
		}
		out.Seen = append(out.Seen, Seen{File: r.Files[i], Found: x.Sheet.Pieces, Notes: x.Sheet.Notes})
	}
	if out.Learnt = len(examples); out.Learnt == 0 {
		return out, fault.New("", "no piece was found to learn from", "help the finder", ErrNothingSeen)
	}
	st, err := d.naming(ctx, d.changing, written{bin: r.Bin, isNew: r.New})
	if err != nil {
		return out, err
	}
	out.Change, err = st.Teach(ctx, r.Bin, examples...)
	return out, err
}

// TeachPieces learns a bin of yours from pieces of the stash and puts them there; isNew
// says that it is meant as written. Errors: ErrNoPiece.
func (d *Desk) TeachPieces(ctx context.Context, bin string, isNew bool, pieces Numbers) (stash.Change, error) {
	st, err := d.naming(ctx, d.changingOne, written{bin: bin, isNew: isNew})
	if err != nil {
		return stash.Change{}, err
	}
	held, err := pieces.heldIn(ctx, st)
	if err != nil {
		return stash.Change{}, err
	}
	examples := map[int64][]byte{}
	for _, h := range held {
		f, ok := teach.FeaturesOfHolding(h)
		if !ok {
			return stash.Change{}, fault.New(numbered(h.ID), "its colours were never measured, so nothing can be learnt from it", "teach from pieces that came from a photo")
		}
		if examples[h.ID], err = exampleOf(f); err != nil {
			return stash.Change{}, err
		}
	}
	return st.TeachPieces(ctx, bin, examples)
}

// SortedPiece is an entry of the stash that went into a bin of yours, and why.
type SortedPiece struct {
	ID     int64  `json:"id"`
	Bin    string `json:"bin"`
	Reason string `json:"reason"`
}

// Sorted is how the pieces that were in none of your bins were sorted.
type Sorted struct {
	Change stash.Change // zero where nothing was sorted in
	Bins   []string     // yours, in order
	Sorted []SortedPiece
	Unsure []Unsure
	Vague  bool // the one bin that was taught has examples too unlike one another to sort by
}

// Sort puts the pieces that are in none of your bins where they belong, as one change.
// Errors: ErrNothingTaught.
func (d *Desk) Sort(ctx context.Context) (Sorted, error) {
	st, err := d.changingOne()
	if err != nil {
		return Sorted{}, err
	}
	out, err := sortingOf(ctx, st)
	if err != nil || len(out.Sorted) == 0 {
		return out, err
	}
	bins := map[int64]string{}
	for _, p := range out.Sorted {
		bins[p.ID] = p.Bin
	}
	out.Change, err = st.Sort(ctx, bins)
	return out, err
}

// TrySort returns what Sort would do, and changes nothing.
func (d *Desk) TrySort(ctx context.Context) (Sorted, error) {
	return ask(d.readingOne, func(st *stash.Stash) (Sorted, error) { return sortingOf(ctx, st) })
}

// sortingOf sorts the pieces that are in none of your bins.
func sortingOf(ctx context.Context, st *stash.Stash) (Sorted, error) {
	out := Sorted{Sorted: []SortedPiece{}, Unsure: []Unsure{}}
	s, err := taught(ctx, st)
	if err != nil {
		return out, err
	}
	if out.Bins = s.Bins(); len(out.Bins) == 0 {
		return out, fault.New("", "you have taught no bin yet", "teach one", ErrNothingTaught)
	}
	out.Vague = s.Vague()
	held, err := st.Holdings(ctx, stash.Filter{})
	if err != nil {
		return out, err
	}
	for _, h := range held {
		f, ok := teach.FeaturesOfHolding(h)
		if h.Bin != "" || !ok {
			continue
		}
		a := s.Sort(f)
		switch {
		case a.Ask:
			out.Unsure = append(out.Unsure, Unsure{ID: h.ID, Likely: likely(a), Reason: a.Reason})
		case a.Bin != "":
			out.Sorted = append(out.Sorted, SortedPiece{h.ID, a.Bin, a.Reason})
		}
	}
	return out, nil
}

// TaughtBin is a bin of yours.
type TaughtBin struct {
	Bin      string `json:"bin"`
	Examples int    `json:"examples"` // that it was learnt from
}

// TaughtBins lists your bins, in the order they were taught.
func (d *Desk) TaughtBins(ctx context.Context) ([]TaughtBin, error) {
	out := []TaughtBin{}
	st, err := d.reading()
	if st == nil || err != nil {
		return out, err
	}
	kept, err := st.Taught(ctx)
	at := map[string]int{}
	for _, k := range kept {
		if k.Bin == "" { // what was said to be in no bin of yours
			continue
		}
		i, ok := at[k.Bin]
		if !ok {
			i = len(out)
			at[k.Bin] = i
			out = append(out, TaughtBin{Bin: k.Bin})
		}
		out[i].Examples++
	}
	return out, err
}

// Unteach forgets what a bin was taught; the pieces in it stay there.
func (d *Desk) Unteach(ctx context.Context, bin string) (stash.Change, error) {
	return ask(d.changingOne, func(st *stash.Stash) (stash.Change, error) { return st.Unteach(ctx, bin) })
}
