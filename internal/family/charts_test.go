package family

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// chartText is charts.txt in small: two charts, each of one family in colour.
func chartText(left, right string) string {
	text := "from 5R 5BG\nto 5BG 5R\n"
	for _, v := range []string{"9", "8", "7", "6", "5", "4", "3", "2", "1"} {
		text += v + " ." + strings.Repeat(left, 6) + " ." + strings.Repeat(right, 6) + "\n"
	}
	return text
}

func TestChartsGoRoundTheCircle(t *testing.T) {
	list := charts()
	total := 0.0
	for _, c := range list {
		require.Greater(t, c.to, c.from)
		total += c.to - c.from
	}
	require.InDelta(t, 100, total, 1e-9)
	for _, c := range list {
		for v := range c.letters {
			require.Less(t, c.letters[v][0], uint8(neutrals), "chroma 0 is neutral in every hue, or greys would be torn")
		}
	}
}

func TestVoteRunsMidwayBetweenLetters(t *testing.T) {
	list, err := parseCharts(chartText("Y", "B"))
	require.NoError(t, err)
	for _, r := range []struct {
		m    colour.Munsell
		want cloth.Family
	}{
		{colour.Munsell{Hue: 30, Value: 5, Chroma: 1.7}, cloth.Grey},
		{colour.Munsell{Hue: 30, Value: 8.6, Chroma: 1.7}, cloth.White},
		{colour.Munsell{Hue: 30, Value: 2.4, Chroma: 1.7}, cloth.Black},
		{colour.Munsell{Hue: 30, Value: 5, Chroma: 1.8}, cloth.Yellow}, // midway from 1 to 2.5
		{colour.Munsell{Hue: 80, Value: 5, Chroma: 40}, cloth.Blue},
		{colour.Munsell{Hue: 80, Value: 0, Chroma: 3}, cloth.Blue}, // beyond the letters
		{colour.Munsell{Hue: 54.9, Value: 5, Chroma: 5}, cloth.Yellow},
		{colour.Munsell{Hue: 55.1, Value: 5, Chroma: 5}, cloth.Blue},
		{colour.Munsell{Hue: 4.9, Value: 5, Chroma: 5}, cloth.Blue},
		{colour.Munsell{Hue: 5.1, Value: 5, Chroma: 5}, cloth.Yellow},
		{colour.Munsell{Hue: 100, Value: 5, Chroma: 5}, cloth.Blue},
		{colour.Munsell{Hue: 55, Value: 5, Chroma: 5}, cloth.Yellow}, // a tie goes by shelf order
		{colour.Munsell{Hue: math.NaN(), Value: math.NaN(), Chroma: math.NaN()}, cloth.Black},
	} {
		votes := voteAt(list, r.m)
		require.Equal(t, r.want, letterFamilies[votes.winner()], "%+v", r.m)
	}
}

// Kelly & Judd, NBS Special Publication 440 (1976): black ends at value 2.5, white
// begins at 8.5.
func TestNeutralsGoByValue(t *testing.T) {
	for v, want := range map[float64]cloth.Family{
		0: cloth.Black, 2.49: cloth.Black, 2.5: cloth.Grey, 8.49: cloth.Grey, 8.5: cloth.White, 10: cloth.White,
	} {
		require.Equal(t, want, OfMunsell(colour.Munsell{Hue: 100, Value: v}), "N %g/", v)
	}
}

func TestBrokenChartsAreRefused(t *testing.T) {
	good := chartText("Y", "B")
	_, err := parseCharts(good)
	require.NoError(t, err)
	for name, r := range map[string]struct{ text, reason string }{
		"empty":          {"", `starts from ""`},
		"cut short":      {good[:strings.Index(good, "\n1 ")], "not whole"},
		"no from":        {strings.Replace(good, "from 5R 5BG\n", "", 1), "not whole"},
		"no hue":         {strings.Replace(good, "to 5BG", "to 5XX", 1), "not one of the hues"},
		"gap":            {strings.Replace(good, "from 5R 5BG", "from 5R 6BG", 1), "the one before ends at 5BG"},
		"not round":      {strings.Replace(good, "from 5R", "from 4R", 1), `the last ends at "5R"`},
		"backwards":      {"from 5R 5BG 5G\nto 5BG 5G 5R\n" + strings.ReplaceAll(good[len("from 5R 5BG\nto 5BG 5R\n"):], "\n", " .YYYYYY\n"), "does not go on"},
		"value order":    {strings.Replace(good, "\n8 ", "\n7 ", 1), "value 7 is out of order"},
		"value missing":  {strings.Replace(good, "\n1 ", "\nfrom ", 1), "value from is out of order"},
		"chart missing":  {strings.Replace(good, " .BBBBBB", "", 1), "does not have 7 chromas"},
		"chroma missing": {strings.Replace(good, " .BBBBBB", " .BBBBB", 1), "does not have 7 chromas"},
		"no family":      {strings.Replace(good, " .BBBBBB", " .BBBBBX", 1), "is no family"},
	} {
		_, err := parseCharts(r.text)
		require.ErrorContains(t, err, r.reason, name)
	}
}
