package scale

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// DefaultCuts are the widths, in inches, that scraps are usually cut to, strips
// and squares alike (common practice, no source).
var DefaultCuts = []float64{1.5, 2, 2.5, 3.5, 4.5, 5, 6.5, 7, 8.5, 10}

// cutList is a ruler that the pieces of a photo may have been cut by.
type cutList struct {
	share float64   // how many photos are of pieces cut by it
	cuts  []float64 // inches, ascending
	usual []float64 // how often each is met before anything is seen; sums to 1
}

func newCutList(share float64, often map[float64]float64) *cutList {
	l := &cutList{share: share}
	sum := 0.0
	for c := range often {
		l.cuts = append(l.cuts, c)
	}
	slices.Sort(l.cuts)
	for _, c := range l.cuts {
		sum += often[c]
	}
	for _, c := range l.cuts {
		l.usual = append(l.usual, often[c]/sum)
	}
	return l
}

// Any half inch up to mostHalf may be met, rarely; shares are against a usual cut's 4 to
// 20 (common practice, no source).
const mostHalf, halfShare = 14.5, 0.8

var inches = func() *cutList {
	often := map[float64]float64{}
	for h := 2.0; h <= 2*mostHalf; h++ {
		often[h/2] = halfShare
	}
	for i, n := range [...]float64{8, 8, 20, 16, 8, 14, 8, 5, 5, 6} {
		often[DefaultCuts[i]] = n
	}
	return newCutList(0.94, often)
}()

// centimetreCuts are whole and half centimetres, the round ones more often
// (common practice, no source).
var centimetreCuts = func() *cutList {
	often := map[float64]float64{}
	for h := 6.0; h <= 72; h++ {
		often[h/2/cmPerInch] = 0.2
	}
	for _, c := range [...]float64{4, 5, 6, 6.5, 7, 7.5, 8, 9, 10, 11, 12, 12.5, 13, 14, 15, 16, 18, 20, 25} {
		often[c/cmPerInch] = 5
	}
	return newCutList(0.06, often)
}()

const cmPerInch = mmPerInch / 10

// listsFor returns the lists that pieces may be cut by: the quilter's own, or the
// usual ones.
func listsFor(cuts []float64) []*cutList {
	if len(cuts) == 0 {
		return []*cutList{inches, centimetreCuts}
	}
	often := map[float64]float64{}
	for _, c := range cuts {
		often[c] = 1
	}
	return []*cutList{newCutList(1, often)}
}

const (
	// widthSD is the random error of a width as a share of itself, edgeSD in
	// working pixels, both edges together, and ruling in inches: how true pieces
	// are cut.
	widthSD, edgeSD, ruling = 0.008, 1.1, 0.03
	// creepSD is the error, in working pixels, that all widths of a photo share:
	// how far outlines lie outside the cloth, or inside.
	creepSD = 0.8
	// batchSD is how far, inches, what a photo shows of one cut is off together.
	batchSD = 0.02
	// stray is the share of widths of whole pieces that lie on no list, and
	// strayRange the span of ln inches over which they and hidden ones spread.
	stray, strayRange = 0.04, 4.0
	// variety is how many pieces the usual shares of a list count for against
	// those seen: a photo shows few different cuts.
	variety = 5
)

// sample is one piece as it bears on the scale.
type sample struct {
	width, perPx float64 // plane units; and of a working pixel there
	sd           float64 // of ln width
	sound        float64 // probability that it shows its whole width
}

// sampleOf returns what a shape says.
func sampleOf(q shape) sample {
	es, el := q.errors()
	k := sample{width: q.short, perPx: q.short / q.shortPx, sd: es, sound: q.weight * q.weight * q.shortOwn}
	if q.long < q.short*(1+3*math.Hypot(es, el)) {
		k.sound *= q.longOwn
		k.width, k.sd = math.Sqrt(q.short*q.long), q.meanError()
		k.perPx = k.width / math.Sqrt(q.shortPx*q.longPx)
	}
	return k
}

