package desk

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// Doubt is what may be wrong of a piece.
type Doubt string

// What may be wrong.
const (
	OutlineDoubt Doubt = "outline"
	FamilyDoubt  Doubt = "family"
	ValueDoubt   Doubt = "value"
	SizeDoubt    Doubt = "size"
)

// Doubtful is the trust, 0..1, below which an outline or a size asks for a look by eye.
const Doubtful = 0.7

// Doubted is a piece of which something may well be wrong.
type Doubted struct {
	shelf.Item
	Of    []Doubt // the likeliest wrong first
	Trust float64 // of that one, 0..1
}

// DoubtedOf lists the pieces of some sheets of which something may well be wrong, the
// likeliest wrong first: an outline or a size below a trust of Doubtful, and a name
// beside which another is nearly as likely.
func DoubtedOf(sheets []cloth.Sheet) []Doubted {
	var out []Doubted
	for i, s := range sheets {
		for _, p := range s.Pieces {
			if d := doubtedOf(p); d.Of != nil {
				d.Photo = i
				out = append(out, d)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Doubted) int { return cmp.Compare(a.Trust, b.Trust) })
	return out
}

// DoubtedAlike gathers doubted pieces for which one answer does: those of one photo and print
// of which the same is doubted, and that only of their colour. Each group stands where its
// first did.
func DoubtedAlike(all []Doubted) [][]Doubted {
	type alike struct {
		photo            int
		print, of        string
		family, familyOr cloth.Family
		value, valueOr   cloth.Value
	}
	at := map[alike]int{}
	var out [][]Doubted
	for _, d := range all {
		p := d.Piece
		ofColour := !slices.ContainsFunc(d.Of, func(o Doubt) bool { return o != FamilyDoubt && o != ValueDoubt })
		k := alike{d.Photo, p.Print, fmt.Sprint(d.Of), p.Family, p.FamilyOr, p.Value, p.ValueOr}
		if i, ok := at[k]; ok && ofColour && p.Print != "" {
			out[i] = append(out[i], d)
			continue
		}
		at[k] = len(out)
		out = append(out, []Doubted{d})
	}
	return out
}

func doubtedOf(p cloth.Piece) Doubted {
	d := Doubted{Item: shelf.Item{Piece: p}}
	type part struct {
		of    Doubt
		in    bool
		trust float64
	}
	parts := []part{
		{OutlineDoubt, p.Trust > 0 && p.Trust < Doubtful, p.Trust},
		{FamilyDoubt, FamilyInDoubt(p), p.FamilyTrust},
		{ValueDoubt, p.ValueOr != "", p.ValueTrust},
		{SizeDoubt, p.SizeTrust > 0 && p.SizeTrust < Doubtful, p.SizeTrust},
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(a.trust, b.trust) })
	for _, a := range parts {
		if a.in {
			d.Of = append(d.Of, a.of)
			d.Trust = cmp.Or(d.Trust, a.trust)
		}
	}
	return d
}

// DoubtOf returns what may be wrong about a piece of the stash, which keeps only the trust
// in its outline; ok is false where nothing may be.
func DoubtOf(h cloth.Holding) (d Doubted, ok bool) {
	d = doubtedOf(cloth.Piece{Trust: h.Trust})
	return d, d.Of != nil
}

// FamilyInDoubt reports whether another family may be the right one. The second colour of a
// print, which is told anyway, does not count.
func FamilyInDoubt(p cloth.Piece) bool { return p.FamilyOr != "" && p.FamilyOr != p.With }

// Seen is what was found in a photo, and the numbers that the stash gave its pieces.
type Seen struct {
	File  string
	Found []cloth.Piece
	IDs   map[int]int64 // by the number in the photo; nil where they did not go in
	Notes []string      // of the look at it
}

// DoubtedIn is a piece that went in, or that was learnt from, of which something may
// well be wrong.
type DoubtedIn struct {
	Doubted
	File string
	ID   int64 // by which the stash knows it; 0 where it does not
}

// Doubts lists what may be wrong of photos' pieces, the likeliest wrong first.
func Doubts(photos []Seen) []DoubtedIn {
	sheets := make([]cloth.Sheet, len(photos))
	for i, p := range photos {
		sheets[i].Pieces = p.Found
	}
	var out []DoubtedIn
	for _, d := range DoubtedOf(sheets) {
		p := photos[d.Photo]
		out = append(out, DoubtedIn{d, p.File, p.IDs[d.Piece.ID]})
	}
	return out
}

// idsOf returns the numbers in the stash of a photo's pieces, by their numbers in the
// photo.
func idsOf(ctx context.Context, st *stash.Stash, hash string) (map[int]int64, error) {
	held, err := st.Holdings(ctx, stash.Filter{Photo: hash})
	ids := make(map[int]int64, len(held))
	for _, h := range held {
		ids[h.Piece] = h.ID
	}
	return ids, err
}
