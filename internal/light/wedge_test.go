package light

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/card"
	"piecebag/internal/colour"
)

// wedgeBy is what a camera of the given contrast records of a wedge that a
// printer made with the given gain and ink, in slanted light.
func wedgeBy(contrast, gain, ink, white float64) *card.Found {
	tone := Tone{Contrast: contrast, Saturation: PhoneTone.Saturation}
	grey := func(y float64) colour.Linear { return tone.Apply(colour.Linear{y, y, y}) }
	f := &card.Found{}
	for i, s := range card.Steps {
		paper := white * (1 - 0.03*float64(i))
		y := colour.Lab{L: s.Lightness}.XYZ()[1]
		f.Wedge = append(f.Wedge, card.WedgeStep{
			Lightness: s.Lightness, Paper: grey(paper),
			Grey: grey(paper * (ink + (1-ink)*math.Pow(y, gain))),
		})
	}
	return f
}

// The camera's contrast is found closer than it is known beforehand, whatever
// a usual printer made of the greys: the rms error is a fifth less than a
// phone's usual curve leaves (a printer's gain hides much of it).
func TestToneOfWedge(t *testing.T) {
	before, after := 0.0, 0.0
	for _, contrast := range []float64{0, 0.1, 0.25, 0.35} {
		for _, gain := range []float64{0.9, 1, 1.1} {
			for _, ink := range []float64{0.03, 0.05} {
				for _, white := range []float64{0.5, 0.85} {
					tone, note, ok := ToneOf(wedgeBy(contrast, gain, ink, white))
					require.True(t, ok, note)
					require.Equal(t, PhoneTone.Saturation, tone.Saturation)
					before += sq(contrast - PhoneTone.Contrast)
					after += sq(contrast - tone.Contrast)
				}
			}
		}
	}
	require.Less(t, math.Sqrt(after), 0.8*math.Sqrt(before))
}

func TestSpoiltWedgeIsRefused(t *testing.T) {
	f := wedgeBy(0.2, 1, 0.04, 0.7)
	for i := range 3 {
		f.Wedge[i].Clipped = 0.5
	}
	_, note, ok := ToneOf(f)
	require.False(t, ok)
	require.Contains(t, note, "overexposed")

	f = wedgeBy(0.2, 1, 0.04, 0.7)
	f.Wedge[1].Grey, f.Wedge[4].Grey = f.Wedge[4].Grey, f.Wedge[1].Grey
	_, note, ok = ToneOf(f)
	require.False(t, ok)
	require.Contains(t, note, "do not follow")
}
