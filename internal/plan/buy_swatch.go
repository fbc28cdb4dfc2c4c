package plan

import (
	"math"
	"slices"
	"sync"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/recipe"
)

// SwatchOf returns the middle of a colour and value: a Munsell renotation to hold
// against cloth in a shop. Any colour of a value has a grey. There is none of one
// fabric yet to be chosen, of a bin of your own, of many colours, of any print at all, nor of a
// colour that does not exist at its value, like a light black.
func SwatchOf(s Sought) (colour.Munsell, bool) {
	if s.One != "" || s.Bin != "" || s.Family == cloth.Many || s.Family == "" && s.Value == "" && s.Tone == "" {
		return colour.Munsell{}, false
	}
	var sought []int // of cloth.Values
	for i, v := range cloth.Values {
		if s.Value == v || s.Value == "" && (recipe.Role{Value: s.Tone}).Suits("", v) {
			sought = append(sought, i)
		}
	}
	if s.Family == "" {
		sum := 0.0
		for _, i := range sought {
			sum += within(i, 0.5)
		}
		return colour.Munsell{Hue: 100, Value: sum / float64(len(sought))}, true
	}
	return middleOf(s.Family, sought)
}

// valueEnds are the lightest and the darkest Munsell value of cotton.
var valueEnds = [2]float64{9.5, 1.5}

// within returns a Munsell value within cloth.Values[i], part of the way down.
func within(i int, part float64) float64 {
	limit := func(k int) float64 { // between value k-1 and value k
		switch k {
		case 0:
			return valueEnds[0]
		case len(cloth.Values):
			return valueEnds[1]
		}
		return colour.MunsellValue(colour.Lab{L: cloth.ValueCuts[k-1]}.Linear().Luminance())
	}
	return limit(i) + part*(limit(i+1)-limit(i))
}

// chip is a place of the Munsell solid with its family.
type chip struct {
	munsell colour.Munsell
	lab     colour.Lab
	family  cloth.Family
	value   int // of cloth.Values
}

// chips are the hues of the Munsell book (every 2.5), at even chromas, at a few
// lightnesses within each value, as far as they can be shown on a screen. Whites
// and blacks lie at the far ends of their values, not in the middle.
var chips = sync.OnceValue(func() []chip {
	const (
		hueStep    = 2.5
		chromaStep = 2
		mostChroma = 26
		slack      = 1e-3
	)
	var out []chip
	add := func(i int, m colour.Munsell) {
		if c := m.Linear(); c.InGamut(slack) {
			out = append(out, chip{m, c.Lab(), family.OfMunsell(m), i})
		}
	}
	for i := range cloth.Values {
		for _, part := range []float64{1. / 6, 1. / 2, 5. / 6} {
			v := within(i, part)
			add(i, colour.Munsell{Hue: 100, Value: v})
			for hue := hueStep; hue <= 100; hue += hueStep {
				for chroma := float64(chromaStep); chroma <= mostChroma; chroma += chromaStep {
					add(i, colour.Munsell{Hue: hue, Value: v, Chroma: chroma})
				}
			}
		}
	}
	return out
})

// middleOf returns the chip of a family nearest to the middle of them all, at the
// given cloth.Values; the stronger its colour the more a chip counts, for what is drawn
// beside "teal" should look it, and beside "white" no cream.
func middleOf(f cloth.Family, sought []int) (colour.Munsell, bool) {
	const fullWeight = 6 // the chroma from which a chip counts no more
	neutral := f == cloth.White || f == cloth.Grey || f == cloth.Black
	var of []chip
	var middle colour.Lab
	total := 0.0
	for _, c := range chips() {
		if c.family != f || !slices.Contains(sought, c.value) || neutral && c.munsell.Chroma > 0 {
			continue
		}
		of = append(of, c)
		w := min(c.munsell.Chroma, fullWeight)
		if neutral {
			w = 1
		}
		total += w
		middle.L += w * c.lab.L
		middle.A += w * c.lab.A
		middle.B += w * c.lab.B
	}
	if len(of) == 0 {
		return colour.Munsell{}, false
	}
	middle = colour.Lab{L: middle.L / total, A: middle.A / total, B: middle.B / total}
	best, least := 0, math.Inf(1)
	for i, c := range of {
		d := colour.DeltaE76(c.lab, middle)
		if d < least-1e-9 {
			best, least = i, d
		}
	}
	return of[best].munsell, true
}
