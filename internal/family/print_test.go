package family

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// dyed makes swatches of hex colours with percent shares, and their mean.
func dyed(t testing.TB, parts ...any) (colours []cloth.Swatch, mean colour.Linear) {
	t.Helper()
	total := 0.0
	for i := 0; i < len(parts); i += 2 {
		c, share := parse(t, parts[i].(string)), float64(parts[i+1].(int))/100
		colours = append(colours, cloth.Swatch{Colour: c, Share: share})
		for k := range mean {
			mean[k] += share * c[k]
		}
		total += share
	}
	for k := range mean {
		mean[k] /= total
	}
	return colours, mean
}

func TestOfPrint(t *testing.T) {
	const red, blue, green, yellow, white, navy = "#c5202b", "#2a4aa8", "#2b8f3a", "#fde74c", "#ffffff", "#1f2a4d"
	for name, r := range map[string]struct {
		parts []any
		want  cloth.Family
	}{
		"plain":                        {[]any{red, 100}, cloth.Red},
		"red dots on white":            {[]any{white, 80, red, 20}, cloth.White},
		"white dots on navy":           {[]any{navy, 70, white, 30}, cloth.Blue},
		"two blues and white":          {[]any{white, 45, blue, 30, navy, 25}, cloth.Blue},
		"many flowers":                 {[]any{red, 25, green, 25, yellow, 25, blue, 25}, cloth.Many},
		"the eye's brown is not there": {[]any{red, 42, green, 38, blue, 20}, cloth.Red},
		"shares are relative":          {[]any{red, 30, white, 10}, cloth.Red},
		"white is most, sky decides":   {[]any{white, 45, "#9cc4e6", 35, navy, 20}, cloth.Blue},
	} {
		colours, mean := dyed(t, r.parts...)
		require.Equal(t, r.want, OfPrint(colours, mean), name)
	}
}

func TestOfPrintWithoutColoursIsItsMean(t *testing.T) {
	mean := parse(t, "#c5202b")
	require.Equal(t, cloth.Red, OfPrint(nil, mean))
	require.Equal(t, cloth.Red, OfPrint([]cloth.Swatch{{Colour: parse(t, "#2a4aa8")}}, mean))
}

// Many is for prints no family covers two fifths of, and only for them.
func TestOfPrintSaysManyOnlyWhereNoneSpeaks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var colours []cloth.Swatch
		var mean colour.Linear
		shares, total := map[cloth.Family]float64{}, 0.0
		v := rapid.Float64Range(0, 1)
		for range rapid.IntRange(1, 6).Draw(t, "colours") {
			s := cloth.Swatch{Colour: colour.Linear{v.Draw(t, "r"), v.Draw(t, "g"), v.Draw(t, "b")}, Share: v.Draw(t, "share")}
			colours = append(colours, s)
			shares[Of(s.Colour)] += s.Share
			total += s.Share
			for k := range mean {
				mean[k] += s.Share * s.Colour[k]
			}
		}
		if total == 0 {
			return
		}
		for k := range mean {
			mean[k] /= total
		}
		most := 0.0
		for _, s := range shares {
			most = max(most, s/total)
		}
		got := OfPrint(colours, mean)
		if got == cloth.Many {
			require.Less(t, most, 0.4)
			return
		}
		require.True(t, got == Of(mean) || shares[got]/total >= 0.4-1e-9, "%s", got)
	})
}
