package desk

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// In a copy made smaller some pieces are missed: two, or a third of them.
func TestNearlyAsManyPieces(t *testing.T) {
	for _, c := range []struct {
		a, b int
		near bool
	}{{6, 6, true}, {6, 4, true}, {2, 0, true}, {0, 3, true}, {6, 2, true}, {6, 1, false}, {60, 38, true}, {60, 37, false}} {
		require.Equal(t, c.near, near(c.a, c.b), "%v", c)
		require.Equal(t, c.near, near(c.b, c.a), "%v", c)
	}
}
