package palette

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// patch is the upright box of working pixels round one piece. Pixel (x, y) of
// the box is pixel (x+x0, y+y0) of the picture.
type patch struct {
	x0, y0, w, h int
	long         float64 // the longer side of the picture, pixels
	// depth is the distance of each pixel from the outside of the piece in
	// steps of a king's move: 0 outside, 1 on the rim; len w*h.
	depth []uint8
	area  int // pixels with depth above 0
	// lms is albedo as cone responses (OKLab's first matrix), lab the same in
	// OKLab; len 3*w*h, set where depth is above 0.
	lms, lab []float32
}

// draw makes a the patch of polygon, with one pixel to spare on every side.
func (a *patch) draw(p *cloth.Picture, polygon geom.Polygon) {
	a.w, a.h, a.area, a.long = 0, 0, 0, float64(max(p.W, p.H))
	a.depth = a.depth[:0]
	if len(polygon) < 3 {
		return
	}
	lo, hi := polygon.Bounds()
	x0, y0 := max(0, int(math.Floor(lo.X))), max(0, int(math.Floor(lo.Y)))
	x1, y1 := min(p.W, int(math.Ceil(hi.X))), min(p.H, int(math.Ceil(hi.Y)))
	if x0 >= x1 || y0 >= y1 {
		return
	}
	a.x0, a.y0, a.w, a.h = x0-1, y0-1, x1-x0+2, y1-y0+2
	a.depth = resize(a.depth, a.w*a.h)
	clear(a.depth)
	polygon.Fill(p.W, p.H, func(y, from, to int) {
		row := a.depth[(y-a.y0)*a.w:]
		for x := from - a.x0; x < to-a.x0; x++ {
			row[x] = 255
		}
	})
	a.measureDepth()
}

// resize returns s with length n; what it holds is left over.
func resize[T any](s []T, n int) []T {
	return slices.Grow(s[:0], n)[:n]
}

// measureDepth turns the marks in depth into distances, capped at 254, by two
// passes of the chessboard distance (Rosenfeld & Pfaltz 1966).
func (a *patch) measureDepth() {
	d, w := a.depth, a.w
	for y := 1; y < a.h-1; y++ {
		for i := y*w + 1; i < y*w+w-1; i++ {
			if d[i] != 0 {
				a.area++
				d[i] = min(253, d[i-1], d[i-w-1], d[i-w], d[i-w+1]) + 1
			}
		}
	}
	for y := a.h - 2; y > 0; y-- {
		for i := y*w + w - 2; i > y*w; i-- {
			if d[i] != 0 {
				d[i] = min(d[i], min(253, d[i+1], d[i+w-1], d[i+w], d[i+w+1])+1)
			}
		}
	}
}

// rim returns how many pixels to leave out along the outline: outlines are good to
// a pixel or two, and there the lens mixes cloth with ground. A piece that
// would lose more than half of its pixels keeps more of its rim.
func (a *patch) rim() uint8 {
	var count [4]int
	for _, d := range a.depth {
		if d > 0 {
			count[min(int(d), 4)-1]++
		}
	}
	kept := a.area
	for r := range uint8(3) {
		kept -= count[r]
		if 2*kept < a.area {
			return r
		}
	}
	return 3
}

// cones and opponents are OKLab's matrices.
var cones, opponents = float32s(colour.Cones), float32s(colour.Opponents)

func float32s(m colour.Matrix) (o [9]float32) {
	for i, v := range m {
		o[i] = float32(v)
	}
	return o
}

// load fills lms and lab from the picture.
func (a *patch) load(p *cloth.Picture) {
	a.lms = resize(a.lms, 3*a.w*a.h)
	a.lab = resize(a.lab, 3*a.w*a.h)
	m := &cones
	for y := range a.h {
		for x := range a.w {
			i := y*a.w + x
			if a.depth[i] == 0 {
				continue
			}
			src := (*[3]float32)(p.Pix[3*((y+a.y0)*p.W+x+a.x0):])
			r, g, b := src[0], src[1], src[2]
			l := m[0]*r + m[1]*g + m[2]*b
			u := m[3]*r + m[4]*g + m[5]*b
			s := m[6]*r + m[7]*g + m[8]*b
			*(*[3]float32)(a.lms[3*i:]) = [3]float32{l, u, s}
			oklab((*[3]float32)(a.lab[3*i:]), l, u, s)
		}
	}
}

// oklab writes the OKLab of cone responses; responses below 0, which only noise
// brings, count as 0.
func oklab(dst *[3]float32, l, m, s float32) {
	l, m, s = cubeRoot(l), cubeRoot(m), cubeRoot(s)
	o := &opponents
	dst[0] = o[0]*l + o[1]*m + o[2]*s
	dst[1] = o[3]*l + o[4]*m + o[5]*s
	dst[2] = o[6]*l + o[7]*m + o[8]*s
}

// cubeRoot returns ∛x to 3e-5 of itself, 0 for x below 0: a first guess by dividing
// the exponent by 3 (Kahan 1991), then one step of Halley's method.
func cubeRoot(x float32) float32 {
	if x <= 0 {
		return 0
	}
	t := math.Float32frombits(math.Float32bits(x)/3 + 709921077)
	c := t * t * t
	return t * (c + 2*x) / (2*c + x)
}
