package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/report"
)

// firstText lists the first of what may be wrong, a line a piece, and counts the rest.
func firstText(all []desk.DoubtedIn, line func(desk.DoubtedIn) string) string {
	var b strings.Builder
	for _, d := range all[:min(len(all), report.MostFirst)] {
		b.WriteString("  " + line(d) + "\n")
	}
	if n := len(all) - report.MostFirst; n > 0 {
		fmt.Fprintf(&b, "  and %s more, all of them listed by 'piecebag look PHOTO --json'\n", cloth.Count(n, "piece"))
	}
	return b.String()
}

// stowedFirst is what to look at first of what went in.
func stowedFirst(all []desk.DoubtedIn) string {
	text := firstText(all, func(d desk.DoubtedIn) string {
		return fmt.Sprintf("piece %d, %s: %s; if that is wrong: piecebag fix %d %s", d.ID, plain(d.File), report.Doubts(d.Doubted), d.ID, strings.Join(report.Fixes(d), ", or "))
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
	for i := range all {
		all[i].Of = []desk.Doubt{desk.OutlineDoubt}
	}
	slices.SortStableFunc(all, func(a, b desk.DoubtedIn) int { return cmp.Compare(a.Piece.Trust, b.Piece.Trust) })
	text := firstText(all, func(d desk.DoubtedIn) string {
		return fmt.Sprintf("piece %d of %s: %s", d.Piece.ID, plain(d.File), report.Doubts(d.Doubted))
	})
	if text == "" {
		return ""
	}
	return "look at these first: the bin was learnt from them too\n" + text +
		"if one is wrong, write 'piecebag undo', and teach it again with --pieces or --crop\n"
}
