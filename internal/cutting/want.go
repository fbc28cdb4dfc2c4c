package cutting

import (
	"fmt"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// Want is a number of pieces alike that a quilt needs. Of the stash an empty list of
// families, values, bins or prints allows any; a piece must satisfy all that are given.
// Of yardage W lies across the width of the cloth and L along it, unless turned.
type Want struct {
	Name     string  // what the patch is called, for the cutting list
	Role     string  // wants of one role are spread over prints together; empty: prints do not matter
	W, L     float64 // cut size, inches; pieces of the stash may be turned
	Count    int
	Fixed    bool // of yardage: never turned, as a strip that spans the cloth
	Families []cloth.Family
	Values   []cloth.Value
	Bins     []string // your own bins
	Prints   []string // a background is a want of one print
	// Set joins wants of one number, where it is not 0: Each pieces of every one of them
	// are a set, and all of a set come from one print. Sets are covered whole or not at
	// all. Cloth whose print is not known matches nothing but itself.
	Set, Each int
}

// maxPieces is the most pieces laid out at once; more is a slip of the key.
const maxPieces = 200_000

// check refuses sides and counts that cannot be; size writes a size.
func (w Want) check(size func(w, l float64) string) error {
	for _, side := range []float64{w.W, w.L} {
		if err := checkLength("a piece with a side", side); err != nil {
			return err
		}
	}
	if w.Count < 0 || w.Count > maxPieces {
		return fault.Usage("", fmt.Sprintf("%d pieces of %s", w.Count, size(w.W, w.L)), fmt.Sprintf("give a count from 0 to %d", maxPieces))
	}
	return nil
}

// Prefer says which plan is the better of two: see FromStash.
type Prefer string

// The preferences; an empty one is Scraps.
const (
	Scraps  Prefer = "scraps"
	Waste   Prefer = "waste"
	Variety Prefer = "variety"
)

// Prefers are the preferences, the usual one first.
var Prefers = []Prefer{Scraps, Waste, Variety}

// Options are the quilter's habits.
type Options struct {
	// Trim is what squaring the end of a strip costs before the first piece is
	// cut, inches; 0: ½, below 0: none. Squares and rectangles are square already.
	Trim   float64
	Metric bool // remnants are named in centimetres
	Prefer Prefer
}

const (
	// keepIn is the least side of a remnant that goes back to a bin, inches: below it
	// savers of scraps throw away (two independent habits agree).
	keepIn = 1.5
	// SureShare is the share of each side of an irregular piece's box that is surely
	// cloth: what a right triangle that fills its box holds.
	SureShare = 0.5
)

// Step is one kind of cut in the order it is made on one piece of cloth.
type Step struct {
	Slit   []float64 // rows slit lengthwise, inches wide, in order; nil for cross cuts
	Length float64   // how long the cloth is that is slit, or what a cross cut takes off
	Times  int       // cross cuts alike
	Row    int       // which row the cross cuts are made in, from 0; −1 the whole width
	Rows   int       // so many rows, from Row on, are cut alike; 1 where the whole width is
	Want   int       // what the cross cuts give, by its size: the first want of it; −1 cloth that is slit afterwards
	Ready  bool      // no cut is made: each of the rows is a piece as it is
	Rest   bool      // the cuts run lengthwise, in what the step before took off
}

// Remnant is cloth that goes back, or is too small to, or is joined into something else.
type Remnant struct {
	geom.Rect
	Kept bool
	For  string // what it is joined into, which then does not go back: "binding"
	box         // of what is kept
}

// box says where cloth is put away.
type box struct {
	Cut  string     // as the shelf calls it: "2½ strip", "2½ strip, once trimmed from 3"
	Form cloth.Form // where the cloth lies there as it is, "strip"; empty: it is trimmed first, or a scrap
}

// Diagram is what is cut from one piece of the stash, and how. Places are on the cloth lying
// with its width across and its length along, after trimming.
type Diagram struct {
	Stock   int     // index into the stock
	ID      int64   // of the holding
	Width   float64 // inches, lying as it is cut
	Length  float64
	Trim    float64 // taken off the end first
	Unsure  bool    // irregular: measure before cutting
	Settled int     // which of the cuts settled before it is, from 1; 0: none
	Steps   []Step
	Pieces  []Placement
	Remains []Remnant
}

// Ready is pieces taken as they are.
type Ready struct {
	Stock int
	ID    int64
	Want  int
	Count int
	Short float64 // how much smaller than wanted a side is, inches, at most half a millimetre; 0 mostly
}

// PullList is what to fetch from one basket.
type PullList struct {
	Basket string // empty where none is known
	Lines  []PullLine
}

// PullLine is one holding to fetch.
type PullLine struct {
	Stock int
	ID    int64
	Count int
}

// Cover is which pieces of the stash answer the wants.
type Cover struct {
	Ready    []Ready      // in stock order
	Cuts     []Diagram    // working order: longest cloth first
	Pulls    []PullList   // by basket
	Covered  []int        // of each want
	Short    []int        // of each want
	Measure  []int        // stock of unknown length, wide enough for a want that is short
	Prints   []int        // of each want: how many prints its pieces come from
	Sets     []MatchedSet // those that are covered
	Waste    float64      // square inches of the cloth cut that end neither in a piece nor in a kept remnant
	Optimal  bool         // every plan of cuts of two stages was weighed: none is better in any aim but the waste
	CutCount int          // cuts of the knife, trims included
}
