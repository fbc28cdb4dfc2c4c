package scale

import (
	"math"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// Size is a piece's size along the cloth. A zero length is no answer.
type Size struct {
	Width, Length float64 // inches, the shorter first
	Cut           string  // such as 2½ square; empty where it is not a rectangle
	// Trust is the probability that the piece was cut to this size: its width to
	// the cut that is named, its length within half an inch.
	Trust float64
	Notes []string
}

const (
	// leastSize is the probability below which a size is not told.
	leastSize = 0.6
	// squareShare is how many pieces are squares (of made photos; no source).
	squareShare = 0.6
	// squareWithin is the aspect up to which a piece may be a square.
	squareWithin = 1.2
	// cutLength is the share of lengths that are on the list of cuts too.
	cutLength = 0.3
	// looseTrust is the probability that the rectangle round a piece that is none
	// has the sides it was cut to.
	looseTrust = 0.8
	// An outline fills its rectangle from fillMost on where only a corner is missing;
	// at fillLeast two pieces may be run together.
	fillMost, fillLeast = 0.87, 0.78
)

// sizes measures regions in the plane of the table: between opposite sides
// where they have four corners, else as patches of another form, or by the smallest
// rectangle round them, where loose says that they lie whole and apart.
func (r *Result) sizes(regions []cloth.Region, shapes []shape, skip []bool, o *owners, trust float64, loose bool) []Size {
	out := make([]Size, len(regions))
	rectangle := make([]bool, len(regions))
	for _, s := range shapes {
		rectangle[s.region] = true
		if s.short > 0 && !math.IsInf(s.long, 0) {
			out[s.region] = r.ruler.size(s)
			out[s.region].Trust *= trust
		}
	}
	if loose {
		other := func(i int) bool { return !rectangle[i] && !skip[i] && len(regions[i].Polygon) > 2 }
		for i, g := range regions {
			if other(i) {
				out[i] = r.box(g)
				out[i].Trust *= trust * g.Trust
			}
		}
		for _, p := range r.patches(regions, o, other) {
			out[p.region] = p.say(r.ruler.marks())
			out[p.region].Trust *= trust * regions[p.region].Trust
		}
	}
	for i := range out {
		if out[i].Trust < leastSize {
			out[i] = Size{}
		}
	}
	return out
}

// box returns the size of the smallest rectangle round a region.
func (r *Result) box(g cloth.Region) Size {
	pts := g.Polygon.Map(r.table.at)
	box := geom.MinAreaRect(pts)
	a, b := sides(box)
	if a == 0 || b == 0 {
		return Size{}
	}
	fill := pts.Area() / (a * b)
	unit := r.ruler.marks()
	return Size{Width: unit.round(min(a, b) / r.ruler.unit), Length: unit.round(max(a, b) / r.ruler.unit), Trust: ramp(fill, fillMost, fillLeast, looseTrust, 0),
		Notes: []string{"not a rectangle: its size is that of the smallest rectangle round it"}}
}

// guess is what a piece may have been cut to, and how likely that is against the
// other guesses.
type guess struct{ width, length, p float64 }

// size reads a rectangle: of all that its sides may have been cut to the likeliest,
// and how likely that is.
func (r *ruler) size(q shape) Size {
	short := (q.short - r.creep*q.short/q.shortPx) / r.unit
	long := (q.long - r.creep*q.long/q.longPx) / r.unit
	es, el := q.errors()
	var may []guess
	if ratio := long / short; ratio < squareWithin {
		// One cut both ways: the mean of the sides, and how far apart they are.
		e := math.Hypot(errorOf(q.shortPx), errorOf(q.longPx))
		apart := math.Log(ratio) / e
		alike := squareShare * 2 * math.Exp(-apart*apart/2) / (e * math.Sqrt(2*math.Pi))
		for _, w := range r.widths(math.Sqrt(short*long), q.meanError()) {
			may = append(may, guess{w.width, w.width, alike * w.p})
		}
	}
	lengths := r.lengths(long, el)
	for _, w := range r.widths(short, es) {
		for _, l := range lengths {
			if l.length > w.width {
				may = append(may, guess{w.width, l.length, (1 - squareShare) * w.p * l.p})
			}
		}
	}
	best, all := guess{}, 0.0
	for _, g := range may {
		all += g.p
		if g.p > best.p {
			best = g
		}
	}
	if best.p == 0 {
		return Size{}
	}
	out := Size{Width: best.width, Length: best.length, Cut: r.marks().name(best.width, best.length, best.width == best.length)}
	for _, g := range may {
		if g.width == best.width && math.Abs(g.length-best.length) < lengthRight {
			out.Trust += g.p
		}
	}
	// What is not seen whole may have any sides, and seldom those of a cut.
	own := q.whole * q.shortOwn * q.longOwn
	out.Trust *= own / (own*all + (1-own)*2/(strayRange*strayRange))
	return out
}

// lengthRight is how far off, inches, a length may be and count as right.
const lengthRight = 0.45

// widths returns the cuts that a width of w inches, seen with a relative error e, may
// be, and what it measures to the mark of a ruler. The likelihoods are densities
// over ln w.
func (r *ruler) widths(w, e float64) []guess {
	sd := math.Hypot(e*w, ruling)
	from, to := r.seen.span(w, sd)
	out := []guess{{width: r.marks().round(w), p: stray / strayRange}}
	for c := from; c < to; c++ {
		out = append(out, guess{width: r.seen.list.cuts[c], p: (1 - stray) * w * r.seen.density(c, w, sd)})
	}
	return out
}

// lengths returns the same for the length of a rectangle: a cut, or any.
func (r *ruler) lengths(l, e float64) []guess {
	out := r.widths(l, e)
	out[0].length, out[0].p = out[0].width, (1-cutLength)/strayRange
	for i := range out[1:] {
		g := &out[1+i]
		g.length, g.p = g.width, g.p*cutLength
	}
	return out
}

// marks returns what the list is written in.
func (r *ruler) marks() unit {
	if r.seen.list == centimetreCuts {
		return byCentimetre
	}
	return unitOf(r.seen.list.cuts)
}

// unit is what a quilter cuts by: eighths of an inch, or millimetres.
type unit struct {
	step   float64 // inches
	number func(in float64) string
	suffix string
}

var (
	byInch       = unit{1. / 8, cloth.FormatInches, ""}
	byCentimetre = unit{1 / mmPerInch, centimetres, " cm"}
)

// unitOf tells metric cuts, whole millimetres that are no eighths of an inch,
// from others.
func unitOf(cuts []float64) unit {
	whole := func(v float64) bool { return math.Abs(v-math.Round(v)) < 1e-3 }
	for _, c := range cuts {
		if whole(8*c) || !whole(mmPerInch*c) {
			return byInch
		}
	}
	return byCentimetre
}

func (u unit) round(in float64) float64 { return math.Round(in/u.step) * u.step }

// name returns the cut as quilters say it: 2½ square, 1½ strip, 3½ × 6½ rectangle,
// 6 cm square.
func (u unit) name(width, length float64, square bool) string {
	switch {
	case square:
		return u.number(width) + u.suffix + " square"
	case length >= cloth.StripFrom*width:
		return u.number(width) + u.suffix + " strip"
	}
	return u.number(width) + " × " + u.number(length) + u.suffix + " rectangle"
}

// centimetres writes a length of inches in centimetres, to the millimetre.
func centimetres(in float64) string {
	return strconv.FormatFloat(math.Round(in*mmPerInch)/10, 'f', -1, 64)
}
