package light

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"piecebag/internal/cloth"

	"piecebag/internal/colour"
	"piecebag/internal/raster"
)

// thing is a kind of surface: how often it is met, and its albedo.
type thing struct {
	share float64
	law   law
	white bool
}

// grounds are the surfaces that cloth is laid on: white cotton flannel and
// sheets, white walls and paper, unbleached cotton, grey mats, wood, and
// anything. Unbrightened white cotton: the white T-shirt of Vrhel, Gershon &
// Iwan 1994 has Y 0.776; made photos of flannel have 0.77 to 0.85. The others
// are common practice, no source.
var grounds = []thing{
	{0.3, law{tristimulus{math.Log(0.81), 0.005, -0.045}, tristimulus{0.06, 0.02, 0.035}}, true},
	{0.1, law{tristimulus{math.Log(0.82), 0, 0.03}, tristimulus{0.1, 0.03, 0.07}}, true},
	{0.1, law{tristimulus{math.Log(0.7), 0.04, -0.14}, tristimulus{0.1, 0.035, 0.06}}, true},
	{0.2, law{tristimulus{math.Log(0.23), -0.04, 0.04}, tristimulus{0.3, 0.06, 0.06}}, false},
	{0.2, law{tristimulus{math.Log(0.2), 0.4, -0.5}, tristimulus{0.5, 0.2, 0.3}}, false},
	{0.1, law{tristimulus{math.Log(0.25), 0, -0.1}, tristimulus{0.7, 0.4, 0.4}}, false},
}

// The brightest plain colours of prints: white grounds; the creams that are
// easily taken for white; greys and blacks, which tell the light's colour but
// not its strength; and all others, which are warm more often than cool. By 108
// printed cottons of one quilt, of which the lightest were cream and none was
// white (their photo is in the public domain). Whites: the T-shirt above has Y 0.776,
// cotton with brightener more than paper (common practice, no source), and those of
// made photos 0.76 to 0.84.
// The shares are common practice, no source: a stash that leans to creams or has no
// white is as likely as one with many, and to weigh such stashes one by one, or prints
// that look alike as one, told no more on 100 made photos.
var prints = []thing{
	{0.15, law{tristimulus{math.Log(0.83), 0.005, -0.02}, tristimulus{0.06, 0.02, 0.035}}, true},
	{0.15, law{tristimulus{math.Log(0.73), 0.05, -0.2}, tristimulus{0.1, 0.04, 0.09}}, false},
	{0.07, law{tristimulus{math.Log(0.2), 0.01, -0.02}, tristimulus{0.9, 0.03, 0.05}}, false},
	{0.63, law{tristimulus{math.Log(0.3), 0.15, -0.4}, tristimulus{0.9, 0.5, 0.5}}, false},
}

const (
	// brightestAlbedo is Y of the whitest cotton: with brightener 0.9 may be (common
	// practice, no source).
	brightestAlbedo = 0.86
	brightestSD     = 0.05 // how sharply albedos end there, in ln Y
	tooBright       = 1e-3 // how often a piece lies in brighter light than is seen
)

// What is usual of white in a phone's photo: exposure, what automatic white
// balance leaves along the line of daylights and lamps (warmth) and what it
// leaves across it (tint, towards magenta).
const (
	usualWhite, whiteSD   = 0.68, 0.35 // Y; sd of ln Y
	usualWarmth, warmthSD = 0.03, 0.08
	usualTint, tintSD     = 0, 0.035
)

// Now and then a lamp lights the table that the camera made nothing of. In log
// space the whites of daylight and lamps lie along a line, from D65 over CIE
// D50 (0.25, −0.06) and FL2 (0.43, −0.07) to A (1.05, −0.24) in warmth and
// tint.
const (
	lampColdest, lampWarmest = -0.3, 1.2
	lampSlope                = 0.21
	lampTint                 = 0.06
	lampShare                = 0.05 // of photos
)

const (
	// printVote tempers the pieces' votes, and mostVotes is the most they come to: the
	// prints of one stash are not independent. Without that most, values of composites
	// without a reference are right on 0.90 for 0.93.
	printVote, mostVotes = 0.7, 6
	// floorSD is how far, in ln Y, white may lie under its floor. No source.
	floorSD = 0.06
	// How often the brightest thing in view is lit as the table is, what looks like
	// white paper is, and a place picked as white is, for a finger slips. No source.
	topTrust, sureOfPaper, sureOfPick = 0.9, 0.85, 0.98
	// anything is the density of the colour of what is no white reference: by the law of
	// coloured prints, that of one a deviation off the middle each way.
	anything = 0.06
	// improbable is the density left to whatever the laws did not foresee.
	improbable = 1e-9
)

