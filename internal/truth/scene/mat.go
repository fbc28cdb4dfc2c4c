package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
)

// usualGrounds are the grounds of varied scenes, as often as they are drawn.
var usualGrounds = []string{
	"wood", "wood", "wood", "greymat", "flannel", "flannel", "carpet", "greenmat", "linen", "wall",
	"mat", "mat", "mat", "mat", "blocks", "felt", "felt", "felt", "tiles", "cloth", "cloth", "boards",
}

// paperWhite draws the albedo of white paper.
func paperWhite(r *rand.Rand) colour.Linear {
	v := mix(0.74, 0.9, r.Float64())
	return colour.Linear{v, v * mix(0.98, 1, r.Float64()), v * mix(0.92, 1, r.Float64())}
}

func someWood(r *rand.Rand) colour.Linear {
	return pick(r, colour.Linear{0.55, 0.38, 0.22}, colour.Linear{0.78, 0.77, 0.74}, colour.Linear{0.25, 0.13, 0.07}, colour.Linear{0.33, 0.34, 0.36}, colour.Linear{0.7, 0.55, 0.36})
}

// digits are ten figures of 3 × 5 cells, a row in three bits, the top row first.
var digits = [10]uint16{0o75557, 0o26227, 0o71747, 0o71717, 0o55711, 0o74717, 0o74757, 0o71244, 0o75757, 0o75717}

// figure reports whether (u, v), v down, lies on the number n written high tall,
// its top left corner at 0, 0.
func figure(n int, u, v, high float64) bool {
	cell := high / 5
	i, j := int(math.Floor(u/cell)), int(math.Floor(v/cell))
	if n < 0 || j < 0 || j > 4 || i < 0 {
		return false
	}
	if n >= 10 {
		if i < 3 {
			return digits[n/10%10]>>(14-3*j-i)&1 == 1
		}
		i -= 4
		if i < 0 {
			return false
		}
	}
	return i < 3 && digits[n%10]>>(14-3*j-i)&1 == 1
}

// mat is a cutting mat: lines pitch inches apart, finer ones between, slanted ones,
// figures along its sides, and sometimes rings of white blocks.
type mat struct {
	base, line          colour.Linear
	angle, x, y         float64 // how it lies
	pitch, finer        float64 // inches; finer lines a pitch, 1 for none
	strong, faint       float64 // how much of its lines is seen
	thick, thin         float64 // of the lines and the finer ones, inches to a side
	slant               float64 // of slanted lines, radians; 0 for none
	high                float64 // of figures, inches; 0 for none
	rowV, colU          float64 // where figures stand, inches
	ring, bar           float64 // of blocks, inches
	pale                colour.Linear
	mottled, mottleFine float64
}

// greenMat is a cutting mat with one-inch lines.
func greenMat(r *rand.Rand) mat {
	m := mat{
		base: pick(r, colour.Linear{0.035, 0.13, 0.085}, colour.Linear{0.05, 0.20, 0.13}, colour.Linear{0.03, 0.09, 0.10}, colour.Linear{0.06, 0.15, 0.07}),
		line: pick(r, colour.Linear{0.55, 0.62, 0.50}, colour.Linear{0.70, 0.66, 0.25}), angle: 0.05 * r.NormFloat64(), x: r.Float64(), y: r.Float64(),
		pitch: 1, finer: 1, strong: 0.7, faint: 0.3, thick: 0.014, thin: 0.007, mottled: 0.08, mottleFine: 0.06,
	}
	if r.IntN(2) == 0 {
		m.finer = 2
	}
	return m
}