// errorOf returns the relative error of a length seen as px working pixels.
func errorOf(px float64) float64 { return math.Hypot(widthSD, edgeSD/max(px, 1)) }

// errors returns the relative errors of the two lengths, and meanError that of their
// geometric mean.
func (q *shape) errors() (short, long float64) {
	return errorOf(q.shortPx), errorOf(q.longPx)
}

func (q *shape) meanError() float64 {
	return math.Hypot(errorOf(q.shortPx), errorOf(q.longPx)) / 2
}

// tally is what has been seen of one list: how many pieces of each cut, and how
// far they are off together.
type tally struct {
	list *cutList
	n    float64
	of   []float64 // pieces of each cut
	off  []float64 // sum of precision times deviation, per inch
	prec []float64 // sum of precision, per square inch
}

func newTally(l *cutList) *tally {
	k := len(l.cuts)
	return &tally{list: l, of: make([]float64, k), off: make([]float64, k), prec: make([]float64, k)}
}

func (t *tally) reset() {
	t.n = 0
	clear(t.of)
	clear(t.off)
	clear(t.prec)
}

// reachSD is how many standard deviations from a cut a width is still weighed.
const reachSD = 6

// span returns the range of cuts that a width w of sd inches may be.
func (t *tally) span(w, sd float64) (from, to int) {
	from = sort.SearchFloat64s(t.list.cuts, w-reachSD*sd)
	to = from
	for to < len(t.list.cuts) && t.list.cuts[to] < w+reachSD*sd {
		to++
	}
	return from, to
}

// density returns how likely the next piece is cut c and w inches wide, seen with an
// error of sd inches: a density over inches. Cuts met before are likelier (a
// Pólya urn: Blackwell & MacQueen 1973, Ann. Statist. 1(2)), and are off as they
// were before.
func (t *tally) density(c int, w, sd float64) float64 {
	share := (variety*t.list.usual[c] + t.of[c]) / (variety + t.n)
	prec := t.prec[c] + 1/(batchSD*batchSD)
	v := sd*sd + 1/prec
	d := sq(w-t.list.cuts[c]-t.off[c]/prec) / v
	return share * math.Exp(-d/2) / math.Sqrt(2*math.Pi*v)
}

// add takes in a width and gives its likelihood, a density over ln w.
func (t *tally) add(w, sd, sound float64) float64 {
	const free = 1 / strayRange
	from, to := t.span(w, sd)
	var held [32]float64
	parts := held[:0]
	sum := 0.0
	for c := from; c < to; c++ {
		p := (1 - stray) * w * t.density(c, w, sd)
		parts = append(parts, p)
		sum += p
	}
	all := sound*(sum+stray*free) + (1-sound)*free
	for i, p := range parts {
		p *= sound / all
		c := from + i
		t.of[c] += p
		t.off[c] += p * (w - t.list.cuts[c]) / (sd * sd)
		t.prec[c] += p / (sd * sd)
	}
	t.n += sound
	return all
}

// seen takes the samples in anew, at s plane units an inch and outlines creep working
// pixels too wide, and gives ln of their likelihood.
func (t *tally) seen(samples []sample, s, creep float64) float64 {
	t.reset()
	sum := 0.0
	for i := range samples {
		k := &samples[i]
		w := (k.width - creep*k.perPx) / s
		if w < 0.1 {
			w = 0.1
		}
		sum += math.Log(t.add(w, math.Hypot(k.sd*w, ruling), k.sound))
	}
	return sum
}

const (
	// The search runs over the logarithm of the scale in even steps.
	logStep = 0.004
	// fewest and most are the inches that the picture's diagonal may span.
	fewestInches, mostInches = 8, 200
	// usualInches is the diagonal of a table or floor photographed by someone
	// standing or leaning over it; usualSD is the sd of its logarithm.
	usualInches, usualSD = 42, 0.5
	// unlisted is the share of photos whose pieces have the widths of no list.
	unlisted = 0.03
	// mostSamples of the largest pieces tell the scale.
	mostSamples = 32
)

