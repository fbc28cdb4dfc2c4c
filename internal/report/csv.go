package report

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"piecebag/internal/shelf"
)

// CSVHead is the first row of CSV.
var CSVHead = []string{
	"file", "photo", "kind", "piece", "family", "value", "lightness", "munsell", "mean", "reads_as", "colours",
	"width_in", "length_in", "cut", "print", "trust", "with", "family_trust", "family_or", "value_trust", "value_or", "notes",
}

// CSV writes one row a piece (RFC 4180, UTF-8), in the order of the photos. A
// photo in which nothing was found has a row that says so, and a refused one a
// row with the reason. Cells with no answer are empty.
func CSV(w io.Writer, l Looked) error {
	rows := [][]string{CSVHead}
	for i, s := range l.Sheets {
		file, kind := plainCell(s.File), string(s.Kind)
		if len(s.Pieces) == 0 {
			rows = append(rows, csvRow(file, letter(i), kind, plainCell(strings.Join(append([]string{foundWords(s)}, s.Notes...), "; "))))
		}
		for _, p := range s.Pieces {
			colours := make([]string, len(p.Colours))
			for k, sw := range p.Colours {
				colours[k] = sw.Colour.Hex() + " " + number(sw.Share, 1000)
			}
			rows = append(rows, []string{
				file, letter(i), kind, strconv.Itoa(p.ID), string(p.Family), string(p.Value), number(p.Lightness, 10), p.Munsell,
				p.Mean.Hex(), p.ReadsAs.Hex(), strings.Join(colours, "; "),
				known(p.WidthIn), known(p.LengthIn), p.Cut, p.Print, number(p.Trust, 100),
				string(p.With), known(p.FamilyTrust), string(p.FamilyOr), known(p.ValueTrust), string(p.ValueOr), plainCell(strings.Join(p.Notes, "; ")),
			})
		}
	}
	for _, r := range l.Refused {
		rows = append(rows, csvRow(plainCell(r.File), "", "", plainCell("not read: "+r.Error)))
	}
	return writeRows(w, rows)
}

// writeRows writes rows as RFC 4180 has them.
func writeRows(w io.Writer, rows [][]string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c.WriteAll(rows)
}

// csvRow returns the row of a photo without pieces.
func csvRow(file, photo, kind, note string) []string {
	row := make([]string, len(CSVHead))
	row[0], row[1], row[2], row[len(row)-1] = file, photo, kind, note
	return row
}

// plainCell keeps a spreadsheet from running a name such as "=1+1.jpg" as a
// formula, by the apostrophe that marks text there.
func plainCell(s string) string {
	s = printable(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

func number(x, per float64) string { return strconv.FormatFloat(round(x, per), 'f', -1, 64) }

// known returns a length or a trust, empty where it is 0.
func known(x float64) string {
	if x <= 0 {
		return ""
	}
	return number(x, 100)
}

var stashHead = []string{
	"bin", "family", "value", "cut", "form", "width_in", "length_in", "pieces", "only_seen", "weighed_sq_in", "prints",
	"yields", "thin", "wants_more", "why",
}

// StashCSV writes one row a box (RFC 4180, UTF-8) in shelf order, then one for
// each thin box that is empty and for each thin colour or value, with no cut.
// Yields are written as "24 of 1½ or 14 of 2½".
func StashCSV(w io.Writer, s Shelf) error {
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
	return writeRows(w, rows)
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
