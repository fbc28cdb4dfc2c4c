package scene

import (
	"math"
	"math/rand/v2"
)

// hash mixes two lattice coordinates and a seed into 32 well-spread bits.
func hash(x, y int32, seed uint32) uint32 {
	h := uint32(x)*0x9e3779b1 ^ uint32(y)*0x85ebca77 ^ seed*0xc2b2ae3d
	h ^= h >> 15
	h *= 0x2c1b3c6d
	h ^= h >> 12
	h *= 0x297a2d39
	return h ^ h>>15
}

// unit turns hash bits into 0 ≤ u < 1.
func unit(h uint32) float64 { return float64(h) * (1.0 / (1 << 32)) }

// rehash draws a further value from hash bits.
func rehash(h uint32) uint32 { return hash(int32(h), 0x51, 0x7f4a7c15) }

// noise returns smooth lattice noise of mean 0 and range -1..1; features are about
// one unit across.
func noise(x, y float64, seed uint32) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int32(fx), int32(fy)
	tx, ty := smooth(x-fx), smooth(y-fy)
	a, b := unit(hash(ix, iy, seed)), unit(hash(ix+1, iy, seed))
	c, d := unit(hash(ix, iy+1, seed)), unit(hash(ix+1, iy+1, seed))
	return 2*((a+(b-a)*tx)+((c+(d-c)*tx)-(a+(b-a)*tx))*ty) - 1
}

// fractal sums octaves of noise, each twice as fine and gain times as strong,
// scaled to stay inside -1..1.
func fractal(x, y float64, octaves int, gain float64, seed uint32) float64 {
	sum, amp, all := 0.0, 1.0, 0.0
	for o := range octaves {
		sum += amp * noise(x, y, seed+uint32(o)*101)
		all += amp
		amp *= gain
		x, y = 2*x+17.3, 2*y+5.9
	}
	return sum / all
}

func smooth(t float64) float64 { return t * t * (3 - 2*t) }

// step rises smoothly from 0 at lo to 1 at hi.
func step(lo, hi, x float64) float64 { return smooth(clamp01((x - lo) / (hi - lo))) }

func clamp01(t float64) float64 { return min(1, max(0, t)) }

func mix(a, b, t float64) float64 { return a + (b-a)*t }

// wrap returns x modulo m, 0 ≤ wrap < m.
func wrap(x, m float64) float64 { return x - m*math.Floor(x/m) }

// zigzag returns the triangle wave of period 1 and range 0..1.
func zigzag(x float64) float64 { return math.Abs(2*wrap(x, 1) - 1) }

func bool01(b bool) int {
	if b {
		return 1
	}
	return 0
}

// pick draws one of its arguments.
func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }
