package family

import (
	"math"
	"slices"
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
	sure := Uncertainty{}.OfPrint(nil, teal)
	require.Equal(t, cloth.Teal, sure.Family)
	require.Empty(t, sure.Or)
	require.Greater(t, sure.Trust, 0.9)
	mustard := parse(t, "#c9a24a") // brown or orange in other light
	far := Uncertainty{Lightness: 6, Warmth: 0.1, Tint: 0.04}
	require.Less(t, far.OfPrint(nil, mustard).Trust, Uncertainty{}.OfPrint(nil, mustard).Trust)
	total := 0.0
	for _, n := range far.OfPrint(nil, mustard).likely {
		total += n
	}
	require.InDelta(t, 1, total, 1e-9)
	colours, mean := dyed(t, "#c8507e", 50, "#3b62b0", 50)
	both := Uncertainty{}.OfPrint(colours, mean)
	require.ElementsMatch(t, []cloth.Family{cloth.Pink, cloth.Blue}, []cloth.Family{both.Family, both.Or})
	require.Empty(t, both.With, "what may be the name is no sure second")
	grey := Uncertainty{}.OfPrint(nil, parse(t, "#808080"))
	require.Equal(t, cloth.Grey, grey.Family)
	require.Less(t, grey.Trust, sure.Trust, "faded or badly lit colours look grey, white or brown")
	require.Less(t, both.Trust, sure.Trust)
}

func TestDoubtOfLight(t *testing.T) {
	l := cloth.LightReading{From: "card", Trust: 0.8, LightnessSD: 2, WarmthSD: 0.03, TintSD: 0.02}
	d := UncertaintyOf(l)
	require.Equal(t, Uncertainty{Lightness: 2, Warmth: 0.03, Tint: 0.02}, d)
	l.From, l.Trust = "estimate", 0.4
	require.True(t, UncertaintyOf(l).Guessed)
	require.True(t, UncertaintyOf(l).Doubtful)
	require.Equal(t, []gain{{colour.Linear{1, 1, 1}, 1}}, Uncertainty{}.lights())

	// In ln Y, warmth and tint the lights have the mean and the deviations that are doubted.
	var sum, squares [3]float64
	total := 0.0
	for _, g := range d.lights() {
		r, b := math.Log(g.by[0]/g.by[1]), math.Log(g.by[2]/g.by[1])
		for k, v := range [3]float64{math.Log(colour.Luma(g.by[0], g.by[1], g.by[2])), (r - b) / 2, (r + b) / 2} {
			sum[k] += g.weight * v
			squares[k] += g.weight * v * v
		}
		total += g.weight
	}
	require.InDelta(t, 1, total, 1e-12)
	for k, sd := range [3]float64{math.Hypot(2./25, pieceStrength), math.Hypot(0.03, pieceColour), math.Hypot(0.02, pieceColour)} {
		require.InDelta(t, 0, sum[k], 1e-9)
		require.InDelta(t, sd, math.Sqrt(squares[k]), 1e-9)
	}
}

// Pale blue in light that may be as much off was "white", and slate "grey", 88 % sure: of
// lights only yellow and blue ones were tried, and none towards green or magenta.
func TestNoNameIsSureThatOtherLightChanges(t *testing.T) {
	slate := parse(t, "#7b7f84")
	holds := func(d Uncertainty) float64 {
		d.Doubtful = true
		r := d.OfPrint(nil, slate)
		require.Less(t, r.Trust, 0.9, "%+v", d)
		return r.named[slices.Index(letterFamilies[:], r.Family)]
	}
	little := holds(Uncertainty{Lightness: 1})
	require.Less(t, holds(Uncertainty{Warmth: 0.1}), little)
	require.Less(t, holds(Uncertainty{Tint: 0.1}), little)
	require.Less(t, holds(Uncertainty{Lightness: 30}), little)
	red := Uncertainty{Lightness: 4, Warmth: 0.08, Tint: 0.04, Doubtful: true}.OfPrint(nil, parse(t, "#b01c2a"))
	require.Greater(t, red.Trust, 0.9, "what holds in any light is sure")
}

// In doubtful light a name is sure only if it holds in every light tried.
func TestSureHoldsInEveryLight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		colours, mean := somePrint(t)
		sd := rapid.Float64Range(0, 0.15)
		r := Uncertainty{Lightness: 25 * sd.Draw(t, "strength"), Warmth: sd.Draw(t, "warmth"), Tint: sd.Draw(t, "tint"), Doubtful: true}.OfPrint(colours, mean)
		if r.Trust >= 0.9 {
			require.InDelta(t, 1, r.named[slices.Index(letterFamilies[:], r.Family)], 1e-9)
		}
	})
}

// In the middle of a value there is no doubt; at a limit there is, and the neighbour
// is named; the wider the error, the less sure.
func TestTrustInAValue(t *testing.T) {
	narrow, wide := Uncertainty{Lightness: 1}, Uncertainty{Lightness: 6}
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
		_, trust, _ = Uncertainty{Lightness: 1, Guessed: true}.Value(float64(l))
		require.Less(t, trust, 0.9)
	}
}
