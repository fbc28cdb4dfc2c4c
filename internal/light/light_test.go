package light

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

var (
	greyMat = colour.Linear{0.23, 0.24, 0.25}
	flannel = colour.Linear{0.78, 0.776, 0.745}
)

func TestWhiteGoesToOneAndGreysStayGrey(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ch := rapid.Float64Range(0.2, 1.2)
		white := colour.Linear{ch.Draw(t, "r"), ch.Draw(t, "g"), ch.Draw(t, "b")}
		m := adaptation(white)
		k := rapid.Float64Range(0, 1).Draw(t, "albedo")
		for _, v := range m.Apply([3]float64{k * white[0], k * white[1], k * white[2]}) {
			require.InDelta(t, k, v, 1e-9)
		}
	})
}

// With paper in view, every cloth comes out within ΔE00 3 of its albedo,
// whatever the light: even or slanted, of one colour or turning warmer from
// side to side, over- or underexposed. (The light multiplies channels here,
// and Bradford does not: that is most of what is left.)
func TestPaperGivesCloth(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	for i := range 12 {
		y, cast := between(0.3, 0.72), between(-0.1, 0.2)
		white := colour.Linear{y * math.Exp(cast/2), y, y * math.Exp(-cast/2)}
		ground := []colour.Linear{greyMat, flannel}[i%2]
		s := lay(200, 150, PlainTone, ground, cloths(10, uint64(i)), slanted(white, 200, between(0.6, 1.05), between(0.9, 1.15)))
		f, reading, notes := Estimate(s.pic, s.regions, s.ground, nil, []cloth.Reference{s.sheet}, Options{})
		require.Equal(t, FromSheet, reading.From, notes)
		require.Less(t, s.worst(f), 3.0, i)
		require.Greater(t, reading.Trust, 0.7, i)
	}
}

// Without a reference the white ground itself, or white prints, give white.
func TestNoReference(t *testing.T) {
	for name, ground := range map[string]colour.Linear{FromGround: flannel, FromEstimate: greyMat} {
		s := lay(400, 300, PlainTone, ground, append(cloths(10, 5), cloths(5, 6)...), slanted(colour.Linear{0.72, 0.68, 0.63}, 400, 0.75, 1.1))
		s.ground = withoutSheet(s)
		f, reading, notes := Estimate(s.pic, s.regions, s.ground, nil, nil, Options{})
		require.Equal(t, name, reading.From)
		require.Empty(t, notes)
		require.Less(t, s.worst(f), 4.0)
	}
}

// withoutSheet is the ground with the sheet's place left unknown.
func withoutSheet(s *table) []uint8 {
	g := append([]uint8(nil), s.ground...)
	geom.Polygon(s.sheet.Corners[:]).Fill(s.pic.W, s.pic.H, func(y, x0, x1 int) {
		clear(g[y*s.pic.W+x0 : y*s.pic.W+x1])
	})
	return g
}

// The field follows the light everywhere, also under the pieces.
func TestFieldFollowsLight(t *testing.T) {
	light := func(x, y float64) colour.Linear {
		u, v := x/600-0.5, y/450-0.5
		f := 0.7 * math.Exp(0.5*u-0.3*v-0.4*(u*u+v*v))
		return colour.Linear{f * (1.03 + 0.1*u), f, f * (0.97 - 0.08*v)}
	}
	s := lay(600, 450, NoTone, flannel, cloths(10, 9), light)
	f, _, _ := Estimate(s.pic, s.regions, s.ground, nil, []cloth.Reference{s.sheet}, Options{Tone: &NoTone})
	for y := 5.0; y < 450; y += 20 {
		for x := 5.0; x < 600; x += 20 {
			want, got := light(x, y), f.White(x, y)
			for k := range want {
				require.InEpsilon(t, want[k]*lying, got[k], 0.07, "at %v, %v", x, y)
			}
		}
	}
}

func TestOverexposedReferenceIsRefused(t *testing.T) {
	s := lay(400, 300, NoTone, greyMat, cloths(10, 4), even(colour.Linear{1.3, 1.2, 1.15}))
	_, reading, notes := Estimate(s.pic, s.regions, s.ground, nil, []cloth.Reference{s.sheet}, Options{Tone: &NoTone})
	require.Equal(t, FromEstimate, reading.From)
	require.Equal(t, []string{"the sheet is overexposed and was not used for white"}, notes)
}

