package palette

import "math"

// The kinds of evidence that two pieces are of different prints, whatever the
// light.
const (
	bySpreadL  = iota // how L is spread
	bySpreadC         // how a, b are spread
	bySpread          // how L is spread together with a or b
	byContrast        // the variances of L, a, b
	byTogether        // their correlations
	byStripes         // whether edges run one way
	byChecks          // whether they run one way or square to it
	byFineL           // variogram of L at short distances
	byMiddleL         // at middle ones
	byCoarseL         // at long ones
	byFineC           // that of a and b
	byMiddleC
	byCoarseC
	byTwofold  // how far texture differs by direction
	byFourfold // the same, square directions taken as one
	byScale    // how much one must be enlarged for their textures to fit
	byInks     // inks of the smaller piece that the larger one lacks
	byGround   // the colour that covers most of each, where one does
	evidenceCount
)

// evidence is how much speaks for two prints, of each kind; 0 where there is no
// difference, and all but 0 where only the scale differs.
type evidence [evidenceCount]float64

// allowance is how far two pieces of one print may differ beyond what their own
// unevenness explains: focus, noise, what light leaves unexplained.
type allowance struct {
	spread, contrast, together, edges, texture, directed float64
}

var (
	flat   = allowance{spread: 0.05, contrast: 0.12, together: 0.05, edges: 0.06, texture: 0.08, directed: 0.03}
	across = allowance{spread: 0.03, contrast: 0.08, together: 0.025, edges: 0.014, texture: 0.04, directed: 0.01}
	folded = allowance{spread: 0.3, contrast: 0.7, together: 0.2, edges: 0.1, texture: 0.3, directed: 0.05}
)

// Errors are judged from four quarters, so they are a little larger than
// they seem.
const varianceScale = 1.6

// surprise returns 1 + z²/4 for two statistics z standard errors apart, 1 where one
// is not known. A difference of z standard errors counts ln(1 + z²/4), as a
// Student t of few degrees of freedom would have it: a large one tells much, a
// huge one hardly more.
func surprise(a, b *stat, allowed float64) float64 {
	if !a.known || !b.known {
		return 1
	}
	d := a.mean - b.mean
	return 1 + d*d/(allowed*allowed+varianceScale*(a.variance+b.variance))/4
}

