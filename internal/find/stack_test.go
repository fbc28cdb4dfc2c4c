package find

import (
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/geom"
)

// drawnBand is a folded bundle in a drawn basket: folds layers of one colour
// between columns u0 and u1 from v0 to v1, before the basket is turned.
type drawnBand struct {
	u0, u1, v0, v1 float64
	folds          int
	l, a, b        float32
}

// drawBasket draws bands on edge in a woven basket on a plain ground, turned by
// angle (radians) about the middle, and gives the outline of each band.
func drawBasket(w, h int, angle float64, bands []drawnBand) (*grid, []geom.Polygon) {
	g := newGrid(w, h)
	sin, cos := math.Sincos(angle)
	cx, cy := float64(w)/2, float64(h)/2
	for y := range h {
		for x := range w {
			dx, dy := float64(x)+0.5-cx, float64(y)+0.5-cy
			u, v := dx*cos+dy*sin, -dx*sin+dy*cos
			i := y*w + x
			weave := float32(0.01 * math.Sin(dx*1.7) * math.Sin(dy*1.3))
			g.L[i], g.A[i], g.B[i] = 0.75+weave, -0.01, -0.02
			if math.Abs(u) < 0.42*float64(w) && math.Abs(v) < 0.42*float64(h) {
				weave := float32(0.06 * math.Sin(u*0.35) * math.Sin(v*0.45))
				g.L[i], g.A[i], g.B[i] = 0.38+weave, 0.035, 0.06
				if math.Abs(u) > 0.38*float64(w) || math.Abs(v) > 0.38*float64(h) {
					g.L[i] += 0.15
				}
			}
			for _, b := range bands {
				if u < b.u0 || u >= b.u1 || v < b.v0 || v >= b.v1 {
					continue
				}
				// A fold is round: lightest in its middle.
				p := (u - b.u0) / (b.u1 - b.u0) * float64(b.folds)
				p = 2*(p-math.Floor(p)) - 1
				shade := float32(0.55 + 0.45*math.Sqrt(1-p*p))
				g.L[i], g.A[i], g.B[i] = b.l*shade, b.a*shade, b.b*shade
			}
		}
	}
	var out []geom.Polygon
	for _, b := range bands {
		var ring geom.Polygon
		for _, c := range [4][2]float64{{b.u0, b.v0}, {b.u1, b.v0}, {b.u1, b.v1}, {b.u0, b.v1}} {
			ring = append(ring, geom.Point{X: cx + c[0]*cos - c[1]*sin, Y: cy + c[0]*sin + c[1]*cos})
		}
		out = append(out, ring)
	}
	return g, out
}

// oneRow is eight bundles side by side, white beside cream among them.
func oneRow() []drawnBand {
	return []drawnBand{
		{-250, -195, -170, 165, 3, 0.55, 0.15, 0.08}, {-195, -130, -160, 170, 4, 0.85, -0.06, 0.14},
		{-130, -85, -175, 160, 2, 0.45, -0.03, -0.16}, {-85, -20, -165, 175, 3, 0.96, 0, 0.005},
		{-20, 40, -150, 160, 3, 0.90, 0.01, 0.07}, {40, 100, -170, 170, 1, 0.60, -0.13, 0.10},
		{100, 160, -160, 165, 4, 0.35, 0.06, -0.12}, {160, 225, -165, 170, 3, 0.70, 0.18, -0.03},
	}
}

// twoRows is two shorter rows of five.
func twoRows() []drawnBand {
	var out []drawnBand
	for row := range 2 {
		for i := range 5 {
			u, v := -220+float64(i)*84, -185+float64(row)*200
			hue := 3 + 1.2*float64(i) + 0.6*float64(row)
			out = append(out, drawnBand{
				u, u + 84, v + 5*float64(i%3), v + 175 - 6*float64(i%2), 3,
				0.5 + 0.08*float32(i), float32(0.13 * math.Sin(hue)), float32(0.13 * math.Cos(hue)),
			})
		}
	}
	return out
}

func TestFindStackFindsDrawnBands(t *testing.T) {
	for name, c := range map[string]struct {
		angle float64
		bands []drawnBand
	}{
		"one row upright": {0, oneRow()}, "one row turned": {0.12, oneRow()},
		"one row on its side": {math.Pi / 2, oneRow()}, "two rows": {-0.06, twoRows()},
	} {
		t.Run(name, func(t *testing.T) {
			w, h := 800, 640
			if c.angle > 1 {
				w, h = h, w
			}
			g, want := drawBasket(w, h, c.angle, c.bands)
			got := findStack(g, findGround(g))
			require.Len(t, got, len(want))
			for i, p := range want {
				best := 0.0
				for _, r := range got {
					best = max(best, overlap(p, r.Polygon))
				}
				require.Greater(t, best, 0.8, "band %d", i)
			}
		})
	}
}

func TestStackScoreTellsStacks(t *testing.T) {
	g, _ := drawBasket(800, 640, 0.1, oneRow())
	require.Greater(t, stackScore(g, findGround(g)), 0.9)
	// Squares laid apart on the same ground have as many edges one way as the
	// other.
	for y := range g.H {
		for x := range g.W {
			i := y*g.W + x
			g.L[i], g.A[i], g.B[i] = 0.75, -0.01, -0.02
			if (x/64)%2 == 1 && (y/64)%2 == 1 {
				g.L[i] = 0.4
			}
		}
	}
	require.Less(t, stackScore(g, findGround(g)), 0.1)
}

func TestFindStackOnNothing(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {7, 5}, {64, 48}, {400, 300}} {
		flat := newGrid(size[0], size[1])
		for i := range flat.L {
			flat.L[i] = 0.7
		}
		require.Empty(t, findStack(flat, findGround(flat)), "%v", size)
		require.Zero(t, stackScore(flat, findGround(flat)), "%v", size)
	}
}

func TestFindStackIsTheSameEveryTime(t *testing.T) {
	g, _ := drawBasket(800, 640, 0.05, twoRows())
	gr := findGround(g)
	want := findStack(g, gr)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, procs := range []int{1, 3} {
		runtime.GOMAXPROCS(procs)
		require.Equal(t, want, findStack(g, gr))
	}
}

func BenchmarkFindStack(b *testing.B) {
	g, _ := drawBasket(1344, 1008, 0.05, oneRow())
	gr := findGround(g)
	b.ReportAllocs()
	for b.Loop() {
		findStack(g, gr)
	}
}

func BenchmarkStackScore(b *testing.B) {
	g, _ := drawBasket(1344, 1008, 0.05, oneRow())
	gr := findGround(g)
	for b.Loop() {
		stackScore(g, gr)
	}
}
