package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// somePoints are points on a small grid, so that many lie in one line or at one place.
func somePoints(t *rapid.T, least, most int) []Point {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Point {
		return Point{float64(rapid.IntRange(-4, 4).Draw(t, "x")), float64(rapid.IntRange(-4, 4).Draw(t, "y"))}
	}), least, most).Draw(t, "points")
}

// Every edge of a hull has all points on its right hand or on itself: held against all pairs.
func TestHullHoldsAgainstAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := somePoints(t, 3, 12)
		next := map[Point]Point{}
		for _, a := range pts {
			for _, b := range pts {
				edge := a != b
				for _, c := range pts {
					side := b.Sub(a).Cross(c.Sub(a))
					edge = edge && (side > 0 || side == 0 && c.Sub(a).Dot(c.Sub(b)) <= 0)
				}
				if edge {
					next[a] = b
				}
			}
		}
		h := ConvexHull(pts)
		if len(next) < 3 {
			require.Zero(t, h.Area(), "all in a line")
			return
		}
		require.Len(t, h, len(next))
		for i, p := range h {
			require.Equal(t, next[p], h[(i+1)%len(h)])
		}
	})
	require.Empty(t, ConvexHull(nil))
	require.Equal(t, Polygon{{3, 4}}, ConvexHull([]Point{{3, 4}}))
	require.Equal(t, Polygon{{1, 2}, {3, 4}}, ConvexHull([]Point{{3, 4}, {1, 2}}))
}

// A smallest rectangle lies along two of the points (Freeman & Shapira 1975): no pair's turn gives a smaller.
func TestMinAreaRectHoldsAgainstAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := somePoints(t, 3, 9)
		if ConvexHull(pts).Area() == 0 {
			t.Skip()
		}
		least := math.MaxFloat64
		for _, a := range pts {
			for _, b := range pts {
				if d := b.Sub(a); d != (Point{}) {
					lo, hi := Point{math.MaxFloat64, math.MaxFloat64}, Point{-math.MaxFloat64, -math.MaxFloat64}
					for _, p := range pts {
						s, u := p.Dot(d)/d.Len(), p.Cross(d)/d.Len()
						lo, hi = Point{min(lo.X, s), min(lo.Y, u)}, Point{max(hi.X, s), max(hi.Y, u)}
					}
					least = min(least, (hi.X-lo.X)*(hi.Y-lo.Y))
				}
			}
		}
		r := MinAreaRect(pts)
		g := Polygon(r[:])
		require.InDelta(t, least, g.SignedArea(), 1e-9, "clockwise on screen")
		require.InDelta(t, 0, r[1].Sub(r[0]).Dot(r[2].Sub(r[1])), 1e-9)
		for _, p := range pts {
			for i := range r {
				require.GreaterOrEqual(t, r[(i+1)%4].Sub(r[i]).Cross(p.Sub(r[i])), -1e-9)
			}
		}
	})
}

func TestCentroidOfNoAreaIsTheMean(t *testing.T) {
	require.Equal(t, Point{}, Polygon{}.Centroid())
	require.Equal(t, Point{3, 2}, Polygon{{1, 1}, {2, 2}, {6, 3}, {3, 2}}.Map(func(p Point) Point { return Point{p.X, 2} }).Centroid())
	// An L of three unit squares: the mean of their middles.
	l := Polygon{{10, 5}, {12, 5}, {12, 6}, {11, 6}, {11, 7}, {10, 7}}
	require.InDelta(t, (10.5+11.5+10.5)/3, l.Centroid().X, 1e-12)
	require.InDelta(t, (5.5+5.5+6.5)/3, l.Centroid().Y, 1e-12)
}

func TestBounds(t *testing.T) {
	lo, hi := Polygon{{3, -2}, {-1, 5}, {2, 7}}.Bounds()
	require.Equal(t, [2]Point{{-1, -2}, {3, 7}}, [2]Point{lo, hi})
	lo, hi = Polygon{{-3, -9}, {-4, -8}}.Bounds()
	require.Equal(t, [2]Point{{-4, -9}, {-3, -8}}, [2]Point{lo, hi}, "all below 0")
	lo, hi = Polygon{{3, 9}, {4, 8}}.Bounds()
	require.Equal(t, [2]Point{{3, 8}, {4, 9}}, [2]Point{lo, hi}, "all above 0")
}

