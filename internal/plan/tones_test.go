package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/contrast"
	"piecebag/internal/recipe"
)

// Twelve blocks of the Ohio star take 48 hourglasses, two from a pair of squares,
// and 12 centres: 36 squares of the star's prints, not 108 patches.
func TestTonesAreCountedAsCut(t *testing.T) {
	r, err := recipe.BuiltIn("ohio-star")
	require.NoError(t, err)
	n, err := Need(Order{Recipe: r, Blocks: 12}, Defaults(recipe.Inches()))
	require.NoError(t, err)
	require.Equal(t, contrast.Wanted{Dark: 36}, n.ByTone())

	require.Zero(t, n.Gives(2.5, 40), "too narrow for any patch")
	require.Equal(t, 1, n.Gives(4.5, 4.5))
	require.Equal(t, 2, n.Gives(4.5, 10), "centres, as no square of 5¼ fits")
	require.Equal(t, 3, n.Gives(5.25, 16))
	require.Equal(t, 1, n.Gives(0, 0), "a colour has no size")
}

// A background comes from the stash where all its pieces can be cut there: enough cloth in
// pieces too narrow gives none.
func TestTheStashGivesABackground(t *testing.T) {
	r, err := recipe.BuiltIn("ohio-star")
	require.NoError(t, err)
	n, err := Need(Order{Recipe: r, Blocks: 1}, Defaults(recipe.Inches()))
	require.NoError(t, err)
	gives := func(count int, width, length float64) bool {
		ok, err := GivesBackground(n, []cloth.Holding{{ID: 1, Form: cloth.Rectangle, Count: count, WidthIn: width, LengthIn: length}})
		require.NoError(t, err)
		return ok
	}
	require.True(t, gives(1, 36, 40))
	require.False(t, gives(1, 5, 5))
	require.False(t, gives(200, 1, 36), "too narrow for any patch")
}