// creeps are the shared errors that are weighed, in units of creepSD; noCreep is the
// place of none. Where the logarithm of the likelihood without creep lies hopeless
// below the best, no other is weighed.
var creeps = [...]float64{-2, -1, 0, 1, 2}

const noCreep, hopeless = 2, 40

// posterior is the probability of each scale on a grid of its logarithm.
type posterior struct {
	lo float64   // ln(plane units an inch) at p[0]
	p  []float64 // sums to 1
}

// scaleFitter weighs scales by widths.
type scaleFitter struct {
	lists    []*cutList
	diagonal float64 // plane units that the picture's diagonal spans
}

func newScaleFitter(cuts []float64, diagonal float64) *scaleFitter {
	return &scaleFitter{lists: listsFor(cuts), diagonal: diagonal}
}

// samplesOf returns the soundest of the shapes, as they bear on the scale.
func samplesOf(shapes []shape) []sample {
	order := slices.Clone(shapes)
	slices.SortStableFunc(order, func(a, b shape) int { return cmp.Compare(b.weight*b.shortPx, a.weight*a.shortPx) })
	var out []sample
	for _, q := range order[:min(mostSamples, len(order))] {
		if q.short > 0 && !math.IsInf(q.long, 0) {
			out = append(out, sampleOf(q))
		}
	}
	return out
}

// fit weighs every scale, in plane units an inch, by how well the shapes'
// widths fall on the cuts of each list.
func (f *scaleFitter) fit(shapes []shape) posterior {
	lo, hi := math.Log(f.diagonal/mostInches), math.Log(f.diagonal/fewestInches)
	n := int((hi-lo)/logStep) + 1
	post := posterior{lo: lo, p: make([]float64, n)}
	samples := samplesOf(shapes)
	all := make([]float64, n*len(f.lists)*len(creeps))
	top := math.Inf(-1)
	at := func(t *tally, creep, i int, k *float64) {
		s, c := lo+float64(i)*logStep, creeps[creep]
		*k = math.Log(t.list.share) - c*c/2 - sq((math.Log(f.diagonal/usualInches)-s)/usualSD)/2 +
			t.seen(samples, math.Exp(s), c*creepSD)
		top = max(top, *k)
	}
	// Without creep first: where the widths fit far worse than elsewhere, it does not
	// make good for that.
	tallies := make([]*tally, len(f.lists))
	for j, l := range f.lists {
		tallies[j] = newTally(l)
		for i := range n {
			at(tallies[j], noCreep, i, &all[(j*len(creeps)+noCreep)*n+i])
		}
	}
	for j, t := range tallies {
		for c := range creeps {
			if c == noCreep {
				continue
			}
			for i := range n {
				k := &all[(j*len(creeps)+c)*n+i]
				if *k = math.Inf(-1); all[(j*len(creeps)+noCreep)*n+i] > top-hopeless {
					at(t, c, i, k)
				}
			}
		}
	}
	sum := 0.0
	for k, v := range all {
		post.p[k%n] += math.Exp(v - top)
		sum += math.Exp(v - top)
	}
	// Or the widths tell nothing, which would not be seen: much that is sewn, torn or
	// folded is alike in width.
	prior, any := make([]float64, n), 0.0
	for i := range prior {
		prior[i] = math.Exp(-sq((math.Log(f.diagonal/usualInches)-lo-float64(i)*logStep)/usualSD) / 2)
		any += prior[i]
	}
	for i := range post.p {
		post.p[i] = (1-unlisted)*post.p[i]/sum + unlisted*prior[i]/any
	}
	return post
}

// ruler is what the pieces of a photo are read by, once its scale is known.
type ruler struct {
	unit  float64 // plane units an inch
	creep float64 // working pixels that outlines are too wide
	seen  *tally  // of the likeliest list
}

