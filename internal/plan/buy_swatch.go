package plan

import (
	"math"
	"sync"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/recipe"
)

// SwatchOf is the middle of a colour and value: a Munsell renotation to hold
// against cloth in a shop. Any colour of a value has a grey. There is none of one
// fabric yet to be chosen, of a bin of your own, of many colours, of any print at all, nor of a
// colour that does not exist at its value, like a light black.
func SwatchOf(s Sought) (colour.Munsell, bool) {
	if s.One != "" || s.Bin != "" || s.Family == cloth.Many || s.Family == "" && s.Value == "" && s.Tone == "" {
		return colour.Munsell{}, false
	}
	var values []float64 // Munsell, in the middle of each value that is sought
	for i, v := range cloth.Values {
		if s.Value == v || s.Value == "" && (recipe.Role{Value: s.Tone}).Suits("", v) {
			values = append(values, middleValue(i))
		}
	}
	if s.Family == "" {
		sum := 0.0
		for _, v := range values {
			sum += v
		}
		return colour.Munsell{Hue: 100, Value: sum / float64(len(values))}, true
	}
	return middleOf(s.Family, values)
}

// valueEnds are the Munsell values that cotton spans, lightest first.
var valueEnds = [2]float64{9.5, 1.5}

// middleValue is the Munsell value in the middle of cloth.Values[i].
func middleValue(i int) float64 {
	limit := func(k int) float64 { // between value k-1 and value k
		switch k {
		case 0:
			return valueEnds[0]
		case len(cloth.Values):
			return valueEnds[1]
		}
		return colour.MunsellValue(colour.Lab{L: cloth.ValueCuts[k-1]}.Linear().Luminance())
	}
	return (limit(i) + limit(i+1)) / 2
}

// chip is a place of the Munsell solid with its family.
type chip struct {
	munsell colour.Munsell
	lab     colour.Lab
	family  cloth.Family
}

// chips are the hues of the Munsell book (every 2.5), at even chromas, in the
// middle of each value, as far as they can be shown on a screen.
var chips = sync.OnceValue(func() []chip {
	const (
		hueStep    = 2.5
		chromaStep = 2
		mostChroma = 26
		slack      = 1e-3
	)
	var out []chip
	add := func(m colour.Munsell) {
		if c := m.Linear(); c.InGamut(slack) {
			out = append(out, chip{m, c.Lab(), family.OfMunsell(m)})
		}
	}
	for i := range cloth.Values {
		v := middleValue(i)
		add(colour.Munsell{Hue: 100, Value: v})
		for hue := hueStep; hue <= 100; hue += hueStep {
			for chroma := float64(chromaStep); chroma <= mostChroma; chroma += chromaStep {
				add(colour.Munsell{Hue: hue, Value: v, Chroma: chroma})
			}
		}
	}
	return out
})

// middleOf is the chip of a family nearest to the middle of them all, at the
// given values.
func middleOf(f cloth.Family, values []float64) (colour.Munsell, bool) {
	var of []chip
	var middle colour.Lab
	for _, c := range chips() {
		for _, v := range values {
			if c.family == f && c.munsell.Value == v {
				of = append(of, c)
				middle.L += c.lab.L
				middle.A += c.lab.A
				middle.B += c.lab.B
			}
		}
	}
	if len(of) == 0 {
		return colour.Munsell{}, false
	}
	n := float64(len(of))
	middle = colour.Lab{L: middle.L / n, A: middle.A / n, B: middle.B / n}
	best, least := 0, math.Inf(1)
	for i, c := range of {
		d := math.Sqrt((c.lab.L-middle.L)*(c.lab.L-middle.L) + (c.lab.A-middle.A)*(c.lab.A-middle.A) + (c.lab.B-middle.B)*(c.lab.B-middle.B))
		if d < least-1e-9 {
			best, least = i, d
		}
	}
	return of[best].munsell, true
}
