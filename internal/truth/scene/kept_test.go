package scene

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/disintegration/imaging"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/testtable"
)

// One scene of each kind and layout stays as it was: a change of any number that is drawn
// shows. The numbers may differ by what processors make of sums.
func TestScenesAreKept(t *testing.T) {
	scenes := map[string]func() *Scene{
		"spread": func() *Scene { return Make(cloth.Spread, 2, 31, Options{Long: 256, Reference: Always}) },
		"board":  func() *Scene { return Make(cloth.Board, 3, 32, Options{Long: 256}) },
		"stack":  func() *Scene { return Make(cloth.Stack, 1, 33, Options{Long: 256}) },
		"pile":   func() *Scene { return Make(cloth.Pile, 3, 34, Options{Long: 256}) },
		"shelf":  func() *Scene { return Make(cloth.Spread, 1, 35, Options{Long: 256, Shelf: 4}) },
		"composite": func() *Scene {
			return Make(cloth.Board, 2, 36, Options{Long: 256, Real: 0.5, Dyed: 0.5, Swatches: someSwatches()})
		},
	}
	for i, l := range []struct {
		name   string
		kind   cloth.Kind
		layout func(*builder)
	}{
		{"bare", cloth.Spread, (*builder).bare},
		{"loose", cloth.Spread, (*builder).loose},
		{"packets", cloth.Spread, (*builder).packets},
		{"top", cloth.Board, (*builder).top},
		{"stash", cloth.Stack, (*builder).stash},
		{"fan", cloth.Pile, (*builder).fan},
		{"scraps", cloth.Pile, (*builder).scraps},
	} {
		scenes[l.name] = func() *Scene {
			b := &builder{r: rand.New(rand.NewPCG(40, uint64(i))), kind: l.kind, level: 2, w: 256, h: 192, options: Options{Long: 256, Varied: true}}
			l.layout(b)
			return b.photograph()
		}
	}
	for name, draw := range scenes {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			testtable.Kept(t, name, keptOf(draw()), 0.01)
		})
	}
}

// What is drawn before anything is painted stays as it was, for many seeds: the choices
// that are rare as well.
func TestDrawsAreKept(t *testing.T) {
	if testing.Short() {
		t.Skip("lays out many scenes")
	}
	const seeds = 12
	swatches := someSwatches()
	for _, l := range []struct {
		name   string
		kind   cloth.Kind
		layout func(*builder)
		varied bool
	}{
		{"spread", cloth.Spread, (*builder).spread, false},
		{"board", cloth.Board, (*builder).board, false},
		{"stack", cloth.Stack, (*builder).stack, false},
		{"pile", cloth.Pile, (*builder).pile, false},
		{"bare", cloth.Spread, (*builder).bare, true},
		{"loose", cloth.Spread, (*builder).loose, true},
		{"packets", cloth.Spread, (*builder).packets, true},
		{"top", cloth.Board, (*builder).top, true},
		{"stash", cloth.Stack, (*builder).stash, true},
		{"bands", cloth.Stack, (*builder).stack, true},
		{"fan", cloth.Pile, (*builder).fan, true},
		{"scraps", cloth.Pile, (*builder).scraps, true},
	} {
		t.Run(l.name, func(t *testing.T) {
			t.Parallel()
			var drawn [seeds][]float64
			for i := range drawn {
				o := Options{Long: 256, Varied: l.varied, Reference: ReferenceChoice(i % 4)}
				if i%3 == 0 {
					o.Swatches, o.Real, o.Dyed = swatches, 0.4, 0.5
				}
				b := &builder{r: rand.New(rand.NewPCG(50, uint64(i))), kind: l.kind, level: 1 + i%3, w: 256, h: 192, options: o}
				l.layout(b)
				drawn[i] = b.digest()
			}
			testtable.Kept(t, "drawn/"+l.name, drawn, 0.005)
		})
	}
}

