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

import "math"

// Multiple is what both sides of a picture for Look are multiples of; Least is
// the shortest side.
const (
	Multiple = 32
	Least    = 64
)

// Maps is what the eye sees, cell by cell: W × H cells of 2 × 2 pixels. Logits
// are int16 in steps of 1/256; Prob turns one into a probability.
type Maps struct {
	W, H int
	Kind []float64 // probability of each of Header.Kinds

	eye *Eye
	t   *tensor
}

// Cloth is the logit that cell (x, y) is cloth.
func (m *Maps) Cloth(x, y int) int16 { return m.t.d[m.t.at(x, y)+m.eye.cloth] }

// Card is the logit that cell (x, y) is a white card or sheet; the lowest
// number where the weights have no such head.
func (m *Maps) Card(x, y int) int16 {
	if m.eye.card < 0 {
		return math.MinInt16
	}
	return m.t.d[m.t.at(x, y)+m.eye.card]
}

// Pull is the logit of an affinity between (x, y) and (x + p.DX, y + p.DY).
func (m *Maps) Pull(x, y int, p Pull) int16 { return m.t.d[m.t.at(x, y)+p.head] }

// Prob is the probability of a logit.
func Prob(logit int16) float64 { return 1 / (1 + math.Exp(-float64(logit)*logitScale)) }

// workspace holds the activations of one look, to be used again. Slots are
// handed out in the order in which the layers run.
type workspace struct {
	slots []*tensor
	used  int
}

func (s *workspace) next() *tensor {
	if s.used == len(s.slots) {
		s.slots = append(s.slots, &tensor{})
	}
	s.used++
	return s.slots[s.used-1]
}

// Look runs the net over an sRGB picture: row-major, 3 bytes a pixel, both sides
// multiples of Multiple and at least Least.
func (e *Eye) Look(rgb []byte, w, h int) *Maps {
	ws, _ := e.spare.Get().(*workspace)
	if ws == nil {
		ws = &workspace{}
	}
	defer e.spare.Put(ws)
	ws.used = 0
	layer := 0
	step := func(in, res *tensor, relu bool) *tensor {
		layer++
		return e.convs[layer-1].run(ws.next(), in, res, relu)
	}
	t := step(step(unshuffle(ws.next(), rgb, w, h), nil, true), nil, true)
	skips := []*tensor{t}
	for _, n := range blocks {
		t = step(t, nil, true)
		for range n {
			t = step(step(t, nil, true), t, true)
		}
		skips = append(skips, t)
	}
	m := &Maps{W: w / 2, H: h / 2, eye: e, t: &tensor{}}
	m.Kind = e.context(t)
	for i := len(skips) - 2; i >= 0; i-- {
		addUp(skips[i], step(t, nil, false))
		t = step(skips[i], nil, true)
	}
	e.convs[layer].run(m.t, t, nil, false)
	return m
}

// unshuffle lays 2 × 2 pixels of a picture into the channels of one, R, G, B
// after each other, as 4 v - 459: a byte v stands for 3 (v / 255 - 0.45).
func unshuffle(x *tensor, rgb []byte, w, h int) *tensor {
	x.shape(h/2, w/2, inputs)
	Rows(x.h, func(lo, hi int) {
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
	Rows(a.h, func(lo, hi int) {
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
		row := t.d[t.at(0, y):][:t.w*t.c]
		for i, v := range row {
			mean[i%t.c] += float64(v)
		}
	}
	for k := range mean {
		mean[k] = mean[k] / float64(t.w*t.h) * e.level
	}
	add := e.ctx.of(mean)
	for y := range t.h {
		row := t.d[t.at(0, y):][:t.w*t.c]
		for i, v := range row {
			row[i] = int16(max(0, min(actTop, math.RoundToEven(float64(v)+math.RoundToEven(add[i%t.c]/e.level)))))
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
