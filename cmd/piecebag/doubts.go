package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/report"
)

// fixes are the commands that mend it, by what of it is wrong: its names together, or
// the piece.
func fixes(d desk.DoubtedIn) (flags []string) {
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

// firstText lists the first of what may be wrong, a line a piece, and counts the rest.
func firstText(all []desk.DoubtedIn, line func(desk.DoubtedIn) string) string {
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
func stowedFirst(all []desk.DoubtedIn) string {
	text := firstText(all, func(d desk.DoubtedIn) string {
		return fmt.Sprintf("piece %d, %s: %s; if that is wrong: piecebag fix %d %s", d.ID, plain(d.File), report.Doubts(d.Doubted), d.ID, strings.Join(fixes(d), ", or "))
	})
	if text == "" {
		return ""
	}
	return "look at these first\n" + text
}

// taughtFirst is what to look at first of what a bin was learnt from: of it the
// outlines matter, not the names.
func taughtFirst(all []desk.DoubtedIn) string {
	all = slices.DeleteFunc(all, func(d desk.DoubtedIn) bool { return !slices.Contains(d.Of, desk.OutlineDoubt) })
	text := firstText(all, func(d desk.DoubtedIn) string {
		return fmt.Sprintf("piece %d of %s: %s", d.Piece.ID, plain(d.File), report.Doubts(d.Doubted))
	})
	if text == "" {
		return ""
	}
	return "look at these first: the bin was learnt from them too\n" + text +
		"if one is wrong, write 'piecebag undo', and teach it again with --pieces or --crop\n"
}

// jsonFirst is a piece of which something may well be wrong, and what mends it.
type jsonFirst struct {
	File    string       `json:"file"`
	Piece   int          `json:"piece"`
	ID      int64        `json:"id"`
	Doubted []desk.Doubt `json:"doubted"`
	Trust   float64      `json:"trust"` // that all that is said of it is right
	Fix     []string     `json:"fix"`   // flags of 'piecebag fix ID', one or the other
}

func firstJSON(all []desk.DoubtedIn) []jsonFirst {
	var out []jsonFirst
	for _, d := range all {
		out = append(out, jsonFirst{d.File, d.Piece.ID, d.ID, d.Of, math.Round(100*d.Right) / 100, fixes(d)})
	}
	return out
}
