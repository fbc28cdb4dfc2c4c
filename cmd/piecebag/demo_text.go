package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"piecebag/internal/cloth"
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
	for _, s := range a.look.Sheets {
		pieces += len(s.Pieces)
		rows = append(rows, fmt.Sprintf("  %s\t%s\t%s", filepath.Base(s.File), cloth.Count(len(s.Pieces), "piece"), kindWords[s.Kind]))
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

Open these in %s
  report.html  every piece found, with its colour and its size
  stash.html   the shelf, with the thin bins marked
  plan.html    the quilt: what to pull, to cut and to buy
To print: stash.pdf, plan.pdf. For other programs: pieces.png, .csv, .json

Go on with this stash: piecebag shelf --stash %s
`, wanted, covered, place, quotedWhereNeeded(filepath.Join(place, demoLedger)))
	return string(cloth.PrintableLines([]byte(b.String())))
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
