package colour

import (
	"fmt"
	"math"
	"testing"

	colorful "github.com/lucasb-eyer/go-colorful"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// wide draws colours in and around the gamut.
func wide(t *rapid.T) Linear {
	v := rapid.Float64Range(-0.1, 1.2)
	return Linear{v.Draw(t, "r"), v.Draw(t, "g"), v.Draw(t, "b")}
}

func requireNear(t require.TestingT, want, got Linear, tolerance float64, args ...any) {
	for i := range want {
		require.InDelta(t, want[i], got[i], tolerance, args...)
	}
}

func TestEverySpaceLeadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := wide(t)
		requireNear(t, c, c.SRGB().Linear(), 1e-6)
		requireNear(t, c, c.XYZ().Linear(), 1e-12)
		requireNear(t, c, c.Lab().Linear(), 1e-12)
		requireNear(t, c, c.Lab().LCh().Lab().Linear(), 1e-7)
		requireNear(t, c, c.XYZ().LabD50().XYZ().Linear(), 1e-12)
		requireNear(t, c, c.OKLab().Linear(), 1e-12)
		requireNear(t, c, c.OKLab().OKLCh().OKLab().Linear(), 1e-7)
	})
}

func TestGreysAreNeutralInEverySpace(t *testing.T) {
	for i := range 1001 {
		v := float64(i) / 1000
		grey := Linear{v, v, v}
		lab, d50, ok, m := grey.Lab(), grey.XYZ().LabD50(), grey.OKLab(), ToMunsell(grey)
		for _, chroma := range []float64{lab.A, lab.B, d50.A, d50.B, ok.A, ok.B, m.Chroma} {
			require.InDelta(t, 0, chroma, 1e-9, "grey %g", v)
		}
		require.InDelta(t, lab.L, d50.L, 1e-9, "grey %g", v)
		require.Zero(t, lab.LCh().H)
		require.Zero(t, ok.OKLCh().H)
	}
	white := Linear{1, 1, 1}
	require.InDelta(t, 100, white.Lab().L, 1e-9)
	require.InDelta(t, 1, white.OKLab().L, 1e-9)
}

// B. Ottosson, "A perceptual color space for image processing", 2020, "Table of
// example XYZ and Oklab pairs", to its three decimals.
func TestOKLabOnOttossonsTable(t *testing.T) {
	for _, r := range []struct {
		xyz  XYZ
		want OKLab
	}{
		{XYZ{0.950, 1.000, 1.089}, OKLab{1.000, 0.000, 0.000}},
		{XYZ{1.000, 0.000, 0.000}, OKLab{0.450, 1.236, -0.019}},
		{XYZ{0.000, 1.000, 0.000}, OKLab{0.922, -0.671, 0.263}},
		{XYZ{0.000, 0.000, 1.000}, OKLab{0.153, -1.415, -0.449}},
	} {
		got := r.xyz.OKLab()
		require.InDelta(t, r.want.L, got.L, 1e-3, "%v", r.xyz)
		require.InDelta(t, r.want.A, got.A, 1e-3, "%v", r.xyz)
		require.InDelta(t, r.want.B, got.B, 1e-3, "%v", r.xyz)
	}
}

// An implementation by other hands: go-colorful, told our white for Lab.
func TestSpacesAgreeWithGoColorful(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(0, 1)
		c := Linear{v.Draw(t, "r"), v.Draw(t, "g"), v.Draw(t, "b")}
		theirs := colorful.LinearRgb(c[0], c[1], c[2])
		l, a, b := theirs.LabWhiteRef([3]float64(WhiteD65))
		lab := c.Lab()
		require.InDelta(t, 100*l, lab.L, 2e-3)
		require.InDelta(t, 100*a, lab.A, 5e-3)
		require.InDelta(t, 100*b, lab.B, 5e-3)
		l, a, b = theirs.OkLab()
		ok := c.OKLab()
		// It has the shorter digits of 2020.
		require.InDelta(t, l, ok.L, 2e-4)
		require.InDelta(t, a, ok.A, 2e-4)
		require.InDelta(t, b, ok.B, 2e-4)
	})
}