// The light that cut cloth beside a flat card sends back for its albedo: cloth is
// wrinkled, its edges lift, and its threads shade one another. It had 0.85 to 0.93 of it
// on renders looked at, 1.00 on other made photos and on photos of flat cotton, and
// nothing in view told which: the middle is taken. A bundle's front may lie in
// any shade, and in other light than a card that lies on top of the bundles: on 23
// made photos of stacks with one ln Y was spread by 0.25 about what it says, and
// in its chromaticity by 0.09 and 0.17.
var (
	flatShare = law{mean: tristimulus{math.Log(0.95)}, sd: tristimulus{0.05, 0.006, 0.008}}
	foldShare = law{mean: tristimulus{math.Log(0.9)}, sd: tristimulus{0.3, 0.1, 0.17}}
)

// fold returns what the sides of folded cloth record of what its ridges do, ln Y: as
// the most even of the pieces show, which are plain, and otherwise lie flat at
// evenFlat. Nought where too few show.
func (e *evidence) fold() float64 {
	var v []float64
	for _, b := range e.bright {
		v = append(v, b.mean)
	}
	if len(v) < fewestFolds {
		return math.Log(usualFold)
	}
	return min(0, max(math.Log(deepestFold), raster.Nth(v, len(v)*9/10)-math.Log(evenFlat)))
}

const (
	fewestFolds            = 4
	evenFlat               = 0.97 // of photos of flat pieces
	usualFold, deepestFold = 0.85, 0.5
)

// ready brings what grounds and references may be to how it is seen, and shares out
// their votes.
func (e *evidence) ready() *evidence {
	seen := slices.Clone(e.grounds)
	for _, g := range e.grounds {
		g.seen = nil
		for _, t := range grounds {
			g.seen = append(g.seen, t.law.wider(g.sd).wider(e.share.sd))
		}
	}
	for _, r := range e.refs {
		r.at.seen = []law{r.albedo.wider(r.at.sd).wider(e.share.sd)}
		seen = append(seen, r.at)
	}
	offsets := make([]tristimulus, len(seen))
	for i, f := range seen {
		offsets[i] = f.offset
	}
	for i, v := range votes(offsets, &law{sd: tristimulus{0.15, 0.05, 0.06}}) {
		seen[i].vote = v
	}
	for _, r := range e.refs {
		if r.trust > sureOfPaper { // it stands for itself
			r.at.vote = 1
		}
	}
	return e
}

// logPrior returns the log probability of a white before the photo is looked at.
func (e *evidence) logPrior(w tristimulus) float64 {
	l := w.sub(e.share.mean)
	warmth, tint := (l[1]-l[2])/2, (l[1]+l[2])/2
	usual := math.Exp(-(sq((warmth-usualWarmth)/warmthSD)+sq((tint-usualTint)/tintSD))/2) / (2 * math.Pi * warmthSD * tintSD)
	lamp := 0.0
	if warmth > lampColdest && warmth < lampWarmest {
		lamp = math.Exp(-sq((tint+lampSlope*warmth)/lampTint)/2) / (math.Sqrt(2*math.Pi) * lampTint * (lampWarmest - lampColdest))
	}
	return math.Log((1-lampShare)*usual+lampShare*lamp+improbable) - sq((l[0]-math.Log(usualWhite))/math.Hypot(whiteSD, e.share.sd[0]))/2
}

// at returns the log probability, up to a constant, of a white by the evidence: colour by
// correlation (Finlayson, Hordley & Hubel 2001, IEEE Trans. PAMI 23(11)), with
// exposure as a third dimension. A white is what white cloth records in the light of
// the middle.
func (e *evidence) at(w tristimulus) float64 {
	sum := e.logPrior(w) + e.ofPrints(w)
	light := w.sub(e.share.mean)
	for _, g := range e.grounds {
		a, d := g.offset.sub(light), improbable
		for k := range g.seen {
			d += grounds[k].share * g.seen[k].density(a)
		}
		sum += g.vote * math.Log(d)
	}
	for _, r := range e.refs {
		white, none := r.odds(light)
		sum += r.at.vote * math.Log(white+none)
	}
	if w[0] < e.floor {
		sum -= sq((e.floor-w[0])/floorSD) / 2
	}
	if over := (e.top - light[0] - math.Log(brightestAlbedo)) / brightestSD; over > 0 {
		sum += math.Log(1 - topTrust + topTrust*math.Exp(-over*over/2))
	}
	return sum
}

