package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func counts(t *testing.T, c Leftover, sizes ...Size) []int {
	t.Helper()
	got, err := CutUpLeftovers([]Leftover{c}, sizes)
	require.NoError(t, err)
	return got[0].Counts
}

// Published charts and yields, as for yardage.
func TestLeftoversGiveWhatChartsSay(t *testing.T) {
	square := func(s float64) Size { return Size{W: s, L: s, Weight: 1} }
	// piecefulliving.blogspot.com 2011, quilterscache.com: a fat quarter
	for i, s := range []float64{2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5} {
		require.Equal(t, []int{99, 56, 42, 30, 20, 16, 12, 12, 9, 6}[i], counts(t, Leftover{W: 22, L: 18}, square(s))[0])
	}
	// yourwiseadvices.com: four of 5 from a ten-inch square; sixteen of 2½ by the grid
	require.Equal(t, []int{4}, counts(t, Leftover{W: 10, L: 10}, square(5)))
	require.Equal(t, []int{16}, counts(t, Leftover{W: 10, L: 10}, square(2.5)))
	// American Patchwork & Quilting, bricks of 5 × 8½ from 18 × 21
	require.Equal(t, []int{8}, counts(t, Leftover{W: 18, L: 21}, Size{W: 5, L: 8.5, Weight: 1}))
	require.Equal(t, []int{6}, counts(t, Leftover{W: 18, L: 21, OneWay: true}, Size{W: 5, L: 8.5, Weight: 1}))
	// christaquilts.com 2012: eight bricks of 4½ × 8½ from a usable 17 × 18
	require.Equal(t, []int{8}, counts(t, Leftover{W: 17, L: 18}, Size{W: 4.5, L: 8.5, Weight: 1}))
}

func TestThinBinsAreFilledFirst(t *testing.T) {
	sizes := []Size{{W: 5, L: 5, Weight: 1}, {W: 2.5, L: 2.5, Weight: 1}}
	require.Equal(t, []int{4, 0}, counts(t, Leftover{W: 10, L: 10}, sizes...), "alike: fewer cuts")
	sizes[1].Weight = 1.5
	require.Equal(t, []int{0, 16}, counts(t, Leftover{W: 10, L: 10}, sizes...), "squares of 2½ are thin")
}

func TestLossIsTakenOff(t *testing.T) {
	got, err := CutUpLeftovers([]Leftover{{W: 18, L: 22}, {W: 18, L: 22, Loss: 0.5}, {W: 0.4, L: 9, Loss: 0.5}}, []Size{{W: 4.5, L: 4.5, Weight: 1}})
	require.NoError(t, err)
	require.Equal(t, 16, got[0].Counts[0])
	require.True(t, got[0].ExactFit)
	require.Equal(t, 12, got[1].Counts[0])
	require.Zero(t, got[2].Counts[0])
}

func TestCutUpRefuses(t *testing.T) {
	_, err := CutUpLeftovers([]Leftover{{W: 10, L: 10}}, []Size{{W: 2, L: 2}})
	require.ErrorContains(t, err, "give one above 0")
	_, err = CutUpLeftovers([]Leftover{{W: 10, L: -1}}, []Size{{W: 2, L: 2, Weight: 1}})
	require.ErrorContains(t, err, "length above 0")
	_, err = CutUpLeftovers([]Leftover{{W: 10, L: 10, Loss: -1}}, nil)
	require.ErrorContains(t, err, "give 0 or more")
	_, err = CutUpLeftovers([]Leftover{{W: 400, L: 400}}, []Size{{W: 1.003, L: 1.003, Weight: 1}, {W: 1.1, L: 1.117, Weight: 1}})
	require.ErrorContains(t, err, "cut it in two")
}

func TestLeftoversCanBeCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Leftover{W: eighths(t, "w", 2, 24), L: eighths(t, "l", 2, 24), OneWay: rapid.Bool().Draw(t, "one way")}
		sizes := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Size {
			return Size{
				W: rapid.SampledFrom(someSizes).Draw(t, "w"), L: rapid.SampledFrom(someSizes).Draw(t, "l"),
				Weight: rapid.Float64Range(0.5, 2).Draw(t, "weight"),
			}
		}), 1, 4).Draw(t, "sizes")
		got, err := CutUpLeftovers([]Leftover{c}, sizes)
		require.NoError(t, err)
		u := got[0]
		requireCuttable(t, c.W, c.L, append(rectsOf(u.Pieces), u.Waste...))
		area := 0.0
		for _, p := range u.Pieces {
			s := sizes[p.Want]
			if p.Turned {
				require.False(t, c.OneWay)
				s.W, s.L = s.L, s.W
			}
			require.InDelta(t, s.W, p.W, eps)
			require.InDelta(t, s.L, p.H, eps)
			area += p.W * p.H
		}
		for _, r := range u.Waste {
			area += r.W * r.H
		}
		require.InDelta(t, c.W*c.L, area, 0.01)
		require.Len(t, u.Slices, len(u.Pieces)+len(u.Waste)-1, "each cut makes one piece more")

		more, err := CutUpLeftovers([]Leftover{{W: c.W + eighths(t, "wider", 0, 3), L: c.L + eighths(t, "longer", 0, 3), OneWay: c.OneWay}}, sizes)
		require.NoError(t, err)
		docked := perPiece * float64(len(u.Pieces)+len(more[0].Pieces))
		require.GreaterOrEqual(t, more[0].Worth, u.Worth-docked, "more cloth gave less")
	})
}

// Every way of cutting from edge to edge, on a grid of half inches.
func TestLeftoversAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, l := rapid.IntRange(2, 14).Draw(t, "w"), rapid.IntRange(2, 14).Draw(t, "l")
		oneWay := rapid.Bool().Draw(t, "one way")
		sizes := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Size {
			return Size{
				W: float64(rapid.IntRange(2, 9).Draw(t, "w")) / 2, L: float64(rapid.IntRange(2, 9).Draw(t, "l")) / 2,
				Weight: float64(rapid.IntRange(1, 4).Draw(t, "weight")),
			}
		}), 1, 3).Draw(t, "sizes")
		memo := map[[2]int]float64{}
		var best func(w, l int) float64
		best = func(w, l int) float64 {
			if v, ok := memo[[2]int{w, l}]; ok {
				return v
			}
			v := 0.0
			for _, s := range sizes {
				a, b := int(2*s.W), int(2*s.L)
				if a <= w && b <= l || !oneWay && b <= w && a <= l {
					v = max(v, s.Weight*s.W*s.L)
				}
			}
			for k := 1; k < w; k++ {
				v = max(v, best(k, l)+best(w-k, l))
			}
			for k := 1; k < l; k++ {
				v = max(v, best(w, k)+best(w, l-k))
			}
			memo[[2]int{w, l}] = v
			return v
		}
		got, err := CutUpLeftovers([]Leftover{{W: float64(w) / 2, L: float64(l) / 2, OneWay: oneWay}}, sizes)
		require.NoError(t, err)
		require.InDelta(t, best(w, l), got[0].Worth, 0.1) // areas are quarters; the dock for pieces is far less
	})
}
