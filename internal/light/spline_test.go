package light

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A plane has no second differences, so the penalty on them leaves it alone,
// also where there are no data.
func TestSplineKeepsPlanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-1, 1)
		a, b, c := num.Draw(t, "a"), num.Draw(t, "b"), num.Draw(t, "c")
		q := newNormal(9, 8)
		for i := range 40 {
			for j := range 40 {
				s, u := (float64(i)+0.5)/40, (float64(j)+0.5)/40
				if s > 0.4 && s < 0.8 && u > 0.3 {
					continue
				}
				z := a + b*s + c*u
				q.add(s, u, tristimulus{z, -z, 0}, 1)
			}
		}
		f := surfaces{9, 8, make([]tristimulus, 9*8)}
		q.solve(&f, 0.5, 0, 0)
		q.solve(&f, 0.5, 0, 1, 2)
		for _, p := range [][2]float64{{0, 0}, {1, 1}, {0.6, 0.7}, {0.5, 0.1}} {
			z := a + b*p[0] + c*p[1]
			got := f.at(p[0], p[1])
			require.InDelta(t, z, got[0], 1e-4)
			require.InDelta(t, -z, got[1], 1e-4)
			require.InDelta(t, 0, got[2], 1e-9)
		}
	})
}

func TestNth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-3, 3), 1, 40).Draw(t, "v")
		k := rapid.IntRange(0, len(v)-1).Draw(t, "k")
		x := nth(append([]float64(nil), v...), k)
		below, same := 0, 0
		for _, u := range v {
			if u < x {
				below++
			} else if u == x {
				same++
			}
		}
		require.LessOrEqual(t, below, k)
		require.Greater(t, below+same, k)
	})
}
