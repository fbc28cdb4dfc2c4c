package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/recipe"
)

func TestWhatOneQuiltPullsIsLeftToIt(t *testing.T) {
	stock := []cloth.Holding{{ID: 1, Count: 7}, {ID: 2, Count: 3}, {ID: 3, Count: 2}}
	left, taken := Leave(stock, []Pulled{{1, 5}, {3, 2}, {9, 4}, {1, 1}})
	require.Equal(t, []cloth.Holding{{ID: 1, Count: 1}, {ID: 2, Count: 3}}, left)
	require.Equal(t, 8, taken)
	left, taken = Leave(stock, nil)
	require.Equal(t, stock, left)
	require.Zero(t, taken)
}

// Sizes on point are square roots of two; what is said of them lies on marks.
func TestOnPointSpeaksInEighths(t *testing.T) {
	r, err := recipe.Read("point.toml", []byte("name = \"p\"\nwidth = 12\ngrid = [1, 1]\n[setting]\nkind = \"on-point\"\n[[patch]]\nat = [[1, 1]]\nrole = \"any\"\n"))
	require.NoError(t, err)
	n, err := Need(Order{Recipe: r, Columns: 3, Rows: 4}, Defaults(recipe.Inches()))
	require.NoError(t, err)
	require.Equal(t, "3 by 4 with 6 set between", n.Set())
	require.Equal(t, "p, 50⅞ by 67⅞ finished", n.Why.Text) // 50.912 and 67.882
	require.Equal(t, 2*(51+68), int(n.Binding.AroundIn))
	require.Equal(t, n.Binding.AroundIn+10, n.Binding.RoundIn)
	for _, w := range n.Backing.Ways {
		require.InDelta(t, w.PanelIn*8, float64(int(w.PanelIn*8+0.5)), 1e-9)
	}
}
