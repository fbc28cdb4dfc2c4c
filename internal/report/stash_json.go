package report

import (
	"io"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
	"piecebag/internal/stash/archive"
)

// StashJSON writes s as one line of shelf --json. Lengths are rounded to 0.001
// inch, areas to 0.1 square inch, shares to 0.001. A key with no answer is absent; sized
// are pieces of known size, seen those whose size is not known.
func StashJSON(w io.Writer, s Shelf) error {
	k := s.Stock
	part := func(p shelf.Portion) object {
		return object{{"family?", p.Family}, {"value?", p.Value}, {"count", p.Count}, {"share", round(p.Share, 1000)}, {"area_in2?", round(p.Area, 10)}}
	}
	return encode(w, object{
		{"part?", s.Part}, {"sized", k.Totals.Sized}, {"seen", k.Totals.Seen}, {"weighed_in2?", round(k.Totals.Weighed, 10)},
		{"prints?", k.Totals.Prints}, {"unnamed?", k.Totals.Unnamed}, {"trim_in", round(k.Trim, 1000)},
		{"bins", mapped(k.Boxes, func(b shelf.Box) object {
			_, thin := shortOf(k.Short, b)
			return append(placeJSON(b.Alike, b.Cut), object{
				{"count", b.Count}, {"seen?", b.Seen}, {"weighed_in2?", round(b.AreaIn, 10)}, {"prints", b.Prints}, {"yields?", yieldsJSON(b.Yields)}, {"thin?", thin},
			}...)
		})},
		{"yields", yieldsJSON(k.Yields)},
		{"thin", mapped(k.Short, func(t shelf.Short) object {
			return append(placeJSON(t.Alike, t.Cut), object{
				{"count", t.Count}, {"want", t.Want}, {"missing", t.By()}, {"reason", t.Reason}, {"why", t.Why()}, {"from_strips?", t.FromStrips},
			}...)
		})},
		{"missing", mapped(k.Missing, thinJSON)},
		{"families", mapped(k.Balance.Families, part)},
		{"values", mapped(k.Balance.Values, part)},
		{"since?", s.Since}, {"changes?", changesJSON(s.Changes)},
	})
}

// placeJSON returns a box: your own bin, or a family and a value; and a cut.
func placeJSON(a shelf.Alike, c shelf.Cut) object {
	cut := ""
	if c.Form != "" {
		cut = c.String()
	}
	return object{
		{"bin?", a.Own}, {"family?", a.Family}, {"value?", a.Value}, {"cut?", cut}, {"form?", c.Form},
		{"width_in?", round(c.Width, 1000)}, {"length_in?", round(c.Length, 1000)},
	}
}

func yieldsJSON(yields []shelf.Squares) []object {
	return mapped(yields, func(y shelf.Squares) object { return object{{"size_in", round(y.Size, 1000)}, {"count", y.Count}} })
}

// changesJSON returns how much more (or less, below zero) boxes hold.
func changesJSON(changes []shelf.Count) []object {
	return mapped(changes, func(c shelf.Count) object {
		return append(placeJSON(c.Alike, c.Cut), object{{"count", c.Count}, {"area_in2?", round(c.AreaIn, 10)}}...)
	})
}

// holdingJSON returns an entry of the stash; its photo is the SHA-256, in hex.
func holdingJSON(h cloth.Holding) object {
	mean := ""
	if h.Measured {
		mean = h.Mean.Hex()
	}
	return object{
		{"id?", h.ID}, {"form", h.Form}, {"count", h.Count}, {"bin?", h.Bin}, {"family?", h.Family}, {"value?", h.Value}, {"cut", shelf.CutOf(h).String()},
		{"width_in?", round(h.WidthIn, 1000)}, {"length_in?", round(h.LengthIn, 1000)}, {"area_in2?", round(h.AreaIn2, 10)},
		{"print?", h.Print}, {"basket?", h.Basket}, {"mean?", mean}, {"photo?", h.Photo}, {"piece?", h.Piece}, {"trust", round(h.Trust, 100)},
	}
}

// HoldingsJSON writes entries of the stash one by one, as shelf --pieces --json does;
// files names their photos by hash.
func HoldingsJSON(w io.Writer, all []cloth.Holding, files map[string]string) error {
	return encode(w, object{{"pieces", mapped(all, func(h cloth.Holding) object {
		return append(holdingJSON(h), object{{"file?", files[h.Photo]}}...)
	})}})
}

// AnswerJSON writes an answer as one line: what ChangeJSON and its neighbours give, or
// an object of its own.
func AnswerJSON(w io.Writer, answer any) error { return encode(w, answer) }

// ChangeJSON returns a change of the stash.
func ChangeJSON(c stash.Change) any { return object{{"change", entryJSON(c)}} }

// ChangesMadeJSON returns changes of the stash by the name of what became of them.
func ChangesMadeJSON(name string, all []stash.Change) any {
	return object{{name, mapped(all, entryJSON)}}
}

// entryJSON returns an entry of the stash's history; at is as in RFC 3339.
func entryJSON(c stash.Change) object {
	at := ""
	if !c.At.IsZero() {
		at = c.At.UTC().Format(time.RFC3339)
	}
	return object{{"id", c.ID}, {"at?", at}, {"verb?", c.Verb}, {"what", c.What}, {"difference", changesJSON(c.Difference)}, {"undoable", c.Undoable}}
}

