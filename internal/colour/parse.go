package colour

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/lucasb-eyer/go-colorful"

	"piecebag/internal/fault"
)

const writeAs = "write it like #7a9bb5, rgb(122 155 181), lab(62% -8 -17), oklch(0.68 0.05 244) or 5PB 6/4"

// ParseColour reads a colour as hex (#7ab, #7a9bb5, with or without the #), as
// CSS Color 4 rgb(), lab(), lch(), oklab() or oklch(), or as Munsell notation
// (5P 4.6/6, N 5/). CSS lab() and lch() are relative to D50. What lies outside
// sRGB is kept. The error is a *fault.Error.
func ParseColour(text string) (Linear, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	var c Linear
	var refusal *fault.Error
	switch {
	case s == "":
		refusal = refuse("it is empty", writeAs)
	case strings.HasSuffix(s, ")"):
		c, refusal = parseFunction(s)
	case strings.Contains(s, "/") || strings.Trim(s, "n 0123456789.") == "" && s[0] == 'n':
		var m Munsell
		m, refusal = parseMunsell(s)
		c = m.Linear()
	default:
		c, refusal = parseHex(s)
	}
	if refusal == nil && !(math.Abs(c[0]) <= 100 && math.Abs(c[1]) <= 100 && math.Abs(c[2]) <= 100) {
		refusal = refuse("no light has a colour so strong", writeAs)
	}
	if refusal != nil {
		return Linear{}, refusal.Named(notColour(text))
	}
	return c, nil
}

func refuse(why, remedy string) *fault.Error { return fault.New("", why, remedy) }

func notColour(text string) string { return fmt.Sprintf("%q is not a colour", text) }

func parseHex(s string) (Linear, *fault.Error) {
	const sixDigits = "write three or six digits from 0-9 and a-f, like #7ab or #7a9bb5"
	digits, marked := strings.CutPrefix(s, "#")
	if strings.Trim(digits, "0123456789abcdef") != "" {
		if marked {
			return Linear{}, refuse("not all of it are hex digits", sixDigits)
		}
		return Linear{}, refuse("this way of writing a colour is not known", writeAs)
	}
	switch len(digits) {
	case 3, 6:
	case 4, 8:
		return Linear{}, refuse("it has a transparency, and cloth has none", "leave its last digits off")
	default:
		return Linear{}, refuse(fmt.Sprintf("it has %d hex digits", len(digits)), sixDigits)
	}
	c, err := colorful.Hex("#" + digits)
	if err != nil {
		return Linear{}, refuse("not all of it are hex digits", sixDigits)
	}
	return SRGB{c.R, c.G, c.B}.Linear(), nil
}

// function is a CSS colour function: what 100 % is in each of its numbers (0 for
// a hue, which takes no percentage), the way to linear light, and an example.
type function struct {
	whole  [3]float64
	linear func(v [3]float64) Linear
	like   string
}

// functions has the scales and clamps of CSS Color 4: §5.1 rgb(), §9.3 lab(),
// §9.4 lch(), §9.6 oklab(), §9.7 oklch().
var functions = map[string]function{
	"rgb": {[3]float64{255, 255, 255}, func(v [3]float64) Linear {
		return SRGB{clamp(v[0]/255, 1), clamp(v[1]/255, 1), clamp(v[2]/255, 1)}.Linear()
	}, "rgb(122 155 181)"},
	"lab": {[3]float64{100, 125, 125}, func(v [3]float64) Linear {
		return LabD50{clamp(v[0], 100), v[1], v[2]}.XYZ().Linear()
	}, "lab(62% -8 -17)"},
	"lch": {[3]float64{100, 150, 0}, func(v [3]float64) Linear {
		a, b := cartesian(max(0, v[1]), v[2])
		return LabD50{clamp(v[0], 100), a, b}.XYZ().Linear()
	}, "lch(62% 19 245)"},
	"oklab": {[3]float64{1, 0.4, 0.4}, func(v [3]float64) Linear {
		return OKLab{clamp(v[0], 1), v[1], v[2]}.Linear()
	}, "oklab(0.68 -0.02 -0.04)"},
	"oklch": {[3]float64{1, 0.4, 0}, func(v [3]float64) Linear {
		return OKLCh{clamp(v[0], 1), max(0, v[1]), v[2]}.OKLab().Linear()
	}, "oklch(0.68 0.05 244)"},
}

func clamp(v, top float64) float64 { return min(top, max(0, v)) }

