// Package stash is the ledger: what the quilter has, kept in one SQLite file
// and a folder of photos beside it.
//
// Every change is one transaction, carries a line of what it was, and can be
// undone while it is among the last Undoable. Photos are known by the SHA-256 of
// their bytes, and kept without what a camera writes beside the picture, under the
// SHA-256 of what is kept; they are written and renamed before the transaction that
// names them ends.
// The package reads no clock and no environment of its own.
package stash

import (
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

// Undoable is how many of the last changes can be undone.
const Undoable = 100

// Options say how a stash is opened.
type Options struct {
	Now func() time.Time // the clock; required
	// ReadOnly neither creates nor changes anything: a stash that is not there
	// is an error, and so is every change.
	ReadOnly bool
	// Progress, unless nil, is called with how many steps of all are done of long work.
	Progress func(done, all int)
	// Before, unless nil, is called before each step at which a process might be killed, so
	// that tests can kill it there.
	Before func(step string)
}

// Step tells Before of the next step.
func (o Options) Step(what string) {
	if o.Before != nil {
		o.Before(what)
	}
}

// Told tells Progress how far the work is.
func (o Options) Told(done, all int) {
	if o.Progress != nil {
		o.Progress(done, all)
	}
}

// Photo is a photo, what was found in it, and what the quilter says of it.
type Photo struct {
	Name  string // as you know it, without its folder
	Bytes []byte // the file as it is
	Sheet cloth.Sheet
	// Bins are your own bins, one a piece of Sheet, "" where there is none; nil
	// for none at all.
	Bins   []string
	As     cloth.Form // what the pieces are; empty: as they were found
	Basket string
	Cut    float64 // the width all of them are cut to, inches; 0: as found
	Said   []Said  // what of the sheet is wrong
}

// Stowed is what became of a photo.
type Stowed struct {
	Hash  string // SHA-256 of its bytes, hex
	Known bool   // it was in the stash already; nothing was added
	Added int    // pieces that came in
	Left  Left   // what became of what the camera wrote beside the picture
	Sum   Change // the change made; zero where Known
	MayBe []MayBe
}

// MayBe is a print that got a new name, but that may be one the stash knew.
type MayBe struct {
	Print, Known string
	Trust        float64 // probability that it is, 0..1
	Pieces       []int   // of the photo, from 1
}

// Change is one change of the stash.
type Change struct {
	ID   int64
	At   time.Time
	Verb string // stow, recount, add, use, correct, relook, sort, floor, setting, plan, teach, import
	What string // in words, such as "a.jpg: 12 pieces"
	// Difference is what it changed of the counts, in shelf order.
	Difference []shelf.Count
	Undoable   bool // among the last that can be undone
	// Again is the number under which a change that was taken back is kept to be done again,
	// also once it is; 0: it stands since it was made, or cannot be.
	Again int64
}

// Filter says which holdings are meant. Its zero value means all; an empty field does not
// filter.
type Filter struct {
	IDs    []int64
	Named  []int64 // of IDs, those that were said one by one, of which none may be unknown
	Form   cloth.Form
	Family cloth.Family
	Value  cloth.Value
	Bin    string
	Basket string
	Print  string
	Photo  string  // SHA-256 in hex
	Cut    float64 // width, inches, to a ruler's mark
	Length float64 // inches, to a ruler's mark
	Sized  bool    // only what can be cut from: both lengths known, and no band
}

// Removal is a number of pieces to take out of those that Filter means, or a weight
// of the weighed cloth among them.
type Removal struct {
	Filter
	Count int
	Grams float64 // of weighed cloth, in the place of Count
}

// Correction is what you say of one holding that the look got wrong. Fields
// left empty stay as they are; a pointer to an empty string clears. Of NotAPiece,
// Split and Merge at most one may be set.
type Correction struct {
	Family   cloth.Family `json:"family,omitempty"`
	Value    cloth.Value  `json:"value,omitempty"`
	Form     cloth.Form   `json:"form,omitempty"`
	WidthIn  float64      `json:"width_in,omitempty"`  // inches
	LengthIn float64      `json:"length_in,omitempty"` // inches
	Outline  geom.Polygon `json:"outline,omitempty"`   // full-size pixels of the upright photo
	Print    *string      `json:"print,omitempty"`
	Bin      *string      `json:"bin,omitempty"`
	Basket   *string      `json:"basket,omitempty"`

	// Example is what package teach keeps of the piece, any JSON: an example of
	// Bin, in the place of the one that the piece gave before.
	Example []byte `json:"-"`

	NotAPiece bool    `json:"not_a_piece,omitempty"`
	Split     int     `json:"split,omitempty"` // into so many alike, along its length; 2 or more
	Merge     []int64 `json:"-"`               // these are parts of the same piece
}

// PhotoInfo is how a photo of the stash is found.
type PhotoInfo struct {
	Hash string // SHA-256 of its bytes, hex
	Name string
	Path string // of the file kept; empty where it is not kept

	Width, Height int // upright, full-size pixels; 0 where it was stowed before they were noted
}
