package family

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// What you say a print is called is drawn in a colour of that name: the ink that goes
// by it, or one near the cloth's own.
func TestWhatYouSayIsDrawnInAColourOfThatName(t *testing.T) {
	teal, grey := "#1f7a7a", "#8c8f91"
	colours, mean := dyed(t, grey, 80, teal, 20)
	require.Equal(t, cloth.Teal, Of(Drawn(colours, mean, cloth.Teal)))
	require.Less(t, apart(Drawn(colours, mean, cloth.Teal), parse(t, teal)), 0.15)
	require.Equal(t, mean, Drawn(colours, mean, cloth.Many))
	require.Equal(t, mean, Drawn(colours, mean, ""))
	rapid.Check(t, func(t *rapid.T) {
		colours, mean := somePrint(t)
		f := rapid.SampledFrom(letterFamilies[:]).Draw(t, "family")
		c := Drawn(colours, mean, f)
		require.Equal(t, f, Of(c))
		require.True(t, c.InGamut(1e-9))
	})
}

// Far from the light it was read in, a name is less sure; between two names it is no
// surer than a toss-up, and the other is named.
func TestTrustFollowsTheLightAndTheName(t *testing.T) {
	teal := parse(t, "#1f7a7a")
	sure := OfPrint(nil, teal)
	require.Equal(t, cloth.Teal, sure.Family)
	require.Empty(t, sure.Or)
	require.Greater(t, sure.Trust, 0.9)
	mustard := parse(t, "#c9a24a") // brown or orange in other light
	require.Less(t, Doubt{Lightness: 6, Cast: 8}.OfPrint(nil, mustard).Trust, OfPrint(nil, mustard).Trust)
	total := 0.0
	for _, n := range (Doubt{Lightness: 6, Cast: 8}).OfPrint(nil, mustard).likely {
		total += n
	}
	require.InDelta(t, 1, total, 1e-9)
	colours, mean := dyed(t, "#c8507e", 50, "#3b62b0", 50)
	both := OfPrint(colours, mean)
	require.ElementsMatch(t, []cloth.Family{cloth.Pink, cloth.Blue}, []cloth.Family{both.Family, both.Or})
	require.Empty(t, both.With, "what may be the name is no sure second")
	require.Less(t, both.Trust, sure.Trust)
}

func TestDoubtOfLight(t *testing.T) {
	sure, guess := DoubtOf(cloth.LightReading{Trust: 0.99, LightnessSD: 2}), DoubtOf(cloth.LightReading{Trust: 0.26, LightnessSD: 5})
	require.InDelta(t, 2, sure.Lightness, 1e-12)
	require.InDelta(t, 3/3.368, sure.Cast, 0.005) // χ² of three degrees, 0.99: 11.345
	require.InDelta(t, 3/1.12, guess.Cast, 0.05)  // 0.26: 1.25
	total := 0.0
	for _, g := range guess.lights() {
		total += g.weight
	}
	require.InDelta(t, 1, total, 1e-12)
	require.Equal(t, []gain{{colour.Linear{1, 1, 1}, 1}}, Doubt{}.lights())
}

// In the middle of a value there is no doubt; at a limit there is, and the neighbour
// is named; the wider the error, the less sure.
func TestTrustInAValue(t *testing.T) {
	narrow, wide := Doubt{Lightness: 1}, Doubt{Lightness: 6}
	v, trust, or := narrow.Value(72)
	require.Equal(t, cloth.MediumLight, v)
	require.Empty(t, or)
	require.Greater(t, trust, 0.9)
	middle := trust
	_, less, _ := wide.Value(72)
	require.Less(t, less, trust)
	v, trust, or = narrow.Value(cloth.ValueCuts[1] + 0.2)
	require.Equal(t, cloth.MediumLight, v)
	require.Equal(t, cloth.Medium, or)
	require.Less(t, trust, middle)
	_, _, or = narrow.Value(cloth.ValueCuts[1] - 0.2)
	require.Equal(t, cloth.MediumLight, or)
	_, trust, or = narrow.Value(98)
	require.Empty(t, or)
	require.Greater(t, trust, 0.95)
	for l := range 100 { // where nothing white was in view no value is sure
		_, trust, _ = Doubt{Lightness: 1, Guessed: true}.Value(float64(l))
		require.Less(t, trust, 0.9)
	}
	require.True(t, DoubtOf(cloth.LightReading{From: "estimate", Trust: 0.9}).Guessed)
	require.False(t, DoubtOf(cloth.LightReading{From: "card", Trust: 0.9}).Guessed)
}
