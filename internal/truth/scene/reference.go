package scene

import (
	"math"

	"piecebag/internal/card"
	"piecebag/internal/colour"
)

// references are things of known size, inches: ISO/IEC 7810 ID-1, ANSI letter,
// ISO 216 A4, the 5 × 3 in index card, and the printed reference card.
var references = []Reference{
	{Kind: "card", WidthIn: 85.60 / 25.4, HeightIn: 53.98 / 25.4, Albedo: colour.Linear{0.80, 0.80, 0.778}},
	{Kind: "letter", WidthIn: 8.5, HeightIn: 11, Albedo: colour.Linear{0.87, 0.87, 0.8636}},
	{Kind: "a4", WidthIn: 210 / 25.4, HeightIn: 297 / 25.4, Albedo: colour.Linear{0.84, 0.84, 0.83}},
	{Kind: "index", WidthIn: 5, HeightIn: 3, Albedo: colour.Linear{0.82, 0.81, 0.77}},
}

// printed is the printed reference card. Of its paper's albedo the black of its ink
// sends back inkLeft.
var printed = Reference{Kind: "printed card", WidthIn: card.Width, HeightIn: card.Height, Albedo: colour.Linear{0.86, 0.86, 0.85}}

const inkLeft = 0.04

// reference lays a thing of known size with the given chance, clear of taken.
func (b *builder) reference(taken *[]rect, chance float64) {
	r := b.r
	square := func() float64 { return 0.3*r.NormFloat64() + pick(r, 0, math.Pi/2) }
	switch b.options.Reference {
	case Printed:
		b.layClear(printed, func() float64 { return 2 * math.Pi * r.Float64() }, 0.3, taken)
	case Always, Withheld: // a smaller one where there is less room, and on the cloth where there is none
		for _, ref := range [3]Reference{b.someReference(), pick(r, references[3], printed), references[0]} {
			if b.layClear(ref, square, 0.2, taken) {
				return
			}
		}
		ref := pick(r, references[0], references[3], printed)
		if q, ok := b.find(ref.WidthIn, ref.HeightIn, square, math.Inf(-1), nil); ok {
			b.layReference(ref, q, b.drape.height(q.x, q.y)+0.03)
		}
	default:
		if r.Float64() <= chance {
			b.layClear(pick(r, references[0], references[0], references[1], references[2], references[3]), square, 0.3, taken)
		}
	}
}

func (b *builder) someReference() Reference {
	if b.r.IntN(3) == 0 {
		return printed
	}
	return references[b.r.IntN(len(references))]
}

// layClear lays a reference apart inches from all of taken, if there is room.
func (b *builder) layClear(ref Reference, angle func() float64, apart float64, taken *[]rect) bool {
	q, ok := b.find(ref.WidthIn, ref.HeightIn, angle, apart, *taken)
	if ok {
		*taken = append(*taken, q)
		b.layReference(ref, q, 0.03)
	}
	return ok
}

// onTop lays a reference on what stands in a container of half sides hp and hq
// and high inches at the mouth, turned by turn.
func (b *builder) onTop(hp, hq, high, turn float64) {
	if b.options.Reference != Always && b.options.Reference != Withheld {
		return
	}
	r := b.r
	for range 40 {
		ref := pick(r, references[0], references[3], printed)
		p := vec{1.4 * (r.Float64() - 0.5) * hp, 1.4 * (r.Float64() - 0.5) * hq, 0}.turn(turn)
		q := rect{x: p.x, y: p.y, w: ref.WidthIn, h: ref.HeightIn, angle: turn + pick(r, 0, math.Pi/2) + 0.2*r.NormFloat64()}
		if z := high + 0.1; b.inside(q, z, 14) {
			b.layReference(ref, q, z)
			return
		}
	}
}

// layReference puts a card or sheet at q, z inches over the ground, a little wavy, as
// paper lies. One that is withheld is not seen.
func (b *builder) layReference(ref Reference, q rect, z float64) {
	f := lying(q.x, q.y, z, q.angle)
	w, h, radius, wavy := ref.WidthIn/2, ref.HeightIn/2, 0.0, 0.05
	f.paper = true
	f.colour = func(u, v float64) (colour.Linear, int) { return ref.Albedo, 0 }
	switch ref.Kind {
	case "card":
		radius, wavy = 3.18/25.4, 0 // ISO/IEC 7810 corner
	case "index":
		f.colour = func(u, v float64) (colour.Linear, int) {
			if v > -0.55*h && wrap(v, 0.25) < 0.012 {
				return blend(ref.Albedo, colour.Linear{0.3, 0.5, 0.7}, 0.6), 0
			}
			return ref.Albedo, 0
		}
	case printed.Kind:
		wavy = 0.03
		shapes := card.Shapes()
		f.colour = func(u, v float64) (colour.Linear, int) {
			x, y := u+w, v+h
			for _, s := range shapes {
				if x >= s.X && x < s.X+s.W && y >= s.Y && y < s.Y+s.H {
					return scaled(ref.Albedo, inkLeft+(1-inkLeft)*colour.Lab{L: s.Lightness}.XYZ()[1]), 0
				}
			}
			return ref.Albedo, 0
		}
	}
	f.outline = rounded(w, h, radius)
	if wavy > 0 {
		seed := b.r.Uint32()
		f.relief = func(u, v float64) float64 { return wavy + wavy*noise(0.25*u, 0.25*v, seed) }
	}
	if b.options.Reference == Withheld {
		return
	}
	b.add(f)
	for i, p := range rounded(w, h, 0) {
		ref.Corners[i] = b.faces[len(b.faces)-1].picture(b.cam, p)
	}
	b.refs = append(b.refs, ref)
}
