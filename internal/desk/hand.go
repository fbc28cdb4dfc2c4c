package desk

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
)

// AddRequest puts into the stash what no photo shows.
type AddRequest struct {
	// Holding is the pieces: of it the form, the count, the sides in inches, the names
	// and the colour count, each empty or 0 where it is not said.
	Holding cloth.Holding
	Grams   float64 // of cloth by weight, of the holding's colour and place; 0: pieces
	New     bool    // names are meant as written, though they are nearly known ones
}

// pieces returns the pieces of the request as the stash keeps them, the longer side last.
// Where no form is said, it follows from the sides, and pieces without a length are
// squares; where no count is, they are one. Errors: of kind fault.ErrUsage, among them ErrNothingToAdd and
// ErrNoWeight.
func (r AddRequest) pieces() (cloth.Holding, error) {
	h := r.Holding
	h.Trust = 1
	size := func() string { return string(h.Form) + " " + shelf.Length(h.WidthIn) }
	switch {
	case h.Form == cloth.Weighed:
		return h, fault.New("", "weighed cloth is added by its weight", "say what it weighs", ErrNoWeight, fault.ErrUsage)
	case h.Form == "" && h.LengthIn > 0 && h.WidthIn > 0:
		h.Form = stash.FormOfSize(min(h.WidthIn, h.LengthIn), max(h.WidthIn, h.LengthIn), cloth.Rectangle)
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
	most := mostAdded
	if in2 := h.WidthIn * h.LengthIn; in2 > 0 {
		most = min(most, max(1, int(mostAddedIn2/in2)))
	}
	if h.Count > most {
		return h, fault.Usage("", fmt.Sprintf("%d pieces at once are more than anybody keeps", h.Count), fmt.Sprintf("see whether the number is right; if it is, add %d at a time", most))
	}
	if h.LengthIn > 0 && h.LengthIn < h.WidthIn {
		h.WidthIn, h.LengthIn = h.LengthIn, h.WidthIn
	}
	return h, nil
}

// mostAdded is how many pieces alike are added at once, and mostAddedIn2 how much cloth, lest a
// slip of the finger fills the shelf: a thousand fat quarters of 150 g/m² weigh 37 kg.
const mostAdded, mostAddedIn2 = 10_000, 1000 * 18 * 21

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

// Use takes pieces out of the stash, the oldest first, or cloth by its weight; where it
// holds less nothing is taken. Errors: an UnknownName as a cause, stash.ErrShort.
func (d *Desk) Use(ctx context.Context, take stash.Removal) (stash.Change, error) {
	return ask(d.changingOne, func(st *stash.Stash) (stash.Change, error) {
		u, err := unknown(ctx, st, take.Filter)
		if err == nil {
			err = lacking(ctx, st, take.Filter)
		}
		switch {
		case err != nil:
			return stash.Change{}, err
		case u != nil:
			return stash.Change{}, u.Fault()
		}
		return st.Use(ctx, take)
	})
}

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

// SetRequest changes what the stash counts with.
type SetRequest struct {
	TrimIn      *float64       // squared off the end of a strip, inches; nil: as it is
	YardGrams   float64        // what a yard of your cloth weighs; 0: as it is
	YardWidthIn float64        // how wide that yard is, inches; 0: cutting.DefaultWidth
	Bins        *shelf.Sorting // by what the shelf is sorted; nil: as it is
}

// Set changes what the stash counts with. Error: ErrYardWeight.
func (d *Desk) Set(ctx context.Context, r SetRequest) (stash.Change, error) {
	if r.YardWidthIn > 0 && r.YardGrams == 0 {
		return stash.Change{}, fault.Usage("", "the width is that of a yard you weighed, and its weight is missing", "say what that yard weighs", ErrYardWeight)
	}
	return ask(d.changing, func(st *stash.Stash) (stash.Change, error) {
		want, err := st.Settings(ctx)
		if err != nil {
			return stash.Change{}, err
		}
		if r.TrimIn != nil {
			want.TrimIn = *r.TrimIn
		}
		if r.YardGrams > 0 {
			want.GSM = stash.GSMOfYard(r.YardGrams, cmp.Or(r.YardWidthIn, cutting.DefaultWidth))
			if want.GSM < leastGSM || want.GSM > mostGSM {
				return stash.Change{}, fault.Usage("", fmt.Sprintf("cloth of %.0f g a square metre is too light or too heavy to sew with", want.GSM), "weigh one yard of one thickness, and say how wide it is", ErrYardWeight)
			}
		}
		if r.Bins != nil {
			want.Bins = *r.Bins
		}
		return st.SetSettings(ctx, want)
	})
}

// Settings returns what the stash counts with.
func (d *Desk) Settings(ctx context.Context) (stash.Settings, error) {
	return ask(d.readingOne, func(st *stash.Stash) (stash.Settings, error) { return st.Settings(ctx) })
}

// What cloth that is sewn weighs, grams a square metre: from gauze to canvas
// (common practice, no source).
const leastGSM, mostGSM = 30, 800

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
	return ask(d.changing, func(st *stash.Stash) (stash.Change, error) {
		all, err := st.Floors(ctx)
		f.Least = 0
		switch {
		case err != nil:
			return stash.Change{}, err
		case slices.ContainsFunc(all, func(x shelf.Floor) bool { return x.Alike == f.Alike && x.Cut == f.Cut }):
			return st.SetFloor(ctx, f)
		}
		return stash.Change{}, fault.New(f.String(), "it has no floor of its own", "name one that is set", ErrNoFloor)
	})
}

// Floors lists the floors; none where there is no stash yet.
func (d *Desk) Floors(ctx context.Context) ([]shelf.Floor, error) {
	return ask(d.reading, func(st *stash.Stash) ([]shelf.Floor, error) { return st.Floors(ctx) })
}
