package find

import (
	"image"
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/eye"
	"piecebag/internal/raster"
)

// half is what a probability of ½ more or less than ½ is in a field.
const half = 1024

// unit is a probability of 1 in a field.
const unit = 2 * half

// field is what the eye saw, cell by cell, row-major: probabilities as
// p·unit − half, so that 0 is as likely as not. The first look has no pulls, and the
// second no cards.
type field struct {
	w, h        int
	cloth, card []int16
	pulls       []pull
}

// pull is how likely each cell and the one at (dx, dy) from it are cloth of one
// piece. Of far pulls only some cells are read, step apart each way: neighbours say
// the same. They weigh more, in halves, since there are fewer.
type pull struct {
	dx, dy, step int
	weight       int8
	p            []int16
}

// nearWeight is the weight of pulls up to four cells far, and of theirs alone.
const nearWeight = 2

func newPull(dx, dy, cells int) pull {
	k := pull{dx: dx, dy: dy, step: 1, weight: nearWeight, p: make([]int16, cells)}
	switch far := max(dx, -dx, dy); {
	case far > 32:
		k.step, k.weight = 4, 4
	case far > 4:
		k.step, k.weight = 3, 3
	case far > 1:
		k.step = 2
	}
	return k
}

// first returns the first cell of row y that is read; none is where it lies beyond the
// row. Rows are staggered, so that no column is left out.
func (k *pull) first(y int) int {
	if y%k.step != 0 {
		return math.MaxInt
	}
	return (k.step - y/k.step%k.step) % k.step
}

// view is a field with its place in the working picture: the middle of cell
// (x, y) lies at (x0 + (x+½)·sx, y0 + (y+½)·sy).
type view struct {
	field
	x0, y0, sx, sy float64
	rgb            []uint8 // what the eye was shown: 2w × 2h pixels of sRGB
}

const (
	// firstSide and secondSide are the longest side of what the eye is shown, in
	// pixels: first the whole picture, to see where cloth lies, then that place.
	// A second look at 1024 lost 0.006 of F1 at IoU 0.75 on 24 made scenes, most
	// on spreads of small pieces; one at 1536 gained nothing and costs half as much
	// again.
	firstSide, secondSide = 768, 1280
	// mostEnlarged is how many times larger than trained at the second look may
	// show things: training enlarges scenes of trainedSide pixels, on the long
	// side, by up to 1.34 in four of five and by up to 1.8 in the rest.
	mostEnlarged = 1.45
	trainedSide  = 1024
	// mostPixels is how many pixels of what the eye is shown one of the working
	// picture may fill: a larger small picture has no more in it.
	mostPixels = 2
	// margin is what is left round the cloth, as a share of the picture's side.
	margin = 0.05
	// crumb is the least patch of cloth, in cells of the first look, that the
	// second must hold.
	crumb = 30
)

// bytesOf returns the working picture in sRGB.
func bytesOf(p *cloth.Picture) *raster.Bytes {
	const steps = 4096 // finer than a byte's steps everywhere but in the deepest black
	var table [steps + 1]uint8
	for i := range table {
		table[i] = uint8(math.Round(255 * colour.EncodeSRGB(float64(i)/steps)))
	}
	im := &raster.Bytes{W: p.W, H: p.H, Pix: make([]uint8, 3*p.W*p.H)}
	raster.Rows(p.H, func(lo, hi int) {
		to := im.Pix[3*lo*p.W : 3*hi*p.W]
		for i, v := range p.Pix[3*lo*p.W : 3*hi*p.W] {
			to[i] = table[int(max(0, min(1, v))*steps+0.5)]
		}
	})
	return im
}

// sides returns the size that a w × h part of a picture is shown at: its longer side
// about long, both as the eye wants them.
func sides(w, h int, long float64) (int, int) {
	s := long / float64(max(w, h))
	fit := func(v int) int {
		return max(eye.Least, int(math.Round(float64(v)*s/eye.Multiple))*eye.Multiple)
	}
	return fit(w), fit(h)
}

// glance is a way to show a picture to the eye: as it is, or mirrored.
type glance struct{ flipX, flipY bool }

// once and often are the glances of the first and of the second look. On sixteen
// renders F1 at IoU 0.75 was 0.926 by the mean of four and 0.908 by one.
var (
	once  = []glance{{}}
	often = []glance{{}, {true, true}, {true, false}, {false, true}}
)

// show shows a part of a picture to the eye, at w × h pixels; it gives the mean
// of all glances, with these pulls, and what the eye takes the picture for at the
// first.
func show(e *eye.Eye, im *raster.Bytes, part image.Rectangle, w, h int, glances []glance, pulls []eye.Affinity) (*view, []float64) {
	v := &view{field: newField(w/2, h/2, pulls), x0: float64(part.Min.X), y0: float64(part.Min.Y), rgb: im.Resize(part, w, h)}
	v.sx, v.sy = float64(part.Dx())/float64(v.w), float64(part.Dy())/float64(v.h)
	return v, v.see(e, v.rgb, glances)
}

// see adds the mean of all glances at an sRGB picture of 2w × 2h pixels; it gives
// what the eye takes the picture for at the first.
func (f *field) see(e *eye.Eye, rgb []uint8, glances []glance) (kind []float64) {
	each := shareOf(len(glances))
	for k, g := range glances {
		sees := e.Look(g.mirror(rgb, 2*f.w, 2*f.h), 2*f.w, 2*f.h, f.adder(e, g, each))
		if k == 0 {
			kind = sees
		}
	}
	return kind
}

