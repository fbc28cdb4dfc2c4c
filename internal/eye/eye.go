// Package eye is a small convolutional net that reads cloth in a picture: for
// every cell of 2 × 2 pixels how likely it is cloth, how likely a white card or
// sheet, and how likely it belongs to one piece with cells at several distances;
// and for the whole picture which kind of photo it is.
//
// The net is an encoder and decoder with skips (after U-Net: Ronneberger,
// Fischer & Brox 2015) with residual blocks (He et al. 2016) and nearest-neighbour
// upsampling. It runs in integers (int8 weights, int16 activations, int32 sums),
// so that a picture gives the same answers on every processor. How it was
// trained, and how its weights were made, stands in train/README.md and in the
// header of eye.weights.
package eye

import (
	"math"
	"slices"

	"piecebag/internal/raster"
)

// Multiple is what both sides of a picture for Look are multiples of; Least is
// the shortest side.
const (
	Multiple = 32
	Least    = 64
)

// Row is what the eye sees in row Y of cells, each of 2 × 2 pixels. Logits are int16
// in steps of 1/256; Prob turns one into a probability.
type Row struct {
	Y      int
	eye    *Eye
	logits []int16
	heads  int // of each cell
}

// Cloth returns the logit that cell x is cloth.
func (r *Row) Cloth(x int) int16 { return r.logits[x*r.heads+r.eye.cloth] }

// Card returns the logit that cell x is a white card or sheet; the lowest number where
// the weights have no such head.
func (r *Row) Card(x int) int16 {
	if r.eye.card < 0 {
		return math.MinInt16
	}
	return r.logits[x*r.heads+r.eye.card]
}

// Pull returns the logit of an affinity between cell x and the one at (p.DX, p.DY) from it.
func (r *Row) Pull(x int, p Affinity) int16 { return r.logits[x*r.heads+p.head] }

// Prob returns the probability of a logit.
func Prob(logit int16) float64 { return 1 / (1 + math.Exp(-float64(logit)*logitScale)) }

// workspace holds the tensors of a look, to be used again.
type workspace struct{ free []*tensor }

// take returns a tensor of this size: the smallest free one that has the room.
func (s *workspace) take(h, w, c int) *tensor {
	best, n := -1, room(h, w, c)
	for i, t := range s.free {
		if cap(t.d) >= n && (best < 0 || cap(t.d) < cap(s.free[best].d)) {
			best = i
		}
	}
	if best < 0 {
		return new(tensor).shape(h, w, c)
	}
	t := s.free[best]
	s.free = slices.Delete(s.free, best, best+1)
	return t.shape(h, w, c)
}

func (s *workspace) give(t *tensor) { s.free = append(s.free, t) }

// Look runs the net over an sRGB picture: row-major, 3 bytes a pixel, both sides
// multiples of Multiple and at least Least. It gives each row of answers to see, in
// any order and several at once, and returns the probability of each of
// Header.Kinds.
func (e *Eye) Look(rgb []byte, w, h int, see func(*Row)) (kind []float64) {
	ws, _ := e.spare.Get().(*workspace)
	if ws == nil {
		ws = &workspace{}
	}
	defer e.spare.Put(ws)
	layer := 0
	step := func(in *tensor, relu bool) *tensor {
		c := e.convs[layer]
		layer++
		out := ws.take(in.h/c.stride, in.w/c.stride, c.out)
		c.run(out, in, nil, relu)
		return out
	}
	// next gives up what it reads.
	next := func(in *tensor, relu bool) *tensor {
		defer ws.give(in)
		return step(in, relu)
	}
	t := next(next(unshuffle(ws.take(h/2, w/2, inputs), rgb), true), true)
	skips := []*tensor{t}
	for _, n := range blocks {
		t = step(t, true)
		for range n {
			a := step(t, true)
			e.convs[layer].run(t, a, t, true)
			layer++
			ws.give(a)
		}
		skips = append(skips, t)
	}
	kind = e.context(t)
	for i := len(skips) - 2; ; i-- {
		up := next(t, false)
		addUp(skips[i], up)
		ws.give(up)
		if t = skips[i]; i == 0 {
			break
		}
		t = next(t, true)
	}
	e.answer(t, see)
	ws.give(t)
	return kind
}

