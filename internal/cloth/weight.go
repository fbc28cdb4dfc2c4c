package cloth

import (
	"errors"
	"regexp"
	"strconv"
	"strings"
)

// Grams to the ounce and the pound are exact: NIST Handbook 44, appendix C.
var weightUnits = []struct {
	name  string
	grams float64
}{{"kg", 1000}, {"oz", 28.349523125}, {"lb", 453.59237}, {"g", 1}}

// thousands takes 1,200g, which is read as 1.2 g where a comma is a decimal's.
var thousands = regexp.MustCompile(`\d,\d{3}\D`)

// The errors of ParseWeight.
var (
	ErrWeight    = errors.New("this is not a weight")
	ErrThousands = errors.New("a comma before three digits may part thousands")
)

// mostGrams bounds a weight: no stash weighs a ton.
const mostGrams = 1e6

// ParseWeight reads a weight above 0 with its unit, such as 350g, 1.2 kg, 12oz or 2lb,
// in grams; a comma is a decimal's.
func ParseWeight(s string) (grams float64, err error) {
	text := strings.ToLower(strings.TrimSpace(s))
	if thousands.MatchString(text) {
		return 0, ErrThousands
	}
	text = strings.ReplaceAll(text, ",", ".")
	for _, u := range weightUnits {
		digits, ok := strings.CutSuffix(text, u.name)
		if !ok {
			continue
		}
		n, err := strconv.ParseFloat(strings.TrimSpace(digits), 64)
		if err == nil && n > 0 && n*u.grams <= mostGrams {
			return n * u.grams, nil
		}
		break
	}
	return 0, ErrWeight
}
