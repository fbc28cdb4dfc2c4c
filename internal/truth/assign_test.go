package truth

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// bestSum tries every assignment.
func bestSum(gain []float64, n, m int) float64 {
	taken := make([]bool, m)
	var try func(i int) float64
	try = func(i int) float64 {
		if i == n {
			return 0
		}
		best := try(i + 1) // row i left out
		for j := range m {
			if !taken[j] {
				taken[j] = true
				best = max(best, gain[i*m+j]+try(i+1))
				taken[j] = false
			}
		}
		return best
	}
	return try(0)
}

func TestAssignAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, m := rapid.IntRange(0, 5).Draw(t, "rows"), rapid.IntRange(0, 5).Draw(t, "columns")
		gain := make([]float64, n*m)
		for i := range gain {
			gain[i] = float64(rapid.IntRange(0, 8).Draw(t, "gain")) / 8 // ties are likely
		}
		of := assign(gain, n, m)
		require.Len(t, of, n)
		sum, used := 0.0, make(map[int]bool)
		for i, j := range of {
			if j < 0 {
				require.Greater(t, n, m, "a row is left over only where columns run out")
				continue
			}
			require.False(t, used[j], "column %d twice", j)
			used[j] = true
			sum += gain[i*m+j]
		}
		require.Len(t, used, min(n, m))
		require.InDelta(t, bestSum(gain, n, m), sum, 1e-12)
	})
}
