package recipe

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
)

func TestUnitsMadeSoManyAtATime(t *testing.T) {
	star, err := BuiltIn("sawtooth-star")
	require.NoError(t, err)
	four, err := star.Made(map[Make]int{FlyingGeese: 4})
	require.NoError(t, err)
	for i, u := range star.Blocks[0].Units {
		want := u
		if u.Make == FlyingGeese {
			want.AtATime = 4
		}
		require.Equal(t, want, four.Blocks[0].Units[i])
	}
	require.Equal(t, "flying-geese=4", AtATimeText(four.AtATime))
	require.Empty(t, star.AtATime)
	back, err := four.Made(map[Make]int{FlyingGeese: 1})
	require.NoError(t, err)
	require.Equal(t, star.Blocks, back.Blocks)
	_, err = star.Made(map[Make]int{FlyingGeese: 2})
	require.Contains(t, fault.Of(err).Full(), "write flying-geese=1 or flying-geese=4")
	plain, err := BuiltIn("nine-patch")
	require.NoError(t, err)
	require.Empty(t, plain.Ways())
	_, err = plain.Made(map[Make]int{HalfSquare: 8})
	require.Contains(t, fault.Of(err).Full(), "no choice")
	got, err := ReadAtATime("half-square = 8, Flying-Geese=4")
	require.NoError(t, err)
	require.Equal(t, map[Make]int{HalfSquare: 8, FlyingGeese: 4}, got)
	for _, text := range []string{"", "8", "half-square", "half-square=x"} {
		_, err := ReadAtATime(text)
		require.Error(t, err, text)
	}
}
