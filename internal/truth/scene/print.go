package scene

import (
	"math/rand/v2"

	"piecebag/internal/colour"
)

// fabric is a print: what colour it shows where.
type fabric struct {
	name string // e.g. "stripes"
	id   string // see Piece.Cloth
	inks []colour.Linear
	// ink is the index into inks at (x, y) inches on the cloth; nil for the first.
	ink func(x, y float64) int
	// blend, where set, is the very colour at (x, y); ink then names the
	// nearest of inks.
	blend func(x, y float64) colour.Linear
	// thread is how far single threads stray from the dye, relative.
	thread float64
	// same says that the back of the cloth looks like its front.
	same bool
	seed uint32
}

func newFabric(r *rand.Rand, name string) *fabric {
	return &fabric{name: name, thread: 0.05, seed: r.Uint32()}
}

// colourAt returns the albedo at (x, y) inches on the cloth and the index of the
// ink it counts for.
func (f *fabric) colourAt(x, y float64) (colour.Linear, int) {
	k := 0
	if f.ink != nil {
		k = f.ink(x, y)
	}
	c := f.inks[k]
	if f.blend != nil {
		c = f.blend(x, y)
	}
	// Warp and weft: about 36 visible ridges an inch each way.
	const ridges = 36
	t := unit(hash(int32(x*ridges+4096), 0, f.seed)) + unit(hash(0, int32(y*ridges+4096), f.seed+1)) - 1
	return scaled(c, 1+f.thread*t), k
}

// back returns the albedo of the wrong side: dye that came through.
func (f *fabric) back(c colour.Linear) colour.Linear {
	if f.same {
		return c
	}
	return blend(c, colour.Linear{0.70, 0.69, 0.66}, 0.62)
}

// mean returns the mean albedo over a square foot.
func (f *fabric) mean() colour.Linear {
	var m colour.Linear
	const n = 48
	for i := range n * n {
		c, _ := f.colourAt(float64(i%n)*0.2513, float64(i/n)*0.2477)
		for k := range m {
			m[k] += c[k] / (n * n)
		}
	}
	return m
}

// designs are the fabrics that are drawn, and how often.
var designs = []struct {
	name   string
	weight int
	draw   func(r *rand.Rand, f *fabric)
}{
	{"solid", 18, solid},
	{"tone-on-tone", 11, func(r *rand.Rand, f *fabric) {
		c := dyeBetween(r, 20, 85)
		f.mark(r, c, tint(c, pick(r, -8.0, -6, 6, 9), 0.95))
	}},
	{"near-ground", 4, func(r *rand.Rand, f *fabric) { // easily lost on a usual ground
		c := pick(r, lch(60, 28, 70), lch(51, 2, 240), lch(38, 20, 165), lch(90, 9, 90), lch(94, 1, 95))
		f.mark(r, c, tint(c, pick(r, -4.0, -3, 5), 1))
	}},
	{"low-volume", 11, func(r *rand.Rand, f *fabric) { // prints little on near-white
		f.mark(r, pick(r, lch(93.5, 1, 95), lch(92, 3, 85), lch(91, 7, 90)),
			pick(r, lch(80, 4, 250), lch(60, 2, 260), lch(83, 16, 5), lch(84, 12, 250), lch(86, 8, 85), lch(84, 14, 150)))
	}},
	{"small-marks", 9, func(r *rand.Rand, f *fabric) {
		c := someDye(r)
		f.mark(r, c, dyeApart(r, c, 30))
	}},
	{"stripes", 9, stripes},
	{"waves", 6, waves},
	{"plaid", 11, plaid},
	{"check", 4, check},
	{"hexagons", 5, hexagons},
	{"large-dots", 7, motifs(35, 0.24, 0.5, 1.5, dot)},
	{"floral", 13, motifs(35, 0.34, 0.4, 2.5, flower)},
	{"stars", 4, motifs(40, 0.36, 0.35, 0.9, star)},
	{"novelty", 8, motifs(30, 0.25, 0.9, 1.7, star, heart, fruit, house, fish)},
	{"batik", 11, batik},
}

// drawFabric makes a fabric by its seed.
func drawFabric(r *rand.Rand) *fabric {
	total := 0
	for _, d := range designs {
		total += d.weight
	}
	k := r.IntN(total)
	for _, d := range designs {
		if k -= d.weight; k < 0 {
			f := newFabric(r, d.name)
			d.draw(r, f)
			return f
		}
	}
	panic("unreachable: weights sum to total")
}

// paleFabric returns white, cream or light grey cloth, plain or with a whisper of a
// print.
func paleFabric(r *rand.Rand) *fabric {
	f := newFabric(r, "pale")
	f.thread, f.same = mix(0.02, 0.08, r.Float64()), true
	c := lch(pick(r, mix(88, 96, r.Float64()), mix(88, 96, r.Float64()), mix(60, 88, r.Float64())), mix(0, 5, r.Float64()), pick(r, 80, 95, 250.0))
	switch r.IntN(3) {
	case 0:
		f.mark(r, c, tint(c, -mix(1.5, 7, r.Float64()), 1))
	case 1:
		f.mark(r, c, someDye(r))
	default:
		f.inks = []colour.Linear{c}
	}
	return f
}

// drawFabrics makes n fabrics that a careful eye can tell apart: two of one
// design differ by at least apart in the CIELAB distance of their means.
func drawFabrics(r *rand.Rand, n int) []*fabric {
	const apart = 12
	var out []*fabric
	var means []colour.Lab
next:
	for len(out) < n {
		f := drawFabric(r)
		m := f.mean().Lab()
		for i, g := range out {
			if g.name == f.name && colour.DeltaE76(means[i], m) < apart {
				continue next
			}
		}
		out, means = append(out, f), append(means, m)
	}
	return out
}