// digest are means over what was drawn: the pieces, the faces with their colours and
// heights at places of their own, the light, the camera.
func (b *builder) digest() (out []float64) {
	mean := func(n int, of func(i int) []float64) {
		var sum []float64
		for i := range n {
			for k, v := range of(i) {
				if k == len(sum) {
					sum = append(sum, 0)
				}
				sum[k] += v / float64(n)
			}
		}
		out = append(append(out, float64(n)), sum...)
	}
	mean(len(b.pieces), func(i int) []float64 {
		p := &b.pieces[i]
		return []float64{p.WidthIn, p.HeightIn, float64(bool01(p.Folded)), float64(bool01(p.Irregular)), float64(b.cutFrom[i])}
	})
	mean(len(b.faces), func(i int) []float64 {
		f := &b.faces[i]
		lo, hi := f.outline.Bounds()
		var h, lit float64
		var c colour.Linear
		const n = 40
		for k := range n {
			t := float64(k) / n
			u, v := mix(lo.X, hi.X, t), mix(lo.Y, hi.Y, wrap(7*t, 1))
			if f.outline == nil {
				u, v = 9*t-4, 9*wrap(7*t, 1)-4
			}
			_, z := f.world(u, v)
			h += z / n
			if f.shade != nil {
				lit += f.shade(u, v) / n
			}
			col, ink := f.colour(u, v)
			c[0], c[1], c[2] = c[0]+col[0]/n, c[1]+col[1]/n, c[2]+(col[2]+0.1*float64(ink))/n
		}
		return []float64{
			float64(f.piece), float64(bool01(f.paper)), f.outline.Area(), f.outline.Centroid().X, f.outline.Centroid().Y,
			f.o.x, f.o.y, f.o.z, f.a.x, f.b.y, 10 * c[0], 10 * c[1], 10 * c[2], 10 * h, 10 * lit,
		}
	})
	mean(len(b.light.lamps), func(i int) []float64 {
		l := &b.light.lamps[i]
		return []float64{l.cct, l.power, l.dir.x, l.dir.y, l.away, l.fall, 10 * l.width}
	})
	mean(len(b.refs), func(i int) []float64 {
		return []float64{b.refs[i].WidthIn, b.refs[i].Corners[0].X, b.refs[i].Corners[1].Y}
	})
	mean(len(b.overlays), func(i int) (out []float64) {
		lo, hi := b.overlays[i].face.outline.Bounds()
		for j, n := 0, 400; j < n; j++ {
			c, hides := b.overlays[i].colour(mix(lo.X, hi.X, float64(j)/float64(n)), mix(lo.Y, hi.Y, wrap(float64(j)*0.618, 1)))
			out = append(out, 5*c[0]+c[2]+5*hides)
		}
		return out
	})
	left := 0.0
	for k := range 100 {
		left += b.light.left(vec{float64(k%10) - 5, float64(k/10) - 5, 0})
	}
	s := &b.settings
	out = append(out, b.ppi, b.cam.eye.x, b.cam.eye.y, b.cam.eye.z, left, b.light.ambient[0], b.light.ambient[2], float64(len(b.overlays)),
		s.TiltDeg, s.RollDeg, 100*s.Barrel, 10*s.Vignette, s.EV, 10*s.Adapted, s.Noise, s.Blur, s.Sharpen, s.Contrast, s.Saturation, float64(s.Quality), s.Shake[0], s.Depth)
	for k := range out {
		out[k] = round(out[k])
	}
	return out
}

func someSwatches() []*Swatch {
	var out []*Swatch
	for _, c := range [][2]color.RGBA{{{200, 60, 40, 255}, {240, 235, 225, 255}}, {{40, 60, 120, 255}, {90, 150, 90, 255}}} {
		out = append(out, newSwatch("striped", striped(c[0], c[1])))
	}
	return out
}

// keptOf is a scene's truth, one row of numbers a piece, and its photo 24 pixels wide, a
// row of red, green and blue of each pixel a line, 0..1.
func keptOf(s *Scene) any {
	var names []string
	var pieces [][]float64
	for i := range s.Pieces {
		p := &s.Pieces[i]
		names = append(names, p.PrintName+" "+p.Shape)
		row := []float64{
			p.WidthIn, p.HeightIn, float64(bool01(p.Measurable)), float64(bool01(p.Truncated)), float64(bool01(p.Occluded)),
			float64(p.VisiblePx), p.Visible, p.Back, p.Lab.L, p.Lab.A, p.Lab.B,
		}
		row = append(row, p.PhotoMean[:]...)
		for _, q := range p.Corners {
			row = append(row, q.X, q.Y)
		}
		for k, v := range row {
			row[k] = round(v)
		}
		pieces = append(pieces, row)
	}
	return map[string]any{
		"size": []int{s.W, s.H}, "scale": round(s.PxPerInch), "white": []float64{round(s.White[0]), round(s.White[1]), round(s.White[2])},
		"ground": s.Ground, "container": s.Container, "light": s.Light, "board": []int{s.Rows, s.Cols},
		"references": s.References, "settings": s.Settings, "names": names, "pieces": pieces, "photo": thumbnail(s.Image),
	}
}

func round(v float64) float64 { return math.Round(1000*v) / 1000 }

func thumbnail(m *image.RGBA) [][]float64 {
	small := imaging.Resize(m, 24, 0, imaging.Box)
	out := make([][]float64, small.Rect.Dy())
	for i, v := range small.Pix {
		if y := i / small.Stride; i%4 < 3 {
			out[y] = append(out[y], round(float64(v)/255))
		}
	}
	return out
}
