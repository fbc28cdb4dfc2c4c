package palette

import (
	_ "embed" // prints.json
	"encoding/json"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"piecebag/internal/cloth"
)

// model is how much each kind of evidence counts.
type model struct {
	allow allowance
	Bias  float64 // log odds of one print where nothing differs
	// Pattern is how many log odds a unit of evidence takes away.
	Pattern [evidenceCount]float64
	// Rarity is what speaks for one print where nothing differs: the less usual a
	// piece looks and the better it is known, the more.
	Rarity [rarityCount]float64
	// Level and Tint are how many log odds a unit of the difference of light takes
	// away, and Shade what a shadow on one of the pieces takes, which explains it.
	Level, Tint, Shade float64
	// Light is how far the light of two pieces of one print differs where it is even:
	// one standard deviation.
	Light [lightCount]float64
}

const (
	byBusyLess = iota // how much the colours vary within the piece that is plainer
	byBusyMore        // and within the other
	bySize            // how large the smaller piece is
	byError           // how uneven the pieces are
	rarityCount
)

// usual are the middles of what rarity goes by.
var usual = [rarityCount]float64{byBusyLess: -5, byBusyMore: -4, bySize: 8, byError: -12}

// models are those of pieces that lie flat in one photo, of folded ones, and of
// prints in two photos.
//
//go:embed prints.json
var fitted []byte

var models = func() (m struct{ Flat, Folded, Across model }) {
	if err := json.Unmarshal(fitted, &m); err != nil {
		panic(err) // it is a part of the program
	}
	m.Flat.allow, m.Folded.allow, m.Across.allow = flat, folded, across
	return m
}()

// modelOf is that of two pieces in a photo of a kind.
func modelOf(k cloth.Kind) *model {
	if k == cloth.Stack {
		return &models.Folded
	}
	return &models.Flat
}

// patternOdds returns the log odds by all that light does not change, or something below
// least: what most pairs of pieces differ in at once spares the rest.
func (m *model) patternOdds(p, q *candidate, try scales, least float64) float64 {
	odds := m.Bias
	for k, v := range rarity(p, q) {
		odds += m.Rarity[k] * (v - usual[k])
	}
	if odds < least {
		return odds
	}
	a, b, try := inOrder(p.Signature, q.Signature, try)
	var e evidence
	compareColours(&e, a, b, &m.allow)
	if colours := odds - m.weigh(&e); colours < least {
		return colours
	}
	compareTextures(&e, a, b, &m.allow, try)
	return odds - m.weigh(&e)
}

func (m *model) weigh(e *evidence) float64 {
	sum := 0.0
	for k, v := range e {
		sum += m.Pattern[k] * v
	}
	return sum
}

// leastError is that of the most even cloth that rarity was fitted on.
const leastError = -14

// candidate is a signature that is compared with many: what rarity goes by is measured
// once.
type candidate struct {
	*Signature
	busy, errors float64
}

func (s *Signature) candidate() candidate { return candidate{s, s.busy(), s.errors()} }

func rarity(a, b *candidate) [rarityCount]float64 {
	return [rarityCount]float64{
		byBusyLess: min(a.busy, b.busy), byBusyMore: max(a.busy, b.busy),
		bySize: math.Log(float64(min(a.area, b.area))), byError: max(leastError, a.errors+b.errors),
	}
}

// busy returns the logarithm of the variance of colours.
func (s *Signature) busy() float64 {
	v := 0.0
	for c := range 3 {
		v += math.Exp(s.stats[statContrast+c].mean)
	}
	return math.Log(v)
}

// errors returns the mean logarithm of the variances of what is known of the spread of
// colours.
func (s *Signature) errors() float64 {
	const floor = 1e-5
	sum, n := 0.0, 0.0
	for k := range statContrast {
		if s.stats[k].known {
			sum += math.Log(s.stats[k].variance + floor)
			n++
		}
	}
	return sum / max(n, 1)
}

// lightApart returns the difference of light of two prints and its variance.
func lightApart(a, b *Signature) (d, v [lightCount]float64) {
	for c := range d {
		d[c] = a.light[c].mean - b.light[c].mean
		v[c] = varianceScale * (a.light[c].variance + b.light[c].variance)
	}
	return d, v
}

// lightOdds returns what the difference d of light, known to variance, takes from the log
// odds, where the light of two pieces of one print may differ by sd; or a shadow lies
// on one of them, which inShade is the probability of.
func (m *model) lightOdds(d, variance, sd *[lightCount]float64) (odds, inShade float64) {
	near := m.lightEvidence(d, variance, sd)
	wide := *sd
	for c := range wide {
		near += lightLoss * math.Log(max(1, sd[c]/m.Light[c]))
		wide[c] = max(wide[c], shadow[c])
	}
	far := m.Shade + m.lightEvidence(d, variance, &wide)
	return min(near, far) - math.Log1p(math.Exp(-math.Abs(near-far))), 1 / (1 + math.Exp(far-near))
}

func (m *model) lightEvidence(d, variance, sd *[lightCount]float64) float64 {
	var z [lightCount]float64
	for c := range z {
		z[c] = d[c] * d[c] / (sd[c]*sd[c] + variance[c])
	}
	return m.Level*math.Log(1+z[lightLevel]/4) + m.Tint*math.Log(1+(z[lightRed]+z[lightYellow])/4)
}

