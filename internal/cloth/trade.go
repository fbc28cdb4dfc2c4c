package cloth

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// UsableWidth is how wide cloth in hand counts where only a word of the trade says so,
// inches: bolts of 44 inches have 40 to 42 without their selvages, and 42 is what patterns cut
// from. Measured cloth is entered by its size.
const UsableWidth = 42

// usableCm is the same of cloth that is sold by the metre, 110 cm wide.
const usableCm = 106

// Trade is cloth by a word of the trade.
type Trade struct {
	Name        string // in the singular
	Form        Form
	Width, Long float64 // inches
	Metric      bool    // sold by the metre
	Why         string  // how it comes to that size; empty where the name says it
}

const cmIn = 10 / MMPerInch

// trades are the words that name a size. A fat quarter is half a yard cut down the
// middle: 18 × 21 of cloth with 42 usable inches, as patterns cut it; charts
// that give 18 × 22 count the whole 44. The smaller is taken, so that what is counted
// can be cut. Fat eighths halve it the short way (common practice, no source). Precut
// squares of 5 inches measured 4¾ to 5⅛.
var trades = []Trade{
	{"fat quarter", Rectangle, 18, UsableWidth / 2, false, "half a yard, cut down the middle of 42 usable inches"},
	{"fat eighth", Rectangle, 9, UsableWidth / 2, false, "half a fat quarter: a quarter of a yard, cut down the middle of 42 usable inches"},
	{"long quarter", Rectangle, 9, UsableWidth, false, "a quarter of a yard across 42 usable inches"},
	{"long eighth", Rectangle, 4.5, UsableWidth, false, "an eighth of a yard across 42 usable inches"},
	{"fat quarter", Rectangle, 50 * cmIn, usableCm / 2 * cmIn, true, "half a metre, cut down the middle of 106 usable centimetres"},
	{"fat eighth", Rectangle, 25 * cmIn, usableCm / 2 * cmIn, true, "a quarter of a metre, cut down the middle of 106 usable centimetres"},
	{"charm square", Square, 5, 5, false, ""},
}

// alsoCalled are other words for some of them.
var alsoCalled = map[string]string{"fq": "fat quarter", "fat 8th": "fat eighth", "charm": "charm square", "skinny quarter": "long quarter"}

// TradeOf returns cloth by its word in the singular, sold by the metre or not; it must be one
// that there is.
func TradeOf(name string, metric bool) Trade {
	if i := slices.IndexFunc(trades, func(t Trade) bool { return t.Name == name && t.Metric == metric }); i >= 0 {
		return trades[i]
	}
	return Trade{}
}

// Size returns its two sides with their unit: "18 × 21 inches", "50 × 53 cm".
func (t Trade) Size() string {
	if t.Metric {
		return fmt.Sprintf("%.0f × %.0f cm", t.Width/cmIn, t.Long/cmIn)
	}
	return FormatInches(t.Width) + " × " + FormatInches(t.Long) + " inches"
}

// Described is cloth as it was described in words.
type Described struct {
	Count             int     // pieces alike; 0: not said
	Form              Form    // empty: not said
	WidthIn, LengthIn float64 // 0: not said; of a square both
	// As is how a word of the trade is counted: "a fat quarter is counted as 18 × 21
	// inches: …"; empty where the size itself was said.
	As      string
	counted bool // the count stands before "of" or a word, where it cannot be a side
}

