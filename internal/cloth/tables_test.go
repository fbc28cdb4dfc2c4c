package cloth

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// CIE L* of the Munsell values 8, 6.5, 5 and 3.3 of ASTM D1535 part them.
func TestValueOf(t *testing.T) {
	for l, want := range map[float64]Value{
		100: Light, 79.56: Light, 79.55: MediumLight, 64.01: MediumLight, 64: Medium, 47.94: Medium, 47.93: MediumDark, 31.41: MediumDark, 31.4: Dark, 0: Dark,
	} {
		require.Equal(t, want, ValueOf(l), "%v", l)
	}
}

func TestMeanOfASecondRow(t *testing.T) {
	p := &Picture{W: 3, H: 3, Pix: make([]float32, 27), Clipped: make([]uint8, 9)}
	for k := range 9 {
		p.Pix[3*k], p.Pix[3*k+1], p.Pix[3*k+2], p.Clipped[k] = float32(k), float32(10*k), float32(100*k), uint8(15*k)
	}
	mean, clipped, pixels := p.MeanIn(geom.Polygon{{X: 1, Y: 1}, {X: 3, Y: 1}, {X: 3, Y: 3}, {X: 1, Y: 3}}) // pixels 4, 5, 7, 8
	require.Equal(t, colour.Linear{6, 60, 600}, mean)
	require.InDelta(t, 90.0/255, clipped, 1e-12)
	require.Equal(t, 4, pixels)
}

func TestWordsForNumbersAndLists(t *testing.T) {
	for n, want := range map[int]string{-1: "-1", 0: "0", 1: "one", 2: "two", 3: "three", 11: "eleven", 12: "twelve", 13: "13"} {
		require.Equal(t, want, NumberWord(n))
	}
	require.Equal(t, "touches", Plural(2, "touch"))
	require.Equal(t, "boxes", Plural(0, "box"))
	require.Equal(t, "touch", Plural(1, "touch"))
	require.Equal(t, "-1 pieces", Count(-1, "piece"))
	require.Equal(t, "red, medium-dark", Words([]string{"red", "medium-dark"}))
	require.Empty(t, Words([]Family{}))
	require.Empty(t, Few(nil))
	require.Equal(t, "a; b; c; d; and 3 more", Few(strings.Split("abcdefg", "")))
}

// The definition of the optimal string alignment, without a table.
func distance(a, b string) int {
	if a == "" || b == "" {
		return len(a) + len(b)
	}
	d := min(distance(a[1:], b)+1, distance(a, b[1:])+1)
	if a[0] == b[0] {
		return min(d, distance(a[1:], b[1:]))
	}
	d = min(d, distance(a[1:], b[1:])+1)
	if len(a) > 1 && len(b) > 1 && a[0] == b[1] && a[1] == b[0] {
		d = min(d, distance(a[2:], b[2:])+1)
	}
	return d
}

func TestNearestHoldsAgainstTheDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[abc]{0,5}`)
		a, words := word.Draw(t, "a"), rapid.SliceOfN(word, 1, 4).Draw(t, "words")
		best, least := words[0], distance(a, words[0])
		for _, w := range words[1:] {
			if d := distance(a, w); d < least {
				best, least = w, d
			}
		}
		got, edits := Nearest(a, words)
		require.Equal(t, [2]any{best, least}, [2]any{got, edits}, "%q among %q", a, words)
	})
	best, least := Nearest("word", nil)
	require.Equal(t, [2]any{"", 0}, [2]any{best, least})
	_, least = Nearest("½", []string{"⅓"})
	require.Equal(t, 1, least, "letters, not bytes")
}

func TestNaturalOrderIsAnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[ab]{0,2}(0{0,2}[0-9]{0,2})?[ab]?`)
		a, b, c := name.Draw(t, "a"), name.Draw(t, "b"), name.Draw(t, "c")
		require.Equal(t, -CompareNatural(b, a), CompareNatural(a, b))
		require.Equal(t, a == b, CompareNatural(a, b) == 0)
		if CompareNatural(a, b) < 0 && CompareNatural(b, c) < 0 {
			require.Equal(t, -1, CompareNatural(a, c))
		}
		n, m := rapid.IntRange(0, 200).Draw(t, "n"), rapid.IntRange(0, 200).Draw(t, "m")
		require.Equal(t, cmp.Compare(n, m), CompareNatural(fmt.Sprint("box ", n, "x"), fmt.Sprint("box ", m, "x")))
		if n != m {
			require.Equal(t, cmp.Compare(n, m), CompareNatural(fmt.Sprintf("%03d", n), fmt.Sprint(m)), "noughts before a number count for nothing else")
		}
	})
	for _, c := range [][2]string{{"a", "b"}, {"a1", "ab"}, {"1a", "2"}, {"a", "a1"}, {"", "a"}, {"a 2", "a 10"}, {"a9b", "a10a"}, {"a 1 z", "a 1 z 1"}} {
		require.Equal(t, -1, CompareNatural(c[0], c[1]), "%v", c)
	}
}

