package recipe

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
)

// System is the lengths a quilter works in. All fields are inches.
type System struct {
	Metric bool    // write centimetres, not inches and fractions
	Seam   float64 // sewn seam allowance with its fold, above 0
	Step   float64 // cuts are rounded up to this mark of your ruler, above 0
	Trim   float64 // added to squares for triangles, to trim units down from
	Scant  bool    // the seam is sewn a thread or two under Seam, see IsScant
}

// Inches returns the quarter-inch seam and a ruler of eighths.
func Inches() System { return System{Seam: 0.25, Step: 0.125} }

// Centimetres returns a ruler of millimetres and a seam, inches.
func Centimetres(seam float64) System {
	return System{Metric: true, Seam: seam, Step: 1 / cloth.MMPerInch}
}

// MaxSeam bounds a seam allowance, inches.
const MaxSeam = 1

// ParseSeam reads a seam allowance: a length up to MaxSeam, or "scant". A scant
// seam is sewn a thread or two under ¼, and the fold of the pressed seam takes
// those threads back (practice of teachers; common practice), so cuts are the
// same as for ¼.
//
// bare is the unit of a number that names none, but a fraction is in inches: ¼ is the name
// of a seam, and nobody measures one in quarters of a centimetre.
func ParseSeam(text string, bare cloth.Unit) (float64, error) {
	if IsScant(text) {
		return 0.25, nil
	}
	if strings.ContainsAny(text, "/⁄⅛¼⅜½⅝¾⅞") {
		bare = cloth.Inches
	}
	in, err := cloth.ParseLengths([]string{text}, bare)
	if errors.Is(err, cloth.ErrUnit) {
		return 0, err
	}
	if err != nil || in[0] > MaxSeam {
		return 0, fmt.Errorf("%q is not a seam allowance: write ¼, scant, 6.5mm or 7.5mm", text)
	}
	return in[0], nil
}

// IsScant reports whether a seam allowance is given as "scant".
func IsScant(text string) bool { return strings.TrimSpace(strings.ToLower(text)) == "scant" }

// SeamWords returns the seam allowance as it is spoken of: "¼", "a scant ¼".
func (s System) SeamWords() string {
	if s.Scant {
		return "a scant " + s.Format(s.Seam)
	}
	return s.Format(s.Seam)
}

// slack is the share of a ruler's mark by which a length may miss it through
// rounding of the arithmetic, and still lie on it.
const slack = 1e-6

// roundUp returns the least whole number of steps that reaches v.
func roundUp(v, step float64) float64 { return math.Ceil(v/step-slack) * step }

// Up rounds a length up to a mark of the ruler.
func (s System) Up(in float64) float64 { return roundUp(in, s.Step) }

// Nearest rounds a length to the nearest eighth of an inch, or millimetre: a
// finished size, which nothing is cut to.
func (s System) Nearest(in float64) float64 {
	step := 0.125
	if s.Metric {
		step = 1 / cloth.MMPerInch
	}
	return math.Round(in/step) * step
}

// Format writes a length of 0 or more: inches in eighths where it lies on one,
// else to a thousandth; or centimetres with their unit, to a tenth where it lies
// on one, else to a hundredth.
func (s System) Format(in float64) string {
	if s.Metric {
		mm := in * cloth.MMPerInch
		digits := 2
		if math.Abs(mm-math.Round(mm)) < 1e-4 {
			digits = 1
		}
		return trimZeros(strconv.FormatFloat(mm/10, 'f', digits, 64)) + " cm"
	}
	if math.Abs(in*8-math.Round(in*8)) < 1e-4 {
		return cloth.FormatInches(in)
	}
	return trimZeros(strconv.FormatFloat(in, 'f', 3, 64))
}

// Area writes square inches, or square centimetres.
func (s System) Area(in2 float64) string {
	if s.Metric {
		return trimZeros(strconv.FormatFloat(in2*cloth.MMPerInch*cloth.MMPerInch/100, 'f', 1, 64)) + " sq cm"
	}
	return decimals(in2) + " sq in"
}