// parseFunction reads "name(a b c)", also with commas between the numbers and
// with an opaque alpha at the end.
func parseFunction(s string) (Linear, *fault.Error) {
	name, inside, _ := strings.Cut(strings.TrimSuffix(s, ")"), "(")
	if name == "rgba" {
		name = "rgb"
	}
	f, known := functions[name]
	if !known {
		return Linear{}, refuse(fmt.Sprintf("%s() is not a known way of writing a colour", name), writeAs)
	}
	list, alpha, hasAlpha := strings.Cut(inside, "/")
	numbers := strings.Fields(strings.ReplaceAll(list, ",", " "))
	if len(numbers) == 4 && !hasAlpha && name == "rgb" {
		alpha, hasAlpha, numbers = numbers[3], true, numbers[:3]
	}
	if len(numbers) != 3 {
		return Linear{}, refuse(fmt.Sprintf("%s() has %d numbers", name, len(numbers)), "give it three, like "+f.like)
	}
	if hasAlpha {
		if a, ok := parseNumber(strings.TrimSpace(alpha), 1); !ok || a < 1 {
			return Linear{}, refuse("it has a transparency, and cloth has none", "leave the last number off, like "+f.like)
		}
	}
	var v [3]float64
	for i, n := range numbers {
		var ok bool
		if f.whole[i] == 0 {
			v[i], ok = parseAngle(n)
		} else {
			v[i], ok = parseNumber(n, f.whole[i])
		}
		if !ok {
			return Linear{}, refuse(fmt.Sprintf("%q is not a number that %s() takes there", n, name), "write it like "+f.like)
		}
	}
	return f.linear(v), nil
}

// parseNumber reads a CSS number, a percentage of whole, or none, which is 0.
func parseNumber(s string, whole float64) (float64, bool) {
	if s == "none" {
		return 0, true
	}
	if digits, ok := strings.CutSuffix(s, "%"); ok {
		v, ok := parsePlain(digits)
		return v * whole / 100, ok
	}
	return parsePlain(s)
}

// parsePlain reads a decimal number; ParseFloat alone would take hex and inf.
func parsePlain(s string) (float64, bool) {
	if strings.Trim(s, "+-.e0123456789") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// angleUnits are the units of a CSS angle in degrees; grad before rad, which it
// ends in.
var angleUnits = []struct {
	name    string
	degrees float64
}{{"deg", 1}, {"grad", 0.9}, {"rad", 180 / math.Pi}, {"turn", 360}}

// parseAngle reads a CSS angle in degrees.
func parseAngle(s string) (float64, bool) {
	for _, u := range angleUnits {
		if digits, ok := strings.CutSuffix(s, u.name); ok && digits != "" {
			v, ok := parsePlain(digits)
			return v * u.degrees, ok
		}
	}
	if s == "none" {
		return 0, true
	}
	return parsePlain(s)
}

// ParseMunsell reads a renotation as ASTM D1535 writes it: "5P 4.6/6", with hue
// 0..10, value 0..10 and chroma 0..50, or "N 5.2/" for a grey. The error is a
// *fault.Error.
func ParseMunsell(text string) (Munsell, error) {
	m, refusal := parseMunsell(strings.ToLower(strings.TrimSpace(text)))
	if refusal != nil {
		return Munsell{}, refusal.Named(notColour(text))
	}
	return m, nil
}

func parseMunsell(s string) (Munsell, *fault.Error) {
	const like = "write hue, value and chroma like 5PB 6/4, or a grey like N 5/"
	digits := strings.TrimLeft(s, "0123456789. ")
	hue, hasHue := parsePlain(strings.TrimSpace(s[:len(s)-len(digits)]))
	levels := strings.TrimLeft(digits, "abcdefghijklmnopqrstuvwxyz")
	letters := digits[:len(digits)-len(levels)]
	valueText, chromaText, hasSlash := strings.Cut(levels, "/")
	value, ok := parsePlain(strings.TrimSpace(valueText))
	if !ok {
		return Munsell{}, refuse("there is no Munsell value in it", like)
	}
	if value < 0 || value > 10 {
		return Munsell{}, refuse("its Munsell value is not within 0 and 10", like)
	}
	chromaText = strings.TrimSpace(chromaText)
	chroma, hasChroma := parsePlain(chromaText)
	if letters == "n" {
		if s[0] != 'n' || chromaText != "" && (!hasChroma || chroma != 0) {
			return Munsell{}, refuse("N, a grey, has neither hue nor chroma", like)
		}
		return Munsell{Hue: 100, Value: value}, nil
	}
	sector := hueSector(letters)
	if sector < 0 {
		return Munsell{}, refuse(fmt.Sprintf("%q is not one of the hues R YR Y GY G BG B PB P RP", strings.ToUpper(letters)), like)
	}
	if !hasHue || hue < 0 || hue > 10 {
		return Munsell{}, refuse("its hue has no number from 0 to 10 before it", like)
	}
	if !hasSlash || !hasChroma || chroma < 0 || chroma > 50 {
		return Munsell{}, refuse("its chroma is not a number from 0 to 50 after the slash", like)
	}
	if hue += 10 * float64(sector); hue == 0 {
		hue = 100
	}
	return Munsell{hue, value, chroma}, nil
}

// hueSector returns the index in hueLetters of letters in lower case, or -1.
func hueSector(letters string) int {
	for i, l := range hueLetters {
		if strings.EqualFold(l, letters) {
			return i
		}
	}
	return -1
}
