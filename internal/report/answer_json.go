package report

import (
	"io"
	"slices"
	"strings"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
	"piecebag/internal/stash/archive"
)

// AnswerJSON writes an answer as one line: what ChangeJSON and its neighbours give, or
// an object of its own.
func AnswerJSON(w io.Writer, answer any) error { return encode(w, answer) }

// The structs below are the contract of the verbs that change the stash. A key with no
// answer is absent.
type (
	// jsonEntry is an entry of the stash's history.
	jsonEntry struct {
		ID         int64        `json:"id"`
		At         string       `json:"at,omitempty"` // RFC 3339
		Verb       string       `json:"verb,omitempty"`
		What       string       `json:"what"`
		Difference []JSONChange `json:"difference"`
		Undoable   bool         `json:"undoable"`
	}
	// jsonFirst is a piece of which something may well be wrong, and what mends it.
	jsonFirst struct {
		File    string       `json:"file"`
		Piece   int          `json:"piece"`
		ID      int64        `json:"id"`
		Doubted []desk.Doubt `json:"doubted"`
		Trust   float64      `json:"trust"` // of the first of Doubted
		Fix     []string     `json:"fix"`   // flags of 'piecebag fix ID', one or the other
	}
	jsonStowing struct {
		Reader string       `json:"reader"` // as in look --json
		Photos []jsonStowed `json:"photos"`
		// LookFirst are the pieces that went in of which something may well be wrong.
		LookFirst []jsonFirst `json:"look_first,omitempty"`
		Refused   []Refused   `json:"refused"`
		Change    *jsonEntry  `json:"change,omitempty"` // of photos looked at again, where it was made
	}
	jsonStowed struct {
		File   string        `json:"file"`
		Hash   string        `json:"hash"`
		Known  bool          `json:"known"`
		Kept   bool          `json:"kept_again,omitempty"` // its file, which was lost
		Added  int           `json:"added"`
		Camera stash.Left    `json:"camera_data,omitempty"` // "out" of the copy kept, or "kept" in it
		Change *jsonEntry    `json:"change,omitempty"`      // of one that went in
		Again  *jsonReread   `json:"again,omitempty"`       // what looking again changes, or would
		Sorted []desk.Placed `json:"sorted,omitempty"`      // into bins of yours
		Ask    []desk.Unsure `json:"ask,omitempty"`
		Doubt  []jsonTossUp  `json:"toss_ups,omitempty"`
		MayBe  []jsonMayBe   `json:"may_be,omitempty"`
		Notes  []string      `json:"notes,omitempty"` // of the photo, where it was looked at
	}
	// jsonTossUp is a piece that lies between two names, as look --json has it.
	jsonTossUp struct {
		Piece    int          `json:"piece"`
		Family   cloth.Family `json:"family"`
		FamilyOr cloth.Family `json:"family_or,omitempty"`
		Value    cloth.Value  `json:"value"`
		ValueOr  cloth.Value  `json:"value_or,omitempty"`
	}
	// jsonMayBe is a print that got a name of its own, but that may be another.
	jsonMayBe struct {
		Print  string  `json:"print"`
		MayBe  string  `json:"may_be"`
		Trust  float64 `json:"trust"` // probability that it is
		Pieces []int   `json:"pieces"`
	}
	jsonReread struct {
		More  []JSONHolding `json:"more"` // without ids, which they get when they come in
		Fewer []JSONHolding `json:"fewer"`
		Other []jsonPair    `json:"other"`
	}
	jsonPair struct {
		Was JSONHolding `json:"was"`
		Now JSONHolding `json:"now"`
	}
)

// ChangeJSON is a change of the stash.
func ChangeJSON(c stash.Change) any { return map[string]any{"change": entryJSON(c)} }

// ChangesMadeJSON is changes of the stash by the name of what became of them.
func ChangesMadeJSON(name string, all []stash.Change) any {
	return map[string]any{name: mapped(all, entryJSON)}
}

func entryJSON(c stash.Change) jsonEntry {
	out := jsonEntry{ID: c.ID, Verb: c.Verb, What: c.What, Difference: ChangesJSON(c.Difference), Undoable: c.Undoable}
	if !c.At.IsZero() {
		out.At = c.At.UTC().Format(time.RFC3339)
	}
	return out
}

// StowingJSON is what became of photos.
func StowingJSON(done desk.Stowing) any {
	out := jsonStowing{
		Reader: look.Reader(), Photos: mapped(done.Photos, stowedJSON), LookFirst: firstJSON(done.Doubts()),
		Refused: RefusedOf(done.Refused),
	}
	if done.Change != nil {
		c := entryJSON(*done.Change)
		out.Change = &c
	}
	return out
}

