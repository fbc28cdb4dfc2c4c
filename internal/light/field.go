package light

import (
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/raster"
)

// Field is the light over a picture: what a perfectly white, matt piece of
// cloth would record at every working pixel, before the camera's tone curve.
type Field struct {
	W, H int // working pixels
	Tone Curve

	cols, rows int             // nodes, fieldStep pixels apart, the first at (0, 0)
	white      []colour.Linear // at the nodes, len cols*rows
	adapt      [][9]float32    // recorded linear colour to albedo, at the nodes
}

const fieldStep = 16

// newField samples white, a function of a place in working pixels.
func newField(w, h int, tone Curve, white func(x, y float64) colour.Linear) *Field {
	f := &Field{W: w, H: h, Tone: tone, cols: (w+fieldStep-1)/fieldStep + 1, rows: (h+fieldStep-1)/fieldStep + 1}
	f.white = make([]colour.Linear, f.cols*f.rows)
	f.adapt = make([][9]float32, f.cols*f.rows)
	for j := range f.rows {
		for i := range f.cols {
			c := white(float64(i*fieldStep), float64(j*fieldStep))
			f.white[j*f.cols+i] = c
			for k, v := range adaptation(c) {
				f.adapt[j*f.cols+i][k] = float32(v)
			}
		}
	}
	return f
}

// adaptation returns the linear Bradford transform that takes white to {1, 1, 1},
// so that exposure is part of it.
func adaptation(white colour.Linear) colour.Matrix {
	return colour.AdaptLinear(white, colour.Linear{1, 1, 1}, colour.Bradford)
}

// Correct returns p as it would be in even D65 light, exposed so that white is 1:
// the camera's tone curve undone, then each pixel adapted from the local white
// by the linear Bradford transform. Its pixels are albedos, and may lie outside
// 0..1. p stays as it is.
func (f *Field) Correct(p *cloth.Picture) *cloth.Picture {
	out := *p
	out.Pix = make([]float32, len(p.Pix))
	undo := f.Tone.undoer()
	raster.Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			f.correctRow(out.Pix[3*y*p.W:3*(y+1)*p.W], p.Pix[3*y*p.W:3*(y+1)*p.W], y, undo)
		}
	})
	return &out
}

// correctRow interpolates the transform's nine numbers along row y. They are
// linear in the Bradford gains, so this is to interpolate the gains.
func (f *Field) correctRow(dst, src []float32, y int, undo func(r, g, b float32) (float32, float32, float32)) {
	v := (float32(y) + 0.5) / fieldStep
	j := min(int(v), f.rows-2)
	v -= float32(j)
	top, bottom := f.adapt[j*f.cols:(j+1)*f.cols], f.adapt[(j+1)*f.cols:(j+2)*f.cols]
	w := len(src) / 3
	for i := 0; i*fieldStep < w; i++ {
		var m, d [9]float32
		for k := range m {
			l := top[i][k] + v*(bottom[i][k]-top[i][k])
			r := top[i+1][k] + v*(bottom[i+1][k]-top[i+1][k])
			d[k] = (r - l) / fieldStep
			m[k] = l + d[k]/2
		}
		end := min(w, (i+1)*fieldStep)
		for x := i * fieldStep; x < end; x++ {
			s := src[3*x : 3*x+3 : 3*x+3]
			r, g, b := undo(s[0], s[1], s[2])
			o := dst[3*x : 3*x+3 : 3*x+3]
			o[0] = m[0]*r + m[1]*g + m[2]*b
			o[1] = m[3]*r + m[4]*g + m[5]*b
			o[2] = m[6]*r + m[7]*g + m[8]*b
			for k := range m {
				m[k] += d[k]
			}
		}
	}
}
