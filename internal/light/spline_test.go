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
		luma, chroma := newNormal(9, 8, 0), newNormal(9, 8, 1, 2)
		for i := range 40 {
			for j := range 40 {
				s, u := (float64(i)+0.5)/40, (float64(j)+0.5)/40
				if s > 0.4 && s < 0.8 && u > 0.3 {
					continue
				}
				z := a + b*s + c*u
				at := basisAt(s, u, 9, 8)
				luma.add(&at, tristimulus{z, -z, 0}, 1, nil)
				chroma.add(&at, tristimulus{z, -z, 0}, 1, nil)
			}
		}
		f := surfaces{9, 8, make([]tristimulus, 9*8)}
		for _, q := range []*normal{luma, chroma} {
			q.penalise(0.5, 0)
			q.solve(&f)
		}
		for _, p := range [][2]float64{{0, 0}, {1, 1}, {0.6, 0.7}, {0.5, 0.1}} {
			z := a + b*p[0] + c*p[1]
			got := f.at(p[0], p[1])
			require.InDelta(t, z, got[0], 1e-4)
			require.InDelta(t, -z, got[1], 1e-4)
			require.InDelta(t, 0, got[2], 1e-9)
		}
	})
}

// Two surfaces of one light, each of its own height, give the light's shape and
// their heights, wherever they lie.
func TestSplineFreesOffsets(t *testing.T) {
	q := newNormal(9, 8, 0)
	left, right := q.newGroup(), q.newGroup()
	height := func(s, u float64) float64 { return 0.6*s - 0.3*u }
	for i := range 40 {
		for j := range 40 {
			s, u := (float64(i)+0.5)/40, (float64(j)+0.5)/40
			g, off := left, 1.0
			if s > 0.5 {
				g, off = right, -2.0
			}
			at := basisAt(s, u, 9, 8)
			q.add(&at, tristimulus{height(s, u) + off}, 1, g)
		}
	}
	middle := basisAt(0.5, 0.5, 9, 8)
	q.add(&middle, tristimulus{}, firmly, nil)
	q.free(left)
	q.free(right)
	q.penalise(0.5, 0)
	f := surfaces{9, 8, make([]tristimulus, 9*8)}
	q.solve(&f)
	for _, p := range [][2]float64{{0, 0}, {1, 1}, {0.1, 0.9}, {0.9, 0.2}} {
		require.InDelta(t, height(p[0], p[1])-height(0.5, 0.5), f.at(p[0], p[1])[0], 1e-2)
	}
}

// The deviation left to a place is that of one datum where one datum says it,
// and grows away from it.
func TestSplineDeviation(t *testing.T) {
	q := newNormal(9, 8, 0)
	here, there := basisAt(0.2, 0.5, 9, 8), basisAt(0.9, 0.5, 9, 8)
	q.add(&here, tristimulus{1}, 1/sq(0.1), nil)
	q.penalise(1, 100)
	f := surfaces{9, 8, make([]tristimulus, 9*8)}
	q.solve(&f)
	sd := func(b *basis) float64 {
		v := make([]float64, 9*8)
		for i, at := range b.at {
			v[at] = b.w[i]
		}
		return q.sd(v)
	}
	require.InDelta(t, 0.1, sd(&here), 1e-3)
	require.Greater(t, sd(&there), 0.12)
}

// Coefficients x·y are twisted by 1 in every square of neighbours and bent nowhere, so
// that the twist alone is penalised, twice.
func TestSplineTwist(t *testing.T) {
	const nx, ny = 7, 6
	q := newNormal(nx, ny, 0)
	q.penalise(3, 0)
	sum := 0.0
	for i := range nx * ny {
		for j := range nx * ny {
			sum += float64(i%nx*(i/nx)) * q.m.At(i, j) * float64(j%nx*(j/nx))
		}
	}
	require.InDelta(t, 2*3*(nx-1)*(ny-1), sum, 1e-2)
}
