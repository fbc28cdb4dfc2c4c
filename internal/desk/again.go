package desk

import (
	"context"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// known is a photo of the stash that is to be looked at again.
type known struct {
	Stowed
	path string
}

// lookAgain notes a photo to be looked at again, once.
func (w *stower) lookAgain(one Stowed, path string) {
	if !slices.ContainsFunc(w.known, func(k known) bool { return k.Hash == one.Hash }) {
		w.known = append(w.known, known{one, path})
	}
}

// reread looks at photos again and tells of each what would change. It changes the
// stash where you say so.
func (w *stower) reread(ctx context.Context) error {
	paths := make([]string, len(w.known))
	for i, k := range w.known {
		paths[i] = k.path
	}
	results, err := w.Desk.Look(ctx, paths, w.StowRequest.Look)
	if err != nil {
		return err
	}
	var seen []known
	var readings []stash.LaterLook
	for i, r := range results {
		if r.Err != nil {
			w.refuse(r.Err)
			continue
		}
		k := w.known[i]
		k.Notes = r.Sheet.Notes
		seen, readings = append(seen, k), append(readings, stash.LaterLook{Hash: k.Hash, Sheet: r.Sheet})
	}
	_, found, err := w.st.Relook(ctx, true, readings...)
	if err != nil {
		return err
	}
	for i, k := range seen {
		k.Again = &found[i]
		if err := w.done(k.Stowed); err != nil {
			return err
		}
	}
	if yes, err := w.agreed(ctx, found); !yes || err != nil {
		return err
	}
	c, _, err := w.st.Relook(ctx, false, readings...)
	if err == nil {
		w.out.Change = &c
	}
	return err
}

// knowAll notes all photos that the stash keeps.
func (w *stower) knowAll(ctx context.Context) error {
	if w.st == nil {
		return w.noStash()
	}
	all, err := w.st.Photos(ctx)
	if err != nil {
		return err
	}
	for _, p := range all {
		if p.Path == "" {
			w.door.Note(NotKept{p.Name})
			continue
		}
		w.lookAgain(Stowed{Seen: Seen{File: p.Name}, Stowed: stash.Stowed{Hash: p.Hash, Known: true}}, p.Path)
	}
	return nil
}

// agreed reports whether the stash is to be changed as found: by Yes, or by your
// answer.
func (w *stower) agreed(ctx context.Context, found []stash.Reread) (bool, error) {
	if w.Yes {
		return len(found) > 0, nil
	}
	if !slices.ContainsFunc(found, func(r stash.Reread) bool { return Compare(r).Any() }) {
		return false, nil
	}
	yes, _, err := w.door.Ask(ctx, Relook{})
	return yes, err
}

// Pair is a piece as it was counted, and as it is.
type Pair struct{ Was, Is cloth.Holding }

// Difference is what a later look at a photo finds different about its pieces.
type Difference struct {
	More, Fewer []cloth.Holding // that come in, and that leave
	Stay        []Pair
}

// Compare divides the pieces of a photo into those that come in, those that leave, and
// those that stay.
func Compare(r stash.Reread) Difference {
	var d Difference
	after := map[int64]cloth.Holding{}
	for _, h := range r.After {
		after[h.ID] = h
	}
	for _, h := range r.Before {
		if is, ok := after[h.ID]; ok {
			d.Stay = append(d.Stay, Pair{h, is})
			delete(after, h.ID)
		} else {
			d.Fewer = append(d.Fewer, h)
		}
	}
	for _, h := range r.After {
		if _, ok := after[h.ID]; ok {
			d.More = append(d.More, h)
		}
	}
	return d
}

// Aspects are the properties of a piece that a later look may find different: the name of
// each, and its value in words.
var Aspects = []struct {
	Name string
	Of   func(h cloth.Holding) string
}{
	{"family", func(h cloth.Holding) string { return string(h.Family) }},
	{"value", func(h cloth.Holding) string { return string(h.Value) }},
	{"size", func(h cloth.Holding) string {
		if h.WidthIn <= 0 || h.LengthIn <= 0 {
			return string(h.Form)
		}
		return shelf.Size(h.WidthIn, h.LengthIn) + " " + string(h.Form)
	}},
	{"print", func(h cloth.Holding) string { return h.Print }},
}

// Differs reports whether any aspect of a piece has changed.
func (p Pair) Differs() bool {
	for _, a := range Aspects {
		if a.Of(p.Was) != a.Of(p.Is) {
			return true
		}
	}
	return false
}

// Any reports whether there is a difference that you would see.
func (d Difference) Any() bool {
	return len(d.More)+len(d.Fewer) > 0 || slices.ContainsFunc(d.Stay, Pair.Differs)
}
