package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

// kindWords say how the cloth of a photo lies.
var kindWords = map[cloth.Kind]string{
	cloth.Spread: "laid apart", cloth.Board: "squares edge to edge", cloth.Stack: "folded strips, seen on edge", cloth.Pile: "a heap",
}

// demoWidth is how wide the demo's lines are, but for the paths in them.
const demoWidth = 79

// text is the demo's answer on one screen: what was found, what is thin, and what to
// open in the folder place.
func (a *demoAnswers) text(place string) string {
	var b strings.Builder
	var rows []string
	pieces := 0
	for _, kind := range []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile} {
		var names []string
		found := 0
		for _, s := range a.look.Sheets {
			if s.Kind == kind {
				names = append(names, strings.TrimSuffix(filepath.Base(s.File), filepath.Ext(s.File)))
				found += len(s.Pieces)
			}
		}
		if pieces += found; names != nil {
			rows = append(rows, fmt.Sprintf("  %s\t%s\t%s", kindWords[kind], cloth.Count(found, "piece"), someOf(names, demoWidth-45)))
		}
	}
	b.WriteString("Found in the photos of the Saltmarsh sewing circle\n" + columns(rows...))
	fmt.Fprintf(&b, "  In all %s of %s.\n", cloth.Count(pieces, "piece"), cloth.Count(a.stash.Stock.Totals.Prints, "print"))

	tin := demoFloor.Cut
	fmt.Fprintf(&b, "\nThin: fewer than %d squares of %s\n", demoFloor.Least, shelf.Length(demoFloor.Width))
	for n := range demoFloor.Least {
		var names []string
		for _, s := range a.stash.Stock.Short {
			if s.Cut == tin && s.Count == n {
				names = append(names, s.Alike.String())
			}
		}
		if names != nil {
			head := fmt.Sprintf("  %d held: ", n)
			b.WriteString(head + someOf(names, demoWidth-len(head)) + "\n")
		}
	}
	wanted, covered, _ := a.plan.Pull.Totals()
	fmt.Fprintf(&b, `
The library quilt takes %d squares. The stash covers %d of them.
%s

Open these in %s
  report.html  every piece found, with its colour and its size
  stash.html   the shelf, with the thin bins marked
  plan.html    the quilt: what to pull, to cut and to buy
  quilt.html   the quilt laid out, patch by patch; quilt.png, in their cloth
To print: stash.pdf, plan.pdf. For other programs: pieces.png, .csv, .json

Go on with this stash: piecebag shelf --stash %s
`, wanted, covered, laidOut(a.quilt), place, quotedWhereNeeded(filepath.Join(place, demoLedger)))
	return string(cloth.PrintableLines([]byte(b.String())))
}

// laidOut says how the quilt's layout came out.
func laidOut(a report.Arrangement) string {
	first := a.Laid[0]
	words := fmt.Sprintf("Laid out, %s, its lights and darks %.0f %% even.", cloth.Count(len(first.Touches), "touch")+" of cloth alike", 100*first.Evenness)
	if len(first.Touches) == 0 {
		words = fmt.Sprintf("Laid out, nothing alike touches, and its lights and darks are %.0f %% even.", 100*first.Evenness)
	}
	if a.Empty > 0 {
		words += fmt.Sprintf(" %s are empty.", cloth.Count(a.Empty, "patch"))
	}
	return words
}

// someOf lists as many names as fit into a width, and says how many more there are.
func someOf(names []string, width int) string {
	all := strings.Join(names, ", ")
	for n := len(names) - 1; len(all) > width && n > 0; n-- {
		all = fmt.Sprintf("%s and %d more", strings.Join(names[:n], ", "), len(names)-n)
	}
	return all
}

// quotedWhereNeeded is a path as a shell takes it whole.
func quotedWhereNeeded(path string) string {
	if strings.ContainsAny(path, " '\"$&()*;<>?[]`{}|~!#") {
		return quoted(path)
	}
	return path
}
