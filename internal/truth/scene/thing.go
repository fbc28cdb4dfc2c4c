package scene

import (
	"math"

	"piecebag/internal/card"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// sizes of things used as references, inches: ISO/IEC 7810 ID-1, ANSI letter,
// ISO 216 A4, and the 5 × 3 in index card.
var references = []Reference{
	{Kind: "card", WidthIn: 85.60 / 25.4, HeightIn: 53.98 / 25.4, Albedo: colour.Linear{0.80, 0.80, 0.778}},
	{Kind: "letter", WidthIn: 8.5, HeightIn: 11, Albedo: colour.Linear{0.87, 0.87, 0.8636}},
	{Kind: "a4", WidthIn: 210 / 25.4, HeightIn: 297 / 25.4, Albedo: colour.Linear{0.84, 0.84, 0.83}},
	{Kind: "index", WidthIn: 5, HeightIn: 3, Albedo: colour.Linear{0.82, 0.81, 0.77}},
}

// reference lays a thing of known size with the given chance, clear of taken.
func (b *builder) reference(taken *[]rect, chance float64) {
	r := b.r
	switch b.options.Reference {
	case Printed:
		b.printedCard(taken)
		return
	case Always, Withheld:
		b.surely(taken)
		return
	}
	if r.Float64() > chance {
		return
	}
	ref := pick(r, references[0], references[0], references[1], references[2], references[3])
	angle := func() float64 { return 0.3*r.NormFloat64() + pick(r, 0, math.Pi/2) }
	q, ok := b.find(ref.WidthIn, ref.HeightIn, angle, 0.3, *taken)
	if !ok {
		return
	}
	*taken = append(*taken, q)
	b.laySheet(ref, q, 0.03)
}

// printedCard5x7 stands for the printed card among the references.
var printedCard5x7 = Reference{Kind: "printed card", WidthIn: card.Width, HeightIn: card.Height}

// surely lays a reference clear of taken, a smaller one where there is less
// room, and on the cloth where there is none.
func (b *builder) surely(taken *[]rect) {
	r := b.r
	angle := func() float64 { return 0.3*r.NormFloat64() + pick(r, 0, math.Pi/2) }
	for _, ref := range [3]Reference{b.someReference(), pick(r, references[3], printedCard5x7), references[0]} {
		if q, ok := b.find(ref.WidthIn, ref.HeightIn, angle, 0.2, *taken); ok {
			*taken = append(*taken, q)
			b.layThere(ref, q, 0.03)
			return
		}
	}
	ref := pick(r, references[0], references[3], printedCard5x7)
	if q, ok := b.find(ref.WidthIn, ref.HeightIn, angle, math.Inf(-1), nil); ok {
		b.layThere(ref, q, b.drape.height(q.x, q.y)+0.03)
	}
}

func (b *builder) someReference() Reference {
	if b.r.IntN(3) == 0 {
		return printedCard5x7
	}
	return references[b.r.IntN(len(references))]
}

// onTop lays a reference on what stands in a container of half sides hp and hq
// at the mouth, turned by turn.
func (b *builder) onTop(hp, hq, turn float64) {
	if b.options.Reference != Always && b.options.Reference != Withheld {
		return
	}
	r := b.r
	for range 40 {
		ref := pick(r, references[0], references[3], printedCard5x7)
		p := vec{1.4 * (r.Float64() - 0.5) * hp, 1.4 * (r.Float64() - 0.5) * hq, 0}.turn(turn)
		q := rect{x: p.x, y: p.y, w: ref.WidthIn, h: ref.HeightIn, angle: turn + pick(r, 0, math.Pi/2) + 0.2*r.NormFloat64()}
		if z := containerDeep + 0.1; b.inside(q, z, 14) {
			b.layThere(ref, q, z)
			return
		}
	}
}

func (b *builder) layThere(ref Reference, q rect, z float64) {
	if ref.Kind == printedCard5x7.Kind {
		b.layCard(q, z)
		return
	}
	b.laySheet(ref, q, z)
}

// laySheet puts a card or sheet at q, z inches over the ground.
func (b *builder) laySheet(ref Reference, q rect, z float64) {
	f := lying(q.x, q.y, z, q.angle)
	radius := 0.0
	if ref.Kind == "card" {
		radius = 3.18 / 25.4 // ISO/IEC 7810 corner
	}
	w, h := ref.WidthIn/2, ref.HeightIn/2
	f.outline = rounded(w, h, radius)
	f.coarse = ref.Kind != "index"
	f.colour = func(u, v float64) (colour.Linear, int) {
		if ref.Kind == "index" && v > -0.55*h && wrap(v, 0.25) < 0.012 {
			return blend(ref.Albedo, colour.Linear{0.3, 0.5, 0.7}, 0.6), 0
		}
		return ref.Albedo, 0
	}
	if ref.Kind != "card" {
		seed := b.r.Uint32()
		f.relief = func(u, v float64) float64 { return 0.05 + 0.05*noise(0.25*u, 0.25*v, seed) }
	}
	b.addReference(f, ref)
}

// rounded is a 2w × 2h rectangle with round corners.
func rounded(w, h, radius float64) geom.Polygon {
	if radius == 0 {
		return geom.Polygon{{X: -w, Y: -h}, {X: w, Y: -h}, {X: w, Y: h}, {X: -w, Y: h}}
	}
	var out geom.Polygon
	for k, c := range [4]geom.Point{{X: w - radius, Y: h - radius}, {X: radius - w, Y: h - radius}, {X: radius - w, Y: radius - h}, {X: w - radius, Y: radius - h}} {
		for i := range 7 {
			s, co := math.Sincos(math.Pi / 2 * (float64(k) + float64(i)/6))
			out = append(out, c.Add(geom.Point{X: radius * co, Y: radius * s}))
		}
	}
	return out
}

func disc(radius float64) geom.Polygon {
	out := make(geom.Polygon, 36)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 36)
		out[i] = geom.Point{X: radius * c, Y: radius * s}
	}
	return out
}