// odds returns the densities, in a light, of what a reference shows: where it is one, and
// where it is none.
func (s *sighting) odds(light tristimulus) (white, none float64) {
	return s.trust * s.at.seen[0].density(s.at.offset.sub(light)), (1 - s.trust) * anything
}

// possible returns how likely a piece looks so far brighter, in ln Y, than any cloth is.
func possible(beyond float64) float64 {
	return tooBright + (1-tooBright)*math.Exp(-sq(beyond/brightestSD)/2)
}

// ofPrints returns the log probability of the pieces' brightest colours.
func (e *evidence) ofPrints(w tristimulus) float64 {
	sum, over := 0.0, 0.0
	for _, b := range e.bright {
		a := b.c.sub(w)
		beyond := max(0, a[0]-math.Log(brightestAlbedo))
		over = max(over, beyond)
		d := 0.0
		for i := range prints {
			d += prints[i].share * prints[i].law.density(a)
		}
		sum += math.Log(improbable + d*possible(beyond))
	}
	return min(printVote, mostVotes/float64(len(e.bright)+1))*sum + math.Log(possible(over))
}

// box is a part of the space of whites, by luminance, warmth and tint, with its log
// probability density.
type box struct {
	at, side tristimulus // middle; full sides
	log      float64     // log density
	mass     float64
}

func (b *box) white() tristimulus {
	return tristimulus{b.at[0], b.at[1] + b.at[2], b.at[2] - b.at[1]}
}

// boxed returns a white by luminance, warmth and tint.
func boxed(w tristimulus) tristimulus { return tristimulus{w[0], (w[1] - w[2]) / 2, (w[1] + w[2]) / 2} }

const (
	finest    = 0.004 // the most of all probability that one box may hold
	mostBoxes = 6000
	faint     = 18 // log density below the best prior below which a box is dropped
)

// boxes parts the whites into boxes that each hold little.
func (e *evidence) boxes() []box {
	first := tristimulus{0.12, 0.06, 0.04}
	lo, hi := tristimulus{math.Log(usualWhite) - 1.5, lampColdest, -0.3}, tristimulus{math.Log(usualWhite) + 1, lampWarmest, 0.2}
	var all []box
	for y := lo[0]; y < hi[0]; y += first[0] {
		for u := lo[1]; u < hi[1]; u += first[1] {
			for v := lo[2]; v < hi[2]; v += first[2] {
				all = append(all, box{at: tristimulus{y, u, v}, side: first})
			}
		}
	}
	best := math.Inf(-1)
	for i := range all {
		all[i].log = e.logPrior(all[i].white())
		best = max(best, all[i].log)
	}
	all = slices.DeleteFunc(all, func(b box) bool { return b.log < best-faint })
	top := math.Inf(-1)
	weigh := func(b *box) {
		b.log = e.at(b.white())
		top = max(top, b.log)
	}
	for i := range all {
		weigh(&all[i])
	}
	split := func(i int) {
		b := all[i]
		for k := range 8 {
			c := b
			for a := range c.at {
				c.side[a] /= 2
				c.at[a] += (float64(k>>a&1) - 0.5) * c.side[a]
			}
			weigh(&c)
			if k == 0 {
				all[i] = c
			} else {
				all = append(all, c)
			}
		}
	}
	for {
		sum := 0.0
		for i := range all {
			b := &all[i]
			b.mass = math.Exp(b.log-top) * b.side[0] * b.side[1] * b.side[2]
			sum += b.mass
		}
		n := len(all)
		for i := range n {
			all[i].mass /= sum
			if all[i].mass > finest && len(all) < mostBoxes {
				split(i)
			}
		}
		if len(all) == n {
			break
		}
	}
	all = slices.DeleteFunc(all, func(b box) bool { return b.mass < 1e-6 })
	slices.SortStableFunc(all, func(a, b box) int { return cmp.Compare(b.mass, a.mass) })
	return all
}

// assurance is how far the posterior can be believed: a white about which the share m
// of all probability lies is right with a probability of most·m^doubt, which is less
// than m for what the laws did not foresee.
type assurance struct{ most, doubt float64 }

