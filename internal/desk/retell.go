package desk

import (
	"context"
	"math"
	"reflect"
	"slices"
	"strings"

	"piecebag/internal/geom"
	"piecebag/internal/stash"
)

// RetellRequest puts what you say of a photo that the stash has onto its pieces there.
type RetellRequest struct {
	Hash   string // of the photo in the stash
	Looked Looked // the photo, looked at as it is mended
	Mend   Mend
	Before *Mend // what was said when it came in, which is not said again; nil: nothing was
}

// Told is what you said of one piece of a photo, in words.
type Told struct {
	Piece int   // its number in the look; 0: the look shows it no more
	ID    int64 // its number in the stash; 0: the stash counts none there
	Words string
}

// Retold is what became of what you said of a photo.
type Retold struct {
	Change stash.Change // its ID is 0 where nothing had to be changed
	Difference
	Put []Told // what the stash says now
	Not []Told // what it does not: it counts no piece any more that lies there in the photo
}

// Retell makes the stash say of the pieces of a photo that it has what you say of them, as
// one change: as a later look does, so that pieces keep their baskets and bins, and what was
// used stays used. Errors: of kind stash.ErrUnknown where the stash has no such photo.
func (d *Desk) Retell(ctx context.Context, r RetellRequest) (Retold, error) {
	var out Retold
	st, err := d.changingOne()
	if err != nil {
		return out, err
	}
	later := stash.LaterLook{Hash: r.Hash, Sheet: r.Looked.Sheet, Said: r.Mend.since(r.Before)}
	_, found, err := st.Relook(ctx, true, later)
	if err != nil {
		return out, err
	}
	if later.Said != nil || Compare(found[0]).Any() {
		if out.Change, found, err = st.Relook(ctx, false, later); err != nil {
			return out, err
		}
	}
	out.Difference = Compare(found[0])
	var ids []int64
	for _, h := range found[0].After {
		ids = append(ids, h.ID)
	}
	held, err := st.Shown(ctx, ids, nil)
	if err != nil {
		return out, err
	}
	for _, s := range later.Said {
		told := Told{Words: strings.Join(correctionWords(s.Correction), ", ")}
		if i := likest(r.Looked.Sheet.Pieces, outlineOf, s.Outline); i >= 0 {
			told.Piece = r.Looked.Sheet.Pieces[i].ID
		}
		i := likest(held, func(h stash.Shown) geom.Polygon { return h.Outline }, s.Outline)
		if i >= 0 {
			told.ID = held[i].ID
		}
		if so := i < 0 && s.NotAPiece || i >= 0 && isSo(s.Correction, held[i]); so {
			out.Put = append(out.Put, told)
		} else {
			out.Not = append(out.Not, told)
		}
	}
	return out, nil
}

// since returns what this mend says to be kept with a photo and an earlier one did not.
func (m Mend) since(before *Mend) (out []stash.Said) {
	var was []stash.Said
	if before != nil {
		was = before.Stow()
	}
	for _, s := range m.Stow() {
		if !slices.ContainsFunc(was, func(o stash.Said) bool { return reflect.DeepEqual(s, o) }) {
			out = append(out, s)
		}
	}
	return out
}

// isSo reports whether a piece of the stash is already what a correction of family, value,
// width, print or outline says.
func isSo(c stash.Correction, h stash.Shown) bool {
	return !c.NotAPiece &&
		(c.Family == "" || c.Family == h.Family) && (c.Value == "" || c.Value == h.Value) &&
		(c.WidthIn == 0 || math.Abs(c.WidthIn-h.WidthIn) < 1./16) &&
		(c.Print == nil || stash.CleanName(*c.Print) == h.Print)
}

// Knows returns the hash under which the stash has a photo, found by the hash of the
// photo's bytes or of what is kept of them; empty where it has none.
func (d *Desk) Knows(ctx context.Context, hash string) (string, error) {
	return ask(d.reading, func(st *stash.Stash) (string, error) { return st.Known(ctx, hash) })
}
