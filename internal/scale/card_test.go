package scale

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/card"
	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// onTable is the printed card as it is found, a tenth of a pixel off, on the
// table of a shot, with its upper left corner at (x, y) inches from the middle.
func onTable(s *shot, x, y, turn float64, seed uint64) *card.Found {
	r := rand.New(rand.NewPCG(seed, 3))
	back := s.table().Inverse()
	f := &card.Found{Marks: 4, Trust: 0.99}
	sin, cos := math.Sincos(turn)
	for _, m := range card.Marks {
		for _, q := range m.Corners() {
			at := back.Apply(geom.Point{X: x + cos*q.X - sin*q.Y, Y: y + sin*q.X + cos*q.Y})
			f.Points = append(f.Points, q)
			f.Seen = append(f.Seen, at.Add(geom.Point{X: 0.1 * r.NormFloat64(), Y: 0.1 * r.NormFloat64()}))
		}
	}
	h, err := geom.FitHomography(f.Points, f.Seen)
	if err != nil {
		panic(err)
	}
	f.ToPicture = h
	return f
}

// The printed card gives the scale within 0.5 %, from above and at a slant,
// with no cloth in view, and lengths on the whole table by its tilt: a length
// across the picture is right within 1 %.
func TestPrintedCard(t *testing.T) {
	for i, tilt := range [][2]float64{{0, 0}, {0.25, -0.1}, {-0.3, 0.3}} {
		s := shoot(800, 600, tilt[0], tilt[1], 25, plainTable, nil, 0.005, uint64(i))
		f := onTable(s, -3, -3, 0.3*float64(i), uint64(i))
		straight := func(q geom.Point) geom.Point { // as the usual lens draws it
			l := plane{cx: 400, cy: 300, barrel: usualBarrel}
			d := q
			for range 8 {
				d = d.Add(q.Sub(l.straight(d)))
			}
			return d
		}
		for k := range f.Seen {
			f.Seen[k] = straight(f.Seen[k])
		}
		res := Measure(s.pic, nil, nil, Options{Kind: cloth.Spread, Card: f})
		require.Equal(t, FromPrint, res.Reading.From)
		require.Greater(t, res.Reading.Trust, 0.98)
		require.InEpsilon(t, 25, res.Reading.PxPerInch, 0.005, "%v", tilt)
		require.Equal(t, cloth.PrintedCard, res.References[0].Kind)
		require.Equal(t, -1, res.References[0].Region)
		require.NotEmpty(t, res.References[0].Blank)
		back := s.table().Inverse()
		a, _ := res.Inches(straight(back.Apply(geom.Point{X: -10, Y: -6})))
		b, ok := res.Inches(straight(back.Apply(geom.Point{X: 9, Y: 7})))
		require.True(t, ok)
		require.InEpsilon(t, math.Hypot(19, 13), a.Dist(b), 0.01, "%v", tilt)
	}
}

// Squares of no usual cut fit other scales better than the true one: the printed card
// outweighs them, though its marks fit ill.
func TestPrintedCardOutweighsWidths(t *testing.T) {
	for seed := range uint64(3) {
		s := shoot(800, 600, 0, 0, 20, plainTable, squares(slices.Repeat([]float64{7.3}, 5), 9, seed), 0.01, seed)
		f := onTable(s, -18, -12, 0.1, seed)
		f.Trust = 0.96
		res := Measure(s.pic, s.regions(0.3, seed), s.bare(), Options{Kind: cloth.Spread, Card: f})
		require.Equal(t, FromPrint, res.Reading.From)
		require.InEpsilon(t, 20, res.Reading.PxPerInch, 0.01)
	}
}

// Pieces that are no true rectangles say less of the tilt than the card, whose form is
// known.
func TestPrintedCardTellsTheTilt(t *testing.T) {
	off := 0.0
	for seed := range uint64(8) {
		s := shoot(800, 600, 0.3, -0.2, 15, plainTable, squares([]float64{5, 5, 5, 5, 5, 5, 5, 5, 5}, 8, seed), 0.01, seed)
		f := onTable(s, 12, -8, 0.4, seed)
		res := Measure(s.pic, s.regions(2, seed), s.bare(), Options{Kind: cloth.Spread, Card: f})
		off += math.Abs(math.Log(res.Reading.PxPerInch/15)) / 8
	}
	require.Less(t, off, 0.0045)
}

// What the user says of the scale goes before the card.
func TestGivenScaleBeforeCard(t *testing.T) {
	s := shoot(800, 600, 0, 0, 25, plainTable, nil, 0.005, 1)
	res := Measure(s.pic, nil, nil, Options{Card: onTable(s, -3, -3, 0, 1), PxPerInch: 30})
	require.Equal(t, FromGiven, res.Reading.From)
	require.Equal(t, 30.0, res.Reading.PxPerInch)
}
