package teach

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A bin is joined over one example of another, which may be a slip of yours, and over
// two no more.
func TestASpanIsCutByTwoOfAnotherBin(t *testing.T) {
	spans := func(others ...float64) int {
		var pts []point
		bins := make([][]int, 2)
		add := func(bin int, at float64) {
			bins[bin] = append(bins[bin], len(pts))
			p := point{bin: bin}
			p.place[lightness][0] = at
			pts = append(pts, p)
		}
		add(0, 1)
		add(0, 3)
		for _, at := range others {
			add(1, at)
		}
		w := view{axes: []axis{lightness}}
		w.join(pts, bins)
		n := 0
		for _, s := range w.spans {
			if s.bin == 0 && s.a != s.b {
				n++
			}
		}
		return n
	}
	require.Equal(t, 1, spans())
	require.Equal(t, 1, spans(2))
	require.Equal(t, 0, spans(1.8, 2.2))
	require.Equal(t, 1, spans(2, 3+2*blur), "it lies beside")
}
