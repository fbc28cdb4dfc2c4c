package scene

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

func TestLensThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := newCamera(2048, 1536, 50, 0.5, 0.3, 0.1, rapid.Float64Range(0, 0.02).Draw(t, "barrel"), vec{})
		p := geom.Point{X: rapid.Float64Range(0, 2048).Draw(t, "x"), Y: rapid.Float64Range(0, 1536).Draw(t, "y")}
		require.InDelta(t, 0, c.distort(c.undistort(p)).Dist(p), 0.01)
	})
}

func TestPlaneMapIsTheCamera(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		c := newCamera(2048, 1536, f("ppi", 20, 120), f("tilt", 0, 0.7), f("azimuth", 0, 6), f("roll", -0.3, 0.3), 0.01, vec{0, 0, 4})
		o, a, b := vec{f("ox", -5, 5), f("oy", -5, 5), f("oz", 0, 5)}, vec{0.8, 0, 0.6}, vec{0, 1, 0}
		h := c.plane(o, a, b)
		u, v := f("u", -5, 5), f("v", -5, 5)
		want := c.project(o.add(a.mul(u)).add(b.mul(v)))
		require.InDelta(t, 0, h.Apply(geom.Point{X: u, Y: v}).Dist(want), 1e-6)
	})
}

func TestCameraAims(t *testing.T) {
	c := newCamera(2048, 1536, 50, 0, 0, 0, 0, vec{})
	mid := c.project(vec{})
	require.InDelta(t, 0, mid.Dist(geom.Point{X: 1024, Y: 768}), 1e-9)
	require.InDelta(t, 50, c.project(vec{1, 0, 0}).X-mid.X, 1e-9)
	require.InDelta(t, 50, c.project(vec{0, 1, 0}).Y-mid.Y, 1e-9, "y comes down the picture")
	o := newCamera(2048, 1536, 50, 0.6, 0, 0, 0, vec{})
	near, far := o.project(vec{1, 5, 0}).X-o.project(vec{0, 5, 0}).X, o.project(vec{1, -5, 0}).X-o.project(vec{0, -5, 0}).X
	require.Greater(t, near, far, "the near side is nearer")
}

func TestWhiteOfLamps(t *testing.T) {
	// D65 is daylight of 6504 K, and white here (CIE 15:2004).
	for _, v := range whiteOf(6504) {
		require.InDelta(t, 1, v, 0.01)
	}
	// Illuminant A is a black body of 2856 K, x 0.4476 y 0.4074 (CIE 15:2004,
	// table T.3); the fit is good to about 0.001.
	x := whiteOf(2856).XYZ()
	s := x[0] + x[1] + x[2]
	require.InDelta(t, 0.4476, x[0]/s, 0.002)
	require.InDelta(t, 0.4074, x[1]/s, 0.002)
	require.InDelta(t, 1, x[1], 1e-9)
}

func TestGapOfRectangles(t *testing.T) {
	a := rect{w: 2, h: 2}
	require.InDelta(t, 1, a.gap(rect{x: 3, w: 2, h: 2}), 1e-12)
	require.InDelta(t, -1, a.gap(rect{x: 1, w: 2, h: 2}), 1e-12)
	// A square on its tip, √2 from middle to tip.
	require.InDelta(t, 3-1-math.Sqrt2, a.gap(rect{x: 3, w: 2, h: 2, angle: math.Pi / 4}), 1e-12)
}

func TestFoldKeepsTheCloth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		w, h := drawSize(r, 0.4)
		s := newShape(r, w, h, 1)
		c := s.foldLine(r)
		stay, fold := c.split(s.corners[:])
		require.InDelta(t, geom.Polygon(s.corners[:]).Area(), geom.Polygon(stay).Area()+geom.Polygon(fold).Area(), 1e-9)
		for _, p := range fold {
			require.GreaterOrEqual(t, c.over(p.X, p.Y), -1e-9)
			q := c.flip(p)
			require.LessOrEqual(t, c.over(q.X, q.Y), 1e-9)
			require.InDelta(t, 0, c.flip(q).Dist(p), 1e-9)
		}
	})
}