// A corner on the side of the box stays one corner.
func TestClipByABoxThatDoesNotStartAtZero(t *testing.T) {
	lo, hi := Point{2, 1}, Point{6, 4}
	require.Equal(t, Polygon{{2, 1}, {6, 1}, {6, 4}, {2, 4}}, Polygon{{0, 0}, {8, 0}, {8, 9}, {0, 9}}.Clip(lo, hi).from(lo))
	require.Equal(t, Polygon{{2, 3}, {3, 2}, {4, 3}, {3, 4}}, Polygon{{2, 3}, {3, 2}, {4, 3}, {3, 4}}.Clip(lo, hi))
	require.Equal(t, Polygon{{2, 2}, {4, 1}, {4, 3}}, Polygon{{0, 2}, {2, 2}, {4, 1}, {4, 3}, {2, 2}}.Clip(lo, hi).from(Point{2, 2})[:3])
	l := LineThrough(Point{3, 0}, Point{3, 1}) // its normal points to lower x
	square := Polygon{{0, 0}, {10, 0}, {10, 10}, {0, 10}}
	require.Equal(t, Polygon{{0, 0}, {3, 0}, {3, 10}, {0, 10}}, square.Side(l, 2))
	require.Equal(t, Polygon{{3, 0}, {10, 0}, {10, 10}, {3, 10}}, square.Side(l, -2))
	// Through a corner and the middle of a side.
	require.Equal(t, Polygon{{0, 0}, {10, 10}, {0, 10}}, square.Side(LineThrough(Point{0, 0}, Point{10, 10}), 1))
}

// from is g begun at p.
func (g Polygon) from(p Point) Polygon {
	for i := range g {
		if g[i] == p {
			return append(append(Polygon(nil), g[i:]...), g[:i]...)
		}
	}
	return g
}

func TestPartsThatCoverHalfTheirHullAreOneThing(t *testing.T) {
	square := func(x float64) Polygon { return Polygon{{x, 0}, {x + 10, 0}, {x + 10, 10}, {x, 10}} }
	_, ok := Join([]Polygon{square(0), square(30)})
	require.True(t, ok, "200 of 400")
	_, ok = Join([]Polygon{square(0), square(30.1)})
	require.False(t, ok)
	whole, ok := Join([]Polygon{{{0, 0}, {4, 0}, {0, 4}}})
	require.True(t, ok)
	require.Equal(t, 8.0, whole.Area())
	_, ok = Join([]Polygon{{{0, 0}, {4, 0}}})
	require.False(t, ok, "two points are no outline")
}

// The raster is 200 on its longer side, so these boxes fill whole pixels.
func TestOverlapCountsPixels(t *testing.T) {
	box := func(x, y, w, h float64) Polygon { return Polygon{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}} }
	for _, c := range []struct {
		a, b Polygon
		want [3]float64
	}{
		{box(0, 0, 100, 100), box(50, 0, 150, 100), [3]float64{5000, 20000, 10000}},
		{box(37, -12, 100, 100), box(87, -12, 150, 100), [3]float64{5000, 20000, 10000}},
		{box(-12, 370, 300, 300), box(-12, 520, 300, 450), [3]float64{5000, 20000, 10000}},
		{box(50, 0, 150, 100), box(0, 0, 100, 100), [3]float64{5000, 20000, 15000}},
		{box(20, 30, 40, 20), box(0, 0, 200, 100), [3]float64{800, 20000, 800}},
		{box(100, 60, 50, 40), box(0, 0, 200, 100), [3]float64{2000, 20000, 2000}},
		{Polygon{{0, 0}, {200, 200}, {0, 200}}, box(100, 0, 100, 200), [3]float64{4950, 34950, 19900}}, // centres on the slope do not count
		{box(0, 0, 100, 100), box(100, 0, 100, 100), [3]float64{}},
		{box(0, 0, 100, 100), box(0, 100, 100, 100), [3]float64{}},
		{box(100, 0, 100, 100), box(0, 0, 100, 100), [3]float64{}},
		{box(0, 100, 100, 100), box(0, 0, 100, 100), [3]float64{}},
		{nil, box(0, 0, 100, 100), [3]float64{}},
		{box(0, 0, 100, 100), nil, [3]float64{}},
		{nil, nil, [3]float64{}},
	} {
		shared, together, first := Overlap(c.a, c.b)
		require.Equal(t, c.want, [3]float64{shared, together, first}, "%v, %v", c.a, c.b)
	}
	require.Zero(t, IoU(nil, nil))
	require.Equal(t, 0.25, IoU(box(0, 0, 100, 100), box(50, 0, 150, 100)))
}