// anyMat is a cutting mat of any colour.
func anyMat(r *rand.Rand, blocks bool) mat {
	base := pick(r,
		colour.Linear{0.035, 0.13, 0.085}, colour.Linear{0.02, 0.07, 0.14}, colour.Linear{0.25, 0.25, 0.26}, colour.Linear{0.04, 0.04, 0.045},
		colour.Linear{0.35, 0.12, 0.2}, colour.Linear{0.2, 0.12, 0.3}, colour.Linear{0.55, 0.55, 0.53}, colour.Linear{0.1, 0.25, 0.3}, colour.Linear{0.7, 0.5, 0.55})
	m := mat{base: scaled(base, mix(0.6, 1.4, r.Float64())), mottled: 0.06, mottleFine: 0.05}
	m.line = pick(r, colour.Linear{0.75, 0.75, 0.72}, colour.Linear{0.7, 0.62, 0.2}, colour.Linear{0.06, 0.06, 0.06}, colour.Linear{0.4, 0.55, 0.5})
	if m.base.Luminance() > 0.4 {
		m.line = pick(r, colour.Linear{0.06, 0.06, 0.06}, colour.Linear{0.1, 0.12, 0.3})
	}
	m.pitch, m.finer = pick(r, 1, 1, 1, 1/2.54), pick(r, 1.0, 2, 4, 8)
	m.strong, m.faint = mix(0.3, 0.95, r.Float64()), mix(0.1, 0.5, r.Float64())
	m.thick = mix(0.008, 0.025, r.Float64())
	m.thin = 0.6 * m.thick
	m.slant = pick(r, 0, 0, math.Pi/4, math.Pi/3)
	m.angle = 0.08*r.NormFloat64() + pick(r, 0, math.Pi/2)
	m.x, m.y = r.Float64(), r.Float64()
	m.rowV, m.colU = mix(-9, 9, r.Float64()), mix(-12, 12, r.Float64())
	m.high = min(mix(0.18, 0.4, r.Float64()), 0.6*m.pitch)
	ring, bar := mix(1, 2.5, r.Float64()), mix(1.5, 4, r.Float64())
	if m.pale = paperWhite(r); blocks {
		m.ring, m.bar = ring, bar
	}
	return m
}

// onLine reports whether t lies within thick of a multiple of step.
func onLine(t, step, thick float64) bool { return math.Abs(t-step*math.Round(t/step)) < thick }

// ground is the mat as a surface.
func (m mat) ground(g *ground, seed uint32) {
	s, c := math.Sincos(m.angle)
	g.fine = true
	g.colour = func(x, y float64) colour.Linear {
		u, v := x*c+y*s+m.x, y*c-x*s+m.y
		col := scaled(m.base, 1+m.mottled*fractal(0.5*u, 0.5*v, 3, 0.6, seed)+m.mottleFine*noise(20*u, 20*v, seed+4))
		if m.ring > 0 {
			along, out := u, math.Abs(v)
			if math.Abs(u) > math.Abs(v) {
				along, out = v, math.Abs(u)
			}
			if k := math.Floor(out / m.ring); wrap(k, 2) == 1 && wrap(math.Floor(along/m.bar+0.5*k), 2) == 0 {
				col = m.pale
			}
		}
		slanted := func(v float64) bool { return math.Abs(wrap(u*math.Tan(m.slant)+v, 12)-6) < 1.5*m.thick }
		switch {
		case onLine(u, m.pitch, m.thick) || onLine(v, m.pitch, m.thick):
			col = blend(col, m.line, m.strong)
		case m.finer > 1 && (onLine(u, m.pitch/m.finer, m.thin) || onLine(v, m.pitch/m.finer, m.thin)):
			col = blend(col, m.line, m.faint)
		case m.slant > 0 && (slanted(v) || slanted(-v)):
			col = blend(col, m.line, m.strong)
		}
		i, j := math.Floor(u/m.pitch), math.Floor(v/m.pitch)
		if m.high > 0 && (figure(int(math.Abs(i)), u-i*m.pitch-0.08, v-m.rowV, m.high) || figure(int(math.Abs(j)), u-m.colU, v-j*m.pitch-0.08, m.high)) {
			col = blend(col, m.line, 0.9)
		}
		return col
	}
}

