package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
)

// lamp is one source of light.
type lamp struct {
	name  string
	cct   float64 // kelvin
	power float64 // irradiance of the middle of the ground, first lamp 1
	rgb   colour.Linear
	dir   vec     // towards the lamp from the middle, unit
	away  float64 // inches; 0 is as far as the sun
	fall  float64 // power of the fall-off with distance
	width float64 // half angle of the source, radians
}

// lighting is the light of a scene.
type lighting struct {
	kind       string
	lamps      []lamp
	ambient    colour.Linear
	ambientCCT float64
	shadows    []shadow
}

// shadow is thrown on the ground by something out of the picture: how much of the first
// lamp's light it leaves at world (x, y), 0..1.
type shadow func(x, y float64) float64

// whiteOf returns the linear colour, luminance 1, of a black body (t < 4800 K) or
// of CIE daylight at t kelvin: the black body by the cubic fit of Kim et al.
// (US patent 7024034, 2002), daylight by CIE 15:2004 equation 3.2.
func whiteOf(t float64) colour.Linear {
	var x, y float64
	switch {
	case t >= 4800:
		k := 1e3 / t
		if t <= 7000 {
			x = ((-4.6070*k+2.9678)*k+0.09911)*k + 0.244063
		} else {
			x = ((-2.0064*k+1.9018)*k+0.24748)*k + 0.237040
		}
		y = (-3*x+2.870)*x - 0.275
	case t >= 4000:
		k := 1e3 / t
		x = ((-3.0258469*k+2.1070379)*k+0.2226347)*k + 0.240390
		y = ((3.0817580*x-5.87338670)*x+3.75112997)*x - 0.37001483
	default:
		k := 1e3 / t
		x = ((-0.2661239*k-0.2343589)*k+0.8776956)*k + 0.179910
		y = ((-0.9549476*x-1.37418593)*x+2.09137015)*x - 0.16748867
	}
	c := colour.XYZ{x / y, 1, (1 - x - y) / y}.Linear()
	for i := range c {
		c[i] = max(0.01, c[i])
	}
	return c
}

// lightKinds are the kinds of light a photo may have.
var lightKinds = []string{"overcast", "sunny", "tungsten", "led", "mixed"}

// drawLight makes the light of a photo spanning about field inches.
func drawLight(r *rand.Rand, level int, field float64) *lighting {
	l := &lighting{kind: pick(r, lightKinds...)}
	az := 2 * math.Pi * r.Float64()
	add := func(name string, cct, power, az, elevation, away, fall, width float64) {
		s, c := math.Sincos(elevation)
		l.lamps = append(l.lamps, lamp{
			name: name, cct: cct, power: power, rgb: whiteOf(cct),
			dir: vec{c * math.Cos(az), c * math.Sin(az), s}, away: away, fall: fall, width: width,
		})
	}
	between := func(lo, hi float64) float64 { return mix(lo, hi, r.Float64()) }
	var amb float64
	switch l.kind {
	case "overcast":
		add("window", between(6400, 7600), 1, az, between(0.5, 0.95), field*between(0.9, 2.4), 1.6, 0.22)
		l.ambientCCT, amb = between(5200, 7000), between(0.25, 0.5)
	case "sunny":
		add("sun", between(5300, 5700), 1, az, between(0.45, 1.1), 0, 0, 0.006)
		l.ambientCCT, amb = between(7500, 8600), between(0.12, 0.3)
	case "tungsten":
		add("lamp", between(2700, 3000), 1, az, between(0.75, 1.25), field*between(0.9, 1.8), 2, 0.05)
		if r.IntN(2) == 0 {
			add("lamp2", between(2750, 3050), between(0.25, 0.6), az+between(1.5, 4.5), between(0.6, 1.2), field*between(1, 2), 2, 0.05)
		}
		l.ambientCCT, amb = l.lamps[0].cct+60, between(0.2, 0.45)
	case "led":
		add("panel", between(3600, 5200), 1, az, between(0.8, 1.35), field*between(1, 2.2), 2, 0.16)
		if r.IntN(2) == 0 {
			add("panel2", l.lamps[0].cct, between(0.4, 0.8), az+between(1.5, 4.5), between(0.8, 1.3), field*between(1, 2), 2, 0.16)
		}
		l.ambientCCT, amb = l.lamps[0].cct-150, between(0.2, 0.45)
		for i := range l.lamps { // LEDs stray from the locus towards green or pink
			l.lamps[i].rgb[1] *= 1 + 0.025*r.NormFloat64()
		}
	default:
		add("window", between(6000, 7000), 1, az, between(0.5, 0.9), field*between(0.7, 1.8), 1.8, 0.2)
		add("lamp", 2850, between(0.45, 1), az+between(2, 4.2), between(0.7, 1.2), field*between(0.7, 1.4), 2, 0.05)
		l.ambientCCT, amb = 4600, between(0.15, 0.35)
	}
	l.ambient = scaled(whiteOf(l.ambientCCT), amb)
	if level >= 2 && r.IntN(3) == 0 {
		l.shadows = append(l.shadows, photographer(r, l.lamps[0], field))
	}
	if level >= 2 && (l.kind == "sunny" || l.kind == "overcast") && r.IntN(3) == 0 {
		l.shadows = append(l.shadows, windowBars(r, l.lamps[0], field))
	}
	return l
}