// The best of ten thousand lines through the weighted mean is no better.
func TestFitLineHoldsAgainstAllTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := somePoints(t, 2, 7)
		far := Point{rapid.SampledFrom([]float64{0, 300, 1e7}).Draw(t, "x"), 40}
		ws := make([]float64, len(pts))
		for i := range ws {
			ws[i] = float64(rapid.IntRange(1, 4).Draw(t, "w"))
		}
		for _, weighed := range []bool{true, false} {
			w := func(i int) float64 { return ws[i] }
			if !weighed {
				w = func(int) float64 { return 1 }
			}
			var mean Point
			var sum float64
			for i, p := range pts {
				mean, sum = mean.Add(p.Mul(w(i))), sum+w(i)
			}
			mean = mean.Mul(1 / sum)
			off := func(l Line) (s float64) {
				for i, p := range pts {
					s += w(i) * l.Off(p) * l.Off(p)
				}
				return s
			}
			least := math.MaxFloat64
			for k := range 200 {
				y, x := math.Sincos(math.Pi * float64(k) / 200)
				n := Point{x, y}
				least = min(least, off(Line{n, n.Dot(mean)}))
			}
			moved := Polygon(pts).Map(func(p Point) Point { return p.Add(far) })
			given := w
			if !weighed {
				given = nil
			}
			l, got := FitLine(moved, given)
			require.Equal(t, sum, got)
			require.InDelta(t, 1, l.N.Len(), 1e-12)
			require.LessOrEqual(t, off(Line{l.N, l.C - l.N.Dot(far)}), least+1e-5)
		}
	})
	l, sum := FitLine([]Point{{1, 2}, {3, 4}}, func(int) float64 { return 0 })
	require.Equal(t, Line{}, l)
	require.Zero(t, sum)
	_, sum = FitLine([]Point{{1, 2}, {3, 4}}, func(int) float64 { return 0.25 })
	require.Equal(t, 0.5, sum)
}

func TestLinesMeetOnBoth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePoints(t, 4, 4)
		if p[0] == p[1] || p[2] == p[3] {
			t.Skip()
		}
		l, m := LineThrough(p[0], p[1]), LineThrough(p[2], p[3])
		sin := math.Abs(p[1].Sub(p[0]).Cross(p[3].Sub(p[2]))) / p[0].Dist(p[1]) / p[2].Dist(p[3])
		at, ok := l.Meet(m)
		require.Equal(t, sin > 0.1, ok)
		if ok {
			require.InDelta(t, 0, l.Off(at), 1e-9)
			require.InDelta(t, 0, m.Off(at), 1e-9)
		}
	})
	for _, c := range []struct {
		rise float64
		ok   bool
	}{{0.095, false}, {0.105, true}, {-0.095, false}, {-0.105, true}} {
		_, ok := LineThrough(Point{0, 0}, Point{1, 0}).Meet(LineThrough(Point{0, 0}, Point{1, c.rise}))
		require.Equal(t, c.ok, ok, "%v", c.rise)
	}
}

func TestSegmentDistanceHoldsAgainstSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePoints(t, 3, 3)
		least := math.MaxFloat64
		for k := range 1001 {
			least = min(least, p[0].Dist(p[1].Add(p[2].Sub(p[1]).Mul(float64(k)/1000))))
		}
		require.InDelta(t, least, SegmentDistance(p[0], p[1], p[2]), 1e-2)
	})
	require.Equal(t, 5.0, SegmentDistance(Point{3, 4}, Point{}, Point{}))
	require.Equal(t, 5.0, SegmentDistance(Point{7, 4}, Point{}, Point{4, 0}))
}

