package palette

import (
	"math"

	"piecebag/internal/cloth"
)

// Prints says which pieces of one photo are cut from one print: a label each,
// "a", "b", … "z", "aa", …, in order of first appearance. kind tells how the
// pieces lie: folded strips are shaded by their folds, and compared more
// loosely. The labels depend on nothing but the signatures and their order.
func Prints(items []Signature, kind cloth.Kind) []string {
	n := len(items)
	allow := &flat
	if kind == cloth.Stack {
		allow = &folded
	}
	odds := make([]float64, n*n)
	for i := range items {
		for j := range i {
			l := likeness(&items[i], &items[j], allow)
			odds[i*n+j], odds[j*n+i] = l, l
		}
	}
	return label(link(odds, n))
}

// allowance is how far two pieces of one print may differ beyond what their own
// unevenness explains: differences of light across the table, noise, focus.
type allowance struct {
	chroma                          float64 // OKLab
	tails, saturation, hue, texture float64 // of logarithms
	edges                           float64
	odds                            float64 // log odds of one print where nothing differs
}

var (
	flat   = allowance{chroma: 0.002, tails: 0.04, saturation: 0.04, hue: 0.1, texture: 0.07, edges: 0.25, odds: 5.75}
	folded = allowance{chroma: 0.006, tails: 0.3, saturation: 0.04, hue: 0.3, texture: 0.5, edges: 0.25, odds: 5.4}
)

// The kinds of evidence that two pieces are of different prints.
const (
	byChroma     = iota // mean a, b
	byTails             // darkest and lightest parts
	bySaturation        // most colourful parts
	byHue               // whether colours vary more in a or in b
	byStripes           // whether edges run one way
	byChecks            // whether they run one way or square to it
	byTextureL          // variograms of L
	byTextureC          // variograms of a and b
	byInks              // inks of the smaller piece that the larger one lacks
	byGround            // the colour that covers most of each, where one does
	evidenceCount
)

// against is how many log odds a unit of each kind of evidence takes away:
// logistic regression over all pairs of pieces in 64 rendered photos. Chroma and
// stripes weigh more than that, since those photos seldom hold two prints that
// differ in nothing else.
var against = [evidenceCount]float64{
	byChroma:     1.3,
	byTails:      1.45,
	bySaturation: 1.25,
	byHue:        0.4,
	byStripes:    5.0,
	byChecks:     4.8,
	byTextureL:   1.95,
	byTextureC:   0.5,
	byInks:       3.9,
	byGround:     0.85,
}

const (
	inkAllowance = 0.022 // OKLab
	inkFar       = 0.3   // OKLab; inks further apart are just different
	inkLightness = 0.5   // light falls unevenly, so lightness counts less

	// Errors are judged from four quarters, so they are a little larger than
	// they seem.
	varianceScale = 1.6
	// No one pair of pieces decides how a whole group is joined.
	oddsLeast, oddsMost = -8, 4
)

// likeness is the log odds that a and b are cut from one print.
func likeness(a, b *Signature, allow *allowance) float64 {
	odds := allow.odds
	for k, e := range evidence(a, b, allow) {
		odds -= against[k] * e
	}
	return max(oddsLeast, min(oddsMost, odds))
}

// evidence weighs the differences between a and b, 0 where there is none. A
// difference of z standard errors counts ln(1 + z²/4), as a Student t of few
// degrees of freedom would have it: a large one tells much, a huge one hardly
// more.
func evidence(a, b *Signature, allow *allowance) [evidenceCount]float64 {
	if a.area > b.area {
		a, b = b, a
	}
	weigh := func(k int, allowed float64) float64 {
		return math.Log(surprise(&a.stats[k], &b.stats[k], allowed))
	}
	var e [evidenceCount]float64
	e[byChroma] = math.Log(surprise(&a.stats[statChroma], &b.stats[statChroma], allow.chroma) +
		surprise(&a.stats[statChroma+1], &b.stats[statChroma+1], allow.chroma) - 1)
	e[byTails] = (weigh(statTails, allow.tails) + weigh(statTails+1, allow.tails)) / 2
	e[bySaturation] = weigh(statSaturation, allow.saturation)
	e[byHue] = weigh(statHue, allow.hue)
	e[byStripes] = weigh(statStripes, allow.edges)
	e[byChecks] = weigh(statChecks, allow.edges)
	e[byTextureL], e[byTextureC] = textureEvidence(a, b, allow.texture)
	lacking := inksApart(a.inks, b.inks)
	if a.area == b.area {
		lacking = min(lacking, inksApart(b.inks, a.inks))
	}
	e[byInks] = math.Log(1 + lacking/4)
	e[byGround] = math.Log(1 + groundsApart(a.inks, b.inks)/4)
	return e
}

// surprise is 1 + z²/4 for two statistics z standard errors apart, 1 where one
// is not known.
func surprise(a, b *stat, allowed float64) float64 {
	if !a.known || !b.known {
		return 1
	}
	d := a.mean - b.mean
	return 1 + d*d/(allowed*allowed+varianceScale*(a.variance+b.variance))/4
}

// textureScales are the enlargements tried between two pieces: in an oblique
// view the nearer looks larger.
var textureScales = [...]float64{1 / 1.25, 1 / 1.1, 1, 1.1, 1.25}