// ruler returns the likeliest at s plane units an inch.
func (f *scaleFitter) ruler(shapes []shape, s float64) ruler {
	samples := samplesOf(shapes)
	r := ruler{unit: s}
	best := math.Inf(-1)
	for _, l := range f.lists {
		t := newTally(l)
		var v [len(creeps)]float64
		for k, c := range creeps {
			v[k] = t.seen(samples, s, c*creepSD) - c*c/2
		}
		top := slices.Max(v[:])
		sum, mean := 0.0, 0.0
		for k, c := range creeps {
			sum += math.Exp(v[k] - top)
			mean += math.Exp(v[k]-top) * c * creepSD
		}
		if w := top + math.Log(sum*l.share); w > best {
			best, r.seen, r.creep = w, t, mean/sum
		}
	}
	r.seen.seen(samples, s, r.creep)
	return r
}

// modeSpan is how far off, relatively, a scale may be and still give the same
// cuts.
const modeSpan = 0.03

// around sums the probability within modeSpan of place i, and gives the mean
// place there.
func (q posterior) around(i int) (mass, place float64) {
	half := int(math.Round(modeSpan / logStep))
	for k := max(0, i-half); k <= min(len(q.p)-1, i+half); k++ {
		mass += q.p[k]
		place += q.p[k] * float64(k)
	}
	if mass > 0 {
		place /= mass
	}
	return mass, place
}

// mode returns the likeliest scale, in plane units an inch, and the probability that
// the true one lies within modeSpan of it.
func (q posterior) mode() (scale, mass float64) {
	best := 0
	for i := range q.p {
		if m, place := q.around(i); m > mass+1e-12 {
			mass, best = m, int(math.Round(place))
		}
	}
	mass, place := q.around(best)
	return math.Exp(q.lo + place*logStep), mass
}

// second returns the likeliest scale that is not the likeliest of all, and its
// probability.
func (q posterior) second() (scale, mass float64) {
	first, _ := q.mode()
	rest := posterior{lo: q.lo, p: slices.Clone(q.p)}
	mid, half := (math.Log(first)-q.lo)/logStep, 2*modeSpan/logStep
	for i := range rest.p {
		if math.Abs(float64(i)-mid) <= half {
			rest.p[i] = 0
		}
	}
	return rest.mode()
}

// told is what something in view says of the scale: that it is one of several, or
// nothing. Other are the odds that it is something that tells nothing after all,
// against its not being of the kind at all.
type told struct {
	parts []tellsScale
	other float64
}

// tellsScale is one scale that it may be: ln(plane units an inch), its sd, and the
// odds of that against its telling nothing; from is what tells it.
type tellsScale struct {
	s, sd, odds float64
	from        string
}

// at returns how likely each part makes the scale at ln s, and all of them with nothing,
// against nothing; span is the range of ln s that is searched.
func (t *told) at(s, span float64) (parts []float64, all float64) {
	all = 1 + t.other
	for _, k := range t.parts {
		d := (s - k.s) / k.sd
		v := k.odds * span * math.Exp(-d*d/2) / (k.sd * math.Sqrt(2*math.Pi))
		parts = append(parts, v)
		all += v
	}
	return parts, all
}

// heed weighs the scales anew by what is told, and gives how likely each part of
// each is then: by Bayes' rule, one thing after the other.
func (q *posterior) heed(things ...*told) (odds [][]float64) {
	span := logStep * float64(len(q.p))
	weight := make([]float64, len(q.p))
	sum := 0.0
	for i, p := range q.p {
		weight[i] = p
		for _, t := range things {
			_, all := t.at(q.lo+float64(i)*logStep, span)
			weight[i] *= all
		}
		sum += weight[i]
	}
	odds = make([][]float64, len(things))
	for k, t := range things {
		odds[k] = make([]float64, len(t.parts))
	}
	for i := range q.p {
		q.p[i] = weight[i] / sum
		if q.p[i] == 0 {
			continue
		}
		for k, t := range things {
			parts, all := t.at(q.lo+float64(i)*logStep, span)
			for j, v := range parts {
				odds[k][j] += q.p[i] * v / all
			}
		}
	}
	return odds
}