// against returns the mean evidence of the statistics from..to that both know.
func (s *Signature) against(o *Signature, from, to int, allowed float64) float64 {
	product, n := 1.0, 0.0
	for k := from; k < to; k++ {
		if s.stats[k].known && o.stats[k].known {
			product *= surprise(&s.stats[k], &o.stats[k], allowed)
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return math.Log(product) / n
}

// compare weighs the differences between a and b. scales are the enlargements tried.
func compare(a, b *Signature, allow *allowance, try scales) evidence {
	a, b, try = inOrder(a, b, try)
	var e evidence
	compareColours(&e, a, b, allow)
	compareTextures(&e, a, b, allow, try)
	return e
}

// inOrder puts the smaller piece first.
func inOrder(a, b *Signature, try scales) (*Signature, *Signature, scales) {
	if a.area > b.area || a.area == b.area && a.light[lightLevel].mean > b.light[lightLevel].mean {
		return b, a, scales{-try.octaves, try.shifts}
	}
	return a, b, try
}

// compareColours is all of compare but textures; a is the smaller piece.
func compareColours(e *evidence, a, b *Signature, allow *allowance) {
	slice := func(from, to int) float64 {
		return a.against(b, statSlices+from*sliceQuantiles, statSlices+to*sliceQuantiles, allow.spread)
	}
	e[bySpreadL] = slice(0, 1)
	e[bySpreadC] = (slice(1, 3) + slice(7, 9)) / 2
	e[bySpread] = slice(3, 7)
	e[byContrast] = a.against(b, statContrast, statContrast+3, allow.contrast)
	e[byTogether] = a.against(b, statTogether, statTogether+3, allow.together)
	e[byStripes] = a.against(b, statStripes, statStripes+2, allow.edges)
	e[byChecks] = a.against(b, statChecks, statChecks+2, allow.edges)
	lacking := inksApart(a.inks, b.inks)
	if a.area == b.area {
		lacking = min(lacking, inksApart(b.inks, a.inks))
	}
	e[byInks] = math.Log(1 + lacking/4)
	e[byGround] = math.Log(1 + groundsApart(a.inks, b.inks)/4)
}

// scales are the enlargements tried between two pieces: what spans one pixel of the
// first spans so many octaves, and one of the shifts, more of the second.
type scales struct {
	octaves float64
	shifts  []float64
}

// inOnePhoto are those between pieces of one photo: in an oblique view the nearer
// piece looks larger.
var inOnePhoto = scales{0, textureShifts[:]}

// scalesBetween returns those between prints of two photos, in each of which the scale may
// be unknown.
func scalesBetween(a, b *Signature) scales {
	if a.scale > 0 && b.scale > 0 {
		return scales{math.Log2(b.scale / a.scale), textureShifts[:]}
	}
	return scales{0, wideShifts[:]}
}

// textureShifts are the shifts tried, in octaves, where the scale is known: no scale
// is known exactly.
var textureShifts = [...]float64{0, -0.25, 0.25, -0.5, 0.5}

// wideShifts are those tried where the scale is not known.
var wideShifts = [...]float64{0, -0.25, 0.25, -0.5, 0.5, -0.75, 0.75, -1, 1, -1.25, 1.25}

// bands are the offsets whose evidence is weighed together; directed are those at
// which directions are told apart.
var (
	bands    = [3][2]int{{0, 2}, {2, 5}, {5, offsetCount}}
	directed = [2]int{firstDirected, offsetCount}
)

// compareTextures compares what is known of the textures at the enlargement that
// fits best. Where a band lies beyond what both show, it counts as the others do: an
// enlargement that leaves less to compare must not fit the better for it.
func compareTextures(e *evidence, a, b *Signature, allow *allowance, try scales) {
	best := math.Inf(1)
	for _, shift := range try.shifts {
		at := stepsAt(try.octaves + shift)
		var t evidence
		compareBands(t[byFineL:byFineC], a.stats[statTextureL:statTextureC], b.stats[statTextureL:statTextureC], &at, allow.texture)
		compareBands(t[byFineC:byTwofold], a.stats[statTextureC:statTwofold], b.stats[statTextureC:statTwofold], &at, allow.texture)
		for k, from := range [2]int{statTwofold, statFourfold} {
			to := from + offsetCount - firstDirected
			if sum, n := texturesApart(a.stats[from:to], b.stats[from:to], firstDirected, directed, &at, allow.directed); n > 0 {
				t[byTwofold+k] = sum / n
			}
		}
		t[byScale] = math.Abs(shift)
		total := t[byScale] / 2
		for k := byFineL; k <= byFourfold; k++ {
			total += t[k]
		}
		if total < best {
			best = total
			copy(e[byFineL:byScale+1], t[byFineL:byScale+1])
		}
	}
}

// compareBands compares the bands of one channel.
func compareBands(e []float64, a, b []stat, steps *[offsetCount]step, allowed float64) {
	var sums, known [len(bands)]float64
	all, n := 0.0, 0.0
	for k, band := range bands {
		sums[k], known[k] = texturesApart(a, b, 0, band, steps, allowed)
		all += sums[k]
		n += known[k]
	}
	for k := range bands {
		switch {
		case known[k] > 0:
			e[k] = sums[k] / known[k]
		case n > 0:
			e[k] = all / n
		}
	}
}

// texturesApart returns the evidence at the offsets of a band that both know, where b is
// enlarged by steps, and how many they are. The statistics begin with that of offset
// first.
func texturesApart(a, b []stat, first int, band [2]int, steps *[offsetCount]step, allowed float64) (sum, n float64) {
	product := 1.0
	for o := band[0]; o < band[1]; o++ {
		i, part := steps[o].offset, steps[o].part
		if i < first || !a[o-first].known {
			continue
		}
		p := b[i-first]
		if part > 0 {
			q := &b[i-first+1]
			p.mean += part * (q.mean - p.mean)
			p.variance = max(p.variance, q.variance)
			p.known = p.known && q.known
		}
		if p.known {
			product *= surprise(&a[o-first], &p, allowed)
			n++
		}
	}
	return math.Log(product), n
}

// step is a place among the offsets: part of the way from one to the next. The offset
// is -1 outside them.
type step struct {
	offset int
	part   float64
}

// stepsAt returns where each offset falls when enlarged by so many octaves.
func stepsAt(octaves float64) (steps [offsetCount]step) {
	const close = 1e-9
	last := offsetCount - 1
	for o := range steps {
		at := logOffsets[o] + octaves
		if at < logOffsets[0]-close || at > logOffsets[last]+close {
			steps[o].offset = -1
			continue
		}
		i := last
		for i > 0 && logOffsets[i] > at+close {
			i--
		}
		steps[o].offset = i
		if i < last {
			steps[o].part = max(0, (at-logOffsets[i])/(logOffsets[i+1]-logOffsets[i]))
		}
	}
	return steps
}

// logOffsets are the binary logarithms of textureOffsets.
var logOffsets = func() (out [offsetCount]float64) {
	for i, r := range textureOffsets {
		out[i] = math.Log2(float64(r))
	}
	return out
}()

const (
	inkAllowance = 0.022 // OKLab
	inkFar       = 0.3   // OKLab; inks further apart are just different
	inkLightness = 0.5   // light falls unevenly, so lightness counts less
)

// inksApart returns how far the inks of the smaller piece lie from the nearest inks
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

// groundsApart returns how far apart the inks lie that cover most of each piece, in
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

// apart returns a distance in OKLab in which lightness counts less.
func apart(p, q [3]float32) float64 {
	dl, da, db := inkLightness*float64(p[0]-q[0]), float64(p[1]-q[1]), float64(p[2]-q[2])
	return math.Sqrt(dl*dl + da*da + db*db)
}
