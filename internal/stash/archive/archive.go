// Package archive takes what a stash holds out of it and brings it into another: as one
// file with its photos, as JSON, as CSV, and from a spreadsheet of your own.
package archive

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

const (
	format  = "piecebag stash"
	version = 1
)

// JSONMark is what WriteJSON begins with, blanks apart.
const JSONMark = `{"format":"` + format + `"`

// mostEntries bounds what is imported at once: half as much again as the largest
// stash that the ledger was measured with.
const mostEntries = 300_000

// head begins what WriteJSON writes.
type head struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
}

// WriteJSON writes all of a stash but the photos' own bytes. Import reads it
// without loss.
func WriteJSON(ctx context.Context, s *stash.Stash, w io.Writer) error {
	c, err := s.Content(ctx)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(struct {
		head
		stash.Content
	}{head{format, version}, c}); err != nil {
		return err
	}
	_, err = w.Write(cloth.PrintableJSON(b.Bytes()))
	return err
}

// Imported is what became of a file.
type Imported struct {
	stash.Loaded
	Notes []string // what was passed over, a clause each
}

// Import adds what a file holds: what WriteJSON or WriteCSV wrote, or a plain
// spreadsheet of squares saved as CSV (see readSheet). file is its name. Content
// that was imported before adds nothing; neither do the holdings of a photo that the
// stash knows. A file with a fault is refused whole, its line named.
func Import(ctx context.Context, s *stash.Stash, file string, data []byte) (Imported, error) {
	file = stash.CleanName(file)
	c, notes, hash, err := read(file, bytes.TrimPrefix(data, []byte("\uFEFF")))
	if err != nil {
		return Imported{}, err
	}
	got, err := s.Load(ctx, file, hash, c)
	if err != nil || got.Known {
		return Imported{Loaded: got}, err
	}
	return Imported{got, notes}, nil
}

// read tells the three kinds of file apart by their content. The hash is that of
// what is said, not of how it is laid out.
func read(file string, data []byte) (c stash.Content, notes []string, hash string, err error) {
	if trimmed := bytes.TrimSpace(data); len(trimmed) > 0 && trimmed[0] == '{' {
		var said bytes.Buffer
		if c, err = readJSON(file, trimmed); err == nil {
			err = json.Compact(&said, trimmed)
		}
		return c, nil, stash.Hash(said.Bytes()), err
	}
	t, err := readTable(file, data)
	if err != nil {
		return c, nil, "", err
	}
	ours := true
	for _, name := range []string{"form", "count", "width_in"} {
		ours = ours && slices.Contains(t.Header, name)
	}
	switch {
	case ours:
		c, notes, err = readCSV(file, t)
	case len(t.Lines) == 0:
		err = refuse(file, "it has no line to import", "give a first line that names the columns, then a line for each kind of piece")
	default:
		c, notes, err = readSheet(file, t)
	}
	if err != nil {
		return c, nil, "", err
	}
	said, err := json.Marshal(t)
	return c, notes, stash.Hash(said), err
}

// readJSON reads the head by itself: encoding/json would say of a fault in a struct
// within another where it lies in Go.
func readJSON(file string, data []byte) (c stash.Content, err error) {
	var h head
	if err = fromJSON(data, &h); err == nil {
		err = fromJSON(data, &c)
	}
	switch {
	case err != nil:
		return c, fault.New(file, "it cannot be read: "+err.Error(), "export it again; nothing was imported", stash.ErrRefused, err)
	case h.Format != format:
		return c, refuse(file, "this is not an export of a stash", "give a file that export wrote, or a spreadsheet as CSV")
	case len(c.Holdings) > mostEntries:
		return c, tooMany(file)
	case h.Version > version:
		return c, fault.New(file, "it was written by a newer piecebag", "use the newer piecebag", stash.ErrNewer)
	}
	return c, nil
}

func tooMany(file string) error {
	return refuse(file, fmt.Sprintf("it holds more than %d entries", mostEntries), "part it into several files; nothing was imported")
}

func refuse(about, why, remedy string) error { return fault.New(about, why, remedy, stash.ErrRefused) }

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
