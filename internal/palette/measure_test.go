package palette

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

func measured(t require.TestingT, tab *table, g geom.Polygon) Palette {
	m, err := new(Meter).Measure(tab.pic, g, 1)
	require.NoError(t, err)
	return m
}

func deltaE(a, b colour.Linear) float64 { return colour.DeltaE00(a.Lab(), b.Lab()) }

// requireInks wants the inks and shares of a print, most area first.
func requireInks(t require.TestingT, m Palette, inks []string, shares []float64, tolerance float64) {
	require.Len(t, m.Colours, len(inks))
	sum := 0.0
	for i, c := range m.Colours {
		require.Less(t, deltaE(c.Colour, hex(inks[i])), 2.0, "ink %d is %s, want %s", i, c.Colour.Hex(), inks[i])
		require.InDelta(t, shares[i], c.Share, tolerance, "share of ink %d", i)
		sum += c.Share
	}
	require.InDelta(t, 1, sum, 1e-9)
}

func TestSolidUnderNoiseIsOneInk(t *testing.T) {
	for _, ink := range []string{"#ececec", "#313131", "#c73836", "#3157ab", "#4e5053", "#ece26a"} {
		tab := newTable(200, 200, "#9a9a98", 3)
		g := tab.lay(solid(ink), 100, 100, 110, 110, 0.4)
		tab.noise(5)
		m := measured(t, tab, g)
		requireInks(t, m, []string{ink}, []float64{1}, 0)
		require.Less(t, deltaE(m.Mean, hex(ink)), 1.0)
	}
}

// Known shares come back from dots, whose blurred rims are no ink.
func TestDotsGiveTwoInksAndTheirShares(t *testing.T) {
	for _, c := range []struct {
		ground, ink   string
		pitch, radius float64
	}{
		{"#ecebea", "#cb3232", 20, 6},
		{"#333b5e", "#e8e8e7", 16, 4},
		{"#e9e1d1", "#2f2f2f", 12, 3},
		{"#316f78", "#86d7d9", 24, 9},
	} {
		tab := newTable(240, 240, "#8a6f50", 5)
		g := tab.lay(dots(c.ground, c.ink, c.pitch, c.radius), 120, 120, 8*c.pitch+6, 8*c.pitch+6, 0.3)
		tab.noise(2)
		share := math.Pi * c.radius * c.radius / (c.pitch * c.pitch)
		requireInks(t, measured(t, tab, g), []string{c.ground, c.ink}, []float64{1 - share, share}, 0.03)
	}
}

func TestStripesGiveTheirInks(t *testing.T) {
	inks := []string{"#ececeb", "#ecbccd", "#49bcc0", "#e04e78"}
	tab := newTable(300, 300, "#8a8a8a", 5)
	g := tab.lay(stripes(inks, []float64{10, 8, 6, 4}), 150, 150, 202, 150, 0.7)
	tab.noise(2)
	requireInks(t, measured(t, tab, g), inks, []float64{10. / 28, 8. / 28, 6. / 28, 4. / 28}, 0.03)
}

// Light that falls off across a piece makes no second ink; a faint print on
// its own ground (ΔE00 8) has one.
func TestShadingIsNoInkAndToneOnToneIs(t *testing.T) {
	tab := newTable(240, 240, "#8a8a8a", 5)
	g := tab.lay(solid("#31679e"), 120, 120, 160, 160, 0.2)
	tab.light([3]float64{1, 1, 1}, 0.4)
	tab.noise(2)
	require.Len(t, measured(t, tab, g).Colours, 1)

	inks := []string{"#31679e", "#315287"}
	tab = newTable(240, 240, "#8a8a8a", 5)
	g = tab.lay(stripes(inks, []float64{12, 8}), 120, 120, 166, 160, 0.2)
	tab.noise(2)
	requireInks(t, measured(t, tab, g), inks, []float64{0.6, 0.4}, 0.03)
}

// A line one pixel wide never reaches its ink in the picture, but its middle
// comes nearest, and that is what is said.
func TestThinLinesKeepTheirColour(t *testing.T) {
	tab := newTable(200, 200, "#8a8a8a", 5)
	g := tab.lay(stripes([]string{"#e8e1d5", "#31426d"}, []float64{9, 1.6}), 100, 100, 120, 120, 0.2)
	m := measured(t, tab, g)
	require.Len(t, m.Colours, 2)
	require.Less(t, deltaE(m.Colours[1].Colour, hex("#31426d")), 12.0)
}

// The mean is of the light that the piece sends back, not of its inks or code
// values: half black, half white is a middle grey of reflectance ½.
func TestMeanIsOfAreaInLinearLight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(0, math.Pi).Draw(t, "angle")
		share := rapid.Float64Range(0.1, 0.9).Draw(t, "share")
		tab := newTable(200, 200, "#ff00ff", 9)
		inks := []string{"#101010", "#f4f0e8"}
		g := tab.lay(stripes(inks, []float64{8 * share, 8 * (1 - share)}), 100, 100, 120, 120, angle)
		m := measured(t, tab, g)
		a, b := hex(inks[0]), hex(inks[1])
		for k := range m.Mean {
			require.InDelta(t, share*a[k]+(1-share)*b[k], m.Mean[k], 0.03)
		}
	})
}