// numbers are those that people write as words, from 2.
var numbers = []string{"two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// NumberWord writes a number in words up to twelve, a larger one in digits.
func NumberWord(n int) string {
	switch {
	case n == 1:
		return "one"
	case n >= 2 && n-2 < len(numbers):
		return numbers[n-2]
	}
	return strconv.Itoa(n)
}

const widthText = `(?:wof|width[\s-]of[\s-]fabric|full[\s-]width)`

var (
	countForm  = regexp.MustCompile(`^(\d{1,7}|an?|one)\s+(of\s+)?(.*)$`)
	sideGoesOn = regexp.MustCompile(`^(?:[x×*]|by\b|\d{1,3}\s*[/⁄]|[⅛¼⅜½⅝¾⅞]|` + unitMarks + `|(?:` + unitWords + `)(?:$|[\s,x×*]))`)
	precutForm = regexp.MustCompile(`\bpre-?cuts?\b`)
	acrossForm = regexp.MustCompile(`\b` + widthText + `\b`)
	formForm   = regexp.MustCompile(`\b(?:squares?|strips?|rectangles?|charms?|odd(?: pieces?)?|irregular|bands?|weighed)\b`)
	longForm   = regexp.MustCompile(`\b(?:` + longUnits + `|yds?)$|\dm$|\d\s+m$|[⅛¼⅜½⅝¾⅞]\s*m$`)
	blanks     = regexp.MustCompile(`[\s]+`)
)

// ParseSaid reads cloth as it is said in words: 12; 2½; 12 squares 2½; strip 2½ x 18;
// 40 precut 2½-inch strips; 3 fat quarters; half a yard; 2 of ½ yard; 5-inch squares;
// strip 2½ x width of fabric. A length in yards or metres alone is a piece across the
// width of fabric. What names no unit is in the unit bare. The error is that of a size.
func ParseSaid(text string, bare Unit) (Described, error) {
	rest := blanks.ReplaceAllString(strings.ToLower(strings.TrimSpace(text)), " ")
	var out Described
	first, others, _ := strings.Cut(rest, " ")
	if i := slices.Index(numbers, first); i >= 0 {
		rest = strings.TrimSpace(fmt.Sprint(2+i, " ", others))
	}
	if err := partOf(rest, bare); err != nil {
		return out, err
	}
	if m := countForm.FindStringSubmatch(rest); m != nil {
		n, err := strconv.Atoi(m[1])
		if err != nil { // a word
			n = 1
		}
		if m[2] != "" || err == nil && !sideGoesOn.MatchString(m[3]) || err != nil && !wordForm.MatchString(rest) {
			out.Count, rest = n, m[3]
			out.counted = m[2] != "" || !strings.ContainsAny(m[3][:1], "0123456789⅛¼⅜½⅝¾⅞.")
			if n == 0 {
				return out, errNone
			}
		}
	} else if n, err := strconv.Atoi(rest); err == nil && n > 0 {
		return Described{Count: n}, nil
	}
	if t, ok := tradeNamed(rest, bare); ok {
		out.Form, out.WidthIn, out.LengthIn, out.counted = t.Form, t.Width, t.Long, true
		if t.Why != "" {
			out.As = "a " + t.Name + " is counted as " + t.Size() + ": " + t.Why
		}
		return out, nil
	}
	precut := precutForm.MatchString(rest)
	rest = precutForm.ReplaceAllString(rest, " ")
	if word := formForm.FindString(rest); word != "" {
		out.Form, _ = ReadForm(word)
		out.counted = true // "4 5-inch squares": what stands before a size with its form counts it
		rest = formForm.ReplaceAllString(rest, " ")
	}
	rest = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(rest), "of "))
	across := precut && out.Form == Strip
	if !crossForm.MatchString(rest) && acrossForm.MatchString(rest) {
		across, rest = true, strings.TrimSpace(acrossForm.ReplaceAllString(rest, " "))
	}
	if rest == "" {
		if out.Form == "" {
			return out, lengthError(text)
		}
		return out, nil
	}
	sides, err := ParseSides(rest, bare)
	switch {
	case err != nil:
		return out, err
	case len(sides) > 2:
		return out, lengthError(text)
	case len(sides) == 2:
		out.WidthIn, out.LengthIn = sides[0], sides[1]
		if acrossForm.MatchString(rest) {
			out.As = widthAs
		}
	case longForm.MatchString(rest) && !across:
		out.Form, out.WidthIn, out.LengthIn, out.counted = Rectangle, sides[0], UsableWidth, true
		out.As = widthAs
		if IsMetric(rest) {
			out.LengthIn, out.As = usableCm*cmIn, "the width of fabric is counted as 106 cm, without its selvages"
		}
	case across:
		out.Form, out.WidthIn, out.LengthIn, out.As = Strip, sides[0], UsableWidth, widthAs
	default:
		out.WidthIn = sides[0]
		if out.Form == Square {
			out.LengthIn = sides[0]
		}
	}
	return out, nil
}

// ParseSized is ParseSaid of one piece: a number alone is its size.
func ParseSized(text string, bare Unit) (Described, error) {
	if sides, err := ParseSides(text, bare); err == nil && len(sides) == 1 && !longForm.MatchString(strings.ToLower(strings.TrimSpace(text))) {
		return Described{WidthIn: sides[0]}, nil
	}
	return ParseSaid(text, bare)
}

