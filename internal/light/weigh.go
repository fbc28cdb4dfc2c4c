package light

import (
	"cmp"
	"math"
	"slices"
)

// thing is a kind of surface: how often it is met, and its albedo.
type thing struct {
	share float64
	law   law
	white bool
}

// grounds are the surfaces that cloth is laid on: white cotton flannel and
// sheets, white walls, unbleached cotton, grey mats, wood, and anything.
// Unbrightened white cotton: the white T-shirt of Vrhel, Gershon & Iwan 1994
// has Y 0.776. The others are common practice, no source.
var grounds = []thing{
	{0.35, law{tristimulus{math.Log(0.775), 0.005, -0.045}, tristimulus{0.05, 0.02, 0.03}}, true},
	{0.05, law{tristimulus{math.Log(0.82), 0.01, -0.05}, tristimulus{0.08, 0.03, 0.05}}, true},
	{0.1, law{tristimulus{math.Log(0.72), 0.04, -0.12}, tristimulus{0.08, 0.03, 0.05}}, true},
	{0.25, law{tristimulus{math.Log(0.23), -0.06, 0.05}, tristimulus{0.22, 0.05, 0.04}}, false},
	{0.2, law{tristimulus{math.Log(0.2), 0.4, -0.45}, tristimulus{0.5, 0.2, 0.25}}, false},
	{0.15, law{tristimulus{math.Log(0.25), 0, -0.1}, tristimulus{0.7, 0.4, 0.4}}, false},
}

// prints are the brightest plain colours of prints: white grounds; the creams
// that are easily taken for white; greys and blacks, which tell the light's
// colour but not its strength. There is no blue-white to match the creams,
// which is why the bluest of several near-whites is the white one. Common
// practice, no source.
var prints = []thing{
	{0.3, law{tristimulus{math.Log(0.82), 0.005, -0.01}, tristimulus{0.05, 0.02, 0.025}}, true},
	{0.15, law{tristimulus{math.Log(0.75), 0.05, -0.15}, tristimulus{0.08, 0.035, 0.07}}, false},
	{0.08, law{tristimulus{math.Log(0.2), 0, 0}, tristimulus{0.9, 0.02, 0.025}}, false},
}

const (
	// otherShare of prints are of any other colour: as likely as the next, up
	// to the lightness of white cotton, over some 2.1 × 2.5 × 3 of log space.
	otherShare, otherDensity = 0.5, 0.06
	brightestAlbedo          = 0.85
	brightestSD              = 0.04 // how sharply albedos end there, in ln Y
)

func printDensity(a tristimulus) float64 {
	d := otherShare * otherDensity
	if over := (a[0] - math.Log(brightestAlbedo)) / brightestSD; over > 0 {
		d *= math.Exp(-over * over / 2)
	}
	for i := range prints {
		d += prints[i].share * prints[i].law.density(a)
	}
	return d
}

// What is usual of white in a phone's photo: exposure, what automatic white
// balance leaves along the line of daylights and lamps (warmth) and what it
// leaves across it (tint, towards magenta).
const (
	usualWhite, whiteSD   = 0.68, 0.3 // Y; sd of ln Y
	usualWarmth, warmthSD = 0.05, 0.09
	usualTint, tintSD     = 0, 0.035
)

// printVote tempers the pieces' votes: pieces of one print are not independent.
const printVote = 0.6

// floorSD is how far, in ln Y, white may lie under its floor.
const floorSD = 0.06

// improbable is the density left to whatever the laws did not foresee.
const improbable = 1e-9

// logPosterior is the log probability, up to a constant, that a perfect white
// in the middle of the picture records w: colour by correlation (Finlayson,
// Hordley & Hubel 2001, IEEE Trans. PAMI 23(11)), with exposure as a third
// dimension.
func (e *evidence) logPosterior(w tristimulus) float64 {
	return e.logPrior(w) + e.logLikelihood(w)
}

