package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"text/tabwriter"

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

// demoText writes the demo's answer on one screen: what was found, what is thin,
// and what to open in the folder place.
func demoText(w io.Writer, sheets []cloth.Sheet, v report.Stash, quilt, place string) error {
	var b strings.Builder
	pieces := 0
	b.WriteString("Found in the photos of the Saltmarsh sewing circle\n")
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	for _, s := range sheets {
		pieces += len(s.Pieces)
		fmt.Fprintf(t, "  %s\t%s\t%s\n", filepath.Base(s.File), cloth.Count(len(s.Pieces), "piece"), kindWords[s.Kind])
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(&b, "  In all %s of %s.\n", cloth.Count(pieces, "piece"), cloth.Count(v.Stock.Totals.Prints, "print"))

	tin := demoFloor.Cut
	fmt.Fprintf(&b, "\nThin: fewer than %d squares of %s\n", demoFloor.Least, shelf.Length(demoFloor.Width))
	for n := range demoFloor.Least {
		var names []string
		for _, s := range v.Stock.Short {
			if s.Cut == tin && s.Count == n {
				names = append(names, s.Alike.String())
			}
		}
		if names != nil {
			head := fmt.Sprintf("  %d held: ", n)
			b.WriteString(head + someOf(names, demoWidth-len(head)) + "\n")
		}
	}
	fmt.Fprintf(&b, `
%s

Open these in %s
  report.html  every piece found, with its colour and its size
  stash.html   the shelf, with the thin bins marked
  plan.html    the quilt: what to pull, to cut and to buy
To print: stash.pdf, plan.pdf. For other programs: pieces.png, .csv, .json

Go on with this stash: piecebag shelf --stash %s
`, quilt, place, quotedWhereNeeded(filepath.Join(place, demoLedger)))
	_, err := w.Write(cloth.PrintableLines([]byte(b.String())))
	return answered(err)
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