func TestColourWordsMeanColours(t *testing.T) {
	words := ColourWords()
	require.IsIncreasing(t, words)
	require.Contains(t, words, "navy")
	require.NotContains(t, words, "gray", "it says no more than its family")
	for _, w := range words {
		c, ok := ColourOf(strings.ToUpper(w) + "S")
		require.True(t, ok, w)
		want, err := colour.ParseColour(wordColours[w])
		require.NoError(t, err)
		require.Equal(t, want, c, w)
	}
	navy, err := colour.ParseColour("#1f2a4d")
	require.NoError(t, err)
	for _, text := range []string{"navy", "Navy blue", "navy-blues"} {
		c, ok := ColourOf(text)
		require.True(t, ok, text)
		require.Equal(t, navy, c, text)
	}
	for _, text := range []string{"", "gray", "blue", "navy green", "green navy", "multi"} {
		_, ok := ColourOf(text)
		require.False(t, ok, text)
	}
}

// NIST Handbook 44, appendix C: a yard is 36 inches, an inch 25.4 mm, an ounce 28.349523125 g.
func TestEveryUnit(t *testing.T) {
	for text, want := range map[string]float64{
		"3 inch": 3, "3in.": 3, "3''": 3, "3”": 3, "3″": 3, "3-in": 3, "a yard": 36, "one yard": 36, "an eighth of a yard": 4.5, "whole yard": 36, "quarter yard": 9, "three quarters of a yard": 27,
		"2 yards": 72, "2yd": 72, "2 metres": 200 / 2.54, "2 meter": 200 / 2.54, "1m": 100 / 2.54, "127 cm": 50, "full width": 42, "full-width": 42, "width-of-fabric": 42,
		"0.125": 0.125, ",5": 0.5, "9999": 9999, "9999.9999": 9999.9999, "12 ⅞": 12.875, "1⅛": 1.125, "99/100": 0.99, "3 - 1/2": 3.5,
	} {
		got, err := ParseLength(text)
		require.NoError(t, err, text)
		require.InDelta(t, want, got, 1e-9, text)
	}
	for _, text := range []string{"10000", "1.00000", "quarter", "2 half yard", "one half yard of", "3 inches long", "1/1", "4/3", "0/4"} {
		_, err := ParseLength(text)
		require.EqualError(t, err, fmt.Sprintf("%q is not a length: write it as 2½, 2 1/2, 2.5 or 6cm", text))
	}
	for text, want := range map[string]float64{
		"1g": 1, "1 oz": 28.349523125, "0.5lb": 226.796185, "1000 kg": 1e6, "1,25 kg": 1250, "1,2000kg": 1200, "12,345": 0,
	} {
		got, err := ParseWeight(text)
		require.Equal(t, want > 0, err == nil, text)
		require.InDelta(t, want, got, 1e-9, text)
	}
	for _, text := range []string{"0g", "1000.001 kg", "1000001g", "", "kg", "2 kg lb", "1 2 g", "infg"} {
		_, err := ParseWeight(text)
		require.ErrorIs(t, err, ErrWeight, text)
	}
	for _, text := range []string{"1,200g", "12,345 kg", "1,234.5lb"} {
		_, err := ParseWeight(text)
		require.ErrorIs(t, err, ErrThousands, text)
	}
	_, err := ParseLengths([]string{"3", "x"}, Inches)
	require.EqualError(t, err, `"x" is not a length: write it as 2½, 2 1/2, 2.5 or 6cm`)
	_, err = ParseLengths([]string{"3", "4"}, Unsaid)
	require.EqualError(t, err, `"4": it names no unit`)
}

