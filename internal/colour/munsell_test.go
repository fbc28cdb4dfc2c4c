package colour

import (
	"math"
	"strings"
	"testing"

	"piecebag/internal/testtable"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Newhall, Nickerson & Judd 1943, p. 417: Y relative to magnesium oxide of values
// 1 to 10; ASTM D1535 multiplies by 0.975.
var mgoLuminance = [...]float64{1.210, 3.126, 6.555, 12.001, 19.766, 30.053, 43.063, 59.099, 78.665, 102.568}

func TestMunsellValueOnPublishedLuminances(t *testing.T) {
	for i, y := range mgoLuminance {
		// Both polynomials are printed to five digits.
		require.InDelta(t, 0.975*y, 100*MunsellY(float64(i+1)), 0.005, "value %d", i+1)
		require.InDelta(t, float64(i+1), MunsellValue(0.975*y/100), 0.001, "value %d", i+1)
	}
	// ASTM D1535 check values (percent), as printed in its table at 0.02 steps.
	for v, y := range map[float64]float64{5: 19.271844, 7.5: 49.408790, 10: 100} {
		require.InDelta(t, y, 100*MunsellY(v), 1e-6)
		require.InDelta(t, v, MunsellValue(y/100), 1e-6)
	}
}

func TestMunsellValueLeadsBack(t *testing.T) {
	for i := range 10001 {
		v := float64(i) / 1000
		require.InDelta(t, v, MunsellValue(MunsellY(v)), 1e-9)
	}
	require.Zero(t, MunsellValue(-1))
	require.Zero(t, MunsellValue(math.NaN()))
	require.Equal(t, 10.0, MunsellValue(1.5))
	require.Zero(t, MunsellY(-1))
	require.InDelta(t, 1, MunsellY(12), 1e-12)
}

// hueDistance is the shorter way round the circle of 100.
func hueDistance(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 100)) }

// Every chip of 1943 within sRGB, made into a colour by the x, y and Y of the
// paper rather than by our own way there.
func TestMunsellThereAndBackOnTheRealChips(t *testing.T) {
	tested, value := 0, 0
	for _, line := range strings.Split(strings.TrimSpace(renotationText), "\n") {
		name, rest, _ := strings.Cut(line, " ")
		switch {
		case name == "#" || name == "":
			continue
		case name == "value":
			value++
			continue
		case value <= 4:
			continue // 0.2 to 0.8 are not of 1943
		}
		v := float64(value - 4)
		for i, f := range strings.Fields(rest) {
			x, y, _ := strings.Cut(f, ",")
			c := whiteOf(testtable.Number(t, x)/1e4, testtable.Number(t, y)/1e4)
			luminance := 0.975 * mgoLuminance[value-5] / 100
			xyz := XYZ(cToD65.Apply(XYZ{c[0] * luminance, luminance, c[2] * luminance}))
			if !xyz.Linear().InGamut(0) {
				continue
			}
			tested++
			want, err := ParseMunsell(name + " 5/1")
			require.NoError(t, err)
			chroma := float64(2 * (i + 1))
			got := xyz.Munsell()
			require.InDelta(t, v, got.Value, 0.01, "%s %g/%g", name, v, chroma)
			require.Less(t, hueDistance(want.Hue, got.Hue), 1.0, "%s %g/%g", name, v, chroma)
			require.InDelta(t, chroma, got.Chroma, 0.3, "%s %g/%g", name, v, chroma)

			back := got.Linear()
			requireNear(t, xyz.Linear(), back, 1e-9, "%s %g/%g", name, v, chroma)
		}
	}
	require.Greater(t, tested, 1400)
}

// Chips as printed by Newhall, Nickerson & Judd 1943, table I, so that the table itself is held to the paper.
func TestRenotationQuotesThePaper(t *testing.T) {
	for _, r := range []struct {
		munsell string
		x, y    float64
	}{
		{"10RP 1/2", 0.3629, 0.2710},
		{"7.5YR 3/4", 0.4378, 0.3865},
		{"5PB 3/12", 0.1557, 0.1356},
		{"5P 4/10", 0.2814, 0.1967},
		{"5R 5/10", 0.4747, 0.3227},
		{"5G 5/8", 0.2511, 0.4107},
		{"5BG 5/6", 0.2360, 0.3270},
		{"5B 5/8", 0.1958, 0.2519},
		{"5RP 5/12", 0.4022, 0.2523},
		{"5YR 6/12", 0.5199, 0.4119},
		{"5GY 7/8", 0.3722, 0.4669},
		{"5Y 8/12", 0.4562, 0.4788},
		{"2.5PB 9/2", 0.2975, 0.3063},
	} {
		m, err := ParseMunsell(r.munsell)
		require.NoError(t, err)
		c := d65ToC.Apply(m.XYZ())
		sum := c[0] + c[1] + c[2]
		require.InDelta(t, r.x, c[0]/sum, 1e-6, r.munsell)
		require.InDelta(t, r.y, c[1]/sum, 1e-6, r.munsell)
	}
}

func TestMunsellLeadsBackAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := Munsell{
			Hue:    rapid.Float64Range(0.001, 100).Draw(t, "hue"),
			Value:  rapid.Float64Range(0.01, 9.99).Draw(t, "value"),
			Chroma: rapid.Float64Range(0.01, 40).Draw(t, "chroma"),
		}
		got := want.XYZ().Munsell()
		require.Less(t, hueDistance(want.Hue, got.Hue), 1e-5, "%+v", got)
		require.InDelta(t, want.Value, got.Value, 1e-7)
		require.InDelta(t, want.Chroma, got.Chroma, 1e-5)
		require.True(t, got.Hue > 0 && got.Hue <= 100)
	})
}