// logPrior is what is known of white before the photo is looked at. Beside a
// reference that is no more than a hint: a lamp may light the table, and not
// every phone makes up for it.
func (e *evidence) logPrior(w tristimulus) float64 {
	loose := 1.0
	if len(e.refs) > 0 || e.pick != nil {
		loose = looseness
	}
	warmth, tint := (w[1]-w[2])/2, (w[1]+w[2])/2
	return -(sq((warmth-usualWarmth)/(loose*warmthSD)) + sq((tint-usualTint)/(loose*tintSD)) + sq((w[0]-math.Log(usualWhite))/whiteSD)) / 2
}

// looseness is how many times wider the usual casts are taken beside a
// reference: up to the bare light of a filament lamp.
const looseness = 8

func (e *evidence) logLikelihood(w tristimulus) float64 {
	sum := 0.0
	if g := e.shape.ground; g != nil {
		a, d := g.sub(w), improbable
		for i := range grounds {
			d += grounds[i].share * grounds[i].law.density(a)
		}
		sum += math.Log(d)
	}
	onCloth := w
	onCloth[0] += math.Log(flatShare)
	for _, b := range e.bright {
		sum += printVote * math.Log(printDensity(b.sub(onCloth))+improbable)
	}
	if w[0] < e.floor {
		sum -= sq((e.floor-w[0])/floorSD) / 2
	}
	for _, r := range e.refs {
		n := law{r.white, tristimulus{0.04, 0.012, 0.015}}
		sum += math.Log(r.trust*n.density(w) + (1-r.trust)*0.01 + improbable)
	}
	if e.pick != nil {
		n := law{*e.pick, tristimulus{0.05, 0.01, 0.012}}
		sum += math.Log(n.density(w) + improbable)
	}
	return sum
}

// weigh gives the likeliest white of the middle of the picture, where it came
// from, and how far it can be trusted, 0..1.
func (e *evidence) weigh() (white tristimulus, from string, trust, lightnessSD float64) {
	scene := evidence{shape: e.shape, bright: e.bright, floor: e.floor, least: e.least}
	white, trust, lightnessSD = scene.best()
	from = FromEstimate
	if scene.shape.ground != nil && whiteGround(scene.shape.ground.sub(white)) {
		from = FromGround
	}
	e.refs = slices.DeleteFunc(e.refs, func(r sighting) bool {
		d := r.white.sub(white)
		if math.Hypot(d[1], d[2]) < mostCast || scene.odds(r.white) > scene.odds(white)-colouredOdds {
			return false
		}
		e.notes = append(e.notes, "the "+r.name+" is coloured, or lies in other light than the pieces, and was not used for white")
		return true
	})
	if len(e.refs) > 0 || e.pick != nil {
		white, trust, lightnessSD = e.best()
		from = FromPick
		if len(e.refs) > 0 {
			from = e.refs[0].name
		}
	}
	return white, from, trust, lightnessSD
}

// mostCast is how far, in log chromaticity, a white reference may lie from the
// white of the scene: about ΔE00 10.
const mostCast = 0.3

// odds is the log probability, up to a constant, of the scene and of w as its
// white, where now and then a lamp lights it that the camera made nothing of.
// In log space the whites of daylight and lamps lie along a line, from D65 over
// CIE D50 (0.25, −0.06) and FL2 (0.43, −0.07) to A (1.05, −0.24) in warmth and
// tint.
func (e *evidence) odds(w tristimulus) float64 {
	warmth, tint := (w[1]-w[2])/2, (w[1]+w[2])/2
	usual := math.Exp(-(sq((warmth-usualWarmth)/warmthSD)+sq((tint-usualTint)/tintSD))/2) / (2 * math.Pi * warmthSD * tintSD)
	lamp := 0.0
	if warmth > lampColdest && warmth < lampWarmest {
		lamp = math.Exp(-sq((tint+lampSlope*warmth)/lampTint)/2) / (math.Sqrt(2*math.Pi) * lampTint * (lampWarmest - lampColdest))
	}
	return e.logLikelihood(w) - sq((w[0]-math.Log(usualWhite))/whiteSD)/2 + math.Log((1-lampShare)*usual+lampShare*lamp+improbable)
}

const (
	lampColdest, lampWarmest = -0.3, 1.2
	lampSlope                = 0.21
	lampTint                 = 0.06
	lampShare                = 0.1 // of photos
	// colouredOdds are the ln odds against a reference that is coloured: one in
	// twenty, and its colour might have been any other.
	colouredOdds = 7
)

