package palette

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMotifOfPlainClothIsNone(t *testing.T) {
	tab := newTable(200, 200, "#9a9a98", 3)
	g := tab.lay(solid("#3157ab"), 100, 100, 110, 110, 0.4)
	tab.noise(4)
	require.Zero(t, measured(t, tab, g).Motif)
}

// Stripes tell their own width and checks two thirds of it, whatever way they lie,
// as far as textureOffsets reach.
func TestMotifIsTheWidthOfStripesAndChecks(t *testing.T) {
	for _, width := range []float64{6, 9, 13, 19, 26} {
		for _, angle := range []float64{0, 0.5} {
			motif := func(p print) float64 {
				tab := newTable(260, 260, "#8a6f50", 5)
				g := tab.lay(p, 130, 130, 150, 150, angle)
				tab.noise(2)
				return measured(t, tab, g).Motif
			}
			require.InEpsilon(t, width, motif(stripes([]string{"#e9e1d1", "#2f4f8f"}, []float64{width, width})), 0.12, "stripes of %v", width)
			require.InEpsilon(t, width*2/3, motif(checks("#cb3232", "#f0eee8", width)), 0.12, "checks of %v", width)
		}
	}
}

func TestMotifOfDotsGrowsWithThem(t *testing.T) {
	last := 0.0
	for _, radius := range []float64{2, 3, 4.5, 7, 10} {
		tab := newTable(260, 260, "#8a6f50", 5)
		g := tab.lay(dots("#333b5e", "#e8e8e7", 4*radius, radius), 130, 130, 150, 150, 0.3)
		tab.noise(2)
		m := measured(t, tab, g).Motif
		require.Greater(t, m, 1.2*last)
		last = m
	}
}
