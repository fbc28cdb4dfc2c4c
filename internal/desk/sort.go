package desk

import (
	"context"
	"encoding/json"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
)

// taught learns from all that the stash was taught.
func taught(ctx context.Context, st *stash.Stash) (*teach.Sorter, error) {
	kept, err := st.Taught(ctx)
	if err != nil {
		return nil, err
	}
	examples := make([]teach.Example, len(kept))
	for i, k := range kept {
		examples[i].Bin = k.Bin
		if err := json.Unmarshal(k.What, &examples[i].Features); err != nil {
			return nil, fault.New(k.Bin, "an example of this bin cannot be read", "forget the bin and teach it again", ErrExampleUnread, err)
		}
	}
	return teach.Learn(examples), nil
}

// exampleOf returns an example in the form that the stash keeps.
func exampleOf(f teach.Features) ([]byte, error) { return json.Marshal(f) }

// Placed is a piece that was put in a bin of yours, and why.
type Placed struct {
	ID     int64  `json:"id"`    // by which the stash knows it
	Piece  int    `json:"piece"` // its number in the photo
	Bin    string `json:"bin"`
	Reason string `json:"reason"`
}

// Unsure is a piece of which the sorter is not sure: it lies in none of your bins
// until you say.
type Unsure struct {
	ID     int64    `json:"id"`              // by which the stash knows it
	Piece  int      `json:"piece,omitempty"` // its number in the photo; 0 where it comes from the stash
	Likely []string `json:"likely"`          // the likelier first; the second "" for none of your bins
	Reason string   `json:"reason"`
}

// sorted is how the pieces of a photo go into your bins; into and asks are without
// their ID, which the stash gives.
type sorted struct {
	bins []string // one a piece, "" for none
	into []Placed
	asks []Unsure
}

func sortPieces(s *teach.Sorter, pieces []cloth.Piece) sorted {
	out := sorted{bins: make([]string, len(pieces))}
	for i, p := range pieces {
		a := s.Sort(teach.FeaturesOf(p))
		out.bins[i] = a.Bin
		switch {
		case a.Ask:
			out.asks = append(out.asks, Unsure{Piece: p.ID, Likely: likely(a), Reason: a.Reason})
		case a.Bin != "":
			out.into = append(out.into, Placed{Piece: p.ID, Bin: a.Bin, Reason: a.Reason})
		}
	}
	return out
}

func likely(a teach.Answer) []string {
	out := make([]string, len(a.Others))
	for i, o := range a.Others {
		out[i] = o.Bin
	}
	return out
}
