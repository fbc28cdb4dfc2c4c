package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
)

func firstInk(x, y float64) int { return 0 }

func solid(r *rand.Rand, f *fabric) {
	f.inks = []colour.Linear{someDye(r)}
	f.ink = firstInk
	f.same = true
}

// chambray is woven of two colours of thread.
func chambray(r *rand.Rand, f *fabric) {
	c := dyeBetween(r, 25, 70)
	f.inks = []colour.Linear{blend(c, lch(90, 2, 90), 0.35)}
	f.ink = firstInk
	f.thread = 0.22
	f.same = true
}

func toneOnTone(r *rand.Rand, f *fabric) {
	c := dyeBetween(r, 20, 85)
	d := tint(c, pick(r, -8.0, -6, 6, 9), 0.95)
	f.inks = []colour.Linear{c, d}
	seed := f.seed
	switch r.IntN(4) {
	case 0: // contour lines of a smooth field
		k := mix(0.7, 1.4, r.Float64())
		f.ink = func(x, y float64) int {
			v := 3.5 * fractal(x*k, y*k, 2, 0.4, seed)
			return bool01(wrap(v, 1) < 0.45)
		}
	case 1: // rings
		cell := mix(0.5, 0.9, r.Float64())
		f.scatter(cell, 0.3, func(dx, dy float64, h uint32) int {
			rad := cell * mix(0.18, 0.36, unit(rehash(h)))
			return bool01(math.Abs(math.Hypot(dx, dy)-rad) < 0.022)
		})
	case 2: // leaves
		cell := mix(0.45, 0.9, r.Float64())
		f.scatter(cell, 0.3, func(dx, dy float64, h uint32) int {
			return bool01(leaf(dx, dy, 2*math.Pi*unit(h), 0.4*cell, 0.13*cell))
		})
	default: // speckle
		k := mix(5, 12, r.Float64())
		f.ink = func(x, y float64) int { return bool01(fractal(x*k, y*k, 2, 0.6, seed) > 0.12) }
	}
}

// nearGround is a fabric easily lost on a usual ground.
func nearGround(r *rand.Rand, f *fabric) {
	seed := f.seed
	switch r.IntN(5) {
	case 0:
		c := lch(60, 28, 70)
		f.inks = []colour.Linear{c, tint(c, -5, 1)}
		f.ink = func(x, y float64) int { return bool01(fractal(x*0.6, y*14, 3, 0.5, seed) > 0.25) }
	case 1:
		c := lch(51, 2, 240)
		f.inks = []colour.Linear{c, tint(c, -4, 1)}
		f.ink = func(x, y float64) int { return bool01(fractal(x*6, y*6, 2, 0.5, seed) > 0) }
	case 2:
		c := lch(38, 20, 165)
		f.inks = []colour.Linear{c, tint(c, 6, 1)}
		f.ink = func(x, y float64) int { return bool01(wrap(x, 0.5) < 0.03 || wrap(y, 0.5) < 0.03) }
	case 3:
		c := lch(90, 9, 90)
		f.inks = []colour.Linear{c, lch(93, 5, 92)}
		f.ink = func(x, y float64) int { return bool01(dots(x, y, 0.22, 0.05, true)) }
	default:
		c := lch(94, 1, 95)
		f.inks = []colour.Linear{c, lch(91.5, 1, 95)}
		f.ink = func(x, y float64) int {
			return bool01(wrap(3*fractal(x, y, 2, 0.4, seed), 1) < 0.2)
		}
	}
}

// paleFabric is white, cream or light grey cloth, plain or with a whisper of a
// print.
func paleFabric(r *rand.Rand) *fabric {
	f := &fabric{name: "pale", thread: mix(0.02, 0.08, r.Float64()), seed: r.Uint32(), ink: firstInk, same: true}
	c := lch(pick(r, mix(88, 96, r.Float64()), mix(88, 96, r.Float64()), mix(60, 88, r.Float64())), mix(0, 5, r.Float64()), pick(r, 80, 95, 250.0))
	f.inks = []colour.Linear{c}
	k, seed := mix(3, 10, r.Float64()), f.seed
	switch r.IntN(3) {
	case 0:
		f.inks = append(f.inks, tint(c, -mix(1.5, 7, r.Float64()), 1))
		f.ink = func(x, y float64) int { return bool01(fractal(x*k, y*k, 2, 0.6, seed) > 0.1) }
	case 1:
		f.inks = append(f.inks, someDye(r))
		cell := mix(0.3, 1, r.Float64())
		f.ink = func(x, y float64) int { return bool01(dots(x, y, cell, 0.07*cell, true)) }
	}
	return f
}

// batik runs a ramp of colours along a fractal field.
func batik(r *rand.Rand, f *fabric) {
	n := 3 + r.IntN(2)
	f.inks = make([]colour.Linear, n)
	if r.IntN(4) == 0 {
		for i := range f.inks {
			f.inks[i] = someDye(r)
		}
	} else {
		d := dyes[r.IntN(len(dyes))]
		d.l = min(72, max(32, d.l))
		span, turn := mix(20, 46, r.Float64()), 25*r.NormFloat64()
		for i := range f.inks {
			t := float64(i)/float64(n-1) - 0.5
			f.inks[i] = lch(d.l+span*t, d.c*(1-0.3*math.Abs(t)), d.h+turn*t)
		}
	}
	k := mix(0.35, 0.9, r.Float64())
	sharp := mix(1.3, 2.2, r.Float64())
	veins := r.IntN(3) == 0
	pale := tint(f.inks[n-1], 14, 0.8)
	seed, inks := f.seed, f.inks
	at := func(x, y float64) float64 {
		v := fractal(x*k, y*k, 6, 0.62, seed)
		return clamp01(0.5+sharp*v) * float64(n-1)
	}
	f.blend = func(x, y float64) colour.Linear {
		if veins && math.Abs(fractal(x*1.1, y*1.1, 3, 0.55, seed+77)) < 0.012 {
			return pale
		}
		t := at(x, y)
		i := min(n-2, int(t))
		return blend(inks[i], inks[i+1], t-float64(i))
	}
	f.ink = func(x, y float64) int { return int(at(x, y) + 0.5) }
}

func bool01(b bool) int {
	if b {
		return 1
	}
	return 0
}

// pick draws one of its arguments.
func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }
