package family

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/testtable"
)

func parse(t testing.TB, text string) colour.Linear {
	t.Helper()
	c, err := colour.ParseColour(text)
	require.NoError(t, err)
	return c
}

// Vrhel, Gershon & Iwan 1994: see the file, which has our reading of the labels.
// The aim is 32 of 35.
func TestMeasuredTextilesAgreeWithTheirLabels(t *testing.T) {
	rows := testtable.Rows(t, "colour/textiles.csv")
	require.Len(t, rows, 35)
	right := 0
	for _, r := range rows {
		var c colour.XYZ
		for i := range c {
			c[i] = testtable.Number(t, r[3+i])
		}
		got := Of(c.Linear())
		if slices.Contains(strings.Fields(r[2]), string(got)) {
			right++
		} else {
			t.Logf("%s is %s", r[1], got)
		}
	}
	t.Logf("%d of %d textiles", right, len(rows))
	require.GreaterOrEqual(t, right, 32)
}

// R. Munroe, colour survey of 2010: see the file. Names that hold exactly one of
// the eleven basic terms (Berlin & Kay 1969) as a word are put to the test; teal
// counts as green or blue, olive as green, brown or yellow. The aim is 90 %.
func TestFamiliesAgreeWithSurveyedNames(t *testing.T) {
	rows := testtable.Rows(t, "colour/xkcd.csv")
	require.Len(t, rows, 949)
	right, asked := 0, 0
	for _, r := range rows {
		words := strings.Fields(r[0])
		var terms []cloth.Family
		for _, f := range cloth.Families {
			if f != cloth.Teal && f != cloth.Many && slices.Contains(words, string(f)) {
				terms = append(terms, f)
			}
		}
		if len(terms) != 1 {
			continue
		}
		allowed := terms
		if terms[0] == cloth.Green || terms[0] == cloth.Blue {
			allowed = append(allowed, cloth.Teal)
		}
		if slices.Contains(words, "olive") {
			allowed = append(allowed, cloth.Green, cloth.Brown, cloth.Yellow)
		}
		asked++
		if got := Of(parse(t, r[1])); slices.Contains(allowed, got) {
			right++
		} else {
			t.Logf("%s (%s) is %s", r[0], r[1], got)
		}
	}
	t.Logf("%d of %d names", right, asked)
	require.Greater(t, asked, 500)
	require.GreaterOrEqual(t, float64(right), 0.9*float64(asked))
}

// Centroids of ISCC-NBS colour names: K. L. Kelly, "Central notations for the
// revised ISCC-NBS color-name blocks", J. Res. NBS 61 (1958), 427-431.
func TestISCCNBSCentroids(t *testing.T) {
	for _, r := range []struct {
		name, munsell string
		want          cloth.Family
	}{
		{"strong pink", "1.5R 7.5/9.1", cloth.Pink},
		{"vivid red", "5R 4/15", cloth.Red},
		{"moderate reddish brown", "9.6R 3.4/5.2", cloth.Brown},
		{"strong orange", "4.5YR 6.5/12.1", cloth.Orange},
		{"moderate yellowish brown", "9.5YR 4.5/4", cloth.Brown},
		{"vivid yellow", "4Y 7.8/14.5", cloth.Yellow},
		{"strong yellow green", "5GY 6.1/9.2", cloth.Green},
		{"moderate bluish green", "5BG 4.5/5.1", cloth.Teal},
		{"strong blue", "3PB 4.2/11", cloth.Blue},
		{"strong purple", "6P 4.5/11.1", cloth.Purple},
		{"white", "3Y 9.25/0.06", cloth.White},
		{"medium grey", "3Y 5.5/0.06", cloth.Grey},
		{"black", "N 1.25/", cloth.Black},
	} {
		m, err := colour.ParseMunsell(r.munsell)
		require.NoError(t, err)
		require.Equal(t, r.want, OfMunsell(m), r.name)
	}
}

// Where quilters put cloth of these colours: common practice, no source; the
// colours are our own picks.
func TestClothColours(t *testing.T) {
	for want, hexes := range map[cloth.Family][]string{
		cloth.White:  {"#ffffff", "#fdf3dc", "#e8dcc4", "#efe3cd", "#d9cfc2", "#f4f6fa"}, // cream, ecru, muslin, old linen, bright white
		cloth.Brown:  {"#d2b48c", "#d8c3a0", "#c19a6b", "#6f4e37", "#4a2c21"},            // tan, sand, camel, coffee, chocolate
		cloth.Red:    {"#c5202b", "#7c1f24", "#5e1a2b", "#9b3f33"},                       // scarlet, barn red, burgundy, brick
		cloth.Pink:   {"#f6cfd6", "#e6488f", "#b9868a"},                                  // baby pink, hot pink, dusty rose
		cloth.Orange: {"#f28a2e", "#bf5a20", "#fcd0b0"},                                  // tangerine, burnt orange, peach
		cloth.Yellow: {"#fde74c", "#c9982b", "#fbeaa0"},                                  // lemon, mustard, butter
		cloth.Green:  {"#21492f", "#9caf94", "#68642f", "#666040", "#a3c83a", "#bfe6cf"}, // forest, sage, olive, greyed olive, lime, mint
		cloth.Teal:   {"#1f7a7a", "#8fd3d0", "#2fb3b5"},                                  // teal, aqua, turquoise
		cloth.Blue:   {"#1f2a4d", "#4f6385", "#9cc4e6", "#cfe0f0"},                       // navy, denim, sky, baby blue
		cloth.Purple: {"#632f53", "#cdc5e6", "#6a3a86"},                                  // plum, lavender, purple
		cloth.Grey:   {"#bfc1c3", "#8c8f91", "#3d4043"},                                  // silver, pewter, charcoal
		cloth.Black:  {"#000000", "#1c1c1d", "#2a2522"},                                  // black, faded black
	} {
		for _, hex := range hexes {
			require.Equal(t, want, Of(parse(t, hex)), hex)
		}
	}
}

// The limits of the values are equal steps of Munsell value from 1.5 to 9.5 (ASTM
// D1535), so that a family's charts and a value speak of the same lightness.
func TestValueCutsAreMunsellSteps(t *testing.T) {
	for i, l := range cloth.ValueCuts {
		v := 9.5 - 1.6*float64(i+1)
		y := colour.MunsellY(v)
		require.InDelta(t, l, colour.Linear{y, y, y}.Lab().L, 0.005, "value %g", v)
	}
}

func TestEveryColourHasAFamily(t *testing.T) {
	seen := map[cloth.Family]bool{}
	rapid.Check(t, func(t *rapid.T) {
		f := Of(colour.Linear{rapid.Float64().Draw(t, "r"), rapid.Float64().Draw(t, "g"), rapid.Float64().Draw(t, "b")})
		require.Contains(t, cloth.Families, f)
		require.NotEqual(t, cloth.Many, f)
	})
	for i := range 16 * 16 * 16 {
		seen[Of(colour.SRGB{float64(i%16) / 15, float64(i/16%16) / 15, float64(i/256) / 15}.Linear())] = true
	}
	require.Len(t, seen, len(cloth.Families)-1)
}

func BenchmarkOf(b *testing.B) {
	var colours []colour.Linear
	for i := range 216 {
		colours = append(colours, colour.SRGB{float64(i%6) / 5, float64(i/6%6) / 5, float64(i/36) / 5}.Linear())
	}
	Of(colours[0])
	for i := 0; b.Loop(); i++ {
		Of(colours[i%len(colours)])
	}
}

// What a word means is of the family that the word is read as.
func TestColourWordsAreOfTheirFamilies(t *testing.T) {
	for _, w := range cloth.ColourWords() {
		c, ok := cloth.ColourOf(w)
		require.True(t, ok, w)
		f, _, ok := cloth.ReadFamily(w)
		require.True(t, ok, w)
		require.Equal(t, f, Of(c), w)
	}
	_, ok := cloth.ColourOf("blue")
	require.False(t, ok, "that is a family, not one colour")
}
