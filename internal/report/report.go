// Package report shows what was found in photos: as JSON, as CSV, as a table
// for a terminal, as one HTML file to look at and print, and as a contact
// sheet. It writes to the io.Writer it is given and opens no file.
package report

import (
	"image"
	"path/filepath"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// Looked is all that is to be shown of one look at some photos.
type Looked struct {
	Sheets  []cloth.Sheet
	Shelf   shelf.Survey // built from shelf.Items(Sheets)
	Refused []Refused
	Reader  string // what read the photos, as look.Reader says
	Wording Wording
}

// NewLook builds the shelf of the sheets.
func NewLook(sheets []cloth.Sheet, refused []Refused, o shelf.Options) Looked {
	return Looked{Sheets: sheets, Shelf: shelf.Build(shelf.Items(sheets), o), Refused: refused}
}

// Refused is a photo that could not be read, and why.
type Refused struct {
	File  string `json:"file"`
	Error string `json:"error"`
}

// Pictures gives the upright photo of sheet i, at any size of the same shape,
// or nil where there is none to show. It is asked for one sheet at a time, in
// order and once each, so the caller need hold only one in memory.
type Pictures func(i int) (image.Image, error)

// at returns the picture of sheet i; nil where the caller gives none.
func (p Pictures) at(i int) (image.Image, error) {
	if p == nil {
		return nil, nil
	}
	return p(i)
}

// letter names photo i as columns are named: A to Z, AA, AB and on.
func letter(i int) string {
	s := ""
	for i++; i > 0; i = (i - 1) / 26 {
		s = string(rune('A'+(i-1)%26)) + s
	}
	return s
}

// label returns how a piece is called in lists: by its number, with the letter of
// its photo before it where there are several.
func (l Looked) label(it shelf.Item) string {
	n := strconv.Itoa(it.Piece.ID)
	if len(l.Sheets) < 2 {
		return n
	}
	return letter(it.Photo) + n
}

func (l Looked) labels(items []int) []string {
	out := make([]string, len(items))
	for i, k := range items {
		out[i] = l.label(l.Shelf.Items[k])
	}
	return out
}

// base returns the name of a file without its folders, fit to be shown.
func base(file string) string {
	return printable(filepath.Base(file))
}

// printable returns a name fit for a terminal, paper or a picture.
func printable(s string) string { return cloth.Printable(s) }

// group is those of a list that share a key.
type group[K comparable, T any] struct {
	key K
	all []T
}

// grouped parts a list by a key, in the order of the first of each.
func grouped[K comparable, T any](all []T, key func(T) K) []group[K, T] {
	var out []group[K, T]
	at := map[K]int{}
	for _, x := range all {
		k := key(x)
		if _, ok := at[k]; !ok {
			at[k] = len(out)
			out = append(out, group[K, T]{key: k})
		}
		out[at[k]].all = append(out[at[k]].all, x)
	}
	return out
}

// mapped returns what a function makes of each element; never nil, so that JSON has a list.
func mapped[A, B any](all []A, f func(A) B) []B {
	out := make([]B, len(all))
	for i, a := range all {
		out[i] = f(a)
	}
	return out
}