// An outline a few pixels too wide takes in ground, which is none of the
// cloth's colours.
func TestGroundInsideAWideOutlineIsLeftOut(t *testing.T) {
	for _, p := range []struct {
		print
		inks int
	}{{solid("#3157ab"), 1}, {dots("#ecebea", "#cb3232", 20, 6), 2}} {
		tab := newTable(240, 240, "#2f6a3a", 5)
		right := tab.lay(p.print, 120, 120, 140, 140, 0.3)
		tab.noise(1)
		var wide geom.Polygon
		for _, q := range right {
			wide = append(wide, geom.Point{X: 120, Y: 120}.Add(q.Sub(geom.Point{X: 120, Y: 120}).Mul(1.07)))
		}
		want, got := measured(t, tab, right), measured(t, tab, wide)
		require.Len(t, want.Colours, p.inks)
		require.Len(t, got.Colours, p.inks)
		require.Less(t, deltaE(want.Mean, got.Mean), 1.0)
	}
}

func TestMeasureOfNothing(t *testing.T) {
	tab := newTable(50, 50, "#808080", 2)
	at := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	for name, g := range map[string]geom.Polygon{
		"no points":           nil,
		"two points":          {at(1, 1), at(9, 9)},
		"no area":             {at(1, 1), at(9, 9), at(1, 1)},
		"outside":             {at(60, 60), at(80, 60), at(80, 80)},
		"left of the picture": {at(-30, 10), at(-10, 10), at(-10, 30)},
		"between pixels":      {at(5.6, 5.6), at(6.4, 5.6), at(6.4, 6.4)},
	} {
		_, err := new(Meter).Measure(tab.pic, g, 1)
		require.ErrorIs(t, err, ErrEmpty, name)
	}
	_, err := new(Meter).Measure(&cloth.Picture{}, geom.Polygon{at(1, 1), at(9, 1), at(9, 9)}, 1)
	require.ErrorIs(t, err, ErrEmpty, "no picture")
}

// The smallest pieces give what they have, and so do those cut by the frame.
func TestSmallAndCutOffPieces(t *testing.T) {
	want := hex("#c73836")
	rapid.Check(t, func(t *rapid.T) {
		tab := newTable(40, 40, "#c73836", 2)
		var g geom.Polygon
		for range rapid.IntRange(3, 6).Draw(t, "points") {
			g = append(g, geom.Point{X: rapid.Float64Range(-10, 50).Draw(t, "x"), Y: rapid.Float64Range(-10, 50).Draw(t, "y")})
		}
		m, err := new(Meter).Measure(tab.pic, g, 1)
		if err != nil {
			require.ErrorIs(t, err, ErrEmpty)
			return
		}
		require.Positive(t, m.Signature.area)
		require.Less(t, deltaE(m.Mean, want), 0.1)
		require.Len(t, m.Colours, 1)
	})
}

// What was never lit stays black and finite.
func TestBlackPicture(t *testing.T) {
	tab := newTable(60, 60, "#000000", 2)
	m := measured(t, tab, geom.Polygon{{X: 5, Y: 5}, {X: 50, Y: 5}, {X: 50, Y: 50}, {X: 5, Y: 50}})
	require.Equal(t, "#000000", m.Mean.Hex())
	require.Equal(t, []string{"a"}, Prints([]Signature{m.Signature}, cloth.Spread))
}

func TestClipped(t *testing.T) {
	tab := newTable(60, 60, "#ffffff", 2)
	tab.pic.Clipped = make([]uint8, 60*60)
	g := geom.Polygon{{X: 10, Y: 10}, {X: 50, Y: 10}, {X: 50, Y: 50}, {X: 10, Y: 50}}
	require.Zero(t, measured(t, tab, g).Clipped)
	for i := range tab.pic.Clipped {
		if i%60 < 30 {
			tab.pic.Clipped[i] = 255
		}
	}
	require.InDelta(t, 0.5, measured(t, tab, g).Clipped, 1e-9)
}

// The same piece gives the same answer, whatever the meter measured before.
func TestMeasureIsRepeatable(t *testing.T) {
	pic, polys := benchBoard()
	var m Meter
	for i, g := range polys[:12] {
		want, err := new(Meter).Measure(pic, g, 42)
		require.NoError(t, err)
		got, err := m.Measure(pic, g, 42)
		require.NoError(t, err)
		require.Equal(t, want, got, "piece %d", i)
	}
}

// The kernels agree with the plain arithmetic.
func TestOKLabKernel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float32Range(1e-6, 8).Draw(t, "x")
		require.InEpsilon(t, math.Cbrt(float64(x)), cubeRoot(x), 3e-5)
		c := colour.Linear{
			rapid.Float64Range(0, 1.2).Draw(t, "r"),
			rapid.Float64Range(0, 1.2).Draw(t, "g"),
			rapid.Float64Range(0, 1.2).Draw(t, "b"),
		}
		var lms [3]float64
		for i := range lms {
			for k := range 3 {
				lms[i] += float64(cones[3*i+k]) * c[k]
			}
		}
		var lab [3]float32
		oklab(&lab, float32(lms[0]), float32(lms[1]), float32(lms[2]))
		want := c.OKLab()
		require.InDelta(t, want.L, lab[0], 1e-4)
		require.InDelta(t, want.A, lab[1], 2e-4)
		require.InDelta(t, want.B, lab[2], 2e-4)
		back := linearOf(lms)
		for k := range 3 {
			require.InDelta(t, c[k], back[k], 1e-6)
		}
	})
	require.Zero(t, cubeRoot(0))
	require.Zero(t, cubeRoot(-1))
}
