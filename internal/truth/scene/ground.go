package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// ground is a surface under the pieces: its albedo and small relief at world
// (x, y) inches.
type ground struct {
	colour func(x, y float64) colour.Linear
	relief func(x, y float64) float64 // inches
}

// scaled returns c times s.
func scaled(c colour.Linear, s float64) colour.Linear {
	return colour.Linear{c[0] * s, c[1] * s, c[2] * s}
}

// drawGround makes a surface of the kind.
func drawGround(r *rand.Rand, kind string) *ground {
	seed := r.Uint32()
	switch kind {
	case "wood":
		return boards(scaled(pick(r, woods...), mix(0.8, 1.2, r.Float64())), r, seed)
	case "boards": // floors and laths of any colour
		return boards(lch(mix(20, 90, r.Float64()), mix(2, 30, r.Float64()), mix(40, 90, r.Float64())), r, seed)
	case "mat", "greenmat":
		return mat(r, kind == "greenmat", seed)
	case "tiles":
		return tiles(r, seed)
	case "cloth":
		return clothGround(r, seed)
	}
	return mottled(r, kind, seed)
}

// woods are walnut, oak, weathered wood, pine, cherry, limed oak, dark stain, beech, white
// and grey paint.
var woods = []colour.Linear{
	{0.17, 0.088, 0.052}, {0.53, 0.30, 0.145}, {0.30, 0.26, 0.21}, {0.60, 0.44, 0.27}, {0.26, 0.105, 0.055}, {0.62, 0.56, 0.47},
	{0.085, 0.06, 0.048}, {0.55, 0.38, 0.22}, {0.78, 0.77, 0.74}, {0.33, 0.34, 0.36},
}

// mottle says how an even surface strays: in broad clouds, and finely, each by so much of
// its albedo at so many an inch; and how high it is in small bumps and in long waves.
type mottle struct{ broad, broadAt, fine, fineAt, bumps, bumpsAt, waves float64 }

// mottled returns a surface without a pattern.
func mottled(r *rand.Rand, kind string, seed uint32) *ground {
	var c colour.Linear
	var m mottle
	flecks := 2.0 // none
	weave := 0.0
	switch kind {
	case "greymat":
		c, m = scaled(colour.Linear{0.24, 0.25, 0.275}, mix(0.7, 1.35, r.Float64())), mottle{0.05, 0.25, 0.05, 25, 0, 1, 0}
	case "flannel":
		c = scaled(pick(r, colour.Linear{0.83, 0.81, 0.765}, colour.Linear{0.85, 0.85, 0.82}, colour.Linear{0.80, 0.77, 0.69}), mix(0.92, 1, r.Float64()))
		m = mottle{0.03, 0.9, 0.025, 22, 0.012, 1.1, 0.08}
	case "carpet":
		c = blend(dyeBetween(r, 28, 72), lch(50, 2, 80), 0.75)
		m = mottle{0.25, 7, 0.05, 20, 0.05, 5, 0}
	case "felt":
		c = lch(mix(25, 92, r.Float64()), pick(r, 1, 2, 3, 20*r.Float64()), 360*r.Float64())
		m = mottle{mix(0.02, 0.16, r.Float64()), mix(3, 12, r.Float64()), mix(0.02, 0.12, r.Float64()), mix(12, 30, r.Float64()), 0.012, 1.1, 0.06}
		flecks = pick(r, 2, 0.55, 0.42)
	case "wall":
		c, m = lch(mix(70, 92, r.Float64()), mix(0, 10, r.Float64()), 360*r.Float64()), mottle{0.02, 0.1, 0, 1, 0.006, 5, 0}
	default: // linen
		c, m, weave = blend(dyeBetween(r, 45, 90), lch(80, 4, 80), 0.6), mottle{0.04, 0.2, 0, 1, 0, 1, 0.12}, 0.12
	}
	dark := mix(-0.35, 0.25, r.Float64())
	return &ground{
		colour: func(x, y float64) colour.Linear {
			t := 1 + m.broad*fractal(m.broadAt*x, m.broadAt*y, 3, 0.6, seed) + m.fine*noise(m.fineAt*x, m.fineAt*y, seed+9)
			if weave > 0 {
				t += weave * (unit(hash(int32(math.Floor(22*x)), 1, seed)) + unit(hash(2, int32(math.Floor(22*y)), seed)) - 1)
			}
			if flecks < 1 && fractal(1.4*m.broadAt*x, 0.5*m.fineAt*y, 2, 0.6, seed+8) > flecks {
				t += dark
			}
			return scaled(c, t)
		},
		relief: func(x, y float64) float64 {
			return m.bumps*fractal(m.bumpsAt*x, m.bumpsAt*y, 3, 0.6, seed+3) + m.waves*noise(0.15*x, 0.15*y, seed+5)
		},
	}
}

