package scene

import (
	"math"
	"math/rand/v2"
	"strconv"

	"piecebag/internal/colour"
)

// mat returns a cutting mat: lines an inch or a centimetre apart, finer ones between, slanted
// ones, figures along its sides.
func mat(r *rand.Rand, green bool, seed uint32) *ground {
	base := colour.Linear{0.035, 0.13, 0.085}
	if !green {
		base = pick(r, base, colour.Linear{0.02, 0.07, 0.14}, colour.Linear{0.25, 0.25, 0.26}, colour.Linear{0.04, 0.04, 0.045},
			colour.Linear{0.35, 0.12, 0.2}, colour.Linear{0.2, 0.12, 0.3}, colour.Linear{0.55, 0.55, 0.53}, colour.Linear{0.1, 0.25, 0.3}, colour.Linear{0.7, 0.5, 0.55})
	}
	base = scaled(base, mix(0.6, 1.4, r.Float64()))
	line := pick(r, colour.Linear{0.75, 0.75, 0.72}, colour.Linear{0.7, 0.62, 0.2}, colour.Linear{0.06, 0.06, 0.06}, colour.Linear{0.4, 0.55, 0.5})
	if base.Luminance() > 0.4 {
		line = colour.Linear{0.06, 0.06, 0.06}
	}
	pitch, finer := pick(r, 1, 1, 1, 1/2.54), pick(r, 1.0, 2, 4, 8)
	strong, faint := mix(0.3, 0.95, r.Float64()), mix(0.1, 0.5, r.Float64())
	thick := mix(0.008, 0.025, r.Float64()) // to a side
	slant := pick(r, 0, 0, math.Pi/4, math.Pi/3)
	s, c := math.Sincos(0.08*r.NormFloat64() + pick(r, 0, math.Pi/2))
	x0, y0 := r.Float64(), r.Float64()
	rowV, colU := mix(-9, 9, r.Float64()), mix(-12, 12, r.Float64()) // where figures stand
	high := min(mix(0.18, 0.4, r.Float64()), 0.6*pitch)
	return &ground{relief: func(x, y float64) float64 { return 0 }, colour: func(x, y float64) colour.Linear {
		u, v := x*c+y*s+x0, y*c-x*s+y0
		col := scaled(base, 1+0.07*fractal(0.5*u, 0.5*v, 3, 0.6, seed)+0.05*noise(20*u, 20*v, seed+4))
		slanted := func(v float64) bool { return math.Abs(wrap(u*math.Tan(slant)+v, 12)-6) < 1.5*thick }
		switch {
		case onLine(u, pitch, thick), onLine(v, pitch, thick), slant > 0 && (slanted(v) || slanted(-v)):
			col = blend(col, line, strong)
		case finer > 1 && (onLine(u, pitch/finer, 0.6*thick) || onLine(v, pitch/finer, 0.6*thick)):
			col = blend(col, line, faint)
		}
		i, j := math.Floor(u/pitch), math.Floor(v/pitch)
		if figure(int(math.Abs(i)), u-i*pitch-0.08, v-rowV, high) || figure(int(math.Abs(j)), u-colU, v-j*pitch-0.08, high) {
			col = blend(col, line, 0.9)
		}
		return col
	}}
}

// onLine reports whether t lies within thick of a multiple of step.
func onLine(t, step, thick float64) bool { return math.Abs(t-step*math.Round(t/step)) < thick }

// digits are ten figures of 3 × 5 cells, a row in three bits, the top row first.
var digits = [10]uint16{0o75557, 0o26227, 0o71747, 0o71717, 0o55711, 0o74717, 0o74757, 0o71244, 0o75757, 0o75717}

// figure reports whether (u, v), v down, lies on the number n written high tall,
// its top left corner at 0, 0.
func figure(n int, u, v, high float64) bool {
	i, j := int(math.Floor(5*u/high)), int(math.Floor(5*v/high))
	if i < 0 || j < 0 || j > 4 {
		return false
	}
	text := strconv.Itoa(n)
	return i%4 < 3 && i/4 < len(text) && digits[text[i/4]-'0']>>(14-3*j-i%4)&1 == 1
}

// paperWhite draws the albedo of white paper.
func paperWhite(r *rand.Rand) colour.Linear {
	v := mix(0.74, 0.9, r.Float64())
	return colour.Linear{v, v * mix(0.98, 1, r.Float64()), v * mix(0.92, 1, r.Float64())}
}

// writing returns paper w × h inches with rows of small marks, as print or a hand
// leaves them; lines an inch, 0 for none.
func writing(seed uint32, w, h float64, paper colour.Linear, lines float64) func(u, v float64) (colour.Linear, int) {
	mark := func(x, row float64, salt uint32) float64 {
		return unit(hash(int32(math.Floor(x)), int32(row), seed+salt))
	}
	return func(u, v float64) (colour.Linear, int) {
		row, q := math.Floor(v*4*lines), wrap(v*4*lines, 1)
		if math.Abs(u) < 0.4*w && math.Abs(v) < 0.36*h && q > 0.3 && q < 0.75 && mark(18*lines*u, row, 0) < 0.5 && mark(2.5*lines*u, row, 1) < 0.8 {
			return colour.Linear{0.05, 0.05, 0.07}, 0
		}
		return paper, 0
	}
}
