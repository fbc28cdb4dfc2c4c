package cloth

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// MMPerInch is exact: the international inch of 1959 (NIST Handbook 44,
// appendix C).
const MMPerInch = 25.4

// eighths holds the fraction characters by their numerator over 8.
var eighths = [8]string{"", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"}

// FormatInches writes a length of 0 or more inches as quilters do, to the
// nearest eighth, the mark on a quilting ruler: 2½, 11, ¾. The unit is left
// to the reader; a length under 1/16 is written 0.
func FormatInches(in float64) string {
	n := int(math.Round(in * 8))
	if whole := n / 8; whole > 0 || n == 0 {
		return strconv.Itoa(whole) + eighths[n%8]
	}
	return eighths[n%8]
}

// Unit is what a length is in that names no unit.
type Unit string

// The units of a length that names none. Millimetres are always named. Where its
// unit is Unsaid, a length that names none is refused.
const (
	Inches      Unit = "in"
	Centimetres Unit = "cm"
	Unsaid      Unit = ""
)

// ErrUnit says that a length names no unit, where it may be in inches or in
// centimetres.
var ErrUnit = errors.New("it names no unit")

// lengthText takes a whole number with a fraction, a fraction or a decimal, then
// a unit. A fraction is under one: 31/2 is a slip for 3 1/2. At most four digits before and after the point: no cut, roll or quilt
// is longer than 9999 of any unit.
const lengthText = `(?:` +
	`(?:(\d{1,4})(?:\s+|\s*-\s*))?(\d{1,3})\s*[/⁄]\s*(\d{1,3})` + // 1, 2, 3: n a/b
	`|(\d{1,4})?\s*([⅛¼⅜½⅝¾⅞])` + // 4, 5: n½
	`|(\d{0,4}[.,]\d{1,4}|\d{1,4})` + // 6: decimal
	`)(?:[\s-]*(` + unitMarks + `|` + unitWords + `))?` // 7

// The units of a length: marks, which may stand against what follows, and words.
const (
	unitMarks = `"|″|”|''`
	unitWords = `inches|inch|in\.|in|mm|cm|` + longUnits + `|yds?|m`
)

// longUnits are those that may be written with a word for the number: half a yard.
const longUnits = `yards?|metres?|meters?`

// wordText is such a length.
const wordText = `(?:(?:an?|one)\s+)?(?:(whole|half|quarter|eighth|three[\s-]quarters?)[\s-]+(?:of\s+)?(?:an?\s+)?)?(` + longUnits + `)`

var (
	lengthForm = regexp.MustCompile(`^` + lengthText + `$`)
	wordForm   = regexp.MustCompile(`^` + wordText + `$`)
	widthForm  = regexp.MustCompile(`^` + widthText + `$`)
	crossForm  = regexp.MustCompile(crossText)
	metricForm = regexp.MustCompile(`(?i)[\d⅛¼⅜½⅝¾⅞][\s-]*(?:mm|cm|m\b)|\bmet(?:re|er)s?\b`)
)

// parts are the words for parts of a yard or a metre.
var parts = map[string]float64{"": 1, "whole": 1, "half": 0.5, "quarter": 0.25, "eighth": 0.125, "three": 0.75}

// crossText stands between the two sides of a size.
const crossText = `\s*(?:[x×*]|by)\s*`

// ParseLength reads a length as quilters write it and gives inches, above 0:
// 2½, 2 1/2, 2-1/2, 2.5, 2,5, ½, with no unit or one of ", ″, in, inch,
// inches, cm, mm, yd, yard, m and metre; half a yard; width of fabric, which is
// UsableWidth. The error names the text and the forms that are read.
func ParseLength(s string) (float64, error) {
	in, err := ParseLengths([]string{s}, Inches)
	if err != nil {
		return 0, err
	}
	return in[0], nil
}

// ParseLengths reads lengths that are written together, such as the sides of a piece or a
// list of sizes, and gives inches. One that names no unit is in that of the next that does,
// else of the last that did: 150x200cm is in centimetres both ways. bare is the unit of
// numbers where none names one.
func ParseLengths(texts []string, bare Unit) ([]float64, error) {
	type number struct {
		value float64
		unit  Unit
	}
	all := make([]number, len(texts))
	said := bare
	for i, s := range texts {
		v, unit, err := parseNumber(s)
		if err != nil {
			return nil, err
		}
		all[i] = number{v, unit}
		if unit != "" {
			said = unit
		}
	}
	out := make([]float64, len(all))
	for i := len(all) - 1; i >= 0; i-- {
		if all[i].unit != "" {
			said = all[i].unit
		}
		out[i] = all[i].value
		switch said {
		case Unsaid:
			return nil, fmt.Errorf("%q: %w", texts[i], ErrUnit)
		case "mm":
			out[i] /= MMPerInch
		case Centimetres:
			out[i] /= MMPerInch / 10
		}
	}
	return out, nil
}

// parseNumber reads a length as it stands: a number above 0, and "in", "cm",
// "mm" or, where it names none, "". Yards are given as inches, metres as centimetres.
func parseNumber(s string) (float64, Unit, error) {
	text := strings.ToLower(strings.TrimSpace(s))
	if widthForm.MatchString(text) {
		return UsableWidth, Inches, nil
	}
	if m := wordForm.FindStringSubmatch(text); m != nil {
		word, _, _ := strings.Cut(strings.ReplaceAll(m[1], "-", " "), " ")
		return long(parts[word], m[2])
	}
	m := lengthForm.FindStringSubmatch(text)
	if m == nil {
		return 0, "", lengthError(s)
	}
	number := func(digits string) float64 { // the form lets only digits and one point pass
		v, _ := strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
		return v
	}
	var v float64
	switch {
	case m[6] != "":
		v = number(m[6])
	case m[5] != "":
		v = number(m[4])
		for i, c := range eighths {
			if c == m[5] {
				v += float64(i) / 8
			}
		}
	default:
		part := number(m[2]) / number(m[3])
		if !(part < 1) {
			return 0, "", lengthError(s)
		}
		v = number(m[1]) + part
	}
	if !(v > 0) {
		return 0, "", lengthError(s)
	}
	return long(v, m[7])
}

// long returns a length in a unit as it was written.
func long(v float64, unit string) (float64, Unit, error) {
	switch {
	case unit == "", unit == "mm", unit == "cm":
		return v, Unit(unit), nil
	case unit[0] == 'y':
		return v * yardIn, Inches, nil
	case unit[0] == 'm':
		return v * 100, Centimetres, nil
	}
	return v, Inches, nil
}

// yardIn is a yard in inches.
const yardIn = 36

// ParseSides reads a size of one side or more, with x, ×, * or by between, as
// ParseLengths does.
func ParseSides(s string, bare Unit) ([]float64, error) {
	return ParseLengths(crossForm.Split(strings.ToLower(strings.TrimSpace(s)), -1), bare)
}

// IsMetric reports whether a text of lengths names centimetres or millimetres.
func IsMetric(s string) bool { return metricForm.MatchString(s) }

func lengthError(s string) error {
	return fmt.Errorf("%q is not a length: write it as 2½, 2 1/2, 2.5 or 6cm", s)
}
