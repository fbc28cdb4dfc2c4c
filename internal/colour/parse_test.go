package colour

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
)

// parseTable holds what ParseColour reads; it seeds the fuzzer too. CSS rows: the
// web-platform-tests of CSS Color 4 (css/css-color, lab-, lch-, oklab- and
// oklch-001 to 007) and the examples in the specification's text, both given in
// sRGB there, as hex or in percent.
var parseTable = []struct {
	text string
	want SRGB    // 0..1
	slop float64 // of the expected value as it is printed
}{
	{"lab(46.2775 -47.5621 48.5837)", SRGB{0, 128. / 255, 0}, 0.002},
	{"lab(0 0 0)", SRGB{0, 0, 0}, 1e-9},
	{"lab(100 0 0)", SRGB{1, 1, 1}, 1e-9},
	{"lab(50 50 0)", SRGB{0.756208, 0.304487, 0.475636}, 1.5e-4},
	{"lab(70 -45 0)", SRGB{0.10751, 0.75558, 0.66398}, 1.5e-4},
	{"lab(70 0 70)", SRGB{0.766254, 0.663607, 0.055775}, 1.5e-4},
	{"lab(55 0 -60)", SRGB{0.128128, 0.53105, 0.927645}, 1.5e-4},
	{"lch(46.2775 67.9892 134.3912)", SRGB{0, 128. / 255, 0}, 0.002},
	{"lch(50 50 0)", SRGB{0.756208, 0.304487, 0.475636}, 1.5e-4},
	{"lch(70% 45 -180)", SRGB{0.107506, 0.755575, 0.663981}, 1.5e-4},
	{"lch(70 70 90)", SRGB{0.766254, 0.663607, 0.055775}, 1.5e-4},
	{"lch(55 60 270)", SRGB{0.128128, 0.53105, 0.927645}, 1.5e-4},
	{"oklab(0.51975 -0.1403 0.10768)", SRGB{0, 128. / 255, 0}, 0.002},
	{"oklab(0 0 0)", SRGB{0, 0, 0}, 1e-9},
	{"oklab(1 0 0)", SRGB{1, 1, 1}, 1e-6},
	{"oklab(0.5 0.05 0)", SRGB{0.48477, 0.3429, 0.38412}, 1e-5},
	{"oklab(0.7 -0.1 0)", SRGB{0.29264, 0.70096, 0.63017}, 1e-5},
	{"oklab(0.7 0 0.125)", SRGB{0.73942, 0.60484, 0.1965}, 1e-5},
	{"oklab(0.55 0 -0.2)", SRGB{0.27888, 0.38072, 0.89414}, 1e-5},
	{"oklch(0.51975 0.17686 142.495)", SRGB{0, 128. / 255, 0}, 0.002},
	{"oklch(0.5 0.2 0)", SRGB{0.70492, 0.02351, 0.37073}, 1e-5},
	{"oklch(0.5 0.2 270)", SRGB{0.23056, 0.3173, 0.82628}, 1e-5},
	{"oklch(0.8 0.15 160)", SRGB{0.32022, 0.85805, 0.61147}, 1e-5},
	{"oklch(0.55 0.15 345)", SRGB{0.67293, 0.27791, 0.5228}, 1e-5},
	{"lab(29.2345% 39.3825 20.0664)", SRGB{0x7d / 255., 0x23 / 255., 0x29 / 255.}, 0.002},
	{"lab(52.2345% 40.1645 59.9971)", SRGB{0xc6 / 255., 0x5d / 255., 0x06 / 255.}, 0.002},
	{"lab(60.2345% -5.3654 58.956)", SRGB{0x9d / 255., 0x93 / 255., 0x18 / 255.}, 0.002},
	{"lab(62.2345% -34.9638 47.7721)", SRGB{0x68 / 255., 0xa6 / 255., 0x39 / 255.}, 0.002},
	{"lab(67.5345% -8.6911 -41.6019)", SRGB{0x62 / 255., 0xac / 255., 0xef / 255.}, 0.002},

	// Notation: CSS Color 4, §5.1 (rgb, percentages, commas, clamping), §4.3
	// (angles), §4.4 (none), §9.3 and on (percentages).
	{"#7a9bb5", SRGB{122. / 255, 155. / 255, 181. / 255}, 1e-9},
	{"7A9BB5", SRGB{122. / 255, 155. / 255, 181. / 255}, 1e-9},
	{" #fA3 ", SRGB{1, 170. / 255, 51. / 255}, 1e-9},
	{"000", SRGB{0, 0, 0}, 1e-9},
	{"rgb(122 155 181)", SRGB{122. / 255, 155. / 255, 181. / 255}, 1e-9},
	{"RGB( 122 , 155,181 )", SRGB{122. / 255, 155. / 255, 181. / 255}, 1e-9},
	{"rgba(122, 155, 181, 1)", SRGB{122. / 255, 155. / 255, 181. / 255}, 1e-9},
	{"rgb(100% 50% none / 100%)", SRGB{1, 0.5, 0}, 1e-9},
	{"rgb(300 -5 12.75)", SRGB{1, 0, 0.05}, 1e-9},
	{"rgb(+1e2 .5e2 0)", SRGB{100. / 255, 50. / 255, 0}, 1e-9},
	{"lab(50% 40% 0%)", SRGB{0.756208, 0.304487, 0.475636}, 1.5e-4},
	{"lch(50% 33.333333% 1turn)", SRGB{0.756208, 0.304487, 0.475636}, 1.5e-4},
	{"oklab(50% 12.5% 0)", SRGB{0.48477, 0.3429, 0.38412}, 1e-5},
	{"oklch(50% 50% 300grad)", SRGB{0.23056, 0.3173, 0.82628}, 1e-5},
	{"oklch(50% 50% 4.71238898rad)", SRGB{0.23056, 0.3173, 0.82628}, 1e-5},
	{"oklch(50% 50% 270deg)", SRGB{0.23056, 0.3173, 0.82628}, 1e-5},
	{"lch(150 -3 none)", SRGB{1, 1, 1}, 1e-9},

	// Munsell: a mid grey of value 5 has Y = 0.19271844 (ASTM D1535).
	{"N 5/", SRGB{0.476256, 0.476256, 0.476256}, 1e-6},
	{"n5", SRGB{0.476256, 0.476256, 0.476256}, 1e-6},
	{"N 5.0/0", SRGB{0.476256, 0.476256, 0.476256}, 1e-6},
	{"N 0/", SRGB{0, 0, 0}, 1e-9},
	{"N 10/", SRGB{1, 1, 1}, 1e-9},
}

