package family

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// runs is the families along a sweep, each run once. Round the hue circle the last
// run may go on in the first. Runs shorter than least are passed over: a border
// that is grazed.
func runs(sweep []cloth.Family, circle bool, least int) []cloth.Family {
	var out []cloth.Family
	for i := 0; i < len(sweep); {
		j := i
		for j < len(sweep) && sweep[j] == sweep[i] {
			j++
		}
		cut := circle && (i == 0 || j == len(sweep))
		if (j-i >= least || cut) && (len(out) == 0 || out[len(out)-1] != sweep[i]) {
			out = append(out, sweep[i])
		}
		i = j
	}
	if circle && len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[1:]
	}
	return out
}

// returns reports whether a sweep comes back to a family it has left.
func returns(run []cloth.Family) bool {
	seen := map[cloth.Family]bool{}
	for _, f := range run {
		if seen[f] {
			return true
		}
		seen[f] = true
	}
	return false
}

// Along Munsell hue, and along value, no family is left and entered again.
func TestMunsellSweepsChangeOnce(t *testing.T) {
	const valueSteps, hueSteps = 100, 100
	for chroma := 0.5; chroma <= 16; chroma += 0.5 {
		for v := range valueSteps {
			var sweep []cloth.Family
			for h := range hueSteps {
				sweep = append(sweep, OfMunsell(colour.Munsell{Hue: float64(h) + 0.5, Value: float64(v)/10 + 0.05, Chroma: chroma}))
			}
			run := runs(sweep, true, 1)
			require.False(t, returns(run), "value %g, chroma %g: %v", float64(v)/10+0.05, chroma, run)
		}
		for h := range hueSteps {
			var sweep []cloth.Family
			for v := range valueSteps {
				sweep = append(sweep, OfMunsell(colour.Munsell{Hue: float64(h) + 0.5, Value: float64(v)/10 + 0.05, Chroma: chroma}))
			}
			run := runs(sweep, false, 1)
			require.False(t, returns(run), "hue %g, chroma %g: %v", float64(h)+0.5, chroma, run)
		}
	}
}

// A straight line in another space is a curve in Munsell's and can graze a border.
// In OKLCh, few sweeps may return to a family for longer than can be seen (0.02 of
// lightness, 4 degrees of hue).
func TestOKLChSweepsSeldomReturn(t *testing.T) {
	returned, sweeps := 0, 0
	count := func(sweep []cloth.Family, circle bool) {
		if len(sweep) == 0 {
			return
		}
		sweeps++
		if returns(runs(sweep, circle, 4)) {
			returned++
		}
	}
	for h := 0; h < 360; h += 5 {
		for c := 1; c <= 30; c++ {
			var sweep []cloth.Family
			for l := 1; l < 200; l++ {
				at := colour.OKLCh{L: float64(l) / 200, C: float64(c) / 100, H: float64(h)}.OKLab().Linear()
				if at.InGamut(0) {
					sweep = append(sweep, Of(at))
				}
			}
			count(sweep, false)
		}
	}
	for l := 5; l < 100; l += 2 {
		for c := 1; c <= 30; c++ {
			var sweep []cloth.Family
			for h := range 360 {
				at := colour.OKLCh{L: float64(l) / 100, C: float64(c) / 100, H: float64(h)}.OKLab().Linear()
				if !at.InGamut(0) {
					sweep = nil
					break
				}
				sweep = append(sweep, Of(at))
			}
			count(sweep, true)
		}
	}
	t.Logf("%d of %d sweeps return", returned, sweeps)
	require.Greater(t, sweeps, 1000)
	require.Less(t, float64(returned), 0.03*float64(sweeps))
}

// In the sRGB cube, every family is one piece: from each of its colours every
// other can be reached through neighbours of the family. Neighbours may touch at a
// corner, because the grid cuts thin slanting parts there.
func TestNoFamilyIsTornIntoIslands(t *testing.T) {
	const n = 52 // steps of 5 codes
	at := func(r, g, b int) int { return (r*n+g)*n + b }
	var grid [n * n * n]cloth.Family
	for r := range n {
		for g := range n {
			for b := range n {
				grid[at(r, g, b)] = Of(colour.SRGB{float64(r) / (n - 1), float64(g) / (n - 1), float64(b) / (n - 1)}.Linear())
			}
		}
	}
	var seen [n * n * n]bool
	flood := func(start int) {
		seen[start] = true
		for queue := []int{start}; len(queue) > 0; {
			here := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			r, g, b := here/n/n, here/n%n, here%n
			for i := max(0, r-1); i <= min(n-1, r+1); i++ {
				for j := max(0, g-1); j <= min(n-1, g+1); j++ {
					for k := max(0, b-1); k <= min(n-1, b+1); k++ {
						if next := at(i, j, k); !seen[next] && grid[next] == grid[start] {
							seen[next] = true
							queue = append(queue, next)
						}
					}
				}
			}
		}
	}
	islands := map[cloth.Family]int{}
	for start, f := range grid {
		if !seen[start] {
			islands[f]++
			flood(start)
		}
	}
	for _, f := range cloth.Families[:len(cloth.Families)-1] {
		require.Equal(t, 1, islands[f], "%s", f)
	}
}
