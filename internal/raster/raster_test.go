package raster

import (
	"image"
	"iter"
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/geom"
)

// Every number is handled once, whether in runs or drawn, and a worker's panic
// reaches the caller.
func TestRowsAndEachHandleEveryNumberOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 7, 100} {
		var mu sync.Mutex
		rows, each := make([]int, n), make([]int, n)
		Rows(n, func(lo, hi int) {
			mu.Lock()
			defer mu.Unlock()
			for i := lo; i < hi; i++ {
				rows[i]++
			}
		})
		Each(n, func(numbers iter.Seq[int]) {
			for i := range numbers {
				mu.Lock()
				each[i]++
				mu.Unlock()
			}
		})
		require.Equal(t, slices.Repeat([]int{1}, n), rows)
		require.Equal(t, slices.Repeat([]int{1}, n), each)
	}
	require.PanicsWithValue(t, "a fault", func() {
		Each(3, func(numbers iter.Seq[int]) {
			for range numbers {
				panic("a fault")
			}
		})
	})
}

// A plane that is linear in x and y is met exactly between the middles of its
// pixels; beyond them its edge goes on.
func TestAtIsBilinear(t *testing.T) {
	p := New(5, 4)
	for i := range p.V {
		p.V[i] = float32(2*(i%5) + 10*(i/5))
	}
	for _, c := range []struct{ x, y, want float64 }{
		{0.5, 0.5, 0}, {1, 1, 6}, {3.25, 2, 20.5}, {4.5, 3.5, 38}, {-3, 1.5, 10}, {9, 9, 38}, {2.5, -1, 4},
	} {
		require.InDelta(t, c.want, p.At(c.x, c.y), 1e-6, "%v", c)
		got := At3(&[3]*Plane{New(5, 4), p, New(5, 4)}, c.x, c.y)
		require.InDeltaSlice(t, []float64{0, c.want, 0}, got[:], 1e-6, "%v", c)
	}
	require.True(t, p.Holds(4, 3))
	for _, q := range [][2]int{{5, 3}, {4, 4}, {-1, 0}, {0, -1}} {
		require.False(t, p.Holds(q[0], q[1]))
	}
}

// Windows are held to their definitions.
func TestWindows(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	p := New(13, 9)
	for i := range p.V {
		p.V[i] = r.Float32()
	}
	mean := func(x, y, reach int, weight func(d int) float64) float64 {
		sum, all := 0.0, 0.0
		for v := y - reach; v <= y+reach; v++ {
			for u := x - reach; u <= x+reach; u++ {
				if p.Holds(u, v) {
					w := weight(u-x) * weight(v-y)
					sum, all = sum+w*float64(p.V[v*p.W+u]), all+w
				}
			}
		}
		return sum / all
	}
	for _, reach := range []int{0, 1, 3, 20} {
		box := p.BoxMean(reach)
		for y := range p.H {
			for x := range p.W {
				require.InDelta(t, mean(x, y, reach, func(int) float64 { return 1 }), box.V[y*p.W+x], 1e-5)
			}
		}
	}
	b := p.Binomial()
	for y := 1; y < p.H-1; y++ {
		for x := 1; x < p.W-1; x++ {
			require.InDelta(t, mean(x, y, 1, func(d int) float64 { return 2 - math.Abs(float64(d)) }), b.V[y*p.W+x], 1e-6)
		}
	}
}

// Rows of letters: equal neighbours are one part, and by their corners only where
// that is asked for.
func TestComponents(t *testing.T) {
	const w, h = 6, 4
	labels := []byte("" +
		"aa..b." +
		"a..b.." +
		"..aa.c" +
		".aa.cc")
	for i, c := range labels {
		if c == '.' {
			labels[i] = 0
		}
	}
	p := Components(labels, w, h, Sides)
	require.Equal(t, []Component{
		{3, image.Rect(0, 0, 2, 2), 0}, {1, image.Rect(4, 0, 5, 1), 4}, {1, image.Rect(3, 1, 4, 2), 9},
		{4, image.Rect(1, 2, 4, 4), 14}, {3, image.Rect(4, 2, 6, 4), 17},
	}, p.Parts)
	require.Equal(t, int32(-1), p.Of[2])
	require.Equal(t, int32(3), p.Of[19])
	q := Components(labels, w, h, Corners)
	require.Len(t, q.Parts, 4, "the two of b touch")
	require.Equal(t, Component{2, image.Rect(3, 0, 5, 2), 4}, q.Parts[1])
	// The hull of an L of three pixels cuts the corner that it lacks.
	require.InDelta(t, 3.5, p.Hull(0).Area(), 1e-9)
	require.InDelta(t, 1, p.Hull(2).Area(), 1e-9)
	lo, hi := p.Hull(2).Bounds()
	require.Equal(t, []geom.Point{{X: 3, Y: 1}, {X: 4, Y: 2}}, []geom.Point{lo, hi})
}