func TestClothLaidOnClothLiesOver(t *testing.T) {
	d := newDrape(6)
	square := func(x0, y0, x1, y1 float64) geom.Polygon {
		return geom.Polygon{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	}
	low := d.lay(square(-2, -2, 2, 2), 0.1, 1)
	require.InDelta(t, 0, low.at(0, 0), 1e-12, "on bare ground")
	require.InDelta(t, 0.1, d.height(0, 0), 1e-6)
	top := d.lay(square(-1, -1, 4, 1), 0.1, 1)
	require.InDelta(t, 0.1, top.at(0, 0), 0.01, "on the first cloth")
	require.InDelta(t, 0, top.at(3.5, 0), 0.01, "back on the ground")
	require.Less(t, top.at(2.3, 0), top.at(1.5, 0), "it comes down over the edge")
	require.Greater(t, top.at(2.3, 0), 0.0, "but not at once")
}

func TestFabricsOfOneDesignDiffer(t *testing.T) {
	f := drawFabrics(rand.New(rand.NewPCG(3, 3)), 60)
	require.Len(t, f, 60)
	for i := range f {
		m := f[i].mean()
		for k, v := range m {
			require.True(t, v > 0.01 && v < 1, "%s channel %d: %v", f[i].name, k, v)
		}
		for j := range i {
			if f[i].name == f[j].name {
				require.GreaterOrEqual(t, colour.DeltaE76(m.Lab(), f[j].mean().Lab()), 12.0)
			}
		}
	}
}

func TestEveryDesignNamesItsInks(t *testing.T) {
	for _, d := range designs {
		for seed := range uint64(12) {
			r := rand.New(rand.NewPCG(seed, 5))
			f := newFabric(r, d.name)
			d.draw(r, f)
			seen := make([]bool, len(f.inks))
			for range 4000 {
				_, k := f.colourAt(40*r.Float64(), 40*r.Float64())
				require.True(t, k >= 0 && k < len(f.inks), d.name)
				seen[k] = true
			}
			require.True(t, seen[0] || len(f.inks) > 1, d.name)
			n := 0
			for _, s := range seen {
				n += bool01(s)
			}
			require.True(t, n > 1 || len(f.inks) == 1, "%s %d shows one ink only", d.name, seed)
		}
	}
}

func TestBellIsStandard(t *testing.T) {
	var sum, sq float64
	const n = 20000
	for i := range int32(n) {
		v := bell(hash(i, 7, 9))
		sum += v
		sq += v * v
	}
	// The mean of n deviates strays by 1/√n = 0.007.
	require.InDelta(t, 0, sum/n, 0.03)
	require.InDelta(t, 1, sq/n, 0.05)
}

func TestSwatchesJoinInksAlike(t *testing.T) {
	var a tally
	white, cream, navy := lch(94, 1, 90), lch(93, 1, 90), lch(25, 25, 275)
	for i, c := range []colour.Linear{white, cream, navy} {
		for range []int{50, 20, 30}[i] {
			a.add(i, samples{1, c})
		}
	}
	s := a.swatches()
	require.Len(t, s, 2)
	require.InDelta(t, 0.7, s[0].Share, 1e-12)
	require.Equal(t, navy.Hex(), s[1].Colour.Hex())
}

// What WhiteAt says is what a white sheet over the whole plane of the cloth
// has in the photo.
func TestWhiteAtIsAWhiteSheet(t *testing.T) {
	for i, lay := range []func(*builder){(*builder).spread, (*builder).board, (*builder).stack, (*builder).pile} {
		for level := 1; level <= 3; level++ {
			b := &builder{
				r: rand.New(rand.NewPCG(uint64(40+i), uint64(level))), kind: kinds[i], level: level, w: 384, h: 288,
			}
			lay(b)
			b.settings.EV = -0.8 // a photo of white alone would clip
			b.faces, b.pieces = nil, nil
			f := lying(0, 0, b.plane, 0)
			f.colour = func(u, v float64) (colour.Linear, int) { return colour.Linear{1, 1, 1}, 0 }
			b.add(f)
			s := b.photograph()
			for y := 12; y < b.h; y += 24 {
				for x := 12; x < b.w; x += 24 {
					want := s.WhiteAt(geom.Point{X: float64(x), Y: float64(y)})
					for k := range 3 {
						sum := 0.0
						for v := y - 5; v < y+5; v++ {
							for u := x - 5; u < x+5; u++ {
								sum += float64(s.Image.Pix[4*(v*b.w+u)+k])
							}
						}
						if want[k] < 0.97 {
							require.InDelta(t, want[k], sum/100/255, 0.02, "%s %d at %d, %d: channel %d", b.kind, level, x, y, k)
						}
					}
				}
			}
		}
	}
}
