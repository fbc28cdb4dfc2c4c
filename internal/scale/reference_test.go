package scale

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// white is a reference lying apart from the squares.
func white(long, short, round float64) lying {
	return lying{x: 1, y: 8.7, w: long, h: short, turn: 0.2, round: round, grey: 0.84}
}

// The sizes are of ISO/IEC 7810 (ID-1 85.60 × 53.98 mm, corners 3.18 mm), ANSI
// Y14.1 (8½ × 11 in) and ISO 216 (210 × 297 mm); the index card is common
// practice, no source.
var standards = []struct {
	kind  cloth.ReferenceKind
	from  string
	thing lying
}{
	{cloth.IDCard, FromCard, white(85.60/25.4, 53.98/25.4, 3.18/25.4)},
	{cloth.Letter, FromSheet, white(11, 8.5, 0)},
	{cloth.A4, FromSheet, white(297/25.4, 210/25.4, 0)},
	{cloth.IndexCard, FromCard, white(5, 3, 0)},
}

func TestStandards(t *testing.T) {
	for i, k := range knowns {
		require.Equal(t, standards[i].kind, k.kind)
		require.InDelta(t, standards[i].thing.w, k.long, 1e-9)
		require.InDelta(t, standards[i].thing.h, k.short, 1e-9)
	}
}

// Each reference is known for what it is, from above and at a slant, among
// cloth with frayed edges, noise and corners that a finder puts half a pixel
// off; the scale is right within 2 %, of which most is the tilt.
func TestReferences(t *testing.T) {
	pieces := squares([]float64{2.5, 3.5, 5, 2.5, 5, 3.5, 1.5, 2.5, 2.5}, 6.5, 4)
	for i := range pieces {
		pieces[i].y -= 5
	}
	for i, ref := range standards {
		for j, tilt := range []float64{0, 0.35} {
			s := shoot(800, 600, 0.5*tilt, -tilt, 21, plainTable, append(pieces[:len(pieces):len(pieces)], ref.thing), 0.01, uint64(i+10*j))
			res := Measure(s.pic, s.regions(0.5, uint64(i)), nil, Options{Kind: cloth.Spread})
			require.Len(t, res.References, 1, "%s at %v", ref.kind, tilt)
			got := res.References[0]
			require.Equal(t, ref.kind, got.Kind)
			require.Equal(t, len(pieces), got.Region)
			require.Greater(t, got.Trust, 0.9)
			require.Equal(t, ref.from, res.Reading.From)
			require.InEpsilon(t, 21, res.Reading.PxPerInch, 0.02, "%s at %v", ref.kind, tilt)
			require.Positive(t, geom.Polygon(got.Corners[:]).SignedArea(), "clockwise")
			for k := range pieces {
				require.Equal(t, pieces[k].w, res.Sizes[k].Width)
			}
			require.Zero(t, res.Sizes[len(pieces)])
			// The map to inches gives the reference its own size, a long side
			// first.
			var at [3]geom.Point
			for k := range at {
				var ok bool
				at[k], ok = res.Inches(got.Corners[k])
				require.True(t, ok)
			}
			require.InEpsilon(t, ref.thing.w, at[0].Dist(at[1]), 0.03, "%s at %v", ref.kind, tilt)
			require.InEpsilon(t, ref.thing.h, at[1].Dist(at[2]), 0.03)
		}
	}
}

// White cloth of a sheet's or card's shape, a fifth larger, is cloth: it frays,
// and the scale that it would give suits no other piece. Nor is a sheet of no
// known shape a reference, nor one drawn by hand as a piece.
func TestClothIsNoReference(t *testing.T) {
	pieces := squares([]float64{2.5, 3.5, 5, 2.5, 5, 3.5, 1.5, 2.5, 2.5}, 6.5, 4)
	for i := range pieces {
		pieces[i].y -= 5
	}
	pieces[2].grey = 0.8 // beside it, grey is no white
	look := func(th lying, o Options) []cloth.Reference {
		s := shoot(800, 600, 0.1, 0, 21, plainTable, append(pieces[:len(pieces):len(pieces)], th), 0.01, 5)
		return Measure(s.pic, s.regions(0.7, 2), nil, o).References
	}
	for _, ref := range standards {
		th := ref.thing
		th.w, th.h = 1.2*th.w, 1.2*th.h
		th.round, th.fray = 0, 0.03
		require.Empty(t, look(th, Options{}), "frayed %s", ref.kind)
		th.fray, th.print = 0, 0.2
		require.Empty(t, look(th, Options{}), "printed %s", ref.kind)
		th = ref.thing
		th.grey = 0.3
		require.Empty(t, look(th, Options{}), "grey %s", ref.kind)
		require.Empty(t, look(ref.thing, Options{Given: true}), "given %s", ref.kind)
	}
	require.Empty(t, look(white(7, 7, 0), Options{}), "a square of paper")
	require.Empty(t, look(white(11, 4, 0), Options{}), "a strip of paper")
}

// Over random tables, Letter and A4 are never taken for one another.
func TestLetterIsNotA4(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for n := range 8 {
		ref := standards[1+n%2]
		th := ref.thing
		th.turn = math.Pi * r.Float64()
		pieces := squares([]float64{2.5, 5, 3.5}, 8, r.Uint64())
		for i := range pieces {
			pieces[i].y -= 6
		}
		s := shoot(600, 450, 0.25*r.NormFloat64(), 0.25*r.NormFloat64(), 14, plainTable, append(pieces, th), 0.015, r.Uint64())
		res := Measure(s.pic, s.regions(0.8, r.Uint64()), nil, Options{})
		for _, got := range res.References {
			require.Equal(t, ref.kind, got.Kind)
		}
	}
}

// A traced side lies on the edge to a tenth of a pixel, wherever within reach
// the search began.
func TestTraceFindsEdges(t *testing.T) {
	th := lying{w: 10, h: 6, turn: 0.3, grey: 0.8}
	s := shoot(500, 375, 0, 0, 25, plainTable, []lying{th}, 0.01, 2)
	want := s.regions(0, 0)[0].Corners
	l := lumaOf(s.pic)
	r := rand.New(rand.NewPCG(4, 4))
	for range 20 {
		var c [4]geom.Point
		for i, q := range want {
			c[i] = geom.Point{X: q.X + 3*(r.Float64()-0.5), Y: q.Y + 3*(r.Float64()-0.5)}
		}
		e, ok := l.trace(c, traceReach)
		require.True(t, ok)
		require.Less(t, e.rough, 0.2)
		require.Greater(t, e.share, 0.95)
		for i := range want {
			require.Less(t, e.c[i].Dist(want[i]), 0.15)
		}
	}
}

// A round corner leaves 1 − π/4 of its square to the ground.
func TestBite(t *testing.T) {
	for _, round := range []float64{0, 3.18 / 25.4} {
		th := white(85.60/25.4, 53.98/25.4, round)
		th.x, th.y = 0, 0
		s := shoot(500, 375, 0, 0, 60, plainTable, []lying{th}, 0, 2)
		want := 0.0
		if round > 0 {
			want = 1 - math.Pi/4
		}
		require.InDelta(t, want, bite(lumaOf(s.pic), [4]geom.Point(s.regions(0, 0)[0].Corners)), 0.07)
	}
}
