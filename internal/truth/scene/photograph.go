package scene

import (
	"math"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/truth"
)

// photograph renders what was laid out.
func (b *builder) photograph() *Scene {
	c := b.cam
	raster := paint(c, b.faces)
	light := illuminate(c, b.faces, raster, b.light)
	cv, tallies := colourIn(c, b.faces, raster, len(b.pieces))
	b.judge(tallies, cv.mask)
	for i := range b.overlays {
		cv.cover(c, &b.overlays[i])
	}
	sums := make([]colour.Linear, b.h)
	rows(b.h, func(y int) {
		for x := range b.w {
			i := y*b.w + x
			r, g, bl := light.at(x, y, cv.top[i])
			for k, v := range [3]float32{r, g, bl} {
				cv.albedo[3*i+k] *= v
				if !known(float64(cv.albedo[3*i+k])) { // nor must one pixel spoil what the camera meters
					cv.albedo[3*i+k] = 0
				}
				sums[y][k] += float64(cv.albedo[3*i+k])
			}
		}
	})
	var mean colour.Linear
	for _, s := range sums {
		for k := range mean {
			mean[k] += s[k] / float64(b.w*b.h)
		}
	}
	white := b.light.open(vec{})
	e := expose(b.r, b.settings, mean, white)
	table := lying(0, 0, b.plane, 0).placed(c)
	e.focus = table.focus(c, 0.7)
	jpg, img, err := develop(cv.albedo, b.w, b.h, e)
	if err != nil {
		panic(err) // encoding to memory and back cannot fail
	}
	for k := range white {
		white[k] *= e.gain[k]
	}
	s := &Scene{
		Case:  truth.Case{W: b.w, H: b.h, Mask: cv.mask, Pieces: b.pieces, HasReference: len(b.refs) > 0},
		Image: img, JPEG: jpg, Paper: cv.paper, References: b.refs, Ground: b.ground, Container: b.container,
		Light: b.light.kind, White: white, Rows: b.rows, Cols: b.cols, Settings: b.settings,
	}
	s.whiteAt = func(p geom.Point) colour.SRGB {
		u, v := table.at(c.undistort(p))
		l := e.take(b.light.open(vec{u, v, b.plane}), e.falloff(p.X, p.Y, b.w, b.h))
		var out colour.SRGB
		for k := range out {
			out[k] = e.curve(colour.EncodeSRGB(l[k]))
		}
		return out
	}
	o := c.distort(c.project(vec{0, 0, b.plane}))
	x := c.distort(c.project(vec{1, 0, b.plane})).Sub(o)
	y := c.distort(c.project(vec{0, 1, b.plane})).Sub(o)
	s.PxPerInch = math.Sqrt(math.Abs(x.Cross(y)))
	s.meanCodes()
	return s
}

// meanCodes averages the photo over each piece.
func (s *Scene) meanCodes() {
	n := make([]float64, len(s.Pieces)+1)
	sum := make([][3]float64, len(s.Pieces)+1)
	for i, id := range s.Mask {
		n[id]++
		for k := range 3 {
			sum[id][k] += float64(s.Image.Pix[4*i+k])
		}
	}
	for i := range s.Pieces {
		if m := n[i+1]; m > 0 {
			for k := range 3 {
				s.Pieces[i].PhotoMean[k] = sum[i+1][k] / m
			}
		}
	}
}