// boards are of wood, or of anything with a grain.
func boards(c colour.Linear, r *rand.Rand, seed uint32) *ground {
	plank := pick(r, 3.5, 5, 7, 60)
	contrast := mix(0.10, 0.26, r.Float64())
	s, co := math.Sincos(pick(r, 0.0, 0, math.Pi/2) + 0.06*r.NormFloat64())
	return &ground{
		colour: func(x, y float64) colour.Linear {
			u, v := x*co+y*s, y*co-x*s
			h := hash(int32(math.Floor(v/plank)), 7, seed)
			u += 61 * unit(h)
			q := wrap(v, plank)
			if min(q, plank-q) < 0.035 || (plank < 20 && wrap(u, 46) < 0.05) {
				return scaled(c, 0.45)
			}
			warp := v + 0.35*noise(0.12*u, 0.5*v, seed+1)
			t := contrast*(0.9*fractal(0.05*u, 1.6*warp, 4, 0.65, seed+2)+0.5*noise(0.5*u, 13*v, seed+3)) + 0.16*(unit(rehash(h))-0.5)
			return scaled(c, 1+t)
		},
		relief: func(x, y float64) float64 {
			q := wrap(y*co-x*s, plank)
			return -0.04 * (1 - step(0.02, 0.08, min(q, plank-q)))
		},
	}
}

func tiles(r *rand.Rand, seed uint32) *ground {
	c := lch(mix(30, 92, r.Float64()), mix(0, 18, r.Float64()), 360*r.Float64())
	side := pick(r, 2.0, 4, 8, 12)
	long := side * pick(r, 1.0, 1, 1.5, 3)
	joint := scaled(c, mix(0.4, 1.2, r.Float64()))
	half := mix(0.03, 0.1, r.Float64())
	s, co := math.Sincos(r.NormFloat64())
	vary := mix(0.01, 0.12, r.Float64())
	seam := func(x, y float64) (i, j, d float64) {
		u, v := x*co+y*s, y*co-x*s
		j = math.Floor(v / side)
		u += 0.5 * long * wrap(j, 2)
		p, q := wrap(u, long), wrap(v, side)
		return math.Floor(u / long), j, min(p, long-p, q, side-q)
	}
	return &ground{
		colour: func(x, y float64) colour.Linear {
			i, j, d := seam(x, y)
			if d < half {
				return joint
			}
			h := unit(hash(int32(i), int32(j), seed))
			return scaled(c, 1+vary*(2*h-1)+vary*fractal(0.6*x+9*h, 0.6*y, 3, 0.6, seed+1))
		},
		relief: func(x, y float64) float64 {
			_, _, d := seam(x, y)
			return -0.06 * (1 - step(half, half+0.08, d))
		},
	}
}

// clothGround returns a bedspread, a tablecloth or a quilt's plain back.
func clothGround(r *rand.Rand, seed uint32) *ground {
	f := drawFabric(r)
	k := mix(0.4, 2.5, r.Float64())
	fold, pucker := mix(0, 0.3, r.Float64()), pick(r, 0, 0, 0.05)
	return &ground{
		colour: func(x, y float64) colour.Linear { c, _ := f.colourAt(k*x, k*y); return c },
		relief: func(x, y float64) float64 {
			return fold*fractal(0.15*x, 0.15*y, 2, 0.5, seed+5) + pucker*math.Abs(math.Sin(2*x)*math.Sin(2*y))
		},
	}
}

// usualGrounds are the grounds of varied scenes, as often as they are drawn.
var usualGrounds = []string{
	"wood", "wood", "wood", "greymat", "flannel", "flannel", "carpet", "greenmat", "linen", "wall",
	"mat", "mat", "mat", "mat", "mat", "felt", "felt", "felt", "tiles", "cloth", "cloth", "boards",
}

// cover lays the ground, and on it, sometimes, a mat.
func (b *builder) cover(kinds []string, matOn bool) {
	r := b.r
	if b.options.Varied {
		kinds, matOn = usualGrounds, r.IntN(4) == 0
		if b.pale && r.IntN(2) == 0 {
			kinds, matOn = []string{"felt", "felt", "greymat", "flannel", "wall"}, false
		}
	}
	b.ground = pick(r, kinds...)
	b.addGround(drawGround(r, b.ground), nil, 0)
	if b.options.Varied && b.options.Reference == ByChance && r.IntN(12) == 0 {
		defer b.sheetUnder()
	}
	if !matOn {
		return
	}
	on := pick(r, "mat", "greenmat", "felt", "flannel", "cloth")
	b.ground = on + " on " + b.ground
	// Its edges show: a little smaller than the field.
	in := func(side int) float64 { return mix(0.82, 0.99, r.Float64()) * float64(side) / b.ppi / 2 }
	x0, y0, x1, y1 := -in(b.w), -in(b.h), in(b.w), in(b.h)
	outline := geom.Polygon{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	b.addGround(drawGround(r, on), outline, 0.09)
	b.drape.lay(outline, 0.09, 0.2)
}

// sheetUnder lays a white sheet somewhere, which cloth may lie on.
func (b *builder) sheetUnder() {
	r := b.r
	fw, fh := float64(b.w)/b.ppi, float64(b.h)/b.ppi
	b.layReference(references[1+r.IntN(2)], rect{x: 0.6 * fw * (r.Float64() - 0.5), y: 0.6 * fh * (r.Float64() - 0.5), angle: 2 * math.Pi * r.Float64()}, 0.1)
}

func (b *builder) addGround(g *ground, outline geom.Polygon, z float64) {
	f := lying(0, 0, z, 0)
	f.outline, f.relief = outline, g.relief
	f.colour = func(u, v float64) (colour.Linear, int) { return g.colour(u, v), 0 }
	b.add(f)
}
