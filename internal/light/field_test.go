package light

import (
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/raster"
	"testing"

	"github.com/stretchr/testify/require"
)

// White is what white cloth at (x, y), in working pixels, would record, tone
// curve undone.
func (f *Field) White(x, y float64) colour.Linear {
	i, u := raster.Between(x/fieldStep, f.cols)
	j, v := raster.Between(y/fieldStep, f.rows)
	a, b := f.white[j*f.cols+i:], f.white[(j+1)*f.cols+i:]
	var c colour.Linear
	for k := range c {
		c[k] = (1-v)*((1-u)*a[0][k]+u*a[1][k]) + v*((1-u)*b[0][k]+u*b[1][k])
	}
	return c
}

// Albedo is the cloth's own colour under D65 where the picture holds c at
// (x, y), in working pixels.
func (f *Field) Albedo(c colour.Linear, x, y float64) colour.Linear {
	return colour.Linear(adaptation(f.White(x, y)).Apply(f.Tone.Undo(c)))
}

// A picture of any size, evenly grey in a light that grows across it, comes out grey all
// over.
func TestALightIsTakenOffUpToTheEdges(t *testing.T) {
	white := func(x, y float64) colour.Linear {
		c := 0.4 + 0.004*x + 0.003*y
		return colour.Linear{c, c, c}
	}
	for _, size := range [][2]int{{1, 1}, {15, 16}, {16, 17}, {17, 33}, {33, 32}, {48, 49}, {49, 1}} {
		w, h := size[0], size[1]
		p := &cloth.Picture{W: w, H: h, Pix: make([]float32, 3*w*h)}
		for i := range w * h {
			c := white(float64(i%w)+0.5, float64(i/w)+0.5)
			for k := range 3 {
				p.Pix[3*i+k] = float32(0.5 * c[k])
			}
		}
		for i, v := range newField(w, h, NoTone, white).Correct(p).Pix {
			require.InDelta(t, 0.5, v, 0.005, "%d × %d, at %d", w, h, i/3)
		}
	}
}