// The dark corner is searched closely: there hues crowd and chromas are large
// (#00035b once came out red).
func TestEveryColourOfTheGamutHasItsMunsell(t *testing.T) {
	const most, dark = 18, 32
	for i := range most * most * most {
		c := SRGB{float64(i%most) / (most - 1), float64(i/most%most) / (most - 1), float64(i/most/most) / (most - 1)}.Linear()
		requireNear(t, c, ToMunsell(c).Linear(), 1e-9, c.Hex())
	}
	for i := range dark * dark * dark {
		c := SRGB{3 * float64(i%dark) / 255, 3 * float64(i/dark%dark) / 255, 3 * float64(i/dark/dark) / 255}.Linear()
		requireNear(t, c, ToMunsell(c).Linear(), 1e-9, c.Hex())
	}
}

// A hue must not jump where a path crosses from cell to cell of the renotation.
func TestMunsellIsContinuous(t *testing.T) {
	var before Munsell
	for i := range 20001 {
		turn := float64(i) / 20000 * 2 * math.Pi
		c := Lab{50 + 40*math.Sin(5*turn), 20 * math.Cos(turn), 20 * math.Sin(turn)}
		m := c.XYZ().Munsell()
		if i > 0 {
			require.Less(t, hueDistance(before.Hue, m.Hue), 0.1, "%+v %+v", before, m)
			require.InDelta(t, before.Chroma, m.Chroma, 0.05)
		}
		before = m
	}
}

func TestMunsellOfWhatIsNoColour(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	require.Equal(t, "N 0/", XYZ{nan, nan, nan}.Munsell().String())
	for _, c := range []XYZ{{inf, inf, inf}, {-1, -1, -1}, {1e300, 1, -1e300}, {0, -1, 5}, {nan, 0.5, 0.5}, {1e-320, 1e-320, 0}} {
		m := c.Munsell()
		require.True(t, m.Value >= 0 && m.Value <= 10, "%v", c)
		require.True(t, m.Chroma >= 0, "%v", c)
		require.True(t, m.Hue > 0 && m.Hue <= 100, "%v", c)
	}
	grey := Munsell{Value: 5}.XYZ()
	require.Equal(t, grey, Munsell{Hue: nan, Value: 5, Chroma: 4}.XYZ())
	require.Equal(t, grey, Munsell{Hue: 5, Value: 5, Chroma: nan}.XYZ())
	require.Equal(t, grey, Munsell{Hue: inf, Value: 5, Chroma: -3}.XYZ())
	requireNear(t, Munsell{Hue: 5, Value: 5, Chroma: 4}.Linear(), Munsell{Hue: -195, Value: 5, Chroma: 4}.Linear(), 1e-12)
}

func TestMunsellNotation(t *testing.T) {
	for _, r := range []struct {
		m    Munsell
		want string
	}{
		{Munsell{85, 4.6, 6}, "5P 4.6/6"},
		{Munsell{85.04, 4.64, 6.04}, "5P 4.6/6"},
		{Munsell{10, 3, 8}, "10R 3/8"},
		{Munsell{10.04, 3, 8}, "10R 3/8"},
		{Munsell{10.06, 3, 8}, "0.1YR 3/8"},
		{Munsell{0.02, 3, 8}, "10RP 3/8"},
		{Munsell{100, 3, 8}, "10RP 3/8"},
		{Munsell{62.5, 9.97, 0.14}, "2.5B 10/0.1"},
		{Munsell{62.5, 5.2, 0.04}, "N 5.2/"},
		{Munsell{}, "N 0/"},
	} {
		require.Equal(t, r.want, r.m.String())
		back, err := ParseMunsell(r.want)
		require.NoError(t, err)
		require.Equal(t, r.want, back.String())
	}
}

func TestABrokenRenotationIsRefused(t *testing.T) {
	good := "value 0.2\n2.5R 3000,3000\n"
	for name, text := range map[string]string{
		"empty":        "",
		"cut short":    good,
		"value order":  "value 1\n",
		"hue order":    "value 0.2\n5R 3000,3000\n",
		"hue first":    "2.5R 3000,3000\n",
		"no chips":     "value 0.2\n2.5R\n",
		"not a number": "value 0.2\n2.5R 3000;3000\n",
		"letters":      "value 0.2\n2.5R x,3000\n",
		"no light":     "value 0.2\n2.5R 3000,0\n",
	} {
		_, err := parseRenotation(text)
		require.Error(t, err, name)
	}
}

func BenchmarkToMunsell(b *testing.B) {
	var colours []Linear
	for i := range 216 {
		colours = append(colours, SRGB{float64(i%6) / 5, float64(i/6%6) / 5, float64(i/36) / 5}.Linear())
	}
	chips()
	for i := 0; b.Loop(); i++ {
		ToMunsell(colours[i%len(colours)])
	}
}

func BenchmarkMunsellXYZ(b *testing.B) {
	m := Munsell{42, 5.5, 6.3}
	for b.Loop() {
		m.Value += 1e-12 * m.XYZ()[1]
	}
}

func BenchmarkParseRenotation(b *testing.B) {
	for b.Loop() {
		if _, err := parseRenotation(renotationText); err != nil {
			b.Fatal(err)
		}
	}
}
