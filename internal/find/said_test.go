package find

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// What is likelier right than wrong is said, and nothing else.
func TestWhatIsLikelierWrongIsNotSaid(t *testing.T) {
	square := geom.Polygon{{X: 0, Y: 0}, {X: 50, Y: 0}, {X: 50, Y: 50}, {X: 0, Y: 50}}
	clear := slices.Clone(trusts().Mean) // all that speaks for a piece, a deviation over the mean
	for i := range clear {
		clear[i] += math.Copysign(trusts().SD[i], trusts().LogOdds[i+1])
	}
	said := func(shown float64) *Result {
		r := &Result{
			Regions: []cloth.Region{{Polygon: square, Corners: square}},
			Signs:   [][]float64{slices.Clone(clear)},
		}
		r.judge(shown, 0, false)
		return r
	}
	full := said(1)
	require.Len(t, full.Regions, 1)
	full.judge(1, 0, true)
	sure := full.Regions[0].Trust
	require.Greater(t, sure, 0.6)
	require.Len(t, said(0.55/sure).Regions, 1)
	require.Empty(t, said(0.45/sure).Regions)
}

// A sheet that the eye doubts in its middle, with a way out to its edge, is seen
// with its four corners all the same; a thing with a bay is none.
func TestDoubtedSheetIsSeenWhole(t *testing.T) {
	seen := func(bare func(x, y int) bool) []cloth.Region {
		v := &view{field: field{w: 60, h: 60, card: make([]int16, 60*60), cloth: make([]int16, 60*60)}, sx: 1, sy: 1}
		for y := range 60 {
			for x := range 60 {
				v.card[y*60+x] = -half
				if x >= 10 && x < 50 && y >= 15 && y < 45 && !bare(x, y) {
					v.card[y*60+x] = half
				}
			}
		}
		return v.cards()
	}
	whole := seen(func(x, y int) bool { return x > 25 && x < 33 && y < 40 })
	require.Len(t, whole, 1)
	require.InDelta(t, 40*30, whole[0].Polygon.Area(), 60)
	require.Empty(t, seen(func(x, y int) bool { return x > 16 && y > 18 && y < 41 }), "a clamp")
}

// What speaks across a piece's edge is what near pulls say there: far ones reach over
// what lies between.
func TestAcrossIsOfNearPulls(t *testing.T) {
	v := drawn(800, big(20, "aabb")...)
	far := newPull(12, 0, v.w*v.h)
	for i := range far.p {
		far.p[i] = 900
	}
	v.pulls = append(v.pulls, far)
	l := &labelled{view: v, lab: make([]int32, v.w*v.h), edges: v.edges(0)}
	for i := range l.lab {
		l.lab[i] = 1 + int32(i%v.w/40)
	}
	l.gather(2)
	for _, p := range l.pieces {
		require.InDelta(t, -800.0/unit, p.outer.mean(), 1e-9)
		require.Greater(t, p.inner.mean(), 800.0/unit, "and those within, of all")
	}
}

// Ground is where neither cloth nor a card is at all likely; what may be a card is
// neither ground nor paper until it is likelier than not.
func TestGroundIsNoCard(t *testing.T) {
	v := &view{field: field{w: 4, h: 1, cloth: []int16{-half, -half, -half, 0}, card: []int16{-half, -half / 2, half, -half}}, sx: 1, sy: 1}
	ground, paper, labels := bareOf(v, nil, 4, 1)
	require.Equal(t, []uint8{255, 0, 0, 0}, ground)
	require.Equal(t, []uint8{0, 0, 255, 0}, paper)
	require.Equal(t, []uint8{0, 0, 0, 0}, labels)
	near := &view{field: field{w: 4, h: 1, cloth: []int16{0, -half, half, 0}}, sx: 1, sy: 1}
	ground, paper, labels = bareOf(v, near, 4, 1)
	require.Equal(t, []uint8{0, 0, 0, 0}, ground, "the nearer look sees cloth")
	require.Equal(t, []uint8{0, 0, 0, 0}, paper)
	require.Equal(t, []uint8{0, 0, 255, 0}, labels, "paper on cloth")
}