// textureStep is a place between two texture offsets: part of the way from
// offset i to the next.
type textureStep struct {
	i    int
	part float64
}

// textureSteps[s][o] is where offset o falls once enlarged textureScales[s]
// times; i is -1 outside the offsets.
var textureSteps = func() (steps [len(textureScales)][offsetCount]textureStep) {
	for s, scale := range textureScales {
		scale = max(scale, 1/scale)
		for o, r := range textureOffsets {
			steps[s][o].i = -1
			for i := range offsetCount - 1 {
				lo, hi := float64(textureOffsets[i]), float64(textureOffsets[i+1])
				if at := float64(r) * scale; at >= lo && at <= hi {
					steps[s][o] = textureStep{i, math.Log(at/lo) / math.Log(hi/lo)}
					break
				}
			}
		}
	}
	return steps
}()

// textureEvidence compares the variograms at the enlargement that fits best:
// the mean over the offsets that both pieces know.
func textureEvidence(a, b *Signature, allowed float64) (l, c float64) {
	best := math.Inf(1)
	for s, scale := range textureScales {
		p, q := a, b
		if scale < 1 {
			p, q = b, a
		}
		el, okL := variogramEvidence(p.stats[statTextureL:], q.stats[statTextureL:], &textureSteps[s], allowed)
		ec, okC := variogramEvidence(p.stats[statTextureC:], q.stats[statTextureC:], &textureSteps[s], allowed)
		if okL && okC && el+ec < best {
			best, l, c = el+ec, el, ec
		}
	}
	return l, c
}

// variogramEvidence compares p, enlarged by steps, with q.
func variogramEvidence(p, q []stat, steps *[offsetCount]textureStep, allowed float64) (mean float64, ok bool) {
	product, n := 1.0, 0.0
	for o, step := range steps {
		if step.i < 0 || !p[step.i].known || !p[step.i+1].known {
			continue
		}
		if !p[o].known || !q[o].known {
			continue
		}
		moved := stat{p[step.i].mean + step.part*(p[step.i+1].mean-p[step.i].mean), p[o].variance, true}
		product *= surprise(&moved, &q[o], allowed)
		n++
	}
	if n == 0 {
		return 0, false
	}
	return math.Log(product) / n, true
}

// inksApart is how far the inks of the smaller piece lie from the nearest inks
// of the larger, in squares of inkAllowance: a small piece need not show all of
// a print. Inks weigh by the root of their share, so that small motifs have a
// say.
func inksApart(small, large []signatureInk) float64 {
	sum, total := 0.0, 0.0
	for _, p := range small {
		nearest := inkFar
		for _, q := range large {
			nearest = min(nearest, apart(p.lab, q.lab))
		}
		w := math.Sqrt(p.share)
		sum += w * nearest
		total += w
	}
	if total == 0 {
		return 0
	}
	d := sum / total / inkAllowance
	return d * d
}

// groundsApart is how far apart the inks lie that cover most of each piece, in
// squares of inkAllowance; less where one covers little more than half, and 0
// where one covers less.
func groundsApart(a, b []signatureInk) float64 {
	if len(a) == 0 || len(b) == 0 {
		return 0
	}
	most := max(0, min(1, (min(a[0].share, b[0].share)-0.5)/0.1))
	d := most * min(inkFar, apart(a[0].lab, b[0].lab)) / inkAllowance
	return d * d
}

// apart is a distance in OKLab in which lightness counts less.
func apart(p, q [3]float32) float64 {
	dl, da, db := inkLightness*float64(p[0]-q[0]), float64(p[1]-q[1]), float64(p[2]-q[2])
	return math.Sqrt(dl*dl + da*da + db*db)
}

// link joins pieces into groups by average linkage (Sokal & Michener 1958),
// likeliest pair of groups first, for as long as the mean log odds between two
// groups is above 0. It returns each piece's group.
func link(odds []float64, n int) []int {
	group, size, alive := make([]int, n), make([]float64, n), make([]bool, n)
	for i := range group {
		group[i], size[i], alive[i] = i, 1, true
	}
	for {
		best, p, q := 0.0, -1, -1
		for i := range n {
			for j := range i {
				if alive[i] && alive[j] && odds[i*n+j] > best {
					best, p, q = odds[i*n+j], j, i
				}
			}
		}
		if p < 0 {
			return group
		}
		for k := range n {
			mean := (odds[p*n+k]*size[p] + odds[q*n+k]*size[q]) / (size[p] + size[q])
			odds[p*n+k], odds[k*n+p] = mean, mean
		}
		size[p] += size[q]
		alive[q] = false
		for i, g := range group {
			if g == q {
				group[i] = p
			}
		}
	}
}

// label names groups by letters in order of first appearance.
func label(group []int) []string {
	names := make(map[int]string)
	out := make([]string, len(group))
	for i, g := range group {
		if _, ok := names[g]; !ok {
			names[g] = letters(len(names))
		}
		out[i] = names[g]
	}
	return out
}

// letters counts a, b, … z, aa, ab, ….
func letters(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('a'+(n-1)%26)) + s
	}
	return s
}
