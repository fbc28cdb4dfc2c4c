package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// Sixteen four-patches take 32 segments of 2½, of which 40 inches hold sixteen and 21 hold
// eight: two strips of each tone across the cloth, or four of 21.
func TestStripSetsFromTheStash(t *testing.T) {
	n := needs(t, "four-patch", 16)
	strips := func(dark, light int, width, length float64) []cloth.Holding {
		return []cloth.Holding{
			{ID: 1, Form: cloth.Strip, Count: dark, WidthIn: width, LengthIn: length, Family: cloth.Blue, Value: cloth.Dark},
			{ID: 2, Form: cloth.Strip, Count: light, WidthIn: width, LengthIn: length, Family: cloth.Pink, Value: cloth.Light},
		}
	}
	const across = "your strips suffice to sew strip sets and cut them across, in place of patch by patch: dark, 2 of 2½ × 40; light, 2 of 2½ × 40"
	require.Equal(t, across, SetsFromStrips(n, strips(2, 2, 2.5, 40)))
	require.Equal(t, across, SetsFromStrips(n, strips(2, 2, 2.5625, 42)))
	require.Contains(t, SetsFromStrips(n, strips(4, 5, 2.5, 21)), "dark, 4 of 2½ × 21; light, 4 of 2½ × 21")
	require.Contains(t, SetsFromStrips(n, strips(9, 9, 2.5, 20)), "× 18")
	for _, short := range [][]cloth.Holding{nil, strips(2, 1, 2.5, 40), strips(1, 9, 2.5, 40), strips(9, 9, 2.25, 40), strips(9, 9, 3, 40), strips(9, 9, 2.5, 17), strips(3, 9, 2.5, 21)} {
		require.Empty(t, SetsFromStrips(n, short))
	}
	swapped := strips(9, 9, 2.5, 40)
	swapped[0].Value = cloth.Light
	require.Empty(t, SetsFromStrips(n, swapped))
	require.Empty(t, SetsFromStrips(needs(t, "pinwheel", 4), strips(99, 99, 2.5, 40)))
}