func TestParseColour(t *testing.T) {
	for _, r := range parseTable {
		got, err := ParseColour(r.text)
		require.NoError(t, err, r.text)
		requireNear(t, Linear(r.want), Linear(got.SRGB()), r.slop, r.text)
	}
	for _, text := range []string{"5P 4.6/6", "5p4.6/6", " 5 P 4.6 / 6 ", "5.0P 4.60/6.0"} {
		got, err := ParseColour(text)
		require.NoError(t, err, text)
		requireNear(t, Munsell{85, 4.6, 6}.Linear(), got, 1e-12, text)
	}
	red, err := ParseColour("0YR 5/10")
	require.NoError(t, err)
	requireNear(t, Munsell{10, 5, 10}.Linear(), red, 1e-12)
}

func TestParseColourKeepsWhatSRGBCannotShow(t *testing.T) {
	c, err := ParseColour("oklch(0.9 0.4 150)")
	require.NoError(t, err)
	require.False(t, c.InGamut(1e-6))
	require.Less(t, c[0], 0.0)
}

var badColours = []struct{ text, reason, remedy string }{
	{"", "it is empty", "write it like #7a9bb5"},
	{"  ", "it is empty", "#7a9bb5"},
	{"#", "it has 0 hex digits", "three or six"},
	{"#12", "it has 2 hex digits", "three or six"},
	{"#12345", "it has 5 hex digits", "three or six"},
	{"#1234567", "it has 7 hex digits", "three or six"},
	{"#7a9bb580", "it has a transparency, and cloth has none", "leave its last digits off"},
	{"#7a9b", "it has a transparency, and cloth has none", "leave its last digits off"},
	{"#7a9bbg", "not all of it are hex digits", "three or six"},
	{"##7a9bb", "not all of it are hex digits", "three or six"},
	{"mauve", "this way of writing a colour is not known", "5PB 6/4"},
	{"navy", "this way of writing a colour is not known", "5PB 6/4"},
	{"№5", "this way of writing a colour is not known", "5PB 6/4"},
	{"rgb(1 2)", "rgb() has 2 numbers", "give it three, like rgb("},
	{"rgb()", "rgb() has 0 numbers", "give it three"},
	{"lab(1 2 3 4)", "lab() has 4 numbers", "give it three, like lab("},
	{"rgb(1 2 x)", `"x" is not a number that rgb() takes there`, "write it like rgb("},
	{"rgb(0x10 2 3)", `"0x10" is not a number`, "rgb(122 155 181)"},
	{"rgb(inf 2 3)", `"inf" is not a number`, "rgb(122 155 181)"},
	{"lch(50 20 10%)", `"10%" is not a number that lch() takes there`, "lch(62% 19 245)"},
	{"lch(50 20 deg)", `"deg" is not a number`, "lch(62% 19 245)"},
	{"lab(1e999 0 0)", `"1e999" is not a number`, "lab(62% -8 -17)"},
	{"lab(50 1e300 0)", "no light has a colour so strong", "#7a9bb5"},
	{"rgb(1 2 3 / 50%)", "it has a transparency, and cloth has none", "leave the last number off"},
	{"rgba(1, 2, 3, 0.5)", "it has a transparency, and cloth has none", "leave the last number off"},
	{"rgb(1 2 3 / )", "it has a transparency", "leave the last number off"},
	{"hsl(120 50% 50%)", "hsl() is not a known way of writing a colour", "oklch("},
	{"#123)", "#123() is not a known way of writing a colour", "oklch("},
	{"5P 4.6/", "its chroma is not a number from 0 to 50", "5PB 6/4"},
	{"5P 4.6/60", "its chroma is not a number from 0 to 50", "5PB 6/4"},
	{"5P 4.6/-6", "its chroma is not a number from 0 to 50", "5PB 6/4"},
	{"5P 11/6", "its Munsell value is not within 0 and 10", "5PB 6/4"},
	{"P 4/6", "its hue has no number from 0 to 10", "5PB 6/4"},
	{"11P 4/6", "its hue has no number from 0 to 10", "5PB 6/4"},
	{"5X 4/6", `"X" is not one of the hues`, "5PB 6/4"},
	{"5 4/6", "there is no Munsell value in it", "5PB 6/4"},
	{"N", "there is no Munsell value in it", "N 5/"},
	{"/", "there is no Munsell value in it", "N 5/"},
	{"N 5/2", "N, a grey, has neither hue nor chroma", "N 5/"},
	{"5N 5/", "N, a grey, has neither hue nor chroma", "N 5/"},
	{"N 12/", "its Munsell value is not within 0 and 10", "N 5/"},
}

