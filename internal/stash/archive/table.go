package archive

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

// table is a CSV: its first line, and those after it that are not blank.
type table struct {
	Header []string
	Lines  [][]string // trailing empty cells left off
	at     []int      // the number of each line in the file, from 1
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
			return t, fault.New(name, "it cannot be read as CSV: "+err.Error(), "save the spreadsheet as CSV (UTF-8) again", stash.ErrRefused, err)
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
