package shelf

// DefaultTrim is how much is cut off a strip's end to square it, inches; common practice,
// no source.
const DefaultTrim = 0.5

// slack allows for the rounding of lengths that were converted from millimetres, inches.
const slack = 1e-6

// Yield returns how many pieces, wide across the strip and long along it, can be cut from
// one strip, all in inches: floor(width / wide) rows, each of floor((length − trim) /
// long) pieces. Zero where a length is not known or nothing fits.
//
// The yield of several strips is the sum of each strip's own: what remains of one
// does not join what remains of the next, so that their total length over the
// size would promise squares that cannot be cut.
//
// With no trim this is the published pieces-per-strip chart, for cloth 44
// inches wide.
func Yield(width, length, wide, long, trim float64) int {
	if !(wide > 0 && long > 0) || width <= 0 || length <= trim {
		return 0
	}
	return int((width+slack)/wide) * int((length-trim+slack)/long)
}

// Squares are what strips give in squares of one size.
type Squares struct {
	Size  float64 // inches, as cut
	Count int
}
