package family

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/light"
)

// Doubt is how far all the colours of a photo may be off alike, because its light is
// not known exactly. The zero value knows the light.
type Doubt struct {
	Lightness float64 // CIE L*, one standard deviation
	Cast      float64 // CIE b* of a light grey, one standard deviation: light errs from yellow to blue
	// Guessed says that nothing white was in view: how light all is, is a guess then, and
	// real photos are further off than their light says.
	Guessed bool
}

// DoubtOf takes a photo's light at its word.
func DoubtOf(l cloth.LightReading) Doubt {
	return Doubt{Lightness: l.LightnessSD, Cast: whiteError / within(l.Trust), Guessed: l.From == light.FromEstimate}
}

// whiteError is the ΔE00 within which the white lies by the trust in it.
const whiteError = 3

// within is how many standard deviations hold a share p of errors that go three ways
// alike: p = erf(x/√2) − x·exp(−x²/2)·√(2/π), Maxwell's distribution.
func within(p float64) float64 {
	low, high := 0.5, 4.0
	for range 30 {
		x := (low + high) / 2
		if math.Erf(x/math.Sqrt2)-x*math.Exp(-x*x/2)*math.Sqrt(2/math.Pi) < p {
			low = x
		} else {
			high = x
		}
	}
	return (low + high) / 2
}

// gain is what a light does to the channels of linear sRGB.
type gain struct {
	by     colour.Linear
	weight float64
}

// lights are five lights that stand for what the light may have been: sigma points
// with the weights of the unscented transform in two dimensions, κ = 1 (Julier &
// Uhlmann 1997). At L* 59, dL*/d ln Y is 25; at L* 80 db*/d ln B is about 57, from
// CIELAB's b* = 200(f(Y) − f(Z)) (CIE 15:2018), Z being nearly all blue.
func (d Doubt) lights() []gain {
	if d == (Doubt{}) {
		return []gain{{colour.Linear{1, 1, 1}, 1}}
	}
	out := []gain{{colour.Linear{1, 1, 1}, 1.0 / 3}}
	for _, side := range []float64{-math.Sqrt(3), math.Sqrt(3)} {
		y, b := math.Exp(side*d.Lightness/25), math.Exp(side*d.Cast/57)
		out = append(out, gain{colour.Linear{y, y, y}, 1.0 / 6}, gain{colour.Linear{1, 1, b}, 1.0 / 6})
	}
	return out
}

func (g gain) apply(c colour.Linear) colour.Linear {
	return inside(colour.Linear{c[0] * g.by[0], c[1] * g.by[1], c[2] * g.by[2]})
}

// OfPrint names a print as the function OfPrint does, and says how sure it is.
func (d Doubt) OfPrint(inks []cloth.Swatch, mean colour.Linear) Reading {
	r := read(inks, mean)
	lights := d.lights()
	r.likely = r.tally
	if len(lights) > 1 {
		r.likely = ballot{}
		lit := make([]cloth.Swatch, len(inks))
		for _, g := range lights {
			for i, k := range inks {
				lit[i] = cloth.Swatch{Colour: g.apply(k.Colour), Share: k.Share}
			}
			other := read(lit, g.apply(mean))
			for f, n := range other.tally {
				r.likely[f] += g.weight * n
			}
		}
	}
	r.settle()
	return r
}

// The line of a logistic regression of right answers on ln of how much louder the
// family is than the next, over the lights; fitted by 'go run ./cmd/truth names'.
var familyLine = Line{At: 0.39, Slope: 0.63}

// settle says how sure the name is, and which other is near.
func (r *Reading) settle() {
	r.Or = ""
	if r.Family == cloth.Many {
		r.Trust = familyLine.trust(0)
		return
	}
	said := 0
	others := r.likely
	for f, name := range letterFamilies {
		if name == r.Family {
			said = f
		}
	}
	others[said] = 0
	next := others.largest()
	const least = 0.01
	r.Trust = familyLine.trust(math.Log((r.likely[said] + least) / (others[next] + least)))
	if others[next] >= near*r.likely[said] {
		// A white or black that might be the name is the ground of one that is not;
		// another colour that might is no sure second.
		if r.Or = letterFamilies[next]; r.With == r.Or && next >= neutrals {
			r.With = ""
		}
	}
}

// near is how likely the next must be, beside the one that is said, to be named with it.
const near = 0.6

// Line is a straight line in log-odds: at + slope × sign.
type Line struct{ At, Slope float64 }

func (l Line) trust(x float64) float64 { return 1 / (1 + math.Exp(-l.At-l.Slope*x)) }

// Lines are those that trust in families and in values was fitted with.
func Lines() (families, values, guessed Line) { return familyLine, valueLine, guessedLine }

// lightnessSD is how far a piece's own L* may be off in known light: folds, shade,
// and what the camera makes of it.
const lightnessSD = 1.5

// valueLine and guessedLine are fitted as familyLine is, on the log-odds that L* lies
// where it says, in light that was found and in light that was guessed.
var (
	valueLine   = Line{At: 1.17, Slope: 1.35}
	guessedLine = Line{At: 0.67, Slope: 0.22}
)

// Value is the value of a lightness (CIE L*), how likely it is the true one, and the
// neighbour it may be instead where it is a toss-up.
func (d Doubt) Value(lightness float64) (v cloth.Value, trust float64, or cloth.Value) {
	sd, line := math.Hypot(d.Lightness, lightnessSD), valueLine
	if d.Guessed {
		line = guessedLine
	}
	below := func(l float64) float64 { return 0.5 * (1 + math.Erf((l-lightness)/(sd*math.Sqrt2))) }
	v = cloth.ValueOf(lightness)
	likely := make([]float64, len(cloth.Values))
	at, top := 0, 1.0
	for i, w := range cloth.Values {
		low := 0.0
		if i < len(cloth.ValueCuts) {
			low = below(cloth.ValueCuts[i])
		}
		likely[i] = top - low
		top = low
		if w == v {
			at = i
		}
	}
	const least = 0.01
	p := min(1-least, max(least, likely[at]))
	trust = line.trust(math.Log(p / (1 - p)))
	next := -1
	for i, n := range likely {
		if i != at && (next < 0 || n > likely[next]) {
			next = i
		}
	}
	if likely[next] >= near*likely[at] {
		or = cloth.Values[next]
	}
	return v, trust, or
}