func TestFormatsHoldAgainstTheRuler(t *testing.T) {
	for n := range 200 {
		want := ""
		if n/8 > 0 || n == 0 {
			want = fmt.Sprint(n / 8)
		}
		if n%8 > 0 {
			want += strings.Split("⅛¼⅜½⅝¾⅞", "")[n%8-1]
		}
		for _, off := range []float64{-0.06, 0, 0.06} {
			require.Equal(t, want, FormatInches(math.Max(0, float64(n)/8+off)))
		}
	}
}

// Each word of the trade as it is counted, whatever stands before it.
func TestWordsOfTheTrade(t *testing.T) {
	const half, quarter = "half a yard, cut down the middle of 42 usable inches", "a quarter of a yard, cut down the middle of 42 usable inches"
	for text, want := range map[string]Described{
		"fat quarter":               {0, Rectangle, 18, 21, "a fat quarter is counted as 18 × 21 inches: " + half, true},
		"5 fq":                      {5, Rectangle, 18, 21, "a fat quarter is counted as 18 × 21 inches: " + half, true},
		"precut fat quarters":       {0, Rectangle, 18, 21, "a fat quarter is counted as 18 × 21 inches: " + half, true},
		"two fat 8ths":              {2, Rectangle, 9, 21, "a fat eighth is counted as 9 × 21 inches: half a fat quarter: " + quarter, true},
		"skinny quarter":            {0, Rectangle, 9, 42, "a long quarter is counted as 9 × 42 inches: a quarter of a yard across 42 usable inches", true},
		"one long quarter":          {1, Rectangle, 9, 42, "a long quarter is counted as 9 × 42 inches: a quarter of a yard across 42 usable inches", true},
		"4 of long-eighths":         {4, Rectangle, 4.5, 42, "a long eighth is counted as 4½ × 42 inches: an eighth of a yard across 42 usable inches", true},
		"fat eighth of a metre":     {0, Rectangle, 25 / 2.54, 53 / 2.54, "a fat eighth is counted as 25 × 53 cm: a quarter of a metre, cut down the middle of 106 usable centimetres", true},
		"3 metric fat quarters":     {3, Rectangle, 50 / 2.54, 53 / 2.54, "a fat quarter is counted as 50 × 53 cm: half a metre, cut down the middle of 106 usable centimetres", true},
		"12 charms":                 {12, Square, 5, 5, "", true},
		"7 precut charm squares":    {7, Square, 5, 5, "", true},
		"¼ yard":                    {0, Rectangle, 9, 42, "the width of fabric is counted as 42 inches, without its selvages", true},
		"50 cm width of fabric":     {0, Strip, 50 / 2.54, 42, "the width of fabric is counted as 42 inches, without its selvages", false},
		"strip 2½ x wof":            {0, Strip, 2.5, 42, "the width of fabric is counted as 42 inches, without its selvages", true},
		"2½ x wof":                  {0, "", 2.5, 42, "the width of fabric is counted as 42 inches, without its selvages", false},
		"half a metre":              {0, Rectangle, 50 / 2.54, 106 / 2.54, "the width of fabric is counted as 106 cm, without its selvages", true},
		"3 metres":                  {0, Rectangle, 300 / 2.54, 106 / 2.54, "the width of fabric is counted as 106 cm, without its selvages", true},
		"6 squares":                 {6, Square, 0, 0, "", true},
		"squares":                   {0, Square, 0, 0, "", true},
		"one 3-inch square":         {1, Square, 3, 3, "", true},
		"an odd piece 5 x 7":        {1, Irregular, 5, 7, "", true},
		"9 rectangles of 2½ x 4½":   {9, Rectangle, 2.5, 4.5, "", true},
		"40 precut 1½-inch strips":  {40, Strip, 1.5, 42, "the width of fabric is counted as 42 inches, without its selvages", true},
		"40 pre-cut strips 1½ x 20": {40, Strip, 1.5, 20, "", true},
		"5":                         {5, "", 0, 0, "", false},
		"5 of 2½":                   {5, "", 2.5, 0, "", true},
		"5 3":                       {5, "", 3, 0, "", false},
		"5 x 3":                     {0, "", 5, 3, "", false},
		"2 ½":                       {0, "", 2.5, 0, "", false},
		"2 1/2 x 3":                 {0, "", 2.5, 3, "", false},
		"9999":                      {9999, "", 0, 0, "", false},
	} {
		got, err := ParseSaid(text, Inches)
		require.NoError(t, err, text)
		require.InDelta(t, want.WidthIn, got.WidthIn, 1e-9, text)
		require.InDelta(t, want.LengthIn, got.LengthIn, 1e-9, text)
		got.WidthIn, got.LengthIn = want.WidthIn, want.LengthIn
		require.Equal(t, want, got, text)
	}
	require.Equal(t, Trade{}, TradeOf("fat third", false))
	require.Equal(t, Trade{}, TradeOf("charm square", true))
	for _, text := range []string{"12 widths", "x", "x 3", "2 odd widgets", "0"} {
		_, err := ParseSaid(text, Inches)
		require.ErrorContains(t, err, "is not a length", text)
	}
	_, err := ParseSaid("1 x 2 x 3", Inches)
	require.EqualError(t, err, `"1 x 2 x 3" is not a length: write it as 2½, 2 1/2, 2.5 or 6cm`)
	for word, want := range map[string]Form{"Squares": Square, " charm ": Square, "odd pieces": Irregular, "odd": Irregular, "irregular": Irregular, "strip": Strip, "rectangle": Rectangle, "bands": Band, "weighed": Weighed, "heap": ""} {
		f, ok := ReadForm(word)
		require.Equal(t, [2]any{want, want != ""}, [2]any{f, ok}, word)
	}
}

