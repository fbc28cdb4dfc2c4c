// Package cutting fits cut pieces onto cloth: yardage across its width, which
// strips and pieces of the stash to cut for a list of wanted pieces, which strips
// to sub-cut to refill thin bins, and how to cut up what a project leaves. It
// does no I/O.
//
// Every layout can be cut with a rotary cutter and a ruler: each cut goes from
// one edge of the cloth in hand to the other. Lengths are inches; inside the
// package they are whole ticks, of which an inch has 254000, so that every
// sixteenth of an inch and every tenth of a millimetre is exact and a piece that
// fits exactly is never lost to rounding.
package cutting

import (
	"fmt"
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// tick is a length of 0.1 µm.
type tick int64

const ticksPerInch = 254000

func ticks(in float64) tick { return tick(math.Round(in * ticksPerInch)) }

func (t tick) inches() float64 { return float64(t) / ticksPerInch }

// in2 returns the area of a rectangle in square inches.
func in2(w, l tick) float64 { return w.inches() * l.inches() }

// Placement is one piece laid on the cloth, inches: X across the width from the left
// edge, Y along the length from the first cut edge. Turned says that the piece's W runs
// along the cloth.
type Placement struct {
	geom.Rect
	Want   int // index into the list that was asked for
	Turned bool
}

// maxLength is the longest side that is read: no roll or quilt is longer, and
// areas stay far inside 64 bits.
const maxLength = 9999

// checkLength refuses a side that no cloth can have.
func checkLength(what string, in float64) error {
	if !(in > 0) || in > maxLength {
		return fault.Usage("", fmt.Sprintf("%s of %v inches cannot be cut", what, in), fmt.Sprintf("give a length above 0 and at most %d", maxLength))
	}
	return nil
}

func sizeName(w, l float64) string {
	if w == l {
		return cloth.FormatInches(w)
	}
	return cloth.FormatInches(w) + " × " + cloth.FormatInches(l)
}
