package scene

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"piecebag/internal/colour"
)

// fabric is a print: what colour it shows where.
type fabric struct {
	name string // e.g. "stripes"
	id   string // see Piece.Cloth
	inks []colour.Linear
	// ink is the index into inks at (x, y) inches on the cloth.
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

// colourAt is the albedo at (x, y) inches on the cloth and the index of the
// ink it counts for.
func (f *fabric) colourAt(x, y float64) (colour.Linear, int) {
	k := f.ink(x, y)
	c := f.inks[k]
	if f.blend != nil {
		c = f.blend(x, y)
	}
	// Warp and weft: about 36 visible ridges an inch each way.
	const ridges = 36
	t := unit(hash(int32(x*ridges+4096), 0, f.seed)) + unit(hash(0, int32(y*ridges+4096), f.seed+1)) - 1
	s := 1 + f.thread*t
	return colour.Linear{c[0] * s, c[1] * s, c[2] * s}, k
}

// back is the albedo of the wrong side: dye that came through.
func (f *fabric) back(c colour.Linear) colour.Linear {
	if f.same {
		return c
	}
	return blend(c, colour.Linear{0.70, 0.69, 0.66}, 0.62)
}

// mean is the mean albedo over a square foot.
func (f *fabric) mean() colour.Linear {
	var m colour.Linear
	const n = 48
	for j := range n {
		for i := range n {
			c, _ := f.colourAt(float64(i)*0.2513, float64(j)*0.2477)
			for k := range m {
				m[k] += c[k] / (n * n)
			}
		}
	}
	return m
}

// design draws one fabric of a kind.
type design struct {
	name   string
	weight int
	draw   func(r *rand.Rand, f *fabric)
}

var designs = []design{
	{"solid", 14, solid},
	{"chambray", 4, chambray},
	{"tone-on-tone", 10, toneOnTone},
	{"pin-dots", 6, pinDots},
	{"large-dots", 6, largeDots},
	{"stripes", 8, stripes},
	{"gingham", 5, gingham},
	{"check", 3, check},
	{"plaid", 5, plaid},
	{"floral", 12, floral},
	{"chevron", 3, chevron},
	{"hexagons", 3, hexagons},
	{"scallops", 2, scallops},
	{"diamonds", 2, diamonds},
	{"nested-squares", 2, nestedSquares},
	{"waves", 2, waves},
	{"stars", 3, stars},
	{"novelty", 7, novelty},
	{"low-volume", 10, lowVolume},
	{"batik", 10, batik},
	{"near-ground", 4, nearGround},
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
			f := &fabric{name: d.name, thread: 0.05, seed: r.Uint32()}
			d.draw(r, f)
			return f
		}
	}
	panic("unreachable: weights sum to total")
}

// cloths makes n fabrics: drawn designs, real prints, or some of both.
func (b *builder) cloths(n int) []*fabric {
	out := b.someCloths(n)
	if !b.options.Varied {
		return out
	}
	switch b.r.IntN(8) {
	case 0, 1, 2: // a stash of pale cloth, easily lost on pale grounds
		b.pale = true
		share := pick(b.r, 0.3, 0.6, 0.95)
		for i := range out {
			if b.r.Float64() < share {
				out[i] = paleFabric(b.r)
			}
		}
	case 3: // solids only
		for i := range out {
			out[i] = &fabric{name: "solid", thread: mix(0, 0.06, b.r.Float64()), seed: b.r.Uint32()}
			solid(b.r, out[i])
		}
	}
	return out
}

// A shelf holds some more fabrics than a scene shows. The means of its pale ones
// lie at least paleApart from one another in CIELAB, or no eye could tell them.
const (
	shelfDrawn = 90
	shelfPale  = 12
	paleApart  = 3
)

// fromShelf takes n fabrics from a shelf, or all that it holds; where inks is not 0, from
// one of fabrics that differ in pattern alone.
func fromShelf(r *rand.Rand, seed uint64, inks, n int) []*fabric {
	own := rand.New(rand.NewPCG(seed, 0))
	shelf := drawInked(own, inks)
	if inks == 0 {
		shelf = drawShelf(own)
	}
	for i, f := range shelf {
		f.id = fmt.Sprintf("shelf %d, %d", seed, i+1)
	}
	out := make([]*fabric, min(n, len(shelf)))
	for i, k := range r.Perm(len(shelf))[:len(out)] {
		out[i] = shelf[k]
	}
	return out
}

// drawShelf makes the fabrics of a shelf.
func drawShelf(own *rand.Rand) []*fabric {
	shelf := drawFabrics(own, shelfDrawn)
	var means []colour.Lab
	for len(means) < shelfPale {
		f := paleFabric(own)
		m := f.mean().Lab()
		if !slices.ContainsFunc(means, func(other colour.Lab) bool { return colour.DeltaE76(m, other) < paleApart }) {
			shelf, means = append(shelf, f), append(means, m)
		}
	}
	return shelf
}

// drawInked makes fabrics of n inks: each design that has as many inks or fewer, once on
// each of them.
func drawInked(r *rand.Rand, n int) []*fabric {
	const apart, tries = 30, 12
	var inks []colour.Linear
	for i := range n {
		c := someDye(r)
		if i > 0 {
			c = dyeApart(r, inks[i-1], apart)
		}
		inks = append(inks, c)
	}
	var out []*fabric
	for _, d := range designs {
		for ground := range n {
			for range tries {
				f := &fabric{name: d.name, thread: 0.05, seed: r.Uint32()}
				d.draw(r, f)
				if len(f.inks) < 2 || len(f.inks) > n || f.blend != nil {
					continue
				}
				for k := range f.inks {
					f.inks[k] = inks[(ground+k)%n]
				}
				out = append(out, f)
				break
			}
		}
	}
	return out
}

func (b *builder) someCloths(n int) []*fabric {
	if b.options.Shelf != 0 {
		return fromShelf(b.r, b.options.Shelf, b.options.Inks, n)
	}
	if len(b.options.Swatches) == 0 || b.options.Real == 0 {
		return drawFabrics(b.r, n)
	}
	order := b.r.Perm(len(b.options.Swatches))
	real := min(len(order), n)
	if b.options.Real < 1 {
		some := 0
		for range n {
			some += bool01(b.r.Float64() < b.options.Real)
		}
		real = min(real, some)
	}
	var out []*fabric
	for _, k := range order[:real] {
		dyed := b.options.Dyed > 0 && b.r.Float64() < b.options.Dyed
		out = append(out, b.options.Swatches[k].fabric(b.r, dyed))
	}
	if b.options.Real < 1 {
		out = append(out, drawFabrics(b.r, n-real)...)
	}
	return out
}

// drawFabrics makes n fabrics that a careful eye can tell apart: two of one
// design differ by at least apart in the CIELAB distance of their means.
func drawFabrics(r *rand.Rand, n int) []*fabric {
	const apart = 12
	out := make([]*fabric, 0, n)
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
		out = append(out, f)
		means = append(means, m)
	}
	return out
}
