package scene

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"piecebag/internal/colour"
)

// cloths makes n fabrics, or as many as there are: of a shelf, drawn, real, or some of
// both; for varied scenes sometimes pale ones in their place, or solids alone.
func (b *builder) cloths(n int) []*fabric {
	r, o := b.r, &b.options
	var out []*fabric
	if o.Shelf != 0 {
		out = fromShelf(r, o.Shelf, o.Inks, n)
	} else {
		real := 0
		for range n {
			real += bool01(r.Float64() < o.Real)
		}
		for _, k := range r.Perm(len(o.Swatches))[:min(real, len(o.Swatches))] {
			out = append(out, o.Swatches[k].fabric(r, r.Float64() < o.Dyed))
		}
		if len(out) == 0 || o.Real < 1 {
			out = append(out, drawFabrics(r, n-len(out))...)
		}
	}
	if !o.Varied {
		return out
	}
	share, other := 1.0, func() *fabric {
		f := newFabric(r, "solid")
		solid(r, f)
		return f
	}
	switch r.IntN(8) {
	case 0, 1, 2: // a stash of pale cloth, easily lost on pale grounds
		b.pale = true
		share, other = pick(r, 0.3, 0.6, 0.95), func() *fabric { return paleFabric(r) }
	case 3:
	default:
		return out
	}
	for i := range out {
		if r.Float64() < share {
			out[i] = other()
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
	var out []*fabric
	for _, k := range r.Perm(len(shelf))[:min(n, len(shelf))] {
		out = append(out, shelf[k])
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
	const tries = 12
	inks := inksInTurn(r, n)
	var out []*fabric
	for _, d := range designs {
		for ground := range n {
			for range tries {
				f := newFabric(r, d.name)
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
