package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
)

// ground is a surface under the pieces: its albedo and small relief at world
// (x, y) inches.
type ground struct {
	colour func(x, y float64) colour.Linear
	relief func(x, y float64) float64 // inches
	fine   bool                       // has lines that need supersampling
}

func flat(x, y float64) float64 { return 0 }

// scaled is c times s.
func scaled(c colour.Linear, s float64) colour.Linear {
	return colour.Linear{c[0] * s, c[1] * s, c[2] * s}
}

// drawGround makes a surface of the kind.
func drawGround(r *rand.Rand, kind string) *ground {
	seed := r.Uint32()
	g := &ground{relief: flat}
	switch kind {
	case "wood":
		woodGround(r, g, seed)
	case "greymat":
		c := scaled(colour.Linear{0.24, 0.25, 0.275}, mix(0.7, 1.35, r.Float64()))
		g.colour = func(x, y float64) colour.Linear {
			return scaled(c, 1+0.05*fractal(0.25*x, 0.25*y, 3, 0.5, seed)+0.05*noise(25*x, 25*y, seed+9))
		}
	case "flannel":
		c := scaled(pick(r, colour.Linear{0.83, 0.81, 0.765}, colour.Linear{0.85, 0.85, 0.82}, colour.Linear{0.80, 0.77, 0.69}), mix(0.92, 1, r.Float64()))
		g.colour = func(x, y float64) colour.Linear {
			return scaled(c, 1+0.03*fractal(0.9*x, 0.9*y, 4, 0.75, seed)+0.025*noise(22*x, 22*y, seed+9))
		}
		g.relief = func(x, y float64) float64 {
			return 0.012*fractal(1.1*x, 1.1*y, 3, 0.6, seed+3) + 0.08*noise(0.12*x, 0.12*y, seed+5)
		}
	case "carpet":
		c := dyeBetween(r, 28, 72)
		c = blend(c, lch(c.Lab().L, 2, 80), 0.75)
		d := tint(c, -9, 1)
		g.fine = true
		g.colour = func(x, y float64) colour.Linear {
			return blend(d, c, clamp01(0.5+0.55*fractal(7*x, 7*y, 3, 0.8, seed)))
		}
		g.relief = func(x, y float64) float64 { return 0.05 * fractal(5*x, 5*y, 2, 0.7, seed) }
	case "greenmat":
		greenMat(r).ground(g, seed)
	case "mat", "blocks":
		anyMat(r, kind == "blocks").ground(g, seed)
	case "felt":
		felt(r, g, seed)
	case "tiles":
		tiles(r, g, seed)
	case "cloth":
		clothGround(r, g, seed)
	case "boards": // floors and laths of any colour
		woodGround(r, g, seed)
		wood, tone := g.colour, lch(mix(20, 90, r.Float64()), mix(2, 30, r.Float64()), mix(40, 90, r.Float64()))
		k := tone.Luminance()
		g.colour = func(x, y float64) colour.Linear { return scaled(tone, min(2.5, 3*wood(x, y).Luminance()*k+0.4)) }
	case "wall":
		c := lch(mix(70, 92, r.Float64()), mix(0, 10, r.Float64()), 360*r.Float64())
		g.colour = func(x, y float64) colour.Linear {
			return scaled(c, 1+0.02*fractal(0.1*x, 0.1*y, 3, 0.5, seed))
		}
		g.relief = func(x, y float64) float64 { return 0.006 * fractal(5*x, 5*y, 2, 0.5, seed) }
	default: // linen
		c := blend(dyeBetween(r, 45, 90), lch(80, 4, 80), 0.6)
		g.fine = true
		g.colour = func(x, y float64) colour.Linear {
			t := unit(hash(int32(math.Floor(22*x)), 1, seed)) + unit(hash(2, int32(math.Floor(22*y)), seed)) - 1
			return scaled(c, 1+0.12*t+0.04*fractal(0.2*x, 0.2*y, 2, 0.5, seed))
		}
		g.relief = func(x, y float64) float64 { return 0.12 * noise(0.15*x, 0.15*y, seed+5) }
	}
	return g
}

func woodGround(r *rand.Rand, g *ground, seed uint32) {
	c := pick(r,
		colour.Linear{0.17, 0.088, 0.052}, // walnut
		colour.Linear{0.53, 0.30, 0.145},  // oak
		colour.Linear{0.30, 0.26, 0.21},   // weathered
		colour.Linear{0.60, 0.44, 0.27},   // pine
		colour.Linear{0.26, 0.105, 0.055}, // cherry
		colour.Linear{0.62, 0.56, 0.47},   // limed
		colour.Linear{0.085, 0.06, 0.048}) // dark stain
	plank := pick(r, 3.5, 5, 7, 60)
	along := pick(r, 0.0, 0, math.Pi/2) + 0.06*r.NormFloat64()
	contrast := mix(0.10, 0.26, r.Float64())
	s, co := math.Sincos(along)
	g.colour = func(x, y float64) colour.Linear {
		u, v := x*co+y*s, y*co-x*s
		j := math.Floor(v / plank)
		h := hash(int32(j), 7, seed)
		u += 61 * unit(h)
		q := wrap(v, plank)
		if min(q, plank-q) < 0.035 || (plank < 20 && wrap(u, 46) < 0.05) {
			return scaled(c, 0.45)
		}
		warp := v + 0.35*noise(0.12*u, 0.5*v, seed+1)
		t := contrast * (0.9*fractal(0.05*u, 1.6*warp, 4, 0.65, seed+2) + 0.5*noise(0.5*u, 13*v, seed+3))
		t += 0.16 * (unit(rehash(h)) - 0.5)
		return scaled(c, 1+t)
	}
	g.relief = func(x, y float64) float64 {
		v := y*co - x*s
		q := wrap(v, plank)
		return -0.04 * (1 - step(0.02, 0.08, min(q, plank-q)))
	}
}