// shadow is how far the light in shadows differs.
var shadow = [lightCount]float64{0.5, 0.04, 0.15}

// lightLoss is how much less it says that two lights agree where the light itself is
// not well known, per unit of the logarithm of its deviation.
const lightLoss = 0.25

// pair is two pieces of a photo.
type pair struct {
	i, j        int
	pattern     float64 // log odds by all but light
	away        place   // how far apart they lie
	d, variance [lightCount]float64
}

// place is what the light on a piece goes by: x, y, x², xy, y² of its middle, from that
// of the photo, in longer sides.
type place [5]float64

// placesApart returns how far a lies from b.
func placesApart(a, b *Signature) place {
	x, y := a.at[0]-0.5, a.at[1]-0.375
	u, v := b.at[0]-0.5, b.at[1]-0.375
	return place{x - u, y - v, x*x - u*u, x*y - u*v, y*y - v*v}
}

// lighting is how the light on pieces of one print differs in a photo.
type lighting struct {
	slope [lightCount]place   // how fast it grows
	sd    [lightCount]float64 // what that leaves: one standard deviation
}

// left returns what the lie of a pair leaves of its difference of light.
func (l *lighting) left(p *pair) (d [lightCount]float64) {
	for c := range d {
		d[c] = p.d[c]
		for k, v := range p.away {
			d[c] -= l.slope[c][k] * v
		}
	}
	return d
}

// lightingOf finds how the light differs by the pairs that are surely of one print.
func (m *model) lightingOf(pairs []pair, pieces int) lighting {
	l := lighting{sd: m.Light}
	for range unevenSteps {
		same := 0.0
		var sum [lightCount]float64
		var normal [lightCount]normal
		for k := range pairs {
			p := &pairs[k]
			d := l.left(p)
			odds, inShade := m.lightOdds(&d, &p.variance, &l.sd)
			w := (1 - inShade) / (1 + math.Exp(odds+surely-p.pattern))
			if w < 1e-3 {
				continue
			}
			same += w
			for c, v := range d {
				sum[c] += w * max(0, min(v*v, unevenMost[c]*unevenMost[c])-p.variance[c])
				normal[c].add(&p.away, p.d[c], w/(l.sd[c]*l.sd[c]+p.variance[c]))
			}
		}
		// A piece makes pairs with all others of its print, which say much the same.
		share := min(1, 2*float64(pieces)/(same+1))
		for c := range sum {
			l.sd[c] = math.Sqrt((unevenPrior*m.Light[c]*m.Light[c] + share*sum[c]) / (unevenPrior + share*same))
			l.slope[c] = normal[c].solve(share, usualSlope[c])
		}
	}
	return l
}

// normal are the normal equations of a linear regression.
type normal struct {
	a [len(place{}) * len(place{})]float64 // its upper triangle is used
	b place
}

func (n *normal) add(x *place, y, weight float64) {
	for i, v := range x {
		for j := i; j < len(x); j++ {
			n.a[i*len(x)+j] += weight * v * x[j]
		}
		n.b[i] += weight * v * y
	}
}

// solve returns the solution that is likeliest where all weights are taken by share and
// each slope is normally distributed about 0.
func (n *normal) solve(share, sd float64) (x place) {
	m := mat.NewSymDense(len(x), n.a[:])
	m.ScaleSym(share, m)
	for i := range x {
		m.SetSym(i, i, m.At(i, i)+1/(sd*sd))
	}
	var factor mat.Cholesky
	factor.Factorize(m) // what is added makes it positive definite
	to := mat.NewVecDense(len(x), x[:])
	_ = factor.SolveVecTo(to, mat.NewVecDense(len(x), n.b[:])) // the error would only tell that it is stiff
	to.ScaleVec(share, to)
	return x
}

const (
	unevenSteps = 8
	unevenPrior = 6. // pairs that the usual light counts as
	surely      = 4. // log odds beside which a pair counts half
)

// usualSlope is how far the light slopes across a photo, per longer side: one standard
// deviation.
var usualSlope = [lightCount]float64{0.15, 0.02, 0.07}

// unevenMost are differences that say no more by being larger.
var unevenMost = [lightCount]float64{0.3, 0.025, 0.06}

// DifferenceNames name what Differences gives.
var DifferenceNames = []string{
	"spread_l", "spread_c", "spread", "contrast", "together", "stripes", "checks", "fine_l", "middle_l", "coarse_l",
	"fine_c", "middle_c", "coarse_c", "twofold", "fourfold", "scale", "inks", "ground",
	"busy_less", "busy_more", "size", "error",
	"level", "red", "yellow", "level_variance", "red_variance", "yellow_variance",
	"x", "y", "xx", "xy", "yy",
}

// Differences returns what the models weigh of two pieces, as they are fitted to them: the
// evidence, the rarity, the difference of light and its variance, and how far apart they
// lie in one photo.
func Differences(a, b *Signature, folds, twoPhotos bool) []float64 {
	m, try := &models.Flat, inOnePhoto
	switch {
	case twoPhotos:
		m, try = &models.Across, scalesBetween(a, b)
	case folds:
		m = &models.Folded
	}
	p, q := a.candidate(), b.candidate()
	e, r := compare(a, b, &m.allow, try), rarity(&p, &q)
	d, v := lightApart(a, b)
	at := placesApart(a, b)
	return slices.Concat(e[:], r[:], d[:], v[:], at[:])
}
