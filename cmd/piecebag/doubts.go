package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// doubted is a piece that went in, of which something may well be wrong.
type doubted struct {
	report.Doubted
	file string
	id   int64 // by which the stash knows it
}

// seen is what was found in a photo, and the numbers that the stash gave its pieces.
type seen struct {
	file  string
	found []cloth.Piece
	ids   map[int]int64
}

// idsOf are the numbers of a photo's pieces in the stash, by those in the photo.
func idsOf(ctx context.Context, st *stash.Stash, hash string) (map[int]int64, error) {
	held, err := st.Holdings(ctx, stash.Filter{Photo: hash})
	ids := make(map[int]int64, len(held))
	for _, h := range held {
		ids[h.Piece] = h.ID
	}
	return ids, err
}

// doubtedIn lists what may be wrong of photos' pieces, the likeliest wrong first.
func doubtedIn(photos []seen) []doubted {
	sheets := make([]cloth.Sheet, len(photos))
	for i, p := range photos {
		sheets[i].Pieces = p.found
	}
	var out []doubted
	for _, d := range report.DoubtedOf(sheets) {
		p := photos[d.Photo]
		out = append(out, doubted{d, p.file, p.ids[d.Piece.ID]})
	}
	return out
}

// fixes are the commands that mend it, by what of it is wrong: its names together, or
// the piece.
func (d doubted) fixes() (flags []string) {
	var names []string
	for _, of := range d.Of {
		switch of {
		case report.FamilyDoubt:
			names = append(names, "--family "+string(d.Piece.FamilyOr))
		case report.ValueDoubt:
			names = append(names, "--value "+string(d.Piece.ValueOr))
		case report.SizeDoubt:
			names = append(names, "--cut WIDTH --length LENGTH")
		case report.OutlineDoubt:
			flags = []string{"--not-a-piece", "--outline X,Y,X,Y,X,Y"}
		}
	}
	if names != nil {
		flags = slices.Insert(flags, 0, strings.Join(names, " "))
	}
	return flags
}

// firstText lists the first of what may be wrong, a line a piece, and counts the rest.
func firstText(all []doubted, line func(doubted) string) string {
	var b strings.Builder
	for _, d := range all[:min(len(all), report.MostFirst)] {
		b.WriteString("  " + line(d) + "\n")
	}
	if n := len(all) - report.MostFirst; n > 0 {
		fmt.Fprintf(&b, "  and %s more, which 'piecebag look PHOTO' tells\n", cloth.Count(n, "piece"))
	}
	return b.String()
}

// stowedFirst is what to look at first of what went in.
func stowedFirst(all []doubted) string {
	text := firstText(all, func(d doubted) string {
		return fmt.Sprintf("piece %d, %s: %s; if that is wrong: piecebag fix %d %s", d.id, plain(d.file), d.Words, d.id, strings.Join(d.fixes(), ", or "))
	})
	if text == "" {
		return ""
	}
	return "look at these first\n" + text
}

// taughtFirst is what to look at first of what a bin was learnt from: of it the
// outlines matter, not the names.
func taughtFirst(all []doubted) string {
	all = slices.DeleteFunc(all, func(d doubted) bool { return !slices.Contains(d.Of, report.OutlineDoubt) })
	text := firstText(all, func(d doubted) string {
		return fmt.Sprintf("piece %d of %s: %s", d.Piece.ID, plain(d.file), d.Words)
	})
	if text == "" {
		return ""
	}
	return "look at these first: the bin was learnt from them too\n" + text +
		"if one is wrong, write 'piecebag undo', and teach it again with --pieces or --crop\n"
}

// jsonFirst is a piece of which something may well be wrong, and what mends it.
type jsonFirst struct {
	File    string         `json:"file"`
	Piece   int            `json:"piece"`
	ID      int64          `json:"id"`
	Doubted []report.Doubt `json:"doubted"`
	Trust   float64        `json:"trust"` // that all that is said of it is right
	Fix     []string       `json:"fix"`   // flags of 'piecebag fix ID', one or the other
}

func firstJSON(all []doubted) []jsonFirst {
	var out []jsonFirst
	for _, d := range all {
		out = append(out, jsonFirst{d.file, d.Piece.ID, d.id, d.Of, math.Round(100*d.Right) / 100, d.fixes()})
	}
	return out
}