// clutter strews n things that are not cloth; some lie on the cloth.
func (b *builder) clutter(taken *[]rect, n int) {
	for range n {
		if b.options.Varied && b.r.IntN(4) > 0 {
			b.layTool(taken)
			continue
		}
		b.oneThing(taken)
	}
}

func (b *builder) oneThing(taken *[]rect) {
	r := b.r
	what := r.IntN(4)
	size := [4]struct{ w, h float64 }{{0.6, 0.6}, {1.6, 0.14}, {6.5, 0.3}, {0.9, 1.5}}[what]
	apart := 0.15
	if what < 2 && r.IntN(2) == 0 {
		apart = -1e3 // small things may lie on cloth
	}
	q, ok := b.find(size.w, size.h, func() float64 { return 2 * math.Pi * r.Float64() }, apart, *taken)
	if !ok {
		return
	}
	*taken = append(*taken, q)
	c := someDye(r)
	z := b.drape.height(q.x, q.y)
	f := lying(q.x, q.y, z, q.angle)
	plain := func(u, v float64) (colour.Linear, int) { return c, 0 }
	switch what {
	case 0: // button
		radius := mix(0.2, 0.42, r.Float64())
		f.outline = disc(radius)
		f.relief = func(u, v float64) float64 { return 0.1 + 0.05*step(0.6*radius, 0.8*radius, math.Hypot(u, v)) }
		f.colour = func(u, v float64) (colour.Linear, int) {
			if math.Hypot(math.Abs(u)-0.07, math.Abs(v)-0.07) < 0.035 {
				return scaled(c, 0.3), 0
			}
			return c, 0
		}
		b.add(f)
	case 1: // pin
		f.outline = rounded(0.7, 0.012, 0)
		f.relief = func(u, v float64) float64 { return 0.05 }
		f.colour = func(u, v float64) (colour.Linear, int) { return colour.Linear{0.55, 0.55, 0.54}, 0 }
		b.add(f)
		g := lying(q.x, q.y, z, q.angle)
		g.o = g.o.add(g.a.mul(0.72))
		g.outline = disc(0.075)
		g.relief = func(u, v float64) float64 { return 0.15 - 10*(u*u+v*v) }
		g.colour = plain
		b.add(g)
	case 2: // pencil
		f.outline = geom.Polygon{{X: -3.2, Y: -0.14}, {X: 2.6, Y: -0.14}, {X: 3.2, Y: 0}, {X: 2.6, Y: 0.14}, {X: -3.2, Y: 0.14}}
		f.relief = func(u, v float64) float64 { return 0.28 - math.Abs(v) }
		f.colour = func(u, v float64) (colour.Linear, int) {
			switch {
			case u > 3.05:
				return colour.Linear{0.06, 0.06, 0.06}, 0
			case u > 2.6:
				return colour.Linear{0.62, 0.44, 0.27}, 0
			case u < -2.9:
				return colour.Linear{0.6, 0.3, 0.3}, 0
			}
			return c, 0
		}
		b.add(f)
	default: // reel of thread
		f.outline = rounded(0.45, 0.75, 0.05)
		f.relief = func(u, v float64) float64 {
			rim := 0.36
			if math.Abs(v) > 0.62 {
				rim = 0.45
			}
			return 0.2 + math.Sqrt(max(0, rim*rim-u*u))
		}
		f.colour = func(u, v float64) (colour.Linear, int) {
			if math.Abs(v) > 0.62 {
				return colour.Linear{0.7, 0.6, 0.45}, 0
			}
			return scaled(c, 1+0.15*math.Sin(2*math.Pi*v*28)), 0
		}
		b.add(f)
	}
}