// photographer returns the shadow of a head, shoulders and arms, from the edge of
// the field away from the lamp's side.
func photographer(r *rand.Rand, l lamp, field float64) shadow {
	az := math.Atan2(l.dir.y, l.dir.x) + math.Pi + 0.5*r.NormFloat64()
	s, c := math.Sincos(az)
	far := field * mix(0.22, 0.5, r.Float64())
	size := field * mix(0.10, 0.17, r.Float64())
	soft := max(0.03, 2.2*l.width)
	deep := mix(0.25, 0.75, r.Float64())
	if l.name == "sun" {
		deep = mix(0.8, 1, r.Float64())
	}
	return func(x, y float64) float64 {
		u, v := (x*c+y*s-far)/size, (y*c-x*s)/size // u outwards, v across
		head := math.Hypot(u, v/0.8) - 1
		body := math.Hypot(min(0, (u-2.6)/1.4), v/2.6) - 1
		if u > 2.6 {
			body = math.Abs(v)/2.6 - 1
		}
		arm := max(math.Abs(math.Abs(v)-2.1+0.3*u)-0.45, math.Abs(u-1)-1.8)
		return 1 - deep*(1-step(-soft*3, soft*3, min(head, body, arm)))
	}
}

// windowBars returns the shadow of window bars or of leaves outside.
func windowBars(r *rand.Rand, l lamp, field float64) shadow {
	az := math.Pi * r.Float64()
	s, c := math.Sincos(az)
	pitch := field * mix(0.3, 0.6, r.Float64())
	bar := mix(0.1, 0.3, r.Float64())
	soft := max(0.02, 1.2*l.width)
	off := r.Float64()
	seed := r.Uint32()
	deep := mix(0.6, 1, r.Float64())
	if l.name != "sun" {
		deep *= 0.45
	}
	leaves := r.IntN(2) == 0
	return func(x, y float64) float64 {
		if leaves {
			n := fractal(x/(0.12*field), y/(0.12*field), 3, 0.6, seed) + 0.9*noise(x/(0.6*field), y/(0.6*field), seed+5)
			return 1 - deep*step(0.25-soft, 0.25+soft, n)
		}
		u, v := (x*c+y*s)/pitch+off, (y*c-x*s)/pitch+off
		d := min(math.Abs(wrap(u, 1)-0.5), math.Abs(wrap(v, 1.6)-0.8))
		return 1 - deep*(1-step(bar/2-soft/3, bar/2+soft/3, d))
	}
}

// towards returns the direction from p to the lamp and the irradiance, times rgb,
// that a surface facing it has there, over what flat ground has in the middle.
func (l *lamp) towards(p vec) (vec, float64) {
	k := l.power / l.dir.z
	if l.away == 0 {
		return l.dir, k
	}
	d := l.dir.mul(l.away).sub(p)
	n := math.Sqrt(d.dot(d))
	return d.mul(1 / n), k * math.Pow(l.away/n, l.fall)
}

// left returns the share of the first lamp's light that shadows from outside the
// picture leave at p; they are taken along the light to the ground.
func (l *lighting) left(p vec) float64 {
	d := l.lamps[0].dir
	x, y := p.x-p.z*d.x/d.z, p.y-p.z*d.y/d.z
	t := 1.0
	for _, left := range l.shadows {
		t *= left(x, y)
	}
	return t
}

// open returns the light on a level place p with nothing standing about.
func (l *lighting) open(p vec) colour.Linear {
	sum := l.ambient
	for i := range l.lamps {
		d, e := l.lamps[i].towards(p)
		e *= max(0, d.z)
		if i == 0 {
			e *= l.left(p)
		}
		for k := range sum {
			sum[k] += e * l.lamps[i].rgb[k]
		}
	}
	return sum
}