// What is overexposed still says how bright white is at least: a sheet, or a
// piece of white cloth, but not a yellow one, which dazzles in red alone.
func TestOverexposedIsAFloor(t *testing.T) {
	floor := func(albedo colour.Linear, sheet bool) float64 {
		s := lay(400, 300, NoTone, greyMat, []colour.Linear{albedo}, even(colour.Linear{1.4, 1.4, 1.4}))
		var refs []cloth.Reference
		if sheet {
			refs = append(refs, s.sheet)
		}
		return math.Exp(gather(s.pic, s.regions, nil, nil, refs, NoTone, Options{}).floor)
	}
	grey, white, yellow := colour.Linear{0.2, 0.2, 0.2}, colour.Linear{0.8, 0.8, 0.8}, colour.Linear{0.85, 0.5, 0.05}
	require.Zero(t, floor(grey, false))
	require.InDelta(t, lying/math.Exp(paper.mean[0]), floor(grey, true), 0.01)
	require.InDelta(t, 1/brightestAlbedo, floor(white, false), 0.02)
	require.Zero(t, floor(yellow, false))
}

func TestColouredReferenceIsRefused(t *testing.T) {
	s := lay(400, 300, NoTone, flannel, cloths(10, 4), even(colour.Linear{0.7, 0.68, 0.66}))
	// The finder took a yellow piece for a sheet.
	yellow := s.regions[3]
	yellow.Polygon.Fill(400, 300, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			copy(s.pic.Pix[3*(y*400+x):], []float32{0.55, 0.5, 0.25})
		}
	})
	ref := cloth.Reference{Kind: cloth.IDCard, Corners: [4]geom.Point(yellow.Corners), Region: 3, Trust: 0.9}
	_, reading, notes := Estimate(s.pic, s.regions, s.ground, nil, []cloth.Reference{ref}, Options{Tone: &NoTone})
	require.Equal(t, FromGround, reading.From)
	require.Equal(t, []string{"the card is coloured, or lies in other light than the pieces, and was not used for white"}, notes)
}

func TestPick(t *testing.T) {
	light := even(colour.Linear{0.5, 0.42, 0.3})
	s := lay(400, 300, NoTone, colour.Linear{0.2, 0.3, 0.15}, cloths(10, 4), light)
	at := s.regions[1].Polygon.Centroid() // the white one
	f, reading, notes := Estimate(s.pic, s.regions, s.ground, nil, nil, Options{Tone: &NoTone, White: &at})
	require.Equal(t, FromPick, reading.From)
	require.Empty(t, notes)
	require.Less(t, s.worst(f), 4.0)

	// Another is no white, by the card that lies there.
	white := cloth.Reference{Kind: cloth.IDCard, Corners: [4]geom.Point(s.regions[1].Polygon), Region: 1, Trust: 0.95}
	dark := geom.Point{X: 3, Y: 3}
	_, reading, notes = Estimate(s.pic, s.regions, s.ground, nil, []cloth.Reference{white}, Options{Tone: &NoTone, White: &dark})
	require.Equal(t, FromCard, reading.From)
	require.Equal(t, []string{"the place picked as white is coloured, or lies in other light than the pieces, and was not used for white"}, notes)

	out := geom.Point{X: 900, Y: 20}
	_, reading, notes = Estimate(s.pic, s.regions, s.ground, nil, nil, Options{Tone: &NoTone, White: &out})
	require.Equal(t, FromEstimate, reading.From)
	require.Equal(t, []string{"the place picked as white lies outside the photo and was not used for white"}, notes)
}

// A reference is worth more trust than a guess, and a guess with nothing white
// in view less than one with.
func TestTrustFalls(t *testing.T) {
	trust := func(albedo []colour.Linear, sheet bool) float64 {
		s := lay(400, 300, NoTone, colour.Linear{0.1, 0.2, 0.1}, albedo, even(colour.Linear{0.7, 0.68, 0.66}))
		var refs []cloth.Reference
		if sheet {
			refs = append(refs, s.sheet)
		}
		_, reading, _ := Estimate(s.pic, s.regions, withoutSheet(s), nil, refs, Options{Tone: &NoTone})
		return reading.Trust
	}
	var white, dull []colour.Linear
	for _, l := range []float64{25, 35, 45, 55} {
		dull = append(dull, colour.Lab{L: l, A: 30, B: -20}.Linear(), colour.Lab{L: l, A: -30, B: 25}.Linear())
	}
	white = append(append(white, dull[:5]...), colour.Lab{L: 92.5}.Linear(), colour.Lab{L: 92}.Linear(), colour.Lab{L: 93}.Linear())
	require.Greater(t, trust(white, true), trust(white, false))
	require.Greater(t, trust(white, false), trust(dull, false)+0.1)
}

func TestCorrectAgreesWithAlbedo(t *testing.T) {
	s := lay(200, 150, PlainTone, greyMat, cloths(5, 2), slanted(colour.Linear{0.8, 0.7, 0.6}, 200, 0.7, 1.1))
	f, _, _ := Estimate(s.pic, s.regions, s.ground, nil, nil, Options{})
	before := append([]float32(nil), s.pic.Pix...)
	c := f.Correct(s.pic)
	require.Equal(t, before, s.pic.Pix)
	for _, i := range []int{0, 77, 200*75 + 100, 200*150 - 1} {
		p := colour.Linear{float64(before[3*i]), float64(before[3*i+1]), float64(before[3*i+2])}
		want := f.Albedo(p, float64(i%200)+0.5, float64(i/200)+0.5)
		for k := range want {
			require.InDelta(t, want[k], float64(c.Pix[3*i+k]), 2e-3)
		}
	}
}

