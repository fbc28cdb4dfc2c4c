package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

func TestAreaCentroidOfKnownShapes(t *testing.T) {
	square := Polygon{{0, 0}, {4, 0}, {4, 4}, {0, 4}}
	require.Equal(t, 16.0, square.SignedArea(), "clockwise on screen is positive")
	require.Equal(t, Point{2, 2}, square.Centroid())
	require.Equal(t, 16.0, square.Perimeter())
	// A right triangle's centroid lies a third of the way from each leg.
	tri := Polygon{{0, 0}, {6, 0}, {0, 3}}
	require.InDelta(t, 9, tri.Area(), 1e-12)
	require.InDelta(t, 2, tri.Centroid().X, 1e-12)
	require.InDelta(t, 1, tri.Centroid().Y, 1e-12)
	require.Zero(t, Polygon{{1, 1}, {1, 1}, {1, 1}}.Area())
	require.Equal(t, Point{1, 1}, Polygon{{1, 1}, {1, 1}, {1, 1}}.Centroid())
}

func TestFillCountsPixelsByTheirCentres(t *testing.T) {
	n := 0
	Polygon{{1, 1}, {5, 1}, {5, 4}, {1, 4}}.Fill(10, 10, func(_, x0, x1 int) { n += x1 - x0 })
	require.Equal(t, 12, n)
	n = 0
	Polygon{{-5, -5}, {50, -5}, {50, 50}, {-5, 50}}.Fill(10, 10, func(_, x0, x1 int) { n += x1 - x0 })
	require.Equal(t, 100, n, "clipped to the raster")
	Polygon{{1, 1}, {2, 2}}.Fill(10, 10, func(int, int, int) { t.Fatal("two points enclose nothing") })
}

func TestFillAgreesWithContains(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 8).Draw(t, "n")
		g := make(Polygon, n)
		for i := range g {
			g[i] = Point{rapid.Float64Range(-3, 13).Draw(t, "x"), rapid.Float64Range(-3, 13).Draw(t, "y")}
		}
		var got [10][10]bool
		g.Fill(10, 10, func(y, x0, x1 int) {
			for x := x0; x < x1; x++ {
				got[y][x] = true
			}
		})
		for y := range 10 {
			for x := range 10 {
				p := Point{float64(x) + 0.5, float64(y) + 0.5}
				if got[y][x] != g.Contains(p) {
					t.Fatalf("pixel (%d, %d): filled %v, contained %v", x, y, got[y][x], !got[y][x])
				}
			}
		}
	})
}

func TestMinAreaRectHoldsItsPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.Float64Range(0, math.Pi).Draw(t, "turn")
		w, h := rapid.Float64Range(5, 80).Draw(t, "w"), rapid.Float64Range(5, 80).Draw(t, "h")
		u := Point{math.Cos(turn), math.Sin(turn)}
		v := Point{-u.Y, u.X}
		pts := []Point{{}, u.Mul(w), u.Mul(w).Add(v.Mul(h)), v.Mul(h), u.Mul(w / 3).Add(v.Mul(h / 2))}
		r := MinAreaRect(pts)
		require.InDelta(t, w*h, Polygon(r[:]).Area(), 1e-6*w*h)
	})
}

// The same four points through gonum's general linear solver, by the textbook's
// eight equations with h33 = 1.
func TestHomographyAgreesWithGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := []Point{{0, 0}, {8.5, 0}, {8.5, 11}, {0, 11}}
		dst := make([]Point, 4)
		for i, c := range []Point{{100, 120}, {700, 90}, {760, 800}, {80, 850}} {
			dst[i] = c.Add(Point{rapid.Float64Range(-60, 60).Draw(t, "dx"), rapid.Float64Range(-60, 60).Draw(t, "dy")})
		}
		a, b := mat.NewDense(8, 8, nil), mat.NewVecDense(8, nil)
		for k := range 4 {
			x, y, u, v := src[k].X, src[k].Y, dst[k].X, dst[k].Y
			a.SetRow(2*k, []float64{x, y, 1, 0, 0, 0, -u * x, -u * y})
			a.SetRow(2*k+1, []float64{0, 0, 0, x, y, 1, -v * x, -v * y})
			b.SetVec(2*k, u)
			b.SetVec(2*k+1, v)
		}
		var want mat.VecDense
		require.NoError(t, want.SolveVec(a, b))
		got, err := FitHomography(src, dst)
		require.NoError(t, err)
		for i := range 8 {
			require.InDelta(t, want.AtVec(i), got[i], 1e-6*(1+math.Abs(want.AtVec(i))))
		}
		p := Point{4, 7}
		back := got.Inverse().Apply(got.Apply(p))
		require.InDelta(t, p.X, back.X, 1e-8)
		require.InDelta(t, p.Y, back.Y, 1e-8)
	})
}

