package main

import (
	"context"
	"encoding/json"
	"fmt"

	"piecebag/internal/cloth"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
)

// sorter sorts pieces into her own bins, as far as she taught them.
type sorter struct{ *teach.Sorter }

// taught learns from all that the stash was taught.
func taught(ctx context.Context, st *stash.Stash) (sorter, error) {
	kept, err := st.Taught(ctx)
	if err != nil {
		return sorter{}, err
	}
	examples := make([]teach.Example, len(kept))
	for i, k := range kept {
		examples[i].Bin = k.Bin
		if err := json.Unmarshal(k.JSON, &examples[i].Features); err != nil {
			return sorter{}, &remedyError{fmt.Sprintf("%s: an example of this bin cannot be read", k.Bin), fmt.Sprintf("forget the bin by 'piecebag teach forget %q' and teach it again", k.Bin), err}
		}
	}
	return sorter{teach.Learn(examples)}, nil
}

// unsurePiece is a piece of a photo that may belong in one of two bins.
type unsurePiece struct {
	piece  int
	likely []string
}

// sort names the bin of each piece, "" for none, and lists the unsure ones,
// which are in none until she says.
func (s sorter) sort(pieces []cloth.Piece) (bins []string, unsure []unsurePiece) {
	bins = make([]string, len(pieces))
	for i, p := range pieces {
		a := s.Sort(teach.FeaturesOf(p))
		bins[i] = a.Bin
		if a.Ask {
			unsure = append(unsure, unsurePiece{p.ID, likely(a)})
		}
	}
	return bins, unsure
}

func likely(a teach.Answer) []string {
	out := make([]string, len(a.Others))
	for i, o := range a.Others {
		out[i] = o.Bin
	}
	return out
}

// asksOf finds the numbers by which the stash knows the unsure pieces.
func asksOf(ctx context.Context, st *stash.Stash, hash string, unsure []unsurePiece) ([]ask, error) {
	if len(unsure) == 0 {
		return nil, nil
	}
	held, err := st.Holdings(ctx, stash.Filter{Photo: hash})
	if err != nil {
		return nil, err
	}
	var out []ask
	for _, u := range unsure {
		for _, h := range held {
			if h.Piece == u.piece {
				out = append(out, ask{h.ID, u.piece, u.likely})
			}
		}
	}
	return out, nil
}

// exampleOf is an example as the stash keeps it.
func exampleOf(f teach.Features) ([]byte, error) { return json.Marshal(f) }