// band is how many rows the last layers, whose pictures are the largest, run over at
// a time: what passes between them stays in a processor's cache.
const band = 16

// answer runs the last two layers.
func (e *Eye) answer(in *tensor, see func(*Row)) {
	n := len(e.convs)
	decode, out := e.convs[n-2], e.convs[n-1]
	raster.Rows(in.h, func(lo, hi int) {
		a, b := new(tensor).shape(band, in.w, decode.out), new(tensor).shape(band, in.w, out.out)
		for ; lo < hi; lo += band {
			end := min(lo+band, hi)
			a.top, b.top = lo, lo
			decode.rows(a, in, nil, true, lo, end)
			out.rows(b, a, nil, false, lo, end)
			for y := lo; y < end; y++ {
				see(&Row{y, e, b.d[b.at(0, y):][:b.w*b.c], b.c})
			}
		}
	})
}

// unshuffle lays 2 × 2 pixels of a picture into the channels of one, R, G, B
// after each other, as 4 v - 459: a byte v stands for 3 (v / 255 - 0.45).
func unshuffle(x *tensor, rgb []byte) *tensor {
	w := 2 * x.w
	raster.Rows(x.h, func(lo, hi int) {
		for y := lo; y < hi; y++ {
			up, down := rgb[6*y*w:][:3*w], rgb[3*(2*y+1)*w:][:3*w]
			d := x.d[x.at(0, y):]
			for i := range x.w {
				u, v, q := up[6*i:][:6], down[6*i:][:6], d[inputs*i:][:inputs]
				for c := range 3 {
					q[4*c], q[4*c+1] = 4*int16(u[c])-459, 4*int16(u[c+3])-459
					q[4*c+2], q[4*c+3] = 4*int16(v[c])-459, 4*int16(v[c+3])-459
				}
			}
		}
	})
	return x
}

// addUp adds b at twice its size to a and cuts off below 0.
func addUp(a, b *tensor) {
	raster.Rows(a.h, func(lo, hi int) {
		c := a.c
		for y := lo; y < hi; y++ {
			for x := 0; x < a.w; x += 2 {
				q := b.d[b.at(x/2, y/2):][:c]
				p, r := a.d[a.at(x, y):][:c], a.d[a.at(x, y)+c:][:c]
				for k, v := range q {
					p[k] = max(0, min(actTop, p[k]+v))
					r[k] = max(0, min(actTop, r[k]+v))
				}
			}
		}
	})
}

// context takes the mean of the deepest level, adds to it what the whole picture
// says, and tells the kind of photo. Sums run in order, each product rounded.
func (e *Eye) context(t *tensor) []float64 {
	mean := make([]float64, t.c)
	for y := range t.h {
		for x := range t.w {
			for i, v := range t.d[t.at(x, y):][:t.c] {
				mean[i] += float64(v)
			}
		}
	}
	for k := range mean {
		mean[k] = mean[k] / float64(t.w*t.h) * e.level
	}
	add := make([]int, t.c)
	for i, v := range e.ctx.of(mean) {
		add[i] = int(max(-actTop, min(actTop, math.RoundToEven(v/e.level))))
	}
	for y := range t.h {
		for x := range t.w {
			p := t.d[t.at(x, y):][:t.c]
			for i, v := range p {
				p[i] = int16(max(0, min(actTop, int(v)+add[i])))
			}
		}
	}
	kind := e.kind.of(mean)
	top, sum := math.Inf(-1), 0.0
	for _, v := range kind {
		top = max(top, v)
	}
	for i, v := range kind {
		kind[i] = math.Exp(v - top)
		sum += kind[i]
	}
	for i := range kind {
		kind[i] /= sum
	}
	return kind
}

func (d dense) of(in []float64) []float64 {
	out := make([]float64, len(d.b))
	for o := range out {
		v := float64(d.b[o])
		for i, x := range in {
			v += float64(float64(d.w[o*len(in)+i]) * x)
		}
		out[o] = v
	}
	return out
}