func TestParseColourNamesReasonAndRemedy(t *testing.T) {
	for _, r := range badColours {
		_, err := ParseColour(r.text)
		refusal := fault.Of(err)
		require.NotNil(t, refusal, "%q: %v", r.text, err)
		require.Contains(t, refusal.Why, r.reason, r.text)
		require.Contains(t, refusal.Remedy, r.remedy, r.text)
		require.Equal(t, fmt.Sprintf("%q is not a colour: %s", r.text, refusal.Why), err.Error())
	}
}

func TestParseMunsellRefusesOtherNotations(t *testing.T) {
	for _, text := range []string{"", "#7a9bb5", "rgb(1 2 3)", "5P"} {
		_, err := ParseMunsell(text)
		refusal := fault.Of(err)
		require.NotNil(t, refusal, text)
		require.Equal(t, notColour(text), refusal.About)
	}
}

func FuzzParseColour(f *testing.F) {
	for _, r := range parseTable {
		f.Add(r.text)
	}
	for _, r := range badColours {
		f.Add(r.text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ParseColour(text)
		if err != nil {
			refusal := fault.Of(err)
			require.NotNil(t, refusal)
			require.NotEmpty(t, refusal.Why)
			require.NotEmpty(t, refusal.Remedy)
			require.Equal(t, notColour(text), refusal.About)
			return
		}
		again, err := ParseColour(strings.ToUpper(c.Hex()))
		require.NoError(t, err)
		require.Equal(t, c.Hex(), again.Hex())
		back, err := ParseMunsell(ToMunsell(c).String())
		// Beyond chroma 50 there is no notation.
		if ToMunsell(c).Chroma < 49.9 {
			require.NoError(t, err)
			require.InDelta(t, ToMunsell(c).Value, back.Value, 0.0501)
		}
	})
}