func TestSizesInARowAreCountedExactly(t *testing.T) {
	const words = "the width of fabric is counted as 42 inches, without its selvages"
	for _, c := range []struct {
		text  string
		sizes [][2]float64
		as    []string
	}{
		{"", nil, nil},
		{"half a yard, half a yard", [][2]float64{{18, 42}, {18, 42}}, []string{words}},
		{"2 of 3 x 4\n1 of\t5x6", [][2]float64{{3, 4}, {3, 4}, {5, 6}}, nil},
		{"2 odd pieces 3 x 4", [][2]float64{{3, 4}, {3, 4}}, nil},
	} {
		sizes, as, err := ParseSizes(c.text, Inches)
		require.NoError(t, err, c.text)
		require.Equal(t, c.sizes, sizes, c.text)
		require.Equal(t, c.as, as, c.text)
	}
	_, _, err := ParseSizes("11x42 9 8", Inches)
	require.EqualError(t, err, `"9 8" is no width and length`)
	_, _, err = ParseSizes("2 x 3 201 of 4x5", Inches)
	require.EqualError(t, err, "201 is more than 200 alike")
	said, err := ParseSized("12 squares 2½", Inches)
	require.NoError(t, err)
	require.Equal(t, 12, said.Count)
	said, err = ParseSized("3 x 4", Inches)
	require.NoError(t, err)
	require.Equal(t, [2]float64{3, 4}, [2]float64{said.WidthIn, said.LengthIn})
}

func TestUnprintableIsEscapedAlone(t *testing.T) {
	require.Equal(t, "[\n\"a\tb\"]", string(PrintableJSON([]byte("[\n\"a\tb\"]"))), "what needs nothing stays")
	require.Equal(t, `"\u0085 ½"`, string(PrintableJSON([]byte("\"\u0085 ½\""))))
	for r, want := range map[rune]bool{' ': false, 'a': false, '\u00a0': false, '\u200d': false, '\t': true, '\u0085': true, '\u2028': true, '\u2029': true, '\u200e': true, '\u2066': true} {
		require.Equal(t, want, Unprintable(r), "%U", r)
	}
}