// Fitted to 73 made photos and composites of real prints; on 85 others the Brier
// score of trust is 0.13 (0.14 with one law for all) where a reference is in
// view, and 0.18 (0.17) where white was guessed, as few guesses are sure there.
// Of the 21 guesses that the posterior was surest of 8 were right. White grounds were
// too few to fit: they stand between.
var (
	byReference = assurance{0.9, 1.6}
	byGround    = assurance{0.8, 1.3}
	byGuess     = assurance{0.65, 1}
)

// assuranceOf holds a reference on a stack for no more than a guess: it lies in other
// light than the folds.
func assuranceOf(from string, kind cloth.Kind) assurance {
	switch {
	case from == FromGround:
		return byGround
	case from == FromEstimate || kind == cloth.Stack:
		return byGuess
	}
	return byReference
}

func (a assurance) trust(mass float64) float64 { return a.most * math.Pow(mass, a.doubt) }

// widened returns by how much the laws' standard deviations are to be multiplied for a
// white about which so much of all probability (mass) lies.
func (a assurance) widened(mass float64) float64 { return within(mass) / within(a.trust(mass)) }

// within returns how many standard deviations hold a share p of errors that go three ways
// alike: their squares follow the χ² law of three degrees.
func within(p float64) float64 { return math.Sqrt(2 * mathext.GammaIncRegInv(1.5, min(p, 0.9999))) }

// near is the ΔE00 of white within which an answer is right: for its trust before
// the camera's tone curve and above what it can record, as a white that is too
// bright for the camera is not known by that.
const near = 3

// answer returns the white that is most probably right, its probability by the laws,
// and the posterior's standard deviations about it: in ln Y, warmth and tint.
func (e *evidence) answer(tone Curve) (white tristimulus, mass float64, sd tristimulus) {
	all := e.boxes()
	asRecorded, asLit := make([]colour.Lab, len(all)), make([]colour.Lab, len(all))
	for i := range all {
		asRecorded[i], asLit[i] = recorded(tone, all[i].white()), all[i].white().linear().Lab()
	}
	within := func(labs []colour.Lab, l colour.Lab, reach float64) (mass float64, mean tristimulus) {
		for i := range all {
			if colour.DeltaE00(l, labs[i]) < reach {
				mass += all[i].mass
				for k, v := range all[i].white() {
					mean[k] += all[i].mass * v
				}
			}
		}
		for k := range mean {
			mean[k] /= mass
		}
		return mass, mean
	}
	best := 0.0
	for i := range min(len(all), 24) {
		if m, _ := within(asRecorded, asRecorded[i], near); m > best {
			best, white = m, all[i].white()
		}
	}
	for range 3 {
		_, white = within(asRecorded, recorded(tone, white), 2*near)
	}
	mass, _ = within(asLit, white.linear().Lab(), near)
	at := boxed(white)
	for i := range all {
		for k, v := range all[i].at.sub(at) {
			sd[k] += all[i].mass * v * v
		}
	}
	for k := range sd {
		sd[k] = math.Sqrt(sd[k])
	}
	return white, mass, sd
}

// recorded returns what a light's white records, as far as the camera goes.
func recorded(tone Curve, light tristimulus) colour.Lab {
	c := light.linear()
	for k := range c {
		c[k] = min(1, c[k])
	}
	return tone.Apply(c).Lab()
}

// refuse drops the references that the white found does not bear out, and says
// so.
func (e *evidence) refuse(white tristimulus) {
	light := white.sub(e.share.mean)
	e.refs = slices.DeleteFunc(e.refs, func(r *sighting) bool {
		white, none := r.odds(light)
		if white < none {
			e.notes = append(e.notes, "the "+called(r.name)+" is coloured, or lies in other light than the pieces, and was not used for white")
		}
		return white < none
	})
}

// from says where a white comes from.
func (e *evidence) from(white tristimulus) string {
	if len(e.refs) > 0 {
		return e.refs[0].name
	}
	for _, g := range e.grounds {
		albedo := g.offset.sub(white).add(e.share.mean)
		isWhite := -improbable
		for _, t := range grounds {
			d := t.share * t.law.density(albedo)
			if !t.white {
				d = -d
			}
			isWhite += d
		}
		if isWhite > 0 {
			return FromGround
		}
	}
	return FromEstimate
}
