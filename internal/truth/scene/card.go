package scene

import (
	"math"

	"piecebag/internal/card"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// cardPaper is the albedo of the paper that the card is printed on, and ink
// what its black sends back.
var (
	cardPaper = colour.Linear{0.86, 0.86, 0.85}
	ink       = 0.04
)

// printedCard lays the printed reference card clear of taken, if there is room,
// a little wavy, as cut paper lies.
func (b *builder) printedCard(taken *[]rect) {
	r := b.r
	q, ok := b.find(card.Width, card.Height, func() float64 { return 2 * math.Pi * r.Float64() }, 0.3, *taken)
	if !ok {
		return
	}
	*taken = append(*taken, q)
	b.layCard(q, 0.03)
}

// layCard puts the printed card at q, z inches over the ground.
func (b *builder) layCard(q rect, z float64) {
	f := lying(q.x, q.y, z, q.angle)
	const w, h = card.Width / 2, card.Height / 2
	f.outline = rounded(w, h, 0)
	shapes := card.Shapes()
	f.colour = func(u, v float64) (colour.Linear, int) {
		x, y := u+w, v+h
		for _, s := range shapes {
			if x >= s.X && x < s.X+s.W && y >= s.Y && y < s.Y+s.H {
				return scaled(cardPaper, ink+(1-ink)*colour.Lab{L: s.Lightness}.XYZ()[1]), 0
			}
		}
		return cardPaper, 0
	}
	seed := b.r.Uint32()
	f.relief = func(u, v float64) float64 { return 0.03 + 0.03*noise(0.25*u, 0.25*v, seed) }
	b.addReference(f, Reference{Kind: "printed card", WidthIn: card.Width, HeightIn: card.Height, Albedo: cardPaper})
}

// addReference shows a reference on its face, unless it is withheld.
func (b *builder) addReference(f face, ref Reference) {
	if b.options.Reference == Withheld {
		return
	}
	f.paper = true
	b.add(f)
	g := &b.faces[len(b.faces)-1]
	w, h := ref.WidthIn/2, ref.HeightIn/2
	for i, p := range [4]geom.Point{{X: -w, Y: -h}, {X: w, Y: -h}, {X: w, Y: h}, {X: -w, Y: h}} {
		ref.Corners[i] = g.picture(b.cam, p)
	}
	b.refs = append(b.refs, ref)
}