// B. Lindbloom, "Chromatic Adaptation", the Bradford matrices printed there for
// the whites of ASTM E308 (.95047 1 1.08883, .96422 1 .82521, 1.09850 1 .35585).
func TestAdaptOnLindbloomsMatrices(t *testing.T) {
	d65, d50, a := XYZ{0.95047, 1, 1.08883}, XYZ{0.96422, 1, 0.82521}, XYZ{1.09850, 1, 0.35585}
	for _, r := range []struct {
		src, dst XYZ
		want     Matrix
	}{
		{d65, d50, Matrix{1.0478112, 0.0228866, -0.0501270, 0.0295424, 0.9904844, -0.0170491, -0.0092345, 0.0150436, 0.7521316}},
		{a, d65, Matrix{0.8446965, -0.1179225, 0.3948108, -0.1366303, 1.1041226, 0.1291718, 0.0798489, -0.1348999, 3.1924009}},
	} {
		got := Adapt(r.src, r.dst, Bradford)
		for i := range got {
			require.InDelta(t, r.want[i], got[i], 1e-7)
		}
	}
}

func TestAdaptTakesWhiteToWhite(t *testing.T) {
	warm := whiteOf(0.44758, 0.40745) // illuminant A, CIE 15
	for name, cone := range map[string]Cone{"Bradford": Bradford, "CAT02": CAT02} {
		m := Adapt(warm, WhiteD65, cone)
		requireNear(t, Linear(WhiteD65), Linear(m.Apply(warm)), 1e-12, name)
		back := Adapt(WhiteD65, warm, cone)
		grey := XYZ{0.3, 0.2, 0.1}
		requireNear(t, Linear(grey), Linear(back.Apply(m.Apply(grey))), 1e-12, name)
		lamp := Linear{1.2, 0.9, 0.4}
		requireNear(t, Linear{1, 1, 1}, Linear(AdaptLinear(lamp, Linear{1, 1, 1}, cone).Apply(lamp)), 1e-12, name)
	}
	// The two spaces differ, or one of them is not what its name says.
	b, c := Adapt(warm, WhiteD65, Bradford), Adapt(warm, WhiteD65, CAT02)
	require.Greater(t, math.Abs(b[2]-c[2]), 0.005)
}

func TestHexClampsAndNeverWraps(t *testing.T) {
	for _, r := range []struct {
		c    Linear
		want string
	}{
		{Linear{-0.2, 0.5, 1.7}, "#00bcff"},
		{Linear{2, 2, 2}, "#ffffff"},
		{Linear{-1, 0, -1e9}, "#000000"},
		{Linear{math.Inf(1), 0, 0}, "#ff0000"},
	} {
		require.Equal(t, r.want, r.c.Hex())
	}
	rapid.Check(t, func(t *rapid.T) {
		c := Linear{rapid.Float64().Draw(t, "r"), rapid.Float64().Draw(t, "g"), rapid.Float64().Draw(t, "b")}
		back, err := ParseColour(c.Hex())
		require.NoError(t, err)
		for i := range c {
			require.InDelta(t, EncodeSRGB(min(1, max(0, c[i]))), EncodeSRGB(back[i]), 0.5001/255)
		}
	})
}

// WCAG 2.1, "contrast ratio": black on white is 21:1, and #767676 is the lightest
// grey that passes 4.5:1 on white (from memory of WCAG techniques).
func TestContrast(t *testing.T) {
	white := Linear{1, 1, 1}
	require.InDelta(t, 21, Contrast(white, Linear{}), 1e-9)
	require.InDelta(t, 21, Contrast(Linear{}, white), 1e-9)
	for hex, passes := range map[string]bool{"#767676": true, "#777777": false} {
		c, err := ParseColour(hex)
		require.NoError(t, err)
		require.Equal(t, passes, Contrast(white, c) >= 4.5, hex)
	}
}

func ExampleLab_LCh() {
	c := Lab{50, 0, -20}.LCh()
	fmt.Println(c.L, c.C, c.H)
	// Output: 50 20 270
}

func BenchmarkLab(b *testing.B) {
	c := Linear{0.2, 0.3, 0.4}
	for b.Loop() {
		c[0] += 1e-12 * c.Lab().L
	}
}

func BenchmarkOKLab(b *testing.B) {
	c := Linear{0.2, 0.3, 0.4}
	for b.Loop() {
		c[0] += 1e-12 * c.OKLab().L
	}
}
