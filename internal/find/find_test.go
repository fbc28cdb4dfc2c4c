package find

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// canvas is a picture drawn by a test: a ground with a gradient and grain, and
// prints laid on it.
type canvas struct {
	p   *cloth.Picture
	rng *rand.Rand
}

type dye [3]float64

func newCanvas(w, h int, ground dye) *canvas {
	c := &canvas{&cloth.Picture{W: w, H: h, Pix: make([]float32, 3*w*h), Shrink: 1, FullW: w, FullH: h}, rand.New(rand.NewPCG(7, 11))}
	for y := range h {
		for x := range w {
			// Light falls off to the right and down; the ground has grain.
			k := 1.1 - 0.3*float64(x)/float64(w) - 0.1*float64(y)/float64(h) + 0.01*c.rng.NormFloat64()
			c.set(x, y, ground, k)
		}
	}
	return c
}

func (c *canvas) set(x, y int, d dye, k float64) {
	for i := range 3 {
		c.p.Pix[3*(y*c.p.W+x)+i] = float32(d[i] * k)
	}
}

// lay draws a print inside g; ink gives the colour at a place.
func (c *canvas) lay(g geom.Polygon, ink func(x, y int) dye) {
	g.Fill(c.p.W, c.p.H, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			k := 1.1 - 0.3*float64(x)/float64(c.p.W) - 0.1*float64(y)/float64(c.p.H) + 0.01*c.rng.NormFloat64()
			c.set(x, y, ink(x, y), k)
		}
	})
}

func solid(d dye) func(int, int) dye { return func(int, int) dye { return d } }

func dots(back, dot dye, pitch int) func(int, int) dye {
	return func(x, y int) dye {
		u, v := x%pitch-pitch/2, y%pitch-pitch/2
		if u*u+v*v < pitch*pitch/10 {
			return dot
		}
		return back
	}
}

func stripes(a, b dye, width int) func(int, int) dye {
	return func(x, y int) dye {
		if (x+y)/width%2 == 0 {
			return a
		}
		return b
	}
}

// rect is a rectangle of w × h round (cx, cy), turned by deg degrees.
func rect(cx, cy, w, h, deg float64) geom.Polygon {
	s, k := math.Sincos(deg * math.Pi / 180)
	var g geom.Polygon
	for _, q := range [4][2]float64{{-w, -h}, {w, -h}, {w, h}, {-w, h}} {
		x, y := q[0]/2, q[1]/2
		g = append(g, geom.Point{X: cx + k*x - s*y, Y: cy + s*x + k*y})
	}
	return g
}

var (
	wood  = dye{0.32, 0.20, 0.11}
	mat   = dye{0.18, 0.19, 0.20}
	white = dye{0.75, 0.73, 0.70}
	navy  = dye{0.02, 0.03, 0.12}
	red   = dye{0.5, 0.03, 0.04}
	teal  = dye{0.03, 0.28, 0.27}
	lemon = dye{0.75, 0.6, 0.08}
)

// match pairs every true outline with a region that overlaps it by least.
func match(t *testing.T, truth []geom.Polygon, regions []cloth.Region, least float64) {
	t.Helper()
	for i, g := range truth {
		best := 0.0
		for _, r := range regions {
			best = max(best, overlap(g, r.Polygon))
		}
		require.GreaterOrEqual(t, best, least, "piece %d", i)
	}
	require.Len(t, regions, len(truth))
}

func TestSpreadOfPrints(t *testing.T) {
	for name, ground := range map[string]dye{"wood": wood, "mat": mat, "flannel": {0.6, 0.58, 0.53}} {
		t.Run(name, func(t *testing.T) {
			c := newCanvas(800, 600, ground)
			truth := []geom.Polygon{
				rect(150, 120, 100, 100, 10), rect(420, 110, 260, 60, -7), rect(680, 160, 70, 120, 30),
				rect(200, 400, 180, 90, 45), rect(480, 400, 90, 90, 3), rect(680, 430, 40, 200, 15),
			}
			inks := []func(int, int) dye{
				dots(navy, white, 24), stripes(red, white, 9), solid(teal), dots(lemon, red, 30), stripes(navy, teal, 14), solid(red),
			}
			for i, g := range truth {
				c.lay(g, inks[i])
			}
			res := Find(c.p, Options{})
			require.Equal(t, cloth.Spread, res.Kind)
			match(t, truth, res.Regions, 0.93)
			for _, r := range res.Regions {
				require.Len(t, r.Corners, 4)
			}
		})
	}
}