// Wherever the ring starts, the same corners are kept.
func TestSimplifyMindsNoStart(t *testing.T) {
	ring := Polygon{{0, 0}, {30, 0.4}, {60, 0}, {100, 1}, {100, 30}, {70, 30.3}, {40, 31}, {1, 30}, {0.2, 15}}
	want := map[Point]bool{{0, 0}: true, {100, 1}: true, {100, 30}: true, {1, 30}: true, {40, 31}: true}
	for i := range ring {
		got := map[Point]bool{}
		for _, p := range Simplify(append(append(Polygon(nil), ring[i:]...), ring[:i]...), 0.7) {
			got[p] = true
		}
		require.Equal(t, want, got, "from %d", i)
	}
	require.Equal(t, Polygon{{0, 0}, {10, 0}, {0, 10}}, Simplify(Polygon{{0, 0}, {5, 0}, {10, 0}, {0, 10}}, 0.1))
	require.Equal(t, Polygon{{0, 0}, {5, 1}, {10, 0}, {0, 10}}, Simplify(Polygon{{0, 0}, {5, 1}, {10, 0}, {0, 10}}, 0.9))
	require.Equal(t, Polygon{{0, 0}, {10, 0}, {0, 10}}, Simplify(Polygon{{0, 0}, {5, 1}, {10, 0}, {0, 10}}, 1), "as far as eps is not too far")
	require.Equal(t, Polygon{{2, 2}}, Simplify(Polygon{{2, 2}, {2, 2}, {2, 2}, {2, 2}, {2, 2}}, 1), "all in one place")
	require.Empty(t, Simplify(nil, 1))
}

// The corner whose triangle with its neighbours is least goes, of equal ones the first.
func TestReduceDropsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Polygon(somePoints(t, 4, 9))
		at, least := 0, math.MaxFloat64
		for i := range g {
			if a := (Polygon{g[(i+len(g)-1)%len(g)], g[i], g[(i+1)%len(g)]}).Area(); a < least {
				at, least = i, a
			}
		}
		require.Equal(t, append(append(Polygon(nil), g[:at]...), g[at+1:]...), Reduce(g, len(g)-1))
	})
}

func TestHomographyOfAnyPlaceAndSize(t *testing.T) {
	square := Polygon{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	truth := Homography{40, 3, 200, -2, 42, 100, 0.1, 0.2, 1}
	for _, size := range []float64{1e-5, 1, 1e5} {
		for _, far := range []Point{{}, {X: 300 * size, Y: -2000 * size}} {
			src := square.Map(func(p Point) Point { return p.Mul(size).Add(far) })
			dst := square.Map(truth.Apply).Map(func(p Point) Point { return p.Mul(size).Add(far) })
			for _, way := range [][2]Polygon{{src, dst}, {dst, src}} {
				h, err := FitHomography(way[0], way[1])
				require.NoError(t, err, "%v at %v", size, far)
				for i := range way[0] {
					require.InDelta(t, 0, h.Apply(way[0][i]).Dist(way[1][i]), 1e-6*size)
				}
			}
		}
	}
	for _, c := range []struct {
		off float64
		err error
	}{{1e-3, nil}, {1e-8, ErrDegenerate}} {
		_, err := FitHomography([]Point{{0, 0}, {1, 1}, {2, 2 + c.off}, {3, 3}}, square)
		require.Equal(t, c.err, err, "a hair from a line")
	}
	_, err := FitHomography(square, square[:3])
	require.ErrorIs(t, err, ErrDegenerate)
}

func TestHomographyThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var h, g Homography
		for i := range h {
			h[i], g[i] = float64(rapid.IntRange(2, 9).Draw(t, "h")), float64(rapid.IntRange(-9, 9).Draw(t, "g"))
		}
		one := h.Inverse().After(h)
		for i := range one { // the determinant times the identity, in whole numbers
			require.Equal(t, map[bool]float64{true: one[0]}[i%4 == 0], one[i])
		}
		p := Point{3, 5}
		// Homogeneous coordinates by hand: first g, then h.
		v := [3]float64{p.X, p.Y, 1}
		for _, m := range []Homography{g, h} {
			var w [3]float64
			for r := range 3 {
				w[r] = m[3*r]*v[0] + m[3*r+1]*v[1] + m[3*r+2]*v[2]
			}
			v = w
		}
		if v[2] == 0 || g[6]*p.X+g[7]*p.Y+g[8] == 0 {
			t.Skip()
		}
		require.Equal(t, Point{v[0] / v[2], v[1] / v[2]}, h.After(g).Apply(p))
	})
}
