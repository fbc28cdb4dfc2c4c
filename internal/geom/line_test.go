package geom

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLines(t *testing.T) {
	l := LineThrough(Point{0, 1}, Point{2, 1})
	require.InDelta(t, 3, l.Off(Point{5, 4})*l.N.Y, 1e-12)
	p, ok := l.Meet(LineThrough(Point{3, 0}, Point{4, 2}))
	require.True(t, ok)
	require.InDelta(t, 0, p.Dist(Point{3.5, 1}), 1e-12)
	_, ok = l.Meet(LineThrough(Point{0, 0}, Point{20, 1}))
	require.False(t, ok, "nearly parallel")

	pts := []Point{{0, 0}, {1, 1}, {2, 2}, {3, 3}, {3, 0}}
	m, weight := FitLine(pts[:4], nil)
	require.InDelta(t, 4, weight, 1e-12)
	require.InDelta(t, 0, m.Off(Point{9, 9}), 1e-12)
	m, weight = FitLine(pts, func(i int) float64 { return float64(4 - i) }) // the last counts for nothing
	require.InDelta(t, 10, weight, 1e-12)
	require.InDelta(t, 0, m.Off(Point{9, 9}), 1e-12)
	_, weight = FitLine(pts, func(int) float64 { return 0 })
	require.Zero(t, weight)

	require.InDelta(t, 2, SegmentDistance(Point{1, 2}, Point{0, 0}, Point{4, 0}), 1e-12)
	require.InDelta(t, 5, SegmentDistance(Point{-3, 4}, Point{0, 0}, Point{4, 0}), 1e-12)
}

func TestSimplifyKeepsWhatLiesFar(t *testing.T) {
	ring := Polygon{{0, 0}, {5, 0.4}, {10, 0}, {10, 5}, {10, 10}, {5, 10}, {0, 10}, {-0.6, 5}}
	require.Equal(t, Polygon{ring[0], ring[2], ring[4], ring[6], ring[7]}, Simplify(ring, 0.5))
	require.Equal(t, Polygon{ring[0], ring[1], ring[2], ring[4], ring[6], ring[7]}, Simplify(ring, 0.3))
	require.Equal(t, ring[:3], Simplify(ring[:3], 9))
}

func TestOverlap(t *testing.T) {
	box := func(x, y, w, h float64) Polygon {
		return Polygon{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
	}
	for _, c := range []struct {
		a, b Polygon
		want float64
	}{
		{box(0, 0, 100, 100), box(0, 0, 100, 100), 1},
		{box(0, 0, 100, 100), box(50, 0, 100, 100), 1. / 3},
		{box(0, 0, 100, 100), box(0, 0, 50, 100), 1. / 2},
		{box(0, 0, 100, 100), box(200, 0, 100, 100), 0},
		{box(0, 0, 1e5, 1e5), box(0, 0, 1e5, 5e4), 1. / 2},
		{nil, box(0, 0, 100, 100), 0},
	} {
		require.InDelta(t, c.want, IoU(c.a, c.b), 0.02)
	}
	shared, together, first := Overlap(box(0, 0, 100, 100), box(50, 0, 100, 100))
	require.InDelta(t, shared*2, first, 0.02*first)
	require.InDelta(t, shared*3, together, 0.02*together)
}

// What takes the least area goes first: points along the sides, then a lopped corner's.
func TestReduce(t *testing.T) {
	g := Polygon{{0, 0}, {5, -0.1}, {9, 0}, {10, 1}, {10, 6}, {10.2, 10}, {0, 10}, {-0.1, 4}}
	require.Equal(t, Polygon{{0, 0}, {9, 0}, {10, 1}, {10.2, 10}, {0, 10}}, Reduce(g, 5))
	require.Len(t, Reduce(g, 4), 4)
	require.Equal(t, Polygon{{1, 2}}, Reduce(Polygon{{1, 2}}, 4))
	require.Len(t, g, 8, "the ring given stays as it is")
}
