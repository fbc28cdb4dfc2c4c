package scale

import (
	"math"

	"piecebag/internal/card"
	"piecebag/internal/geom"
)

// cardSD is how far, in working pixels, a corner of the printed card's marks is
// from its place: what the lens and a sheet that is not quite flat leave.
const cardSD = 0.3

// cardScale returns how many plane units span an inch by the printed card, and how
// ill its corners then fit the table: a sum of squares in units of their error.
// The card's turn and place on the table are free: this is the least-squares
// similarity of its corners, in inches, to where the plane puts them (as
// complex numbers, s·z + t; Horn 1987, J. Opt. Soc. Am. A 4(4), in the plane).
func cardScale(f *card.Found, l *plane) (unit, misfit float64) {
	at := make([]geom.Point, len(f.Seen))
	var mz, mw geom.Point
	for i, q := range f.Seen {
		at[i] = l.at(q)
		mz, mw = mz.Add(f.Points[i]), mw.Add(at[i])
	}
	n := float64(len(at))
	mz, mw = mz.Mul(1/n), mw.Mul(1/n)
	var re, im, zz, ww float64
	for i := range at {
		z, w := f.Points[i].Sub(mz), at[i].Sub(mw)
		re += z.Dot(w)
		im += z.Cross(w)
		zz += z.Dot(z)
		ww += w.Dot(w)
	}
	unit = math.Hypot(re, im) / zz
	// What the similarity leaves, from plane units to pixels on the card.
	side := geom.Polygon(f.Seen[:4]).Area() / geom.Polygon(f.Points[:4]).Area()
	left := max(0, ww-unit*unit*zz) / (unit * unit) * side
	return unit, left / (2 * cardSD * cardSD)
}

const (
	// printedSD is the relative error of a length by the printed card.
	printedSD = 0.004
	// printedOdds are those that what was found is the card: its marks' cells, each in
	// its place, come about by chance far more seldom. How ill they fit says how flat
	// it lies, and nothing of that.
	printedOdds = 1000
)

// tellsOf returns what a printed card says of the scale that gives unit plane units an inch.
func tellsOf(unit float64) *told {
	return &told{parts: []tellsScale{{from: FromPrint, s: math.Log(unit), sd: printedSD, odds: printedOdds}}}
}