func TestPiecesThatTouchAreCutApart(t *testing.T) {
	c := newCanvas(800, 600, mat)
	truth := []geom.Polygon{rect(250, 250, 140, 140, 0), rect(400, 290, 160, 90, 0), rect(390, 430, 60, 190, 0)}
	c.lay(truth[0], dots(navy, white, 24))
	c.lay(truth[1], solid(red))
	c.lay(truth[2], stripes(lemon, teal, 12))
	match(t, truth, Find(c.p, Options{Kind: cloth.Spread}).Regions, 0.9)
}

// A print whose own background is the ground's colour falls into dots.
func TestMarksOfOnePrintAreGathered(t *testing.T) {
	c := newCanvas(800, 600, wood)
	truth := []geom.Polygon{rect(400, 300, 200, 140, 12), rect(150, 150, 90, 90, 0)}
	c.lay(truth[0], dots(wood, lemon, 16))
	c.lay(truth[1], solid(navy))
	match(t, truth, Find(c.p, Options{Kind: cloth.Spread}).Regions, 0.75)
}

func TestBoardLattice(t *testing.T) {
	c := newCanvas(900, 700, white)
	rng := rand.New(rand.NewPCG(1, 2))
	inks := []func(int, int) dye{
		solid(red), dots(navy, white, 14), stripes(teal, lemon, 8), solid(teal), dots(lemon, red, 18), solid(navy), stripes(red, white, 6),
	}
	var truth []geom.Polygon
	const side = 88
	for j := range 5 {
		for i := range 7 {
			if i == 3 && j == 2 {
				continue // a missing square
			}
			g := rect(150+side*float64(i)+rng.Float64()*3, 150+side*float64(j)+rng.Float64()*3, side-2, side-2, 1.5*rng.NormFloat64())
			c.lay(g, inks[rng.IntN(len(inks))])
			truth = append(truth, g)
		}
	}
	res := Find(c.p, Options{})
	require.Equal(t, cloth.Board, res.Kind)
	match(t, truth, res.Regions, 0.88)

	// By hand: the numbers and the outline are obeyed.
	o := geom.Polygon{{X: 106, Y: 106}, {X: 722, Y: 106}, {X: 722, Y: 546}, {X: 106, Y: 546}}
	res = Find(c.p, Options{Kind: cloth.Board, Rows: 5, Cols: 7, Outline: o})
	match(t, truth, res.Regions, 0.85)
}

func TestGivenOutlinesAreTaken(t *testing.T) {
	c := newCanvas(200, 200, mat)
	anticlockwise := geom.Polygon{{X: 20, Y: 20}, {X: 20, Y: 80}, {X: 90, Y: 80}, {X: 90, Y: 20}}
	res := Find(c.p, Options{Given: []geom.Polygon{anticlockwise}})
	require.Len(t, res.Regions, 1)
	require.Equal(t, 1.0, res.Regions[0].Trust)
	require.Positive(t, res.Regions[0].Polygon.SignedArea())
	require.Len(t, res.Regions[0].Corners, 4)
}

func TestNothingOnTheGround(t *testing.T) {
	for _, ground := range []dye{wood, mat, white, {0, 0, 0}, {1, 1, 1}} {
		require.Empty(t, Find(newCanvas(400, 300, ground).p, Options{}).Regions)
	}
	tiny := newCanvas(10, 10, wood)
	res := Find(tiny.p, Options{})
	require.Empty(t, res.Regions)
	require.NotEmpty(t, res.Notes)
}

// Four squares in a row a little out of line once came out as 1, 4, 2, 3.
func TestReadingOrder(t *testing.T) {
	var regions []cloth.Region
	for _, p := range []geom.Point{{X: 300, Y: 104}, {X: 100, Y: 110}, {X: 200, Y: 98}, {X: 150, Y: 205}, {X: 400, Y: 101}, {X: 50, Y: 197}} {
		regions = append(regions, cloth.Region{Polygon: rect(p.X, p.Y, 60, 60, 3)})
	}
	readingOrder(regions)
	var xs []float64
	for _, r := range regions {
		xs = append(xs, math.Round(r.Polygon.Centroid().X))
	}
	require.Equal(t, []float64{100, 200, 300, 400, 50, 150}, xs)
}

func TestFindIsDeterministic(t *testing.T) {
	c := newCanvas(600, 400, wood)
	c.lay(rect(200, 200, 120, 90, 20), dots(navy, white, 20))
	c.lay(rect(400, 180, 90, 90, 5), stripes(red, lemon, 10))
	require.Equal(t, Find(c.p, Options{}), Find(c.p, Options{}))
}