func TestStackIgnoresGround(t *testing.T) {
	s := lay(200, 150, NoTone, greyMat, cloths(5, 2), slanted(colour.Linear{0.8, 0.7, 0.6}, 200, 0.4, 1))
	f, _, _ := Estimate(s.pic, s.regions, s.ground, nil, nil, Options{Kind: cloth.Stack, Tone: &NoTone})
	for k, v := range f.White(5, 5) {
		require.InDelta(t, v, f.White(195, 145)[k], 1e-12)
	}
}

func TestNothingToGoBy(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {3, 200}, {64, 48}} {
		n := size[0] * size[1]
		p := &cloth.Picture{W: size[0], H: size[1], Shrink: 1, Pix: make([]float32, 3*n)}
		f, reading, _ := Estimate(p, nil, nil, nil, nil, Options{})
		require.Equal(t, FromEstimate, reading.From)
		require.Less(t, reading.Trust, 0.75)
		for _, v := range f.White(0, 0) {
			require.False(t, math.IsNaN(v) || v <= 0)
		}
		require.Len(t, f.Correct(p).Pix, 3*n)
		// All black, and all of it ground.
		ground := make([]uint8, n)
		for i := range ground {
			ground[i] = 255
		}
		f, _, _ = Estimate(p, nil, ground, nil, nil, Options{})
		for _, v := range f.White(0, 0) {
			require.False(t, math.IsNaN(v) || v <= 0)
		}
	}
}

func TestSameBytes(t *testing.T) {
	s := lay(400, 300, PlainTone, greyMat, cloths(15, 2), slanted(colour.Linear{0.8, 0.7, 0.6}, 400, 0.7, 1.1))
	f, a, _ := Estimate(s.pic, s.regions, s.ground, nil, nil, Options{})
	g, b, _ := Estimate(s.pic, s.regions, s.ground, nil, nil, Options{})
	require.Equal(t, a, b)
	require.Equal(t, f.Correct(s.pic).Pix, g.Correct(s.pic).Pix)
}

// What is left unknown of the exposure is said: little with paper in view,
// more where nothing white is, most in a stack, whose folds stand in shade.
func TestLightnessSD(t *testing.T) {
	sd := func(sheet bool, kind cloth.Kind) float64 {
		dull := []colour.Linear{{0.1, 0.2, 0.1}, {0.2, 0.1, 0.05}, {0.1, 0.1, 0.2}}
		s := lay(400, 300, NoTone, colour.Linear{0.1, 0.2, 0.1}, dull, even(colour.Linear{0.7, 0.68, 0.66}))
		var refs []cloth.Reference
		if sheet {
			refs = append(refs, s.sheet)
		}
		_, reading, _ := Estimate(s.pic, s.regions, withoutSheet(s), nil, refs, Options{Tone: &NoTone, Kind: kind})
		return reading.LightnessSD
	}
	require.Less(t, sd(true, cloth.Spread), 3.5)
	require.Greater(t, sd(false, cloth.Spread), 1.5*sd(true, cloth.Spread))
	require.Greater(t, sd(true, cloth.Stack), 5.0)
}

// The colour of white is the less sure the less trust there is in it: along the line of
// lamps more than across it, and by more than the laws alone have it.
func TestColourOfWhiteIsAsUnsureAsItsTrust(t *testing.T) {
	s := lay(400, 300, PlainTone, greyMat, cloths(10, 5), even(colour.Linear{0.72, 0.68, 0.63}))
	_, sheet, _ := Estimate(s.pic, s.regions, s.ground, nil, []cloth.Reference{s.sheet}, Options{})
	s.ground = withoutSheet(s)
	_, guess, _ := Estimate(s.pic, s.regions, s.ground, nil, nil, Options{})
	require.Greater(t, sheet.TintSD, 0.0)
	require.Greater(t, guess.WarmthSD, 1.5*sheet.WarmthSD)
	require.Greater(t, guess.TintSD, sheet.TintSD)
	require.Greater(t, guess.WarmthSD, guess.TintSD)

	require.InDelta(t, 2, within(0.7385), 0.001) // χ² of three degrees, 0.7385: 4
	require.InDelta(t, 1, assurance{1, 1}.widened(0.4), 1e-12)
	require.InDelta(t, within(0.4)/within(0.2), assurance{0.5, 1}.widened(0.4), 1e-12)
}