// felt is grey or coloured felt: mottled, with flecks and fibres.
func felt(r *rand.Rand, g *ground, seed uint32) {
	c := lch(mix(25, 92, r.Float64()), pick(r, 1, 2, 3, 20*r.Float64()), 360*r.Float64())
	k1, k2 := mix(3, 12, r.Float64()), mix(12, 30, r.Float64())
	a1, a2, fleck := mix(0.02, 0.16, r.Float64()), mix(0.02, 0.12, r.Float64()), pick(r, 2, 0.55, 0.42)
	dark := mix(-0.35, 0.25, r.Float64())
	g.fine = true
	g.colour = func(x, y float64) colour.Linear {
		t := 1 + a1*fractal(k1*x, k1*y, 3, 0.7, seed) + a2*noise(k2*x, k2*y, seed+7)
		if fractal(1.4*k1*x+3*noise(2*x, 2*y, seed+9), 0.5*k2*y, 2, 0.6, seed+8) > fleck {
			t += dark
		}
		return scaled(c, t)
	}
	g.relief = func(x, y float64) float64 {
		return 0.012*fractal(1.1*x, 1.1*y, 3, 0.6, seed+3) + 0.06*noise(0.15*x, 0.15*y, seed+5)
	}
}

func tiles(r *rand.Rand, g *ground, seed uint32) {
	c := lch(mix(30, 92, r.Float64()), mix(0, 18, r.Float64()), 360*r.Float64())
	side, other := pick(r, 2.0, 4, 8, 12), pick(r, 1.0, 1, 1.5, 3)
	joint := scaled(c, mix(0.4, 1.2, r.Float64()))
	half := mix(0.03, 0.1, r.Float64())
	s, co := math.Sincos(r.NormFloat64())
	vary := mix(0.01, 0.12, r.Float64())
	seam := func(x, y float64) (i, j, d float64) {
		u, v := x*co+y*s, y*co-x*s
		j = math.Floor(v / side)
		u += 0.5 * side * other * wrap(j, 2)
		i = math.Floor(u / (side * other))
		p, q := wrap(u, side*other), wrap(v, side)
		return i, j, min(p, side*other-p, q, side-q)
	}
	g.fine = true
	g.colour = func(x, y float64) colour.Linear {
		i, j, d := seam(x, y)
		if d < half {
			return joint
		}
		h := unit(hash(int32(i), int32(j), seed))
		return scaled(c, 1+vary*(2*h-1)+vary*fractal(0.6*x+9*h, 0.6*y, 3, 0.6, seed+1))
	}
	g.relief = func(x, y float64) float64 {
		_, _, d := seam(x, y)
		return -0.06 * (1 - step(half, half+0.08, d))
	}
}

// clothGround is a bedspread, a tablecloth or a quilt's plain back.
func clothGround(r *rand.Rand, g *ground, seed uint32) {
	f := drawFabric(r)
	k := mix(0.4, 2.5, r.Float64())
	g.fine = true
	g.colour = func(x, y float64) colour.Linear { c, _ := f.colourAt(k*x, k*y); return c }
	fold, pucker := mix(0, 0.3, r.Float64()), pick(r, 0, 0, 0.05)
	g.relief = func(x, y float64) float64 {
		return fold*fractal(0.15*x, 0.15*y, 2, 0.5, seed+5) + 0.02*fractal(0.9*x, 0.9*y, 2, 0.5, seed+6) +
			pucker*math.Abs(math.Sin(2*x)*math.Sin(2*y))
	}
}

// writing is paper w × h inches with rows of small marks, as print or a hand
// leaves them; lines an inch, 0 for none.
func writing(seed uint32, w, h float64, paper colour.Linear, lines float64) func(u, v float64) (colour.Linear, int) {
	dark := colour.Linear{0.05, 0.05, 0.07}
	return func(u, v float64) (colour.Linear, int) {
		if lines > 0 && math.Abs(u) < 0.4*w && math.Abs(v) < 0.36*h {
			row := math.Floor(v * 4 * lines)
			q := wrap(v*4*lines, 1)
			if q > 0.3 && q < 0.75 && unit(hash(int32(math.Floor(u*18*lines)), int32(row), seed)) < 0.5 && unit(hash(int32(math.Floor(u*2.5*lines)), int32(row), seed+1)) < 0.8 {
				return dark, 0
			}
		}
		return paper, 0
	}
}
