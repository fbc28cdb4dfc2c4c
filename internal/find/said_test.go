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
