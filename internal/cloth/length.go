package cloth

import (
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

// lengthForm takes a decimal, a fraction or a whole number with a fraction,
// then a unit. At most four digits before and after the point: no cut, roll
// or quilt is longer than 9999 of any unit.
var lengthForm = regexp.MustCompile(`^(?:` +
	`(\d{0,4}[.,]\d{1,4}|\d{1,4})` + // 1: decimal
	`|(?:(\d{1,4})(?:\s+|\s*-\s*))?(\d{1,3})\s*[/⁄]\s*(\d{1,3})` + // 2, 3, 4: n a/b
	`|(\d{1,4})?\s*([⅛¼⅜½⅝¾⅞])` + // 5, 6: n½
	`)\s*(|"|″|”|''|in|in\.|inch|inches|mm|cm)$`) // 7

// ParseLength reads a length as quilters write it and gives inches, above 0:
// 2½, 2 1/2, 2-1/2, 2.5, 2,5, ½, with no unit or one of ", ″, in, inch,
// inches, cm and mm. The error names the text and the forms that are read.
func ParseLength(s string) (float64, error) {
	m := lengthForm.FindStringSubmatch(strings.ToLower(strings.TrimSpace(s)))
	if m == nil {
		return 0, lengthError(s)
	}
	number := func(digits string) float64 { // the form lets only digits and one point pass
		v, _ := strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
		return v
	}
	v := 0.0
	switch {
	case m[1] != "":
		v = number(m[1])
	case m[6] != "":
		v = number(m[5])
		for i, c := range eighths {
			if c == m[6] {
				v += float64(i) / 8
			}
		}
	default:
		v = number(m[2]) + number(m[3])/number(m[4])
	}
	switch m[7] {
	case "mm":
		v /= MMPerInch
	case "cm":
		v /= MMPerInch / 10
	}
	if !(v > 0) || math.IsInf(v, 0) {
		return 0, lengthError(s)
	}
	return v, nil
}

func lengthError(s string) error {
	return fmt.Errorf("%q is not a length: write it as 2½, 2 1/2, 2.5 or 6cm", s)
}