// mirror returns a picture as the glance sees it.
func (g glance) mirror(rgb []uint8, w, h int) []uint8 {
	if g == (glance{}) {
		return rgb
	}
	out := make([]uint8, len(rgb))
	for y := range h {
		from, to := rgb[3*w*g.y(y, h):][:3*w], out[3*w*y:][:3*w]
		for x := range w {
			copy(to[3*x:3*x+3], from[3*g.x(x, w):])
		}
	}
	return out
}

func (g glance) x(x, w int) int {
	if g.flipX {
		return w - 1 - x
	}
	return x
}

func (g glance) y(y, h int) int {
	if g.flipY {
		return h - 1 - y
	}
	return y
}

func newField(w, h int, pulls []eye.Affinity) field {
	f := field{w: w, h: h, cloth: make([]int16, w*h), pulls: make([]pull, len(pulls))}
	if pulls == nil {
		f.card = make([]int16, w*h)
	}
	for k, p := range pulls {
		f.pulls[k] = newPull(p.DX, p.DY, w*h)
	}
	return f
}

// share is the n-th part of the probability of each logit, in steps of a field;
// beyond ±topLogit it is the last one's.
type share [2*topLogit + 1]int16

const topLogit = 1 << 12 // there less than a thousandth of a step is left

func shareOf(n int) *share {
	var s share
	for i := range s {
		s[i] = int16(math.Round((unit*eye.Prob(int16(i-topLogit)) - half) / float64(n)))
	}
	return &s
}

func (s *share) of(logit int16) int16 { return s[max(-topLogit, min(topLogit, int(logit)))+topLogit] }

// adder adds what the eye sees at a glance, row by row, each logit by its share. A
// pull of a mirrored picture is found there as the pull to the mirrored place, or from
// it.
func (f *field) adder(e *eye.Eye, g glance, s *share) func(r *eye.Row) {
	type source struct {
		p    eye.Affinity
		from bool // anchored at the other end
	}
	sources := make([]source, len(f.pulls))
	for k, p := range f.pulls {
		dx, dy := p.dx, p.dy
		if g.flipX {
			dx = -dx
		}
		if g.flipY {
			dy = -dy
		}
		for _, q := range e.Pulls {
			if q.DX == dx && q.DY == dy {
				sources[k] = source{q, false}
			} else if q.DX == -dx && q.DY == -dy {
				sources[k] = source{q, true}
			}
		}
	}
	return func(r *eye.Row) {
		row := g.y(r.Y, f.h)
		for x, at := 0, row*f.w; x < f.w; x, at = x+1, at+1 {
			f.cloth[at] += s.of(r.Cloth(g.x(x, f.w)))
			if f.card != nil {
				f.card[at] += s.of(r.Card(g.x(x, f.w)))
			}
		}
		for k, from := range sources {
			p := &f.pulls[k]
			y, shift := row, 0
			if from.from {
				y, shift = row-p.dy, p.dx
			}
			if y < 0 || y >= f.h {
				continue
			}
			to := p.p[y*f.w:][:f.w]
			for x := p.first(y); x < f.w; x += p.step {
				if u := x + shift; u >= 0 && u < f.w {
					to[x] += s.of(r.Pull(g.x(u, f.w), from.p))
				}
			}
		}
	}
}

// look looks twice: at the whole picture, and at where cloth lies. It gives both
// views, the second nil where there is no cloth, and what the eye takes the
// photo for.
func look(e *eye.Eye, p *cloth.Picture) (whole, near *view, kind []float64) {
	im := bytesOf(p)
	w, h := sides(p.W, p.H, min(firstSide, mostPixels*float64(max(p.W, p.H))))
	whole, kind = show(e, im, image.Rect(0, 0, p.W, p.H), w, h, once, nil)
	part := whole.clothBox(p.W, p.H)
	if part.Empty() {
		return whole, nil, kind
	}
	long := float64(max(part.Dx(), part.Dy()))
	w, h = sides(part.Dx(), part.Dy(), min(secondSide, mostPixels*long, long*mostEnlarged*trainedSide/float64(max(p.W, p.H))))
	near, _ = show(e, im, part, w, h, often, e.Pulls)
	return whole, near, kind
}

// likely reports of each cell whether a probability of a field is above ½.
func likely(p []int16) []bool {
	mask := make([]bool, len(p))
	for i, v := range p {
		mask[i] = v > 0
	}
	return mask
}

// clothBox returns the box of all cloth, in pixels of the w × h working picture, with
// a margin; empty where there is none.
func (v *view) clothBox(w, h int) image.Rectangle {
	box := image.Rectangle{}
	for _, b := range raster.Components(likely(v.cloth), v.w, v.h, raster.Sides).Parts {
		if b.Area > crumb {
			box = box.Union(b.Box)
		}
	}
	if box.Empty() {
		return box
	}
	m := margin * float64(max(v.w, v.h))
	return image.Rect(
		int((float64(box.Min.X)-m)*v.sx), int((float64(box.Min.Y)-m)*v.sy),
		int(math.Ceil((float64(box.Max.X)+m)*v.sx)), int(math.Ceil((float64(box.Max.Y)+m)*v.sy)),
	).Intersect(image.Rect(0, 0, w, h))
}
