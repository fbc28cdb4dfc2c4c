package family

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/light"
)

// Uncertainty is how far all the colours of a photo may be off alike, because its light is
// not known exactly: standard deviations. The zero value knows the light.
type Uncertainty struct {
	Lightness    float64 // CIE L*
	Warmth, Tint float64 // as in cloth.LightReading
	// Guessed says that nothing white was in view: how light all is, is a guess then.
	Guessed bool
	// Doubtful says that the white is rather wrong than right.
	Doubtful bool
}

// UncertaintyOf takes a photo's light at its word.
func UncertaintyOf(l cloth.LightReading) Uncertainty {
	return Uncertainty{l.LightnessSD, l.WarmthSD, l.TintSD, l.From == light.FromEstimate, l.Trust < 0.5}
}

// pieceStrength and pieceColour are how far a piece's own light may be off that of the
// photo, in ln Y and in its warmth and tint: folds, shade, and what the camera makes of
// it. On the photos that familyLine is fitted to they make the families said at .9 or
// more right 98 times in 100 (95 without them), and the Brier score .002 better.
const pieceStrength, pieceColour = 0.12, 0.05

// gain is what a light does to the channels of linear sRGB.
type gain struct {
	by     colour.Linear
	weight float64
}

// lights stand for what the light on a piece may have been: the points of McNamee &
// Stenger's rule of fifth degree for a normal law in three dimensions (1967), that is all
// that are none or √3 standard deviations off in strength, warmth and tint, but for those
// that are off in all three. At L* 59, dL*/d ln Y is 25 (CIE 15:2018).
func (d Uncertainty) lights() []gain {
	if d == (Uncertainty{}) {
		return []gain{{colour.Linear{1, 1, 1}, 1}}
	}
	weights := [...]float64{1. / 3, 1. / 18, 1. / 36}
	sides := [...]float64{0, -math.Sqrt(3), math.Sqrt(3)}
	strength := math.Hypot(d.Lightness/25, pieceStrength)
	warmth, tint := math.Hypot(d.Warmth, pieceColour), math.Hypot(d.Tint, pieceColour)
	var out []gain
	for i, y := range sides {
		for j, u := range sides {
			for k, v := range sides {
				if off := min(i, 1) + min(j, 1) + min(k, 1); off < len(weights) {
					r, b := math.Exp(v*tint+u*warmth), math.Exp(v*tint-u*warmth)
					g := math.Exp(y*strength) / colour.Luma(r, 1, b)
					out = append(out, gain{colour.Linear{r * g, g, b * g}, weights[off]})
				}
			}
		}
	}
	return out
}

func (g gain) apply(c colour.Linear) colour.Linear {
	return inside(colour.Linear{c[0] * g.by[0], c[1] * g.by[1], c[2] * g.by[2]})
}

// OfPrint names a print by its inks (shares are taken relative to their sum) and its mean
// colour, and says how sure the name is. Without inks it names the mean.
func (d Uncertainty) OfPrint(inks []cloth.Ink, mean colour.Linear) Reading {
	r := read(inks, mean)
	r.call(r.Family)
	r.doubtful = d.Doubtful
	lit := make([]cloth.Ink, len(inks))
	for _, g := range d.lights() {
		for i, k := range inks {
			lit[i] = cloth.Ink{Colour: g.apply(k.Colour), Share: k.Share}
		}
		other := read(lit, g.apply(mean))
		for f, name := range letterFamilies {
			r.likely[f] += g.weight * other.tally[f]
			if name == other.Family {
				r.named[f] += g.weight
			}
		}
	}
	r.settle()
	return r
}

// The lines of logistic regressions of right answers on ln of how much louder the family
// is than the next, over the lights, as 'go run ./cmd/truth names' fits them; real photos
// and composites, in which people named the cloth, weigh as much as each other. What is
// said of cloth whose colour is hardly seen is less sure than it looks.
var familyLine, dullLine = Line{At: 1.15, Slope: 1.6}, Line{At: -0.08, Slope: 0.65}

// Dull reports whether a family is one that a faded or badly lit colour goes by.
func Dull(f cloth.Family) bool {
	return slices.Contains([]cloth.Family{cloth.White, cloth.Grey, cloth.Black, cloth.Brown, cloth.Many}, f)
}

// unsure is the most that a name can be trusted in doubtful light that does not hold in
// every light tried.
const unsure = 0.89

// settle says how sure the name is, and which other is near.
func (r *Reading) settle() {
	r.Or = ""
	line := familyLine
	if Dull(r.Family) {
		line = dullLine
	}
	if r.Family == cloth.Many {
		r.Trust = line.trust(0)
		return
	}
	said := slices.Index(letterFamilies[:], r.Family)
	others := r.likely
	others[said] = 0
	next := others.largest()
	const least = 0.01
	r.Trust = line.trust(math.Log((r.likely[said] + least) / (others[next] + least)))
	if r.doubtful && r.named[said] < 1-least {
		r.Trust = min(r.Trust, unsure)
	}
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

// Lines returns the lines by which trust in families, dull families, values and guessed
// values was fitted with.
func Lines() (families, dull, values, guessed Line) {
	return familyLine, dullLine, valueLine, guessedLine
}

// lightnessSD is how far a piece's own L* may be off in known light.
const lightnessSD = 1.5

// valueLine and guessedLine are fitted as familyLine is, on the log-odds that L* lies
// where it says, in light that was found and in light that was guessed.
var (
	valueLine   = Line{At: 1.17, Slope: 1.35}
	guessedLine = Line{At: 0.67, Slope: 0.22}
)

// Value returns the value of a lightness (CIE L*), how likely it is the true one, and the
// neighbour it may be instead where it is a toss-up.
func (d Uncertainty) Value(lightness float64) (v cloth.Value, trust float64, or cloth.Value) {
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
