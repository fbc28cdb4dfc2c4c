package main

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
)

// sorter sorts pieces into your own bins, as far as you taught them.
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
			return sorter{}, fault.New(k.Bin, "an example of this bin cannot be read", fmt.Sprintf("forget the bin by 'piecebag teach forget %q' and teach it again", k.Bin), err)
		}
	}
	return sorter{teach.Learn(examples)}, nil
}

// placed is a piece that was put in a bin of yours, and why.
type placed struct {
	Piece  int    `json:"piece"`
	Bin    string `json:"bin"`
	Reason string `json:"reason"`
}

// ask is a piece of which the sorter is not sure: it lies in none of your bins
// until you say.
type ask struct {
	ID     int64    `json:"id"`     // by which the stash knows it
	Piece  int      `json:"piece"`  // its number in the photo
	Likely []string `json:"likely"` // the likelier first; "" for none of your bins
	Reason string   `json:"reason"`
}

// sorted is how the pieces of a photo go into your bins.
type sorted struct {
	bins []string // one a piece, "" for none
	into []placed
	asks []ask // without their ID
}

func (s sorter) sort(pieces []cloth.Piece) sorted {
	out := sorted{bins: make([]string, len(pieces))}
	for i, p := range pieces {
		a := s.Sort(teach.FeaturesOf(p))
		out.bins[i] = a.Bin
		switch {
		case a.Ask:
			out.asks = append(out.asks, ask{Piece: p.ID, Likely: likely(a), Reason: a.Reason})
		case a.Bin != "":
			out.into = append(out.into, placed{p.ID, a.Bin, a.Reason})
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

// sortedText says what went where and why, and asks about the rest.
func sortedText(into []placed, asks []ask) string {
	var b strings.Builder
	for _, p := range into {
		fmt.Fprintf(&b, "  piece %d: %s (%s)\n", p.Piece, plain(p.Bin), plain(p.Reason))
	}
	for _, a := range asks {
		fmt.Fprintf(&b, "  piece %d: %s? (%s)\n", a.Piece, plain(strings.Join(binNames(a.Likely), " or ")), plain(a.Reason))
	}
	b.WriteString(answersText(asks))
	return b.String()
}

// answersText writes the commands that say of every piece asked about that its
// likeliest bin is the right one, a command a bin, to be changed where it is not.
func answersText(asks []ask) string {
	var bins []string
	ids := map[string][]string{}
	for _, a := range asks {
		if len(a.Likely) == 0 {
			continue
		}
		bin := a.Likely[0]
		if ids[bin] == nil {
			bins = append(bins, bin)
		}
		ids[bin] = append(ids[bin], strconv.FormatInt(a.ID, 10))
	}
	var b strings.Builder
	for _, bin := range bins {
		say := "--no-bin"
		if bin != "" {
			say = "--bin " + quoted(bin)
		}
		fmt.Fprintf(&b, "if so, say: piecebag fix %s %s\n", strings.Join(ids[bin], ","), plain(say))
	}
	return b.String()
}

// quoted is a word as a shell takes it whole.
func quoted(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

// exampleOf is an example as the stash keeps it.
func exampleOf(f teach.Features) ([]byte, error) { return json.Marshal(f) }