// StowingJSON returns what became of photos; the change is that of photos looked at again,
// where it was made.
func StowingJSON(done desk.Stowing, w Wording) any {
	out := object{
		{"reader", look.Reader()}, // as in look --json
		{"photos", mapped(done.Photos, stowedJSON)}, {"look_first?", firstJSON(done.Doubts(), w)}, {"refused", RefusedOf(done.Refused, w)},
	}
	if done.Change != nil {
		out = append(out, object{{"change", entryJSON(*done.Change)}}...)
	}
	return out
}

// stowedJSON returns what became of one photo: the change is that of one that went in, again
// what looking again changes, or would. Pieces that went into bins of yours are sorted,
// and toss_ups lie between two names as in look --json. A print under may_be got a name of
// its own, and is another with the probability trust.
func stowedJSON(s desk.Stowed) object {
	var change, again object
	switch {
	case s.Again != nil:
		again = rereadJSON(*s.Again)
	case !s.Known:
		change = entryJSON(s.Sum)
	}
	var doubt []object
	for _, p := range s.Found {
		if p.FamilyOr != "" || p.ValueOr != "" {
			doubt = append(doubt, object{{"piece", p.ID}, {"family", p.Family}, {"family_or?", p.FamilyOr}, {"value", p.Value}, {"value_or?", p.ValueOr}})
		}
	}
	return object{
		{"file", s.File}, {"hash", s.Hash}, {"known", s.Known},
		{"kept_again?", s.Kept}, // its file, which was lost
		{"added", s.Added},
		{"camera_data?", s.Left}, // "out" of the copy kept, or "kept" in it
		{"change?", change}, {"again?", again}, {"sorted?", s.Into}, {"ask?", s.Unsure}, {"toss_ups?", doubt},
		{"may_be?", mapped(s.MayBe, func(m stash.MayBe) object {
			return object{{"print", m.Print}, {"may_be", m.Known}, {"trust", round(m.Trust, 100)}, {"pieces", m.Pieces}}
		})},
		{"notes?", s.Notes}, // of the photo, where it was looked at
	}
}

// rereadJSON returns what a photo shows more, fewer and otherwise; those more get their ids
// when they come in.
func rereadJSON(r stash.Reread) object {
	d := desk.Compare(r)
	other := []object{}
	for _, p := range d.Stay {
		if p.Differs() {
			other = append(other, object{{"was", holdingJSON(p.Was)}, {"now", holdingJSON(p.Is)}})
		}
	}
	for i := range d.More {
		d.More[i].ID = 0
	}
	return object{{"more", mapped(d.More, holdingJSON)}, {"fewer", mapped(d.Fewer, holdingJSON)}, {"other", other}}
}

// RefusedOf returns photos that could not be read, as Look has them.
func RefusedOf(errs []*fault.Error, w Wording) []Refused {
	return mapped(errs, func(e *fault.Error) Refused {
		return Refused{File: e.About, Error: e.Why + "; " + w.Remedies.Worded(e).Remedy}
	})
}

// RecountedJSON returns what a recount changed.
func RecountedJSON(done desk.Recounted, w Wording) any {
	return object{
		{"change", entryJSON(done.Change)}, {"look_first?", firstJSON(desk.Doubts(done.Seen), w)},
		{"moved", done.Moved}, {"new_basket", done.NewBasket},
	}
}

// firstJSON returns pieces of which something may well be wrong, the trust of what is doubted
// first, and the ways to mend each.
func firstJSON(all []desk.DoubtedIn, w Wording) []object {
	return mapped(all, func(d desk.DoubtedIn) object {
		return object{{"file", d.File}, {"piece", d.Piece.ID}, {"id", d.ID}, {"doubted", d.Of}, {"trust", round(d.Trust, 100)}, {"fix", w.Fixes(d)}}
	})
}

// SortingJSON returns what a sorting put into your bins, and what it asks about.
func SortingJSON(done desk.Sorted) any {
	return object{{"change", entryJSON(done.Change)}, {"sorted", done.Sorted}, {"unsure", done.Unsure}}
}

// ImportedJSON returns what came in from a file.
func ImportedJSON(got archive.Imported) any {
	out := object{
		{"added", got.Added}, {"known", got.Known}, {"notes", some(got.Notes)}, {"photos", got.Photos},
		{"pieces", got.Pieces}, {"prints", got.Prints}, {"skipped", got.Skipped},
	}
	if !got.Known {
		out = append(out, object{{"change", entryJSON(got.Sum)}}...)
	}
	return out
}

// HealthJSON returns what was found of the stash, and what was mended.
func HealthJSON(h stash.Health, w Wording) any {
	return object{
		{"faults", mapped(h.Faults, func(f *fault.Error) object {
			return object{{"thing", f.About}, {"reason", f.Why}, {"remedy", w.Remedies.Worded(f).Remedy}}
		})},
		{"left_over", some(h.Leftover)}, {"not_kept", some(h.NotKept)}, {"repaired", some(h.Repaired)}, {"with_camera_data", some(h.Telling)},
	}
}

// FloorsJSON returns the floors that are set, each as it is and in words.
func FloorsJSON(all []shelf.Floor) any {
	type jsonFloor struct {
		shelf.Floor
		Of string `json:"of"`
	}
	return object{{"floors", mapped(all, func(f shelf.Floor) jsonFloor { return jsonFloor{f, f.String()} })}}
}

// SettingsJSON returns what the stash counts with.
func SettingsJSON(s stash.Settings) any {
	return object{{"bins", s.Bins.String()}, {"grams_per_square_metre", s.GSM}, {"trim_in", s.TrimIn}}
}
