package scale

import (
	"math"
	"math/rand/v2"
	"slices"
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
		require.Empty(t, look(ref.thing, Options{Given: 99}), "given %s", ref.kind)
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

// A sheet as light as the ground that it lies on is told by its tint, though the
// finder's outline is far off: it was taken for a Letter sheet a tenth too large.
func TestWhiteOnWhite(t *testing.T) {
	sheet := white(297/25.4, 210/25.4, 0)
	sheet.y = 7
	pieces := squares([]float64{3.5, 3.5, 3.5, 3.5}, 6.5, 4)
	for i := range pieces {
		pieces[i].y -= 5
	}
	flannel := func(_, _ float64) float64 { return sheet.grey }
	s := shoot(800, 600, 0, 0, 21, flannel, append(pieces, sheet), 0.004, 5)
	regions := s.regions(0.3, 2)
	paper := &regions[len(pieces)]
	paper.Polygon.Fill(s.pic.W, s.pic.H, func(y, x0, x1 int) {
		for k := 3 * (y*s.pic.W + x0); k < 3*(y*s.pic.W+x1); k += 3 {
			// The same luminance, by the Rec. 709 weights.
			s.pic.Pix[k] *= 1.05
			s.pic.Pix[k+1] *= 0.9914
			s.pic.Pix[k+2] *= 0.937
		}
	})
	off := [4]geom.Point{{X: -8, Y: -6}, {X: 7, Y: -5}, {X: 6, Y: 9}, {X: -5, Y: 8}}
	for i := range paper.Corners {
		paper.Corners[i] = paper.Corners[i].Add(off[i])
	}
	paper.Polygon, paper.Card = paper.Corners, true
	res := Measure(s.pic, regions, nil, Options{Kind: cloth.Board})
	require.Len(t, res.References, 1)
	require.Equal(t, cloth.A4, res.References[0].Kind)
	require.InEpsilon(t, 21, res.Reading.PxPerInch, 0.01)
	require.Equal(t, "3½ square", res.Sizes[0].Cut)
}

// A small card that the finder overlooked, or saw as paper and took for none, is found on
// the ground, and gives the scale of a board whose squares are all of one size; a button
// is none.
func TestOverlookedCard(t *testing.T) {
	card := white(85.60/25.4, 53.98/25.4, 3.18/25.4)
	button := white(0.8, 0.8, 0.4)
	button.x -= 8
	pieces := squares([]float64{3.5, 3.5, 3.5, 3.5, 3.5, 3.5}, 6.5, 4)
	for i := range pieces {
		pieces[i].y -= 5
	}
	s := shoot(800, 600, 0, 0, 21, plainTable, append(pieces, card, button), 0.01, 5)
	white := make([]uint8, 800*600)
	for i := range white {
		if s.pic.Pix[3*i] > 0.7 {
			white[i] = 255
		}
	}
	for _, paper := range [][]uint8{nil, white} {
		res := Measure(s.pic, s.regions(0.3, 2)[:len(pieces)], s.bare(), Options{Kind: cloth.Board, Paper: paper})
		require.Len(t, res.References, 1, len(paper))
		require.Equal(t, cloth.IDCard, res.References[0].Kind)
		require.Equal(t, -1, res.References[0].Region)
		require.Equal(t, FromCard, res.Reading.From)
		require.InEpsilon(t, 21, res.Reading.PxPerInch, 0.02)
		require.Equal(t, "3½ square", res.Sizes[0].Cut)
	}
}

// Light cloth all about does not hide a card that is lighter than the ground it lies on.
func TestOverlookedCardAmongLightCloth(t *testing.T) {
	card := white(85.60/25.4, 53.98/25.4, 3.18/25.4)
	card.x, card.y, card.turn = 0, 0, 0
	pieces := squares(slices.Repeat([]float64{3.5}, 25), 4, 4)
	pieces = slices.Delete(pieces, 12, 13) // the card lies there
	for i := range pieces {
		pieces[i].grey, pieces[i].print, pieces[i].turn = 0.8, 0, 0
	}
	s := shoot(800, 600, 0, 0, 25, func(_, _ float64) float64 { return 0.6 }, append(pieces, card), 0.005, 1)
	res := Measure(s.pic, s.regions(0.3, 2)[:len(pieces)], s.bare(), Options{Kind: cloth.Board})
	require.Len(t, res.References, 1)
	require.Equal(t, FromCard, res.Reading.From)
	require.InEpsilon(t, 25, res.Reading.PxPerInch, 0.02)
}

// A camera that leans much makes a small card no rectangle: its edges are looked for
// farther off than an eighth of its side.
func TestOverlookedCardAtASlant(t *testing.T) {
	for seed := range uint64(4) {
		card := white(85.60/25.4, 53.98/25.4, 3.18/25.4)
		card.turn = math.Pi / 5 * float64(seed)
		pieces := squares(slices.Repeat([]float64{3.5}, 6), 6.5, 4)
		for i := range pieces {
			pieces[i].y -= 5
		}
		s := shoot(800, 600, 0.6, -0.6, 11, plainTable, append(pieces, card), 0.01, seed)
		res := Measure(s.pic, s.regions(0.3, 2)[:len(pieces)], s.bare(), Options{Kind: cloth.Board})
		require.Len(t, res.References, 1)
		require.Equal(t, FromCard, res.Reading.From)
	}
}

// A white card on white cloth, told by its tint alone, of which the finder sees a part:
// it was not seen. Where its tint shows it, but not its edges, it is said where it lies.
func TestFaintCard(t *testing.T) {
	card := white(85.60/25.4, 53.98/25.4, 3.18/25.4)
	pieces := squares([]float64{3.5, 3.5, 3.5, 3.5, 3.5, 3.5}, 6.5, 4)
	for i := range pieces {
		pieces[i].y -= 5
	}
	var middle geom.Point // of the card
	at := func(tint float32, paper bool) Result {
		s := shoot(800, 600, 0.1, 0, 21, func(_, _ float64) float64 { return card.grey }, append(pieces[:len(pieces):len(pieces)], card), 0.01, 5)
		back := s.table().Inverse()
		corners := card.corners()
		on := geom.Polygon(corners[:]).Map(back.Apply)
		middle = on.Centroid()
		var o Options
		o.Kind = cloth.Board
		if paper {
			o.Paper = make([]uint8, 800*600)
		}
		for i := range 800 * 600 {
			switch q := (geom.Point{X: float64(i%800) + 0.5, Y: float64(i/800) + 0.5}); {
			case !on.Contains(q):
				s.pic.Pix[3*i+2] *= 1 - tint
			case paper && on.About(0.5).Contains(q):
				o.Paper[i] = 255
			}
		}
		return Measure(s.pic, s.regions(0.3, 2)[:len(pieces)], s.bare(), o)
	}
	res := at(0.06, true)
	require.Len(t, res.References, 1)
	require.Equal(t, cloth.IDCard, res.References[0].Kind)
	require.Equal(t, FromCard, res.Reading.From)
	require.InEpsilon(t, 21, res.Reading.PxPerInch, 0.02)
	require.Nil(t, res.Faint)
	res = at(0.02, true)
	require.Zero(t, res.Reading)
	require.NotNil(t, res.Faint)
	require.Less(t, res.Faint.Dist(middle), 2.0)
	res = at(0.06, false)
	require.Zero(t, res.Reading, "none of it is seen")
	require.Nil(t, res.Faint)
}

// Where two cards of known size explain a white thing alike, the scale that one of
// them gives is not told with a trust of .98, as it was, nor by it alone: the pieces'
// widths say which. What is told of the scale is weighed by Bayes' rule.
func TestTwoCardsAlike(t *testing.T) {
	flat := func() posterior {
		q := posterior{p: make([]float64, 1000)}
		for i := range q.p {
			q.p[i] = 1e-3
		}
		return q
	}
	alike := &told{parts: []tellsScale{{s: 1, sd: 0.01, odds: 50}, {s: 2, sd: 0.01, odds: 50}}}
	q := flat()
	odds := q.heed(alike)
	require.InDelta(t, 0.5, odds[0][0], 0.01)
	require.InDelta(t, 0.5, odds[0][1], 0.01)
	_, trust := q.mode()
	require.InDelta(t, 0.5, trust, 0.01)
	q = flat()
	for i := range q.p { // the widths are twenty times likelier at the second
		if math.Abs(float64(i)*logStep-2) < 0.1 {
			q.p[i] *= 20
		}
	}
	odds = q.heed(alike)
	require.InDelta(t, 20/21.0, odds[0][1], 0.01)
	s, trust := q.mode()
	require.InDelta(t, 2, math.Log(s), 0.005)
	require.InDelta(t, 20/21.0, trust, 0.01)
	q = flat() // and paper of no known size tells nothing
	odds = q.heed(&told{parts: alike.parts[:1], other: 1e6})
	require.Less(t, odds[0][0], 0.001)
	require.InDelta(t, 1e-3, q.p[500], 1e-4)
}

// A scale given by hand is kept where a card tells another; that is said, and the card
// is still a card.
func TestAGivenScaleMayContradictACard(t *testing.T) {
	pieces := squares([]float64{2.5, 3.5, 5, 2.5, 5, 3.5, 1.5, 2.5, 2.5}, 6.5, 4)
	for i := range pieces {
		pieces[i].y -= 5
	}
	s := shoot(800, 600, 0.1, 0, 21, plainTable, append(pieces[:len(pieces):len(pieces)], standards[0].thing), 0.01, 5)
	known := Measure(s.pic, s.regions(0.7, 2), nil, Options{})
	require.NotEmpty(t, known.References)
	for factor, notes := range map[float64]int{1.03: 0, 0.4: 1} {
		given := factor * known.Reading.PxPerInch
		res := Measure(s.pic, s.regions(0.7, 2), nil, Options{PxPerInch: given})
		require.InEpsilon(t, given, res.Reading.PxPerInch, 1e-9)
		require.Len(t, res.References, len(known.References))
		require.Len(t, res.Notes, notes)
	}
}
