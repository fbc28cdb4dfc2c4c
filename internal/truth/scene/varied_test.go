package scene

import (
	"bytes"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Every layout of varied scenes keeps the truth: pieces as the mask has them,
// labels on some of them, the same bytes on one core as on many.
func TestVariedScenes(t *testing.T) {
	paper, folded, sewn, bare := 0, 0, 0, 0
	for _, k := range kinds {
		for seed := uint64(60); seed < 66; seed++ {
			o := Options{Long: 256, Varied: true}
			s := Make(k, 1+int(seed%3), seed, o)
			if seed == 60 {
				cores := runtime.GOMAXPROCS(1)
				again := Make(k, 1+int(seed%3), seed, o)
				runtime.GOMAXPROCS(cores)
				require.True(t, bytes.Equal(s.JPEG, again.JPEG), s.Name)
			}
			n := make([]int, len(s.Pieces)+1)
			for i, id := range s.Mask {
				n[id]++
				paper += bool01(s.Paper[i] && id > 0)
			}
			seen := 0
			for i, p := range s.Pieces {
				require.Equal(t, i+1, p.ID)
				require.Equal(t, n[p.ID], p.VisiblePx)
				seen += bool01(p.VisiblePx > 0)
				folded += bool01(p.Folded && len(p.Corners) == 0)
				sewn += bool01(p.Irregular && len(p.Corners) == 4)
			}
			require.Equal(t, len(s.Pieces) > 0, seen > 0, s.Name)
			bare += bool01(len(s.Pieces) == 0)
			for v := range 4 { // the white is known all over
				for _, c := range s.WhiteAt(geom.Point{X: float64(s.W) * float64(v) / 3, Y: float64(s.H) * float64(v) / 3}) {
					require.True(t, c > 0.02 && c < 6, "%s: white %v", s.Name, c)
				}
			}
		}
	}
	require.Positive(t, paper)
	require.Greater(t, folded, 20)
	require.Positive(t, sewn)
	require.Less(t, bare, 4)
}

// The sides and the top of a bundle meet: hardly anything behind it shows in
// cracks a pixel or two wide.
func TestBundlesHaveNoCracks(t *testing.T) {
	if testing.Short() {
		t.Skip("counts over many scenes")
	}
	cracks, cloth := 0, 0
	for seed := uint64(300); seed < 306; seed++ {
		s := Make("stack", 1+int(seed%3), seed, Options{Long: 640, Varied: true})
		for y := 2; y < s.H-2; y++ {
			for x := 2; x < s.W-2; x++ {
				i := y*s.W + x
				if s.Mask[i] > 0 {
					cloth++
					continue
				}
				for _, d := range [2]int{1, s.W} {
					a, b := max(s.Mask[i+d], s.Mask[i+2*d]), max(s.Mask[i-d], s.Mask[i-2*d])
					if a > 0 && a == b {
						cracks++
						break
					}
				}
			}
		}
	}
	require.Less(t, float64(cracks)/float64(cloth), 0.0008)
}

// A label is no part of the colour of the cloth it lies on.
func TestALabelIsNotCloth(t *testing.T) {
	b := &builder{r: rand.New(rand.NewPCG(5, 5)), kind: "spread", level: 1, w: 320, h: 256, options: Options{Varied: true}}
	navy := lch(24, 25, 275)
	b.fabrics = []*fabric{{name: "solid", inks: []colour.Linear{navy}, same: true}}
	b.aim(40, 0)
	b.cover(nil, false)
	b.packet(&bundle{at: vec{z: 0.25}, w: 5, d: 4, t: 0.5, layers: 3, label: true})
	s := b.photograph()
	on := 0
	for _, p := range s.Paper {
		on += bool01(p)
	}
	require.Greater(t, on, 300)
	require.Less(t, colour.DeltaE76(navy.Lab(), s.Pieces[0].Mean.Lab()), 0.5)
}

// A patch of a unit lies edge to edge with its neighbours: no ground shows.
func TestUnitsAreSewn(t *testing.T) {
	if testing.Short() {
		t.Skip("draws every unit")
	}
	for i := range units {
		b := &builder{r: rand.New(rand.NewPCG(8, uint64(i))), kind: "board", level: 1, w: 256, h: 256}
		b.fabrics = b.cloths(4)
		b.aim(40, 0)
		b.cover([]string{"wall"}, false)
		parts := units[i](b.r)
		b.sew(parts, 5, 0, 0, 0.1, []int{0, 1, 2, 3})
		s := b.photograph()
		require.Len(t, s.Pieces, len(parts))
		all := 0.0
		for _, p := range parts {
			require.Positive(t, geom.Polygon(p.ring).SignedArea(), "clockwise")
			all += geom.Polygon(p.ring).Area()
		}
		n := 0
		var mid geom.Point
		for i, id := range s.Mask {
			if id > 0 {
				n++
				mid = mid.Add(geom.Point{X: float64(i % s.W), Y: float64(i / s.W)})
			}
		}
		require.InDelta(t, 0, mid.Mul(1/float64(n)).Dist(geom.Point{X: float64(s.W) / 2, Y: float64(s.H) / 2}), 9, "unit %d", i)
		require.InEpsilon(t, all*25*s.PxPerInch*s.PxPerInch, n, 0.06, "unit %d", i)
		require.Positive(t, s.Mask[s.H/2*s.W+s.W/2], "unit %d", i)
	}
}

func TestFigures(t *testing.T) {
	var rows []string
	for y := range 5 {
		row := ""
		for x := range 7 {
			row += map[bool]string{true: "#", false: "."}[figure(27, float64(x)+0.5, float64(y)+0.5, 5)]
		}
		rows = append(rows, row)
	}
	require.Equal(t, strings.Join([]string{"###.###", "..#...#", "###..#.", "#...#..", "###.#.."}, "\n"), strings.Join(rows, "\n"))
}

func TestFocus(t *testing.T) {
	for tilt, far := range map[float64]bool{0: false, 0.7: true} {
		c := newCamera(400, 300, 20, tilt, 0, 0, 0, vec{})
		table := lying(0, 0, 0, 0).placed(c)
		f := table.focus(c, 0.5)
		require.InDelta(t, 0, f(200, 150), 1e-9, "sharp where it aims")
		require.Equal(t, far, f(200, 0) > 0.5, "%v", tilt)
	}
}

// Through a clear rule the cloth is seen, and stays in the mask.
func TestAClearRule(t *testing.T) {
	photo := func(rule bool) *Scene {
		b := &builder{r: rand.New(rand.NewPCG(6, 5)), kind: "spread", level: 1, w: 320, h: 256, options: Options{Varied: true}}
		b.fabrics = []*fabric{{name: "solid", inks: []colour.Linear{lch(45, 60, 30)}, same: true}}
		b.aim(20, 0)
		b.cover(nil, false)
		b.put(item{w: 8, h: 8, thick: 0.02, stiff: 0.5})
		if rule {
			b.glass(rect{})
		}
		return b.photograph()
	}
	with, without := photo(true), photo(false)
	require.Equal(t, without.Mask, with.Mask)
	require.Equal(t, without.Pieces[0].Mean, with.Pieces[0].Mean)
	require.NotEqual(t, without.JPEG, with.JPEG)
	a, b := with.Pieces[0].PhotoMean, without.Pieces[0].PhotoMean
	require.Greater(t, a[0], a[2]+20, "still red")
	require.Greater(t, b[0], b[2]+20)
}

// An overlay hides its share of what it lies on, and nothing beside it.
func TestOverlay(t *testing.T) {
	c := newCamera(64, 64, 16, 0, 0, 0, 0, vec{})
	cv := &canvas{albedo: make([]float32, 3*64*64)}
	for i := range cv.albedo {
		cv.albedo[i] = 0.5
	}
	f := lying(0, 0, 0, 0)
	f.outline = rounded(1, 1, 0)
	cv.cover(c, &overlay{f.placed(c), func(u, v float64) (colour.Linear, float64) { return colour.Linear{0.9, 0.1, 0}, 0.25 }})
	for k, want := range [3]float64{0.6, 0.4, 0.375} {
		require.InDelta(t, want, cv.albedo[3*(32*64+32)+k], 1e-6)
		require.InDelta(t, 0.5, cv.albedo[3*(32*64+8)+k], 1e-6)
	}
}

func TestShaken(t *testing.T) {
	p := make([]float32, 3*9*5)
	p[3*(2*9+4)] = 1
	shaken(p, 9, 5, [2]float64{2, 0})
	for x := range 9 {
		want := 0.0
		if x >= 3 && x <= 5 {
			want = 1. / 3
		}
		require.InDelta(t, want, p[3*(2*9+x)], 1e-6)
	}
}

// Cloth beside the camera or behind it has no picture, and is not laid.
func TestNothingLiesBehindTheCamera(t *testing.T) {
	b := &builder{r: rand.New(rand.NewPCG(6, 5)), kind: "pile", level: 1, w: 320, h: 256, options: Options{Varied: true}}
	b.fabrics = b.cloths(2)
	b.aim(20, 0)
	b.cam = newCamera(320, 256, 20, 0.8, 0, 0, 0, vec{})
	b.cover(nil, false)
	far := vecLen(b.cam.eye)
	for _, y := range []float64{0, far, 1.5 * far, 3 * far} {
		b.put(item{w: 2, h: 2, y: y, thick: 0.02, stiff: 0.5})
		b.packet(&bundle{at: vec{y: y, z: 0.25}, w: 2, d: 2, t: 0.5, layers: 2})
	}
	require.Len(t, b.pieces, 4)
	for _, f := range b.faces {
		for _, p := range f.outline {
			require.Positive(t, f.o.add(f.a.mul(p.X)).add(f.b.mul(p.Y)).sub(b.cam.eye).dot(b.cam.forward))
		}
	}
}

// All that lies there is seen by one camera, also where it moves after the
// ground is laid.
func TestOneCameraSeesAll(t *testing.T) {
	grounds := 0
	for seed := uint64(0); seed < 40; seed++ {
		b := &builder{r: rand.New(rand.NewPCG(seed, 5)), kind: "stack", level: 2, w: 320, h: 256, options: Options{Varied: true}}
		b.stack()
		for _, f := range b.faces {
			require.Equal(t, b.cam.plane(f.o, f.a, f.b), f.toImage)
			grounds += bool01(f.piece == 0 && b.container == "")
		}
	}
	require.Greater(t, grounds, 15, "some lie on a mat")
}

// White and pale cloth, which eyes lose on pale grounds, fills a good share of
// varied scenes.
func TestPaleClothIsCommon(t *testing.T) {
	if testing.Short() {
		t.Skip("counts over many scenes")
	}
	pale, all := 0, 0
	for seed := range uint64(200) {
		b := &builder{r: rand.New(rand.NewPCG(seed, 9)), options: Options{Varied: true}}
		for _, f := range b.cloths(10) {
			all++
			pale += bool01(f.name == "pale")
		}
	}
	require.Greater(t, pale, all/7)
	require.Less(t, pale, all/3)
}

// A place whose height or colour cannot be told, as on the line where a plane
// has its horizon, is dark and spoils nothing beside it.
func TestAPlaceUnknownSpoilsNothing(t *testing.T) {
	photo := func(u, v float64) *Scene {
		b := &builder{r: rand.New(rand.NewPCG(6, 5)), kind: "spread", level: 1, w: 320, h: 256, options: Options{Varied: true}}
		b.fabrics = []*fabric{{name: "solid", inks: []colour.Linear{lch(60, 60, 30)}, same: true}}
		b.aim(20, 0)
		b.cover(nil, false)
		b.put(item{w: 8, h: 8, thick: 0.02, stiff: 0.5})
		f := lying(6.5, 0, 0, 0)
		f.outline = rounded(0.2, 0.2, 0)
		f.colour = func(float64, float64) (colour.Linear, int) { return colour.Linear{u, u, u}, 0 }
		f.relief = func(float64, float64) float64 { return v }
		b.add(f)
		return b.photograph()
	}
	want := photo(0, 0).Pieces[0].PhotoMean
	for _, s := range []*Scene{photo(math.NaN(), 0), photo(0, math.NaN()), photo(math.Inf(1), 0), photo(0, math.Inf(1))} {
		for k, v := range s.Pieces[0].PhotoMean {
			require.InDelta(t, want[k], v, 2)
		}
	}
}
