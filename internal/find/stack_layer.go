package find

import (
	"math"
	"slices"
)

// layer is the cloth between two neighbouring fences of a tier.
type layer struct {
	width float32   // mean, columns
	light float32   // mean OKLab L of its ridge
	count []float32 // colours of its ridge, a histogram over swatches
	hues  hues
	along []float32 // mean L, a, b of each grain row, from layerPad of the tier's rows above it to as many below
	// From the layer before it:
	groove float32 // how dark it is between the two
	offset float32 // grain rows their ends lie apart
}

const (
	layerPad   = 5    // a layer's profile goes on by one part in so many of the tier, at both ends
	layerRidge = 0.88 // of its greatest lightness across: less is a slope into a groove
)

// layers measures what lies between each pair of neighbouring fences.
func (t *tier) layers(r *rack, sw *swatches) []layer {
	out := make([]layer, len(t.lines)-1)
	parallel(len(out), func(i0, i1 int) {
		for i := i0; i < i1; i++ {
			t.measure(r, sw, &t.lines[i], &t.lines[i+1], &out[i])
			t.profile(r, &t.lines[i], &t.lines[i+1], &out[i])
		}
	})
	for i := 1; i < len(out); i++ {
		out[i].groove = t.groove(r, i, &out[i-1], &out[i])
		out[i].offset = offset(&out[i-1], &out[i])
	}
	return out
}

// measure fills all of a layer but along, over the middle of the tier.
func (t *tier) measure(r *rack, sw *swatches, left, right *fence, l *layer) {
	const steps = 12 // across
	n := t.rows()
	for y := range n {
		l.width += (right.x[y] - left.x[y]) / float32(n)
	}
	var sum, cnt [steps]float32
	each := func(f func(step, pixel int)) {
		for y := n / 5; y < n-n/5; y++ {
			x0, x1 := left.x[y]+1, right.x[y]-1
			k := steps / (x1 - x0 + 0.01)
			for v := (t.y0 + y) * grainRows; v < (t.y0+y+1)*grainRows; v += 2 {
				for x := max(0, ceil(x0)); float32(x) <= x1 && x < r.W; x++ {
					f(min(steps-1, int(k*(float32(x)-x0))), v*r.W+x)
				}
			}
		}
	}
	each(func(s, k int) { sum[s] += r.L[k]; cnt[s]++ })
	for s := range steps {
		if cnt[s] > 0 {
			l.light = max(l.light, sum[s]/cnt[s])
		}
	}
	l.count = make([]float32, sw.n)
	each(func(s, k int) {
		if sum[s] >= layerRidge*l.light*cnt[s] {
			l.count[sw.bin[k]]++
		}
	})
	l.hues = huesOf(sw.soften(l.count))
}

// profile fills along.
func (t *tier) profile(r *rack, left, right *fence, l *layer) {
	n := t.rows()
	pad := n / layerPad
	l.along = make([]float32, 3*(n+2*pad))
	for y := -pad; y < n+pad; y++ {
		if t.y0+y < 0 || t.y0+y >= r.H/grainRows {
			continue
		}
		x0, x1 := left.at(y), right.at(y)
		w := (x1 - x0) / 5
		o := l.along[3*(y+pad):][:3]
		c := float32(0)
		for v := (t.y0 + y) * grainRows; v < (t.y0+y+1)*grainRows; v++ {
			for x := max(0, ceil(x0+w)); float32(x) <= x1-w && x < r.W; x++ {
				o[0] += r.L[v*r.W+x]
				o[1] += r.A[v*r.W+x]
				o[2] += r.B[v*r.W+x]
				c++
			}
		}
		for k := range o {
			o[k] /= max(c, 1)
		}
	}
}

// groove is how dark it gets between two neighbouring layers, at line i of the
// tier: one less the lightness, by that of the darker ridge, that a tenth of
// the line falls under. Two bundles part here and there along their border and
// let one see into the dark; the folds of one never do.
func (t *tier) groove(r *rack, i int, a, b *layer) float32 {
	const reach = 2 // columns
	n := t.rows()
	var darkest []float32
	for y := n / 5; y < n-n/5; y++ {
		x := int(t.lines[i].x[y]+0.5) - reach
		if x < 0 || x+2*reach >= r.W {
			continue
		}
		for v := (t.y0 + y) * grainRows; v < (t.y0+y+1)*grainRows; v += 2 {
			darkest = append(darkest, slices.Min(r.L[v*r.W+x:v*r.W+x+2*reach+1]))
		}
	}
	if len(darkest) == 0 {
		return 0
	}
	slices.Sort(darkest)
	return 1 - darkest[len(darkest)/10]/max(0.05, min(a.light, b.light))
}

// offset is by how many grain rows the ends of two neighbouring layers lie
// apart, at the top or the bottom, whichever is more.
func offset(a, b *layer) float32 {
	most := float32(0)
	for _, bottom := range [2]bool{false, true} {
		p, q := a.inside(bottom), b.inside(bottom)
		var s float32
		for y := range min(len(p), len(q)) {
			s += abs32(p[y] - q[y])
		}
		most = max(most, s)
	}
	return most
}

// inside is, for the grain rows about one end of the layer from outside inwards,
// how far the colour has come from what lies beyond (0) to cloth (1); it never
// falls, as prints have holes but cloth has none. It is nil where the layer
// does not stand out from what lies beyond.
func (l *layer) inside(bottom bool) []float32 {
	rows := len(l.along) / 3
	pad := rows / (layerPad + 2)
	at := func(y int) []float32 {
		if bottom {
			y = rows - 1 - y
		}
		return l.along[3*y : 3*y+3]
	}
	mean := func(a, b int) (m [3]float32) {
		for y := a; y < b; y++ {
			for k, v := range at(y) {
				m[k] += v / float32(b-a)
			}
		}
		return m
	}
	out, in := mean(0, max(1, pad/2)), mean(2*pad, max(2*pad+1, 3*pad))
	weigh := [3]float32{1, 4, 4}
	var d [3]float32
	var c float32
	for k := range d {
		d[k] = (in[k] - out[k]) * weigh[k]
		c += d[k] * (in[k] - out[k])
	}
	if c < 0.08*0.08 {
		return nil
	}
	t := make([]float32, 2*pad+pad/2)
	for y := range t {
		var s float32
		for j := max(0, y-1); j <= y+1; j++ {
			for k, v := range at(j) {
				s += (v - out[k]) * d[k] / c / 3
			}
		}
		t[y] = clamp32(s, 0, 1)
		if y > 0 {
			t[y] = max(t[y], t[y-1])
		}
	}
	return t
}

func ceil(v float32) int { return int(math.Ceil(float64(v))) }

func clamp32(v, lo, hi float32) float32 { return max(lo, min(hi, v)) }
