package report

import (
	"encoding/csv"
	"io"
	"strconv"

	"piecebag/internal/shelf"
)

var stashHead = []string{
	"bin", "family", "value", "cut", "form", "width_in", "length_in", "pieces", "only_seen", "weighed_sq_in", "prints",
	"yields", "thin", "wants_more", "why",
}

// StashCSV writes one row a box (RFC 4180, UTF-8) in shelf order, then one for
// each thin box that is empty and for each thin colour or value, with no cut.
// Yields are written as "24 of 1½ or 14 of 2½".
func StashCSV(w io.Writer, s Stash) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	rows := [][]string{stashHead}
	told := make([]bool, len(s.Stock.Short))
	for _, b := range s.Stock.Boxes {
		var why shelf.Short
		thin := false
		for i, t := range s.Stock.Short {
			// What a basket wants is said once, at the first box in it.
			in := !told[i] && t.Sorting != shelf.ByBoth && t.Alike == t.Sorting.Of(b.Alike) && t.Cut == b.Cut
			if !thin && (t.Of(b) || in) {
				why, thin, told[i] = t, true, true
			}
		}
		rows = append(rows, stashRow(b, why, thin))
	}
	for i, t := range s.Stock.Short {
		if !told[i] {
			rows = append(rows, stashRow(shelf.Box{Alike: t.Alike, Cut: t.Cut, Count: t.Count}, t, true))
		}
	}
	return c.WriteAll(rows)
}

func stashRow(b shelf.Box, why shelf.Short, thin bool) []string {
	cut := ""
	if b.Form != "" {
		cut = b.Cut.String()
	}
	area := ""
	if b.AreaIn > 0 {
		area = number(b.AreaIn, 10)
	}
	row := []string{
		plainCell(b.Own), string(b.Family), string(b.Value), cut, string(b.Form), known(b.Width), known(b.Length),
		strconv.Itoa(b.Count), strconv.Itoa(b.Seen), area, strconv.Itoa(b.Prints), yieldWords(b.Yields),
	}
	if !thin {
		return append(row, "", "", "")
	}
	return append(row, "thin", strconv.Itoa(why.By()), plainCell(why.Why()))
}
