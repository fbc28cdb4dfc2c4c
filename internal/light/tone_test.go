package light

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

func tones(t *rapid.T) Curve {
	return Curve{
		Contrast:   rapid.Float64Range(0.9, 1.3).Draw(t, "contrast"),
		Shoulder:   rapid.Float64Range(0, 2).Draw(t, "shoulder"),
		Saturation: rapid.Float64Range(0.8, 1.3).Draw(t, "saturation"),
	}
}

func TestToneThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tone := tones(t)
		// Colours near enough to grey that the stretch does not clip them.
		g := rapid.Float64Range(0.05, 0.7).Draw(t, "grey")
		var c colour.Linear
		for k := range c {
			c[k] = g * rapid.Float64Range(0.85, 1.15).Draw(t, "channel")
		}
		back := tone.Undo(tone.Apply(c))
		for k := range c {
			require.InDelta(t, c[k], back[k], 1e-9)
		}
	})
}

// The tables of the fast path follow the formula to an 8-bit step, but for
// the deepest black, where an extreme tone is steeper than they are fine.
func TestUndoTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tone := tones(t)
		var c colour.Linear
		for k := range c {
			c[k] = rapid.Float64Range(0, 1).Draw(t, "channel")
		}
		want := tone.Undo(c).SRGB()
		r, g, b := tone.undoer()(float32(c[0]), float32(c[1]), float32(c[2]))
		got := colour.Linear{float64(r), float64(g), float64(b)}.SRGB()
		for k := range want {
			// Past white, where saturation is undone, the tables go on straight.
			if want[k] > 8.0/255 && want[k] < 1 {
				require.InDelta(t, want[k], got[k], 1.0/255)
			}
		}
	})
}

func TestToneKeepsEndsAndGreys(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tone := tones(t)
		v := rapid.Float64Range(0, 1).Draw(t, "v")
		c := tone.Apply(colour.Linear{v, v, v})
		require.InDelta(t, c[0], c[1], 1e-12)
		require.InDelta(t, c[0], c[2], 1e-12)
		require.InDelta(t, 0, tone.Apply(colour.Linear{})[1], 1e-12)
		require.InDelta(t, 1, tone.Apply(colour.Linear{1, 1, 1})[1], 1e-12)
	})
}

// A picture that says it is a camera's own has a camera's tone curve, which holds
// its highlights back; any other a faint one, until something in view tells more.
func TestUsualTone(t *testing.T) {
	s := lay(200, 150, NoTone, greyMat, cloths(5, 2), even(colour.Linear{0.7, 0.7, 0.7}))
	toneOf := func(o Options) Curve {
		f, _, _ := Estimate(s.pic, s.regions, s.ground, nil, nil, o)
		return f.Tone
	}
	require.Equal(t, PlainTone, toneOf(Options{}))
	s.pic.Camera = true
	require.Equal(t, CameraTone, toneOf(Options{}))
	require.Equal(t, NoTone, toneOf(Options{Tone: &NoTone}))
	grey := func(tone Curve) float64 { // of a middle grey beside white
		y := tone.inverse(0.2) / tone.inverse(0.7)
		return colour.Linear{y, y, y}.Lab().L
	}
	require.Greater(t, grey(UsualTone(&cloth.Picture{})), grey(UsualTone(s.pic))+2)
}