// What the robust statistics say of a normal law, and that a third of strays moves
// them little.
func TestRobust(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	v := make([]float64, 10001)
	for i := range v {
		v[i] = 5 + 2*r.NormFloat64()
	}
	require.Equal(t, 3.0, Median([]float64{4, 1, 3, 2}), "the upper one of two")
	require.InDelta(t, 2, SD(v), 0.06)
	require.InDelta(t, 3*madToSD, SDAboutZero([]float64{-3, 3, 9, -1, 3}), 1e-9)
	require.Equal(t, 1.0, Biweight(0, 2))
	require.Equal(t, 0.5625, Biweight(-1, 2))
	require.Zero(t, Biweight(2, 2))
	require.Zero(t, Biweight(-7, 2))

	// A line askew through noise, a fifth of it strays.
	along := geom.Point{X: 0.6, Y: 0.8}
	var pts []geom.Point
	for i := range 60 {
		off := 0.3 * r.NormFloat64()
		if i%5 == 0 {
			off += 20
		}
		pts = append(pts, geom.Point{X: 7}.Add(along.Mul(float64(i))).Add(geom.Point{X: -along.Y, Y: along.X}.Mul(off)))
	}
	l, sd := FitLine(pts)
	require.InDelta(t, 0, l.N.Dot(along), 0.005)
	require.InDelta(t, 0, l.Off(geom.Point{X: 7}.Add(along.Mul(30))), 0.15)
	require.InDelta(t, 0.3, sd, 0.12)
	_, sd = FitLine([]geom.Point{{}, {X: 1, Y: 2}, {X: 2, Y: 4}, {X: 3, Y: 6}})
	require.Equal(t, leastSD, sd)
}

// Four sides come back from a ring of their points with a torn stretch; a circle has
// none that fit.
func TestFitQuad(t *testing.T) {
	want := geom.Polygon{{X: 20, Y: 10}, {X: 110, Y: 25}, {X: 100, Y: 95}, {X: 12, Y: 80}}
	ring := resample(want, 1)
	for i := 30; i < 42; i++ {
		ring[i].Y += 6
	}
	c, fit := FitQuad(ring)
	require.Greater(t, fit, 0.97)
	for _, p := range want {
		require.True(t, slices.ContainsFunc(c[:], func(q geom.Point) bool { return p.Dist(q) < 0.3 }), "%v in %v", p, c)
	}
	require.Positive(t, geom.Polygon(c[:]).SignedArea(), "clockwise on screen")
	var circle geom.Polygon
	for i := range 200 {
		s, co := math.Sincos(2 * math.Pi * float64(i) / 200)
		circle = append(circle, geom.Point{X: 50 + 30*co, Y: 50 + 30*s})
	}
	_, fit = FitQuad(circle)
	require.Less(t, fit, 0.9)
	_, fit = FitQuad(geom.Polygon{{}, {X: 1}, {X: 2}})
	require.Zero(t, fit)
	parallel := []geom.Line{{N: geom.Point{X: 1}}, {N: geom.Point{X: 1}, C: 3}, {N: geom.Point{Y: 1}}, {N: geom.Point{Y: 1}, C: 2}}
	_, ok := Meet(parallel)
	require.False(t, ok)
}

func TestNth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-3, 3), 1, 40).Draw(t, "v")
		k := rapid.IntRange(0, len(v)-1).Draw(t, "k")
		x := Nth(append([]float64(nil), v...), k)
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

// A search finds the least of a bowl that lies askew, and stays where cost is finite;
// it is told the step.
func TestSearch(t *testing.T) {
	x := []float64{0, 0}
	var steps []float64
	Search(x, []float64{1, 10}, 1, 1e-4, 50, func(x []float64, step float64) float64 {
		if len(steps) == 0 || steps[len(steps)-1] != step {
			steps = append(steps, step)
		}
		if x[0] < -1 {
			return math.Inf(1)
		}
		a, b := x[0]-3, x[1]+70
		return a*a + a*b/40 + b*b/100
	})
	require.InDelta(t, 3, x[0], 0.01)
	require.InDelta(t, -70, x[1], 0.1)
	require.Equal(t, []float64{1, 0.5, 0.25}, steps[:3])
	require.Greater(t, steps[len(steps)-1], 1e-4)
	x = []float64{0}
	Search(x, []float64{1}, 1, 1e-4, 50, func(x []float64, _ float64) float64 {
		if x[0] < -1 {
			return math.Inf(1)
		}
		return x[0]
	})
	require.InDelta(t, -1, x[0], 1e-3)
}

// The last two places hold what lies beyond them; corner i is where side i-1 meets
// side i.
func TestBetweenAndMeet(t *testing.T) {
	for _, c := range []struct {
		x float64
		i int
		t float64
	}{{-2, 0, 0}, {2.25, 2, 0.25}, {3.5, 3, 0.5}, {4, 3, 1}, {9, 3, 1}} {
		i, u := Between(c.x, 5)
		require.Equal(t, c.i, i)
		require.Equal(t, c.t, u)
	}
	want := [4]geom.Point{{X: 1, Y: 2}, {X: 5, Y: 2}, {X: 5, Y: 9}, {X: 1, Y: 9}}
	sides := make([]geom.Line, 4)
	for i := range sides {
		sides[i] = geom.LineThrough(want[i], want[(i+1)%4])
	}
	got, ok := Meet(sides)
	require.True(t, ok)
	for i := range got {
		require.InDelta(t, 0, got[i].Dist(want[i]), 1e-9)
	}
}
