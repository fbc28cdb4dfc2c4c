package scale

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// bare is the ground that the things of s leave free.
func (s *shot) bare() []uint8 {
	g := make([]uint8, s.pic.W*s.pic.H)
	for i := range g {
		g[i] = 255
	}
	for _, r := range s.regions(0, 0) {
		c := r.Polygon.Centroid()
		grown := make(geom.Polygon, 4)
		for i, q := range r.Polygon {
			grown[i] = c.Add(q.Sub(c).Mul(1.1))
		}
		grown.Fill(s.pic.W, s.pic.H, func(y, x0, x1 int) { clear(g[y*s.pic.W+x0 : y*s.pic.W+x1]) })
	}
	return g
}

// A cutting mat's lines give the scale within 1 %, and the tilt, where the
// pieces are too few to tell either.
func TestMat(t *testing.T) {
	for _, tilt := range [][2]float64{{0, 0}, {0.2, -0.35}, {-0.3, 0.1}, {0.1, 0.8}} {
		s := shoot(800, 600, tilt[0], tilt[1], 22, matTable, squares([]float64{3.5, 3.5}, 8, 3), 0.01, 6)
		res := Measure(s.pic, s.regions(0.5, 2), s.bare(), Options{Kind: cloth.Pile})
		require.Equal(t, FromMat, res.Reading.From, "tilt %v", tilt)
		require.InEpsilon(t, 22, res.Reading.PxPerInch, 0.01, "tilt %v", tilt)
		for _, z := range res.Sizes {
			require.Equal(t, "3½ square", z.Cut)
		}
	}
}

// ruled is a mat with lines every step inches, and every so many of them bolder.
func ruled(step float64, every int) func(x, y float64) float64 {
	on := func(v, step float64) bool { return math.Abs(v-step*math.Round(v/step)) < 0.014 }
	return func(x, y float64) float64 {
		switch {
		case on(x, step*float64(every)) || on(y, step*float64(every)):
			return 0.5
		case on(x, step) || on(y, step):
			return 0.39
		}
		return 0.2
	}
}

// The finest lines are found in both directions at any turn and tilt, and which of
// them are bolder.
func TestRhythmOfMat(t *testing.T) {
	for _, r := range []struct {
		step  float64
		every int
		tilt  [2]float64
	}{
		{0.5 / 2.54, 2, [2]float64{0.05, 0.1}}, {0.5, 2, [2]float64{-0.2, 0.4}},
		{1, 1, [2]float64{0.3, 0.5}},
	} {
		turned := func(x, y float64) float64 {
			s, c := math.Sincos(0.3)
			return ruled(r.step, r.every)(c*x+s*y, c*y-s*x)
		}
		s := shoot(800, 600, r.tilt[0], r.tilt[1], 56, turned, nil, 0.005, 6)
		g := findGrid(newLit(s.pic), nil, s.bare(), s.plane.f)
		require.NotNil(t, g, "%v", r)
		require.InEpsilon(t, r.step*s.perIn, math.Exp(g.pitch), 0.015, "%v", r)
		require.Equal(t, r.every, g.every, "%v", r)
		require.InDelta(t, r.tilt[0], g.plane.p, 0.03, "%v", r)
		require.InDelta(t, r.tilt[1], g.plane.q, 0.03, "%v", r)
	}
}

// A grid whose lines may as well be an inch apart as a centimetre gives no scale:
// here an inch would make the table 90 inches wide, a centimetre 35.
func TestMatOfTwoMeanings(t *testing.T) {
	s := shoot(1000, 750, 0.05, 0.1, 11*2.54, ruled(1/2.54, 1), nil, 0.005, 6)
	require.Zero(t, Measure(s.pic, nil, s.bare(), Options{Kind: cloth.Spread}).Reading)
	// Two squares settle it.
	s = shoot(1000, 750, 0.05, 0.1, 11*2.54, ruled(1/2.54, 1), squares([]float64{3.5, 3.5, 2.5, 2.5, 5}, 8, 3), 0.005, 6)
	res := Measure(s.pic, s.regions(0.5, 2), s.bare(), Options{Kind: cloth.Spread})
	require.InEpsilon(t, 11*2.54, res.Reading.PxPerInch, 0.01)
}

// Neither a plain table nor one of planks is a mat.
func TestNoMat(t *testing.T) {
	for _, table := range []func(x, y float64) float64{plainTable, plankTable} {
		s := shoot(800, 600, 0.1, 0, 22, table, squares([]float64{3.5, 3.5}, 8, 3), 0.01, 6)
		require.Zero(t, Measure(s.pic, s.regions(0.5, 2), s.bare(), Options{}).Reading)
	}
}

// A clear mat overrules widths that fit another scale by chance, as those of sewn
// pieces do: here all of them are cuts at 0.424 of the scale.
func TestMatOverrulesWidths(t *testing.T) {
	sewn := []float64{2.12, 2.12, 1.91, 2.12, 1.06, 1.06, 1.91, 1.06, 1.48}
	s := shoot(900, 700, 0.05, 0.1, 50, ruled(1, 1), squares(sewn, 3.2, 3), 0.005, 6)
	res := Measure(s.pic, s.regions(0.5, 2), s.bare(), Options{Kind: cloth.Board})
	require.InEpsilon(t, 50, res.Reading.PxPerInch, 0.01)
	alone := Measure(s.pic, s.regions(0.5, 2), nil, Options{Kind: cloth.Board})
	require.Less(t, alone.Reading.Trust, 1-unlisted+0.01)
}
