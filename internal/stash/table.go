package stash

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"piecebag/internal/fault"
)

// table is a CSV: its first line, and those after it that are not blank.
type table struct {
	Header []string
	Lines  [][]string // trailing empty cells left off
	at     []int      // the number of each line in the file, from 1
}

// mostEntries bounds what is imported at once: half as much again as the largest
// stash that the ledger was measured with.
const mostEntries = 300_000

func tooMany(name string) error {
	return refuse(name, fmt.Sprintf("it holds more than %d entries", mostEntries), "part it into several files; nothing was imported")
}

// readTable reads CSV whose cells are parted by commas, semicolons or tabs,
// whichever the first line has most of.
func readTable(name string, data []byte) (t table, err error) {
	first, _, _ := bytes.Cut(data, []byte("\n"))
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = -1
	r.LazyQuotes = true // inches are written 2½"
	for _, c := range []rune{';', '\t'} {
		if bytes.Count(first, []byte(string(c))) > bytes.Count(first, []byte(string(r.Comma))) {
			r.Comma = c
		}
	}
	for {
		line, err := r.Read()
		if errors.Is(err, io.EOF) {
			return t, nil
		}
		if err != nil {
			return t, fault.New(name, "it cannot be read as CSV: "+err.Error(), "save the spreadsheet as CSV (UTF-8) again", ErrRefused, err)
		}
		n, _ := r.FieldPos(0)
		for i := range line {
			line[i] = strings.TrimSpace(line[i])
		}
		for len(line) > 0 && line[len(line)-1] == "" {
			line = line[:len(line)-1]
		}
		switch {
		case len(line) == 0:
		case t.Header == nil:
			t.Header = line
		case len(t.Lines) == mostEntries:
			return t, tooMany(name)
		default:
			t.Lines, t.at = append(t.Lines, line), append(t.at, n)
		}
	}
}

// cellIn reads the cell of a line under one of some columns; empty where there
// is none.
func cellIn(line []string, columns map[string]int, name string) string {
	if k, ok := columns[name]; ok && k < len(line) {
		return line[k]
	}
	return ""
}

func passedOver(column string) string { return fmt.Sprintf("column %q was not read", column) }

func lineError(name string, line int, err error) error {
	return refuse(fmt.Sprintf("%s, line %d", name, line), err.Error(), "correct that line; nothing was imported")
}

// readCSV reads what ExportCSV wrote, its columns in any order.
func readCSV(name string, t table) (document, error) {
	var d document
	columns := map[string]int{}
	for i, c := range t.Header {
		if c != "" && !slices.ContainsFunc(Columns, func(k Column) bool { return k.Name == c }) {
			d.notes = append(d.notes, passedOver(c))
		}
		columns[c] = i
	}
	var named []photoJSON // photos that holdings name
	for i, line := range t.Lines {
		get := func(column string) string { return cellIn(line, columns, column) }
		if what := get("record"); what != "" {
			if err := d.record(what, []byte(get("data"))); err != nil {
				return document{}, lineError(name, t.at[i], err)
			}
			continue
		}
		h, err := parseHolding(get)
		if err != nil {
			return document{}, lineError(name, t.at[i], err)
		}
		if h.Photo != "" {
			named = append(named, photoJSON{Hash: h.Photo, Name: uncell(get("photo_name"))})
		}
		d.Holdings = append(d.Holdings, h)
	}
	seen := map[string]bool{}
	for _, p := range d.Photos {
		seen[p.Hash] = true
	}
	for _, p := range named {
		if !seen[p.Hash] {
			d.Photos = append(d.Photos, p)
		}
		seen[p.Hash] = true
	}
	return d, nil
}

// record reads a line of the CSV that is no piece.
func (d *document) record(what string, data []byte) error {
	var err error
	switch what {
	case photoRecord:
		d.Photos, err = appendJSON(d.Photos, data)
	case printRecord:
		d.Prints, err = appendJSON(d.Prints, data)
	case goneRecord:
		d.Holdings, err = appendJSON(d.Holdings, data)
	case correctionRecord:
		d.Corrections, err = appendJSON(d.Corrections, data)
	case taughtRecord:
		d.Taught, err = appendJSON(d.Taught, data)
	case planRecord:
		d.Plans, err = appendJSON(d.Plans, data)
	case floorRecord:
		d.Floors, err = appendJSON(d.Floors, data)
	case settingRecord:
		var v settingJSON
		if err = fromJSON(data, &v); err == nil {
			if d.Settings == nil {
				d.Settings = map[string]float64{}
			}
			d.Settings[v.Name] = v.Value
		}
	default:
		return fmt.Errorf("column record: %q is no record of a stash", what)
	}
	if err != nil {
		return fmt.Errorf("column data: this is not a %s: %w", what, err)
	}
	return nil
}

func appendJSON[T any](list []T, data []byte) ([]T, error) {
	var v T
	err := fromJSON(data, &v)
	return append(list, v), err
}
