package scene

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/disintegration/imaging"

	"piecebag/internal/cloth"
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