func TestTraceAndSimplify(t *testing.T) {
	const w, h = 12, 9
	mask := make([]uint8, w*h)
	for y := 2; y < 6; y++ {
		for x := 3; x < 10; x++ {
			mask[y*w+x] = 1
		}
	}
	lab, blobs := labelBlobs(mask, w, h)
	require.Len(t, blobs, 1)
	require.Equal(t, 28, blobs[0].area)
	ring := traceBlob(lab, w, h, blobs[0])
	require.Equal(t, 28.0, ring.SignedArea(), "clockwise on screen, along the pixels' outer edges")
	require.ElementsMatch(t, geom.Polygon{{X: 3, Y: 2}, {X: 10, Y: 2}, {X: 10, Y: 6}, {X: 3, Y: 6}}, simplify(ring, 0.5))
}

func TestFitQuadFindsTheSidesOfAFrayedSquare(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	want := rect(100, 100, 120, 80, 17)
	ring := resample(want, 2)
	for i := range ring {
		ring[i].X += rng.NormFloat64() * 0.7
		ring[i].Y += rng.NormFloat64() * 0.7
	}
	c, fit := fitQuad(ring)
	require.Greater(t, fit, 0.97)
	for _, p := range want {
		best := math.Inf(1)
		for _, q := range c {
			best = min(best, p.Dist(q))
		}
		require.Less(t, best, 0.7)
	}
}

func TestSquareness(t *testing.T) {
	require.InDelta(t, 1, squareness(rect(0, 0, 50, 30, 33)), 1e-9)
	require.InDelta(t, 0.5, squareness(geom.Polygon{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 0, Y: 10}}), 0.5)
	circle := geom.Polygon{}
	for i := range 60 {
		s, c := math.Sincos(float64(i) * math.Pi / 30)
		circle = append(circle, geom.Point{X: 50 * c, Y: 50 * s})
	}
	require.Less(t, squareness(circle), wholeEnough, "a button is no piece")
}

func TestAspectOfASquareSeenFromTheSide(t *testing.T) {
	const w, h = 1000, 750
	f := focalShare * w
	s, c := math.Sincos(35 * math.Pi / 180)
	project := func(x, y float64) geom.Point {
		// The table is tilted by 35 degrees about the picture's x axis.
		X, Y, Z := x, y*c, 6+y*s
		return geom.Point{X: w/2 + f*X/Z, Y: h/2 + f*Y/Z}
	}
	unit, err := geom.FitHomography(
		[]geom.Point{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}},
		[]geom.Point{project(-1, -1), project(1, -1), project(1, 1), project(-1, 1)})
	require.NoError(t, err)
	require.InDelta(t, 1, aspectOf(unit, w, h), 1e-6)
}

func BenchmarkFind(b *testing.B) {
	c := newCanvas(1344, 1008, wood)
	for i := range 24 {
		c.lay(rect(150+200*float64(i%6), 130+240*float64(i/6), 130, 110, float64(7*i)), dots(navy, lemon, 14+i))
	}
	b.ReportAllocs()
	for b.Loop() {
		Find(c.p, Options{})
	}
}

// shade darkens a canvas as a lamp's shadow does: by k where depth is 1.
func (c *canvas) shade(k dye, depth func(x, y float64) float64) {
	for y := range c.p.H {
		for x := range c.p.W {
			d := depth(float64(x), float64(y))
			for i := range 3 {
				c.p.Pix[3*(y*c.p.W+x)+i] *= float32(1 - d*(1-k[i]))
			}
		}
	}
}

// ramp goes from 1 to 0 between from and to.
func ramp(v, from, to float64) float64 { return max(0, min(1, (to-v)/(to-from))) }

func TestShadowsOfThePhotographerAreNoPieces(t *testing.T) {
	for name, ground := range map[string]dye{"wood": wood, "mat": mat, "flannel": {0.6, 0.58, 0.53}} {
		t.Run(name, func(t *testing.T) {
			c := newCanvas(900, 700, ground)
			truth := []geom.Polygon{rect(450, 150, 150, 120, 8), rect(430, 420, 60, 60, 30), rect(760, 300, 90, 180, -12), rect(150, 250, 120, 120, 20)}
			for i, g := range truth {
				c.lay(g, []func(int, int) dye{dots(navy, white, 24), solid(red), stripes(red, white, 9), solid(teal)}[i])
			}
			// A head, with a small square in its shadow, and an arm.
			c.shade(dye{0.3, 0.34, 0.42}, func(x, y float64) float64 {
				head := ramp(math.Hypot(x-430, y-470), 130, 142)
				arm := ramp(math.Abs(x-700+0.2*(y-700)), 38, 48) * ramp(-y, -560, -548)
				return max(head, arm)
			})
			res := Find(c.p, Options{})
			require.Equal(t, cloth.Spread, res.Kind)
			match(t, truth, res.Regions, 0.88)
		})
	}
}