func whiteGround(albedo tristimulus) bool {
	white, all := 0.0, improbable
	for i := range grounds {
		d := grounds[i].share * grounds[i].law.density(albedo)
		all += d
		if grounds[i].white {
			white += d
		}
	}
	return white > all/2
}

// climbs is how many of the best first guesses are followed uphill.
const climbs = 4

// best is the mode of the posterior, the trust that its width and its rivals
// leave, and its width in L*.
func (e *evidence) best() (white tristimulus, trust, lightnessSD float64) {
	type guess struct {
		w tristimulus
		p float64
	}
	var guesses []guess
	try := func(w tristimulus) { guesses = append(guesses, guess{w, e.logPosterior(w)}) }
	try(tristimulus{math.Log(usualWhite), usualWarmth, -usualWarmth})
	if g := e.shape.ground; g != nil {
		for i := range grounds {
			try(g.sub(grounds[i].law.mean))
		}
	}
	for _, b := range e.bright {
		w := b.sub(prints[0].law.mean)
		w[0] -= math.Log(flatShare)
		try(w)
	}
	for _, r := range e.refs {
		try(r.white)
	}
	if e.pick != nil {
		try(*e.pick)
	}
	slices.SortStableFunc(guesses, func(a, b guess) int { return cmp.Compare(b.p, a.p) })
	guesses = guesses[:min(climbs, len(guesses))]
	top := 0
	for i := range guesses {
		guesses[i].w, guesses[i].p = e.climb(guesses[i].w)
		if guesses[i].p > guesses[top].p {
			top = i
		}
	}
	best := guesses[top]
	// The expected error, as the width of the mode and the distance of rivals.
	all, rival := 0.0, 0.0
	for _, g := range guesses {
		p := math.Exp(g.p - best.p)
		all += p
		rival += p * difference(g.w.sub(best.w))
	}
	sd := e.width(best.w, best.p)
	return best.w, math.Exp(-(difference(sd) + rival/all) / trustScale), lightnessPerLn * sd[0]
}

// trustScale is the ΔE00 of white at which trust has fallen to 1/e.
const trustScale = 15

// lightnessPerLn is dL*/d ln Y at L* 59: (L* + 16)/3, by the definition of L*
// (CIE 15:2018).
const lightnessPerLn = 25

// difference is about the ΔE00 that an error d of white makes on cloth of
// middling lightness.
func difference(d tristimulus) float64 {
	return math.Sqrt(sq(lightnessPerLn*d[0]) + sq(40*d[1]) + sq(30*d[2]))
}

// climb is a pattern search (Hooke & Jeeves 1961) uphill from w.
func (e *evidence) climb(w tristimulus) (tristimulus, float64) {
	p := e.logPosterior(w)
	for step := 0.08; step > 0.002; step /= 2 {
		for range 20 {
			moved := false
			for k := range w {
				for _, d := range [2]float64{step, -step} {
					t := w
					t[k] += d
					if q := e.logPosterior(t); q > p {
						w, p, moved = t, q, true
					}
				}
			}
			if !moved {
				break
			}
		}
	}
	return w, p
}

// What stays unknown of white however sharp the evidence: the albedo of the
// reference and how flat the cloth lies; in a stack, how deep in shade the
// folds stand.
var (
	flatSD = tristimulus{0.05, 0.01, 0.01}
	foldSD = tristimulus{0.25, 0.02, 0.02}
)

// width is the posterior's sd along each axis about w, whose log probability
// is top.
func (e *evidence) width(w tristimulus, top float64) tristimulus {
	const n, step = 8, 0.04
	var sd tristimulus
	for k := range sd {
		mass, m2 := 0.0, 0.0
		for i := -n; i <= n; i++ {
			t := w
			d := float64(i) * step
			t[k] += d
			p := math.Exp(e.logPosterior(t) - top)
			mass += p
			m2 += p * d * d
		}
		sd[k] = math.Hypot(e.least[k], math.Sqrt(m2/mass))
	}
	return sd
}