func stowedJSON(s desk.Stowed) jsonStowed {
	out := jsonStowed{File: s.File, Hash: s.Hash, Known: s.Known, Kept: s.Kept, Added: s.Added, Camera: s.Left, Sorted: s.Into, Ask: s.Unsure, Notes: s.Notes}
	for _, p := range s.Found {
		if p.FamilyOr != "" || p.ValueOr != "" {
			out.Doubt = append(out.Doubt, jsonTossUp{p.ID, p.Family, p.FamilyOr, p.Value, p.ValueOr})
		}
	}
	for _, m := range s.MayBe {
		out.MayBe = append(out.MayBe, jsonMayBe{m.Print, m.Known, round(m.Trust, 100), m.Pieces})
	}
	switch {
	case s.Again != nil:
		out.Again = rereadJSON(*s.Again)
	case !s.Known:
		c := entryJSON(s.Sum)
		out.Change = &c
	}
	return out
}

func rereadJSON(r stash.Reread) *jsonReread {
	d := desk.Compare(r)
	out := &jsonReread{Fewer: mapped(d.Fewer, HoldingJSON), Other: []jsonPair{}}
	out.More = mapped(d.More, func(h cloth.Holding) JSONHolding {
		h.ID = 0
		return HoldingJSON(h)
	})
	for _, p := range d.Stay {
		if p.Differs() {
			out.Other = append(out.Other, jsonPair{HoldingJSON(p.Was), HoldingJSON(p.Is)})
		}
	}
	return out
}

// RefusedOf are photos that could not be read, as Look has them.
func RefusedOf(errs []*fault.Error) []Refused {
	return mapped(errs, func(e *fault.Error) Refused { return Refused{File: e.About, Error: e.Why + "; " + e.Remedy} })
}

// RecountedJSON is what a recount changed.
func RecountedJSON(done desk.Recounted) any {
	out := map[string]any{"change": entryJSON(done.Change), "new_basket": done.NewBasket, "moved": done.Moved}
	if first := firstJSON(desk.Doubts(done.Seen)); first != nil {
		out["look_first"] = first
	}
	return out
}

func firstJSON(all []desk.DoubtedIn) (out []jsonFirst) {
	for _, d := range all {
		out = append(out, jsonFirst{d.File, d.Piece.ID, d.ID, d.Of, round(d.Trust, 100), Fixes(d)})
	}
	return out
}

// Fixes are the flags of 'piecebag fix' that mend what is wrong of a piece, one or the
// other: its names together, or the piece.
func Fixes(d desk.DoubtedIn) (flags []string) {
	var names []string
	for _, of := range d.Of {
		switch of {
		case desk.FamilyDoubt:
			names = append(names, "--family "+string(d.Piece.FamilyOr))
		case desk.ValueDoubt:
			names = append(names, "--value "+string(d.Piece.ValueOr))
		case desk.SizeDoubt:
			names = append(names, "--cut WIDTH --length LENGTH")
		case desk.OutlineDoubt:
			flags = []string{"--not-a-piece", "--outline X,Y,X,Y,X,Y"}
		}
	}
	if names != nil {
		flags = slices.Insert(flags, 0, strings.Join(names, " "))
	}
	return flags
}

// SortingJSON is what a sorting put into your bins, and what it asks about.
func SortingJSON(done desk.Sorting) any {
	return map[string]any{"change": entryJSON(done.Change), "sorted": done.Sorted, "unsure": done.Unsure}
}

// ImportedJSON is what came in from a file.
func ImportedJSON(got archive.Imported) any {
	out := map[string]any{
		"known": got.Known, "added": got.Added, "skipped": got.Skipped,
		"pieces": got.Pieces, "photos": got.Photos, "prints": got.Prints, "notes": some(got.Notes),
	}
	if !got.Known {
		out["change"] = entryJSON(got.Sum)
	}
	return out
}

// some is a list that is there, though it may be empty.
func some(list []string) []string { return append([]string{}, list...) }

// HealthJSON is what was found of the stash, and what was mended.
func HealthJSON(h stash.Health) any {
	type jsonFault struct {
		Thing  string `json:"thing"`
		Reason string `json:"reason"`
		Remedy string `json:"remedy"`
	}
	return map[string]any{
		"faults":   mapped(h.Faults, func(f stash.Fault) jsonFault { return jsonFault{f.Thing, f.Reason, f.Remedy} }),
		"repaired": some(h.Repaired), "not_kept": some(h.NotKept), "with_camera_data": some(h.Telling), "left_over": some(h.Leftover),
	}
}

// FloorsJSON is the floors that are set.
func FloorsJSON(all []shelf.Floor) any {
	type jsonFloor struct {
		shelf.Floor
		Of string `json:"of"` // in words
	}
	return map[string]any{"floors": mapped(all, func(f shelf.Floor) jsonFloor { return jsonFloor{f, f.String()} })}
}

// SettingsJSON is what the stash counts with.
func SettingsJSON(s stash.Settings) any {
	return map[string]any{"trim_in": s.TrimIn, "grams_per_square_metre": s.GSM, "bins": s.Bins.String()}
}
