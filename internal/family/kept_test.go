package family

import (
	"math"
	"testing"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/testtable"
)

// What a few prints are called in lights that are known well, fairly and hardly.
func TestNamesAsKept(t *testing.T) {
	digits := func(v float64) float64 { return math.Round(1e3*v) / 1e3 }
	type name struct {
		Family, With, Or cloth.Family
		Trust            float64
		Colour           [3]float64
	}
	doubts := map[string]Uncertainty{
		"known": {}, "card": {Lightness: 3, Warmth: 0.02, Tint: 0.02}, "guess": {Lightness: 6, Warmth: 0.08, Tint: 0.03, Guessed: true},
		"hardly": {Lightness: 9, Warmth: 0.2, Tint: 0.08, Guessed: true, Doubtful: true},
	}
	lab := func(l, a, b float64) colour.Linear { return colour.Lab{L: l, A: a, B: b}.Linear() }
	prints := map[string][]cloth.Ink{
		"navy": {{Colour: lab(25, 3, -22), Share: 1}}, "cream": {{Colour: lab(88, 1, 14), Share: 1}}, "rust": {{Colour: lab(45, 35, 40), Share: 1}},
		"slate": {{Colour: lab(50, -3, -10), Share: 1}}, "mauve": {{Colour: lab(60, 18, -12), Share: 1}}, "teal": {{Colour: lab(48, -28, -9), Share: 1}},
		"red dots on white":   {{Colour: lab(93, 0, 2), Share: 0.7}, {Colour: lab(45, 60, 35), Share: 0.3}},
		"white dots on blue":  {{Colour: lab(40, 0, -40), Share: 0.8}, {Colour: lab(92, 0, 0), Share: 0.2}},
		"black and white":     {{Colour: lab(20, 0, 0), Share: 0.5}, {Colour: lab(92, 0, 3), Share: 0.5}},
		"green and brown":     {{Colour: lab(55, -30, 25), Share: 0.5}, {Colour: lab(35, 12, 20), Share: 0.5}},
		"a field of flowers":  {{Colour: lab(60, 45, 10), Share: 0.3}, {Colour: lab(60, -35, 30), Share: 0.3}, {Colour: lab(75, 5, 60), Share: 0.2}, {Colour: lab(45, 10, -40), Share: 0.2}},
		"pink on grey":        {{Colour: lab(65, 0, 0), Share: 0.6}, {Colour: lab(75, 30, 5), Share: 0.4}},
		"gold on dark purple": {{Colour: lab(28, 22, -20), Share: 0.75}, {Colour: lab(75, 8, 55), Share: 0.25}},
	}
	names := map[string]map[string]name{}
	for light, d := range doubts {
		names[light] = map[string]name{}
		for print, inks := range prints {
			var mean colour.Linear
			for _, k := range inks {
				for c, v := range k.Colour {
					mean[c] += k.Share * v
				}
			}
			r := d.OfPrint(inks, mean)
			names[light][print] = name{r.Family, r.With, r.Or, digits(r.Trust), [3]float64{digits(r.Colour[0]), digits(r.Colour[1]), digits(r.Colour[2])}}
		}
	}
	testtable.Kept(t, "names", names, 0.003)

	type value struct {
		Value, Or cloth.Value
		Trust     float64
	}
	values := map[string][]value{}
	for light, d := range doubts {
		for l := 10.0; l < 100; l += 5 {
			v, trust, or := d.Value(l)
			values[light] = append(values[light], value{v, or, digits(trust)})
		}
	}
	testtable.Kept(t, "values", values, 0.003)
}