// ErrCount is the kind of what counts no whole pieces.
var ErrCount = errors.New("say how many, a whole number from 1")

var errNone = fmt.Errorf("this is none: %w", ErrCount)

// partForm is what says how many where it is no whole number: 1½, 3/2, 2.5.
var partForm = regexp.MustCompile(`^((?:\d+[\s-]+)?\d+\s*[/⁄]\s*\d+|\d*\s*[⅛¼⅜½⅝¾⅞]|\d*[.,]\d+)\s+(.+)$`)

// partOf is the error of part of a word of the trade, nil of what is none.
func partOf(text string, bare Unit) error {
	m := partForm.FindStringSubmatch(text)
	if m == nil {
		return nil
	}
	t, ok := tradeNamed(m[2], bare)
	if !ok {
		return nil
	}
	return fmt.Errorf("%s is no whole number of pieces, and a %s is counted whole: %w", m[1], t.Name, ErrCount)
}

// ErrSizes is what ParseSizes gives of what is no size of two sides.
var ErrSizes = errors.New("no width and length")

const widthAs = "the width of fabric is counted as 42 inches, without its selvages"

// tradeNamed returns the cloth that a word names, in the plural too.
func tradeNamed(words string, bare Unit) (Trade, bool) {
	words = strings.ReplaceAll(words, "-", " ")
	words = strings.TrimPrefix(words, "precut ")
	name := strings.TrimSuffix(words, "s")
	if full, ok := alsoCalled[name]; ok {
		name = full
	}
	name = strings.TrimSuffix(strings.TrimSuffix(name, " of a metre"), " metre")
	cut, said := strings.CutPrefix(name, "metric ")
	metric := said || bare == Centimetres || strings.Contains(words, "metre")
	for _, t := range []Trade{TradeOf(cut, metric), TradeOf(name, false)} { // a charm square is sold in inches alone
		if t.Name != "" {
			return t, true
		}
	}
	return Trade{}, false
}

// formWords are the forms as people call them, in the singular.
var formWords = map[string]Form{
	"square": Square, "charm": Square, "rectangle": Rectangle, "strip": Strip, "odd": Irregular, "odd piece": Irregular,
	"irregular": Irregular, "band": Band, "weighed": Weighed,
}

// ReadForm reads a form as people call it, in the plural too.
func ReadForm(word string) (Form, bool) {
	f, ok := formWords[strings.TrimSuffix(strings.ToLower(strings.TrimSpace(word)), "s")]
	return f, ok
}

const (
	mostSizeWords = 9   // that one size is made of
	mostAlike     = 200 // sizes said at once
)

// ParseSizes reads sizes of two sides, one after another: 11x42 7½ x 9, 2 fat quarters,
// half a yard, 3 of 7½x9. As many are given as are said. Where no further size begins the
// error is ErrSizes and names what is left.
func ParseSizes(text string, bare Unit) (sizes [][2]float64, as []string, err error) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' || r == '\t' || r == '\n' })
	for len(words) > 0 {
		took, noLength := 0, false
		for n := min(mostSizeWords, len(words)); n > 0 && took == 0; n-- {
			said, e := ParseSaid(strings.Join(words[:n], " "), bare)
			if errors.Is(e, ErrUnit) || errors.Is(e, ErrCount) {
				err = e
			}
			noLength = noLength || e == nil && said.Form != "" && said.WidthIn > 0 && said.LengthIn == 0
			if e != nil || said.LengthIn == 0 || said.Count > 0 && !said.counted {
				continue
			}
			took = n
			if said.Count > mostAlike {
				return nil, nil, fmt.Errorf("%d is more than %d alike", said.Count, mostAlike)
			}
			for range max(1, said.Count) {
				sizes = append(sizes, [2]float64{said.WidthIn, said.LengthIn})
			}
			if said.As != "" && !slices.Contains(as, said.As) {
				as = append(as, said.As)
			}
		}
		if took == 0 && err != nil {
			return nil, nil, err
		}
		if took == 0 && noLength {
			return nil, nil, errors.New("their length is missing")
		}
		if took == 0 {
			return nil, nil, fmt.Errorf("%q is %w", strings.Join(words, " "), ErrSizes)
		}
		words = words[took:]
	}
	return sizes, as, nil
}
