package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// known is a photo of the stash that is to be looked at again.
type known struct {
	stowed
	path string
}

// lookAgain notes a photo to be looked at again, once.
func (w *stower) lookAgain(one stowed, path string) {
	if !slices.ContainsFunc(w.known, func(k known) bool { return k.Hash == one.Hash }) {
		w.known = append(w.known, known{one, path})
	}
}

// reread looks at photos again and tells of each what would change. It changes the
// stash where you say so.
func (w *stower) reread(ctx context.Context, o look.Options) (refused []*fault.Error, err error) {
	if w.whole {
		if err := w.knowAll(ctx); err != nil {
			return nil, err
		}
	}
	paths := make([]string, len(w.known))
	for i, k := range w.known {
		paths[i] = k.path
	}
	results, err := w.l.s.lookAll(ctx, paths, o)
	if err != nil {
		return nil, err
	}
	var seen []known
	var readings []stash.Reading
	for i, r := range results {
		if r.err != nil {
			refused = append(refused, r.err)
			continue
		}
		k := w.known[i]
		k.notes = r.sheet.Notes
		seen, readings = append(seen, k), append(readings, stash.Reading{Hash: k.Hash, Sheet: r.sheet})
	}
	found, err := w.st.TryRelook(ctx, readings...)
	if err != nil {
		return refused, err
	}
	for i, k := range seen {
		k.again = &found[i]
		if err := w.done(k.stowed); err != nil {
			return refused, err
		}
	}
	if yes, err := w.agreed(ctx, found); !yes || err != nil {
		return refused, err
	}
	c, _, err := w.st.Relook(ctx, readings...)
	if err == nil {
		w.change = &c
	}
	return refused, err
}

// knowAll notes all photos that the stash keeps.
func (w *stower) knowAll(ctx context.Context) error {
	if w.st == nil {
		return w.l.noStash()
	}
	all, err := w.st.Photos(ctx)
	if err != nil {
		return err
	}
	for _, p := range all {
		if p.Path == "" {
			w.l.s.note(plain(p.Name) + ": the stash does not keep this photo, so it was not looked at again; name its file to have it looked at")
			continue
		}
		w.lookAgain(stowed{file: p.Name, Stowed: stash.Stowed{Hash: p.Hash, Known: true}}, p.Path)
	}
	return nil
}

// agreed says whether the stash is to be changed as found: by --yes, or by your
// answer on a terminal.
func (w *stower) agreed(ctx context.Context, found []stash.Reread) (bool, error) {
	if w.yes {
		return len(found) > 0, nil
	}
	if !slices.ContainsFunc(found, changes) {
		return false, nil
	}
	yes, asked, err := w.l.s.ask(ctx, "Change the stash so?")
	if !asked && err == nil {
		w.l.s.note("nothing was changed; to change the stash so, write the same with --yes")
	}
	return yes, err
}

// pair is a piece as it was counted, and as it is.
type pair struct{ was, is cloth.Holding }

// compare parts the pieces of a photo into those that come in, those that leave,
// and those that stay.
func compare(r stash.Reread) (more, fewer []cloth.Holding, stay []pair) {
	after := map[int64]cloth.Holding{}
	for _, h := range r.After {
		after[h.ID] = h
	}
	for _, h := range r.Before {
		if is, ok := after[h.ID]; ok {
			stay = append(stay, pair{h, is})
			delete(after, h.ID)
		} else {
			fewer = append(fewer, h)
		}
	}
	for _, h := range r.After {
		if _, ok := after[h.ID]; ok {
			more = append(more, h)
		}
	}
	return more, fewer, stay
}

// aspects are what a later look may say otherwise of a piece.
var aspects = []struct {
	name string
	of   func(h cloth.Holding) string
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

func (p pair) differ() bool {
	for _, a := range aspects {
		if a.of(p.was) != a.of(p.is) {
			return true
		}
	}
	return false
}

// changes says whether a later look changes what you would see of a photo's pieces.
func changes(r stash.Reread) bool {
	more, fewer, stay := compare(r)
	return len(more)+len(fewer) > 0 || slices.ContainsFunc(stay, pair.differ)
}

// rereadText says what a later look changes, a line for each thing.
func rereadText(r stash.Reread) string {
	more, fewer, stay := compare(r)
	var lines []string
	line := func(head string, parts []string) {
		if len(parts) > 0 {
			lines = append(lines, "  "+head+": "+fewOf(parts))
		}
	}
	words := func(h cloth.Holding) string {
		return plain(shelf.AlikeOf(h).String()) + " " + shelf.CutOf(h).String()
	}
	var parts []string
	for _, h := range more {
		parts = append(parts, words(h))
	}
	line(cloth.Count(len(more), "piece")+" more", parts)
	parts = nil
	for _, h := range fewer {
		parts = append(parts, fmt.Sprintf("piece %d, %s", h.ID, words(h)))
	}
	line(cloth.Count(len(fewer), "piece")+" fewer", parts)
	for _, a := range aspects {
		parts = nil
		for _, p := range stay {
			if was, is := a.of(p.was), a.of(p.is); was != is {
				parts = append(parts, fmt.Sprintf("piece %d is %s, was %s", p.is.ID, orNone(is), orNone(was)))
			}
		}
		line("other "+a.name, parts)
	}
	if lines == nil {
		return "nothing would change"
	}
	return "would change\n" + strings.Join(lines, "\n")
}

func orNone(s string) string {
	if s == "" {
		return "not known"
	}
	return plain(s)
}

// fewOf lists the first of many.
func fewOf(parts []string) string {
	const most = 4
	if n := len(parts); n > most+1 {
		return strings.Join(parts[:most], "; ") + fmt.Sprintf("; and %d more", n-most)
	}
	return strings.Join(parts, "; ")
}

type (
	jsonReread struct {
		More  []report.JSONHolding `json:"more"` // without ids, which they get when they come in
		Fewer []report.JSONHolding `json:"fewer"`
		Other []jsonPair           `json:"other"`
	}
	jsonPair struct {
		Was report.JSONHolding `json:"was"`
		Now report.JSONHolding `json:"now"`
	}
)

func rereadJSON(r stash.Reread) *jsonReread {
	more, fewer, stay := compare(r)
	out := &jsonReread{[]report.JSONHolding{}, []report.JSONHolding{}, []jsonPair{}}
	for _, h := range more {
		h.ID = 0
		out.More = append(out.More, report.HoldingJSON(h))
	}
	for _, h := range fewer {
		out.Fewer = append(out.Fewer, report.HoldingJSON(h))
	}
	for _, p := range stay {
		if p.differ() {
			out.Other = append(out.Other, jsonPair{report.HoldingJSON(p.was), report.HoldingJSON(p.is)})
		}
	}
	return out
}
