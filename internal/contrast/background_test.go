package contrast

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
)

func TestRankPutsTheBackgroundOnWhichMostStandsClearFirst(t *testing.T) {
	pull := []Print{plain(t, "5R 4/10"), plain(t, "5B 5.2/6"), plain(t, "5G 2.8/4")}
	backgrounds := []Print{plain(t, "N 4/"), plain(t, "N 9/"), plain(t, "N 6.4/")}
	got := Rank(backgrounds, pull)
	require.Equal(t, 1, got[0].Background)
	require.Equal(t, 3, got[0].Clear)
	require.InDelta(t, 3.8, got[0].Least, 0.01)
	require.Equal(t, 2, got[1].Background)
	require.Equal(t, 0, got[2].Background)
	require.Equal(t, 1, got[2].Sinking)
}

func TestRankPrefersACalmBackgroundAndLeavesOutItself(t *testing.T) {
	pull := []Print{plain(t, "N 2/"), plain(t, "N 9/")}
	busy := plain(t, "N 9/")
	busy.Name = "busy"
	busy.Inks = []cloth.Ink{{Colour: plain(t, "N 10/").Colour, Share: 0.7}, {Colour: plain(t, "N 6/").Colour, Share: 0.3}}
	got := Rank([]Print{busy, plain(t, "N 9/")}, pull)
	require.Equal(t, 1, got[0].Background)
	require.Equal(t, Weighed{Background: 1, Clear: 1, Least: got[0].Least}, got[0])
	require.InDelta(t, 7, got[0].Least, 0.01)
	require.Empty(t, Rank(nil, pull))
	require.Equal(t, []Weighed{{}}, Rank([]Print{plain(t, "N 5/")}, nil))
}

func TestRankCountsEveryPieceOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) []Print {
			out := make([]Print, rapid.IntRange(0, 5).Draw(t, name))
			for i := range out {
				out[i] = grey(rapid.Float64Range(0, 100).Draw(t, "L"))
				out[i].Pieces = rapid.IntRange(1, 9).Draw(t, "pieces")
			}
			return out
		}
		backgrounds, pull := draw("backgrounds"), draw("pull")
		pieces := 0
		for _, p := range pull {
			pieces += p.Pieces
		}
		last := -1
		for _, c := range Rank(backgrounds, pull) {
			require.Equal(t, pieces, c.Sinking+c.Soft+c.Clear)
			require.GreaterOrEqual(t, c.Sinking, last)
			last = c.Sinking
		}
	})
}

// A background takes more than a few scraps: an eighth of a yard of cloth 40 inches
// wide is 180 square inches (our own judgement).
func TestSmallAndLarge(t *testing.T) {
	of := func(cloths ...Cloth) Print { return Print{Cloth: cloths} }
	for _, c := range []struct {
		print        Print
		small, large bool
	}{
		{of(), false, false}, // a colour
		{of(Cloth{2.5, 2.5, 28}), true, false},
		{of(Cloth{2.5, 2.5, 29}), false, true},
		{of(Cloth{18, 22, 1}), false, true},
		{of(Cloth{0, 0, 3}), false, false},
		{of(Cloth{18, 22, 1}, Cloth{2.5, 0, 1}), false, true},
	} {
		require.Equal(t, []bool{c.small, c.large}, []bool{c.print.Small(), c.print.Large()}, "%v", c.print.Cloth)
	}
	require.Equal(t, []Print{{Name: "a"}, {}}, Without([]Print{{Name: "b"}, {Name: "a"}, {}}, "b"))
	require.Len(t, Without([]Print{{}}, ""), 1)
}