// The colour of the light may change far more across a photo than the ground's
// own, but it does so without a step.
func TestTwoLights(t *testing.T) {
	c := newCanvas(900, 700, dye{0.5, 0.5, 0.5})
	truth := []geom.Polygon{rect(500, 180, 160, 120, 8), rect(250, 420, 120, 120, 30), rect(700, 450, 90, 180, -12)}
	for i, g := range truth {
		c.lay(g, []func(int, int) dye{dots(navy, white, 24), solid(teal), stripes(red, white, 9)}[i])
	}
	for y := range c.p.H {
		for x := range c.p.W {
			window := math.Exp(-(math.Pow(float64(x)-0, 2) + math.Pow(float64(y)-420, 2)) / (2 * 400 * 400))
			lamp := 0.25 + 0.4*float64(x)/float64(c.p.W)
			p := c.p.Pix[3*(y*c.p.W+x):]
			p[0] *= float32(0.75*window + 1.1*lamp)
			p[1] *= float32(0.95*window + 0.85*lamp)
			p[2] *= float32(1.2*window + 0.5*lamp)
		}
	}
	res := Find(c.p, Options{})
	match(t, truth, res.Regions, 0.9)
}

func TestBareGroundHoldsNoPieces(t *testing.T) {
	for name, ground := range map[string]dye{"wood": wood, "mat": mat, "flannel": {0.6, 0.58, 0.53}, "green": {0.04, 0.2, 0.12}} {
		c := newCanvas(800, 600, ground)
		require.Empty(t, Find(c.p, Options{}).Regions, name)
		if name == "wood" || name == "flannel" {
			continue
		}
		line := dye{ground[0] + 0.15, ground[1] + 0.15, ground[2] + 0.15}
		for x := 30; x < 800; x += 60 { // a mat's grid
			c.lay(rect(float64(x), 300, 1, 600, 0), solid(line))
		}
		for y := 30; y < 600; y += 60 {
			c.lay(rect(400, float64(y), 800, 1, 0), solid(line))
		}
		require.Empty(t, Find(c.p, Options{}).Regions, name+" with a grid")
		c.shade(dye{0.35, 0.38, 0.45}, func(x, y float64) float64 { return ramp(math.Hypot(x-400, y-600), 200, 220) })
		require.Empty(t, Find(c.p, Options{}).Regions, name+" in the photographer's shadow")
	}
}

// The lines of a check run on across its neighbours as a board's seams do.
func TestBoardOfChecks(t *testing.T) {
	c := newCanvas(900, 700, dye{0.6, 0.58, 0.53})
	check := func(a, b dye, pitch int) func(int, int) dye {
		return func(x, y int) dye {
			if (x/pitch+y/pitch)%2 == 0 {
				return a
			}
			return b
		}
	}
	inks := []func(int, int) dye{check(red, white, 13), solid(teal), check(navy, white, 15), dots(lemon, red, 30)}
	var truth []geom.Polygon
	for j := range 4 {
		for i := range 4 {
			g := rect(250+112*float64(i), 180+112*float64(j), 112, 112, 0)
			truth = append(truth, g)
			c.lay(g, inks[(i+2*j)%len(inks)])
		}
	}
	res := Find(c.p, Options{})
	require.Equal(t, cloth.Board, res.Kind)
	match(t, truth, res.Regions, 0.8)
}

func TestBitsAreNoPieces(t *testing.T) {
	c := newCanvas(900, 700, wood)
	var truth []geom.Polygon
	for i := range 6 {
		g := rect(160+280*float64(i%3), 200+280*float64(i/3), 150, 150, float64(7*i))
		truth = append(truth, g)
		c.lay(g, []func(int, int) dye{solid(teal), dots(navy, white, 24), solid(red)}[i%3])
	}
	small := rect(300, 60, 40, 40, 5) // 1½ inches where the others are 5½
	truth = append(truth, small)
	c.lay(small, solid(navy))
	c.lay(rect(600, 60, 26, 18, 20), solid(red)) // a spool
	match(t, truth, Find(c.p, Options{}).Regions, 0.85)
}