// trimZeros removes the zeros from the end of a decimal.
func trimZeros(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// Multiples of the seam allowance that a cut adds to its finished size, from the
// geometry of a right triangle with an allowance on every side.
const (
	straightSeams = 2                // squares, rectangles, strips
	halfSeams     = 2 + math.Sqrt2   // legs of a triangle on the grain: 3.414
	quarterSeams  = 2 + 2*math.Sqrt2 // its long side on the grain: 4.828
)

// Plain returns what to cut for a finished length between two straight seams.
func (s System) Plain(finished float64) (float64, Why) {
	cut := s.Up(finished + straightSeams*s.Seam)
	text := fmt.Sprintf("%s finished + 2 seams of %s = %s", s.Format(finished), s.Format(s.Seam), s.sum(finished+straightSeams*s.Seam, cut))
	return cut, Why{Text: text}
}

// Half returns the square for triangles whose short sides finish at a length: it is
// cut once diagonally.
func (s System) Half(finished float64) (float64, Why) {
	return s.triangle(finished, halfSeams, "short side")
}

// Quarter returns the square for triangles whose long side finishes at a length: it is
// cut twice diagonally.
func (s System) Quarter(finished float64) (float64, Why) {
	return s.triangle(finished, quarterSeams, "long side")
}

// triangle adds the seams rounded up first, as the trade's ⅞ and 1¼ are, and
// rounds the sum up again; centimetres have no such customs and are rounded once.
func (s System) triangle(finished, seams float64, side string) (float64, Why) {
	add := s.seamsOf(seams)
	cut := s.Up(finished + add + s.Trim)
	w := Why{Text: fmt.Sprintf("%s finished %s + %s", s.Format(finished), side, s.Format(add))}
	if s.Trim > 0 {
		w.Text += fmt.Sprintf(" + %s to trim", s.Format(s.Trim))
	}
	w.Text += " = " + s.sum(finished+add+s.Trim, cut)
	w.Steps = []Why{{Text: fmt.Sprintf("%s seam × %.3f = %s", s.Format(s.Seam), seams, s.sum(seams*s.Seam, add))}}
	return cut, w
}

func (s System) seamsOf(seams float64) float64 {
	if s.Metric {
		return seams * s.Seam
	}
	return s.Up(seams * s.Seam)
}

// halfRectangle returns the rectangle for the two triangles of a finished one, inches: it is
// cut once diagonally. The triangle with an allowance on every side has the shape of the
// finished one; its side along w is longer by
//
//	seam × (1 + (w + √(w² + h²)) ÷ h)
//
// by plane geometry: the slanted side, moved out by a seam, meets the long allowances
// that far beyond the finished corner. The cut rectangle's diagonal therefore does not
// run through the corners of the sewn seam. Where w = h this is Half.
func (s System) halfRectangle(w, h float64) (cw, ch float64, _ []Why) {
	diagonal := math.Hypot(w, h)
	side := func(a, b float64) (float64, Why) {
		seams := 1 + (a+diagonal)/b
		raw := a + seams*s.Seam + s.Trim
		cut := s.Up(raw)
		why := Why{Text: fmt.Sprintf("%s finished + %s seam × %.3f", s.Format(a), s.Format(s.Seam), seams)}
		if s.Trim > 0 {
			why.Text += fmt.Sprintf(" + %s to trim", s.Format(s.Trim))
		}
		why.Text += " = " + s.sum(raw, cut)
		why.Steps = []Why{{Text: fmt.Sprintf("1 + (%s + %s) ÷ %s = %.3f seams; the diagonal is %s", s.Format(a), s.Format(diagonal), s.Format(b), seams, s.Format(diagonal))}}
		return cut, why
	}
	cw, whyW := side(w, h)
	ch, whyH := side(h, w)
	return cw, ch, []Why{whyW, whyH}
}

// eightHalves returns the square for eight half-square triangles: two triangles'
// squares wide.
func (s System) eightHalves(finished float64) (float64, Why) {
	one, why := s.Half(finished)
	return 2 * one, Why{Text: fmt.Sprintf("2 × %s = %s", s.Format(one), s.Format(2*one)), Steps: []Why{why}}
}

// sum writes a sum, and what it is rounded up to where that is more.
func (s System) sum(raw, up float64) string {
	if math.Abs(up-raw) < s.Step*1e-3 {
		return s.Format(up)
	}
	return s.Format(raw) + ", up to " + s.Format(up)
}

// SecondSeam returns the side of the half-square triangle, before it is trimmed, that a
// flipped corner of a cut size gives when a second seam is sewn two seams outside the first
// and the corner is cut between them: the corner less four seams. 0: too small to be worth
// sewing.
func (s System) SecondSeam(corner float64) float64 {
	side := corner - 4*s.Seam
	if side < 4*s.Seam-slack {
		return 0
	}
	return side
}

// paperDiagonal is √2 as it is taken on paper.
const paperDiagonal = 1.414

// SideTriangle returns the square for the side triangles of blocks on point: cut twice
// diagonally it gives four.
func (s System) SideTriangle(block float64) (float64, Why) {
	// The trade's charts take 1.414 for √2, which 1¼ for 1.207 more than makes up;
	// where a seam's rounding does not, the exact diagonal counts.
	add := s.seamsOf(quarterSeams)
	cut, w := s.Quarter(max(block*paperDiagonal, block*math.Sqrt2+quarterSeams*s.Seam-add))
	w.Steps = append([]Why{{Text: fmt.Sprintf("diagonal of the block: %s × 1.414 = %s", s.Format(block), s.Format(block*paperDiagonal))}}, w.Steps...)
	return cut, w
}

// CornerTriangle returns the square for the corner triangles of blocks on point: cut
// once diagonally it gives two.
func (s System) CornerTriangle(block float64) (float64, Why) {
	cut, w := s.Half(block / math.Sqrt2)
	w.Steps = append([]Why{{Text: fmt.Sprintf("half the diagonal of the block: %s ÷ 1.414 = %s", s.Format(block), s.Format(block/math.Sqrt2))}}, w.Steps...)
	return cut, w
}

// decimals writes a number to two places at most.
func decimals(v float64) string { return trimZeros(strconv.FormatFloat(v, 'f', 2, 64)) }