func TestHomographyFitsManyPointsByLeastSquares(t *testing.T) {
	truth := Homography{40, 3, 200, -2, 42, 100, 0.001, 0.002, 1}
	var src, dst []Point
	for i := range 6 {
		for j := range 5 {
			p := Point{float64(i), float64(j)}
			src, dst = append(src, p), append(dst, truth.Apply(p))
		}
	}
	got, err := FitHomography(src, dst)
	require.NoError(t, err)
	for i := range truth {
		require.InDelta(t, truth[i], got[i], 1e-6*(1+math.Abs(truth[i])))
	}
}

func TestHomographyRefusesPointsInALine(t *testing.T) {
	line := []Point{{0, 0}, {1, 1}, {2, 2}, {3, 3}}
	square := []Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	for _, src := range [][]Point{line, {{1, 1}, {1, 1}, {1, 1}, {1, 1}}, line[:3]} {
		_, err := FitHomography(src, square[:len(src)])
		require.ErrorIs(t, err, ErrDegenerate)
	}
}

func TestClip(t *testing.T) {
	lo, hi := Point{}, Point{X: 10, Y: 8}
	square := func(x, y, side float64) Polygon {
		return Polygon{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}}
	}
	require.Equal(t, square(1, 2, 3), square(1, 2, 3).Clip(lo, hi))
	require.Empty(t, square(11, 2, 3).Clip(lo, hi))
	require.Empty(t, square(2, -5, 3).Clip(lo, hi))
	require.InDelta(t, 80, square(-5, -5, 40).Clip(lo, hi).Area(), 1e-9)
	require.InDelta(t, 4, square(8, 6, 40).Clip(lo, hi).Area(), 1e-9)
	corner := Polygon{{X: -2, Y: 3}, {X: 3, Y: -2}, {X: 3, Y: 3}}
	require.InDelta(t, 8.5, corner.Clip(lo, hi).Area(), 1e-9)
}

// Twice as large about its middle, a square keeps that.
func TestAbout(t *testing.T) {
	g := Polygon{{X: 2, Y: 1}, {X: 4, Y: 1}, {X: 4, Y: 3}, {X: 2, Y: 3}}
	require.Equal(t, Polygon{{X: 1, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 4}, {X: 1, Y: 4}}, g.About(2))
	require.Equal(t, Polygon{{X: 2, Y: 1}, {X: 4, Y: 1}, {X: 4, Y: 3}, {X: 2, Y: 3}}, g, "g stays")
}

func TestPartsOfOneThingAreJoined(t *testing.T) {
	square := func(x float64) Polygon { return Polygon{{X: x}, {X: x + 10}, {X: x + 10, Y: 10}, {X: x, Y: 10}} }
	whole, ok := Join([]Polygon{square(0), square(11)})
	require.True(t, ok)
	require.InDelta(t, 210, whole.Area(), 1e-9)
	_, ok = Join([]Polygon{square(0), square(40)})
	require.False(t, ok, "they lie apart")
	_, ok = Join(nil)
	require.False(t, ok)
}

func TestTheSidesOfALineMakeTheWhole(t *testing.T) {
	square := Polygon{{}, {X: 10}, {X: 10, Y: 10}, {Y: 10}}
	l := LineThrough(Point{X: 3, Y: -1}, Point{X: 3, Y: 11})
	one, other := square.Side(l, 1), square.Side(l, -1)
	require.InDelta(t, 100, one.Area()+other.Area(), 1e-9)
	require.InDelta(t, 30, min(one.Area(), other.Area()), 1e-9)
}
