package scale

import (
	"math"
	"slices"
)

// DefaultCuts are the widths, in inches, that scraps are usually cut to, strips
// and squares alike (common practice, no source).
var DefaultCuts = []float64{1.5, 2, 2.5, 3.5, 4.5, 5, 6.5, 7, 8.5, 10}

const (
	// ruling is how true pieces are cut, inches (sd of a width).
	ruling = 0.04
	// rectified widths are true to widthSD of themselves, and both edges
	// together to edgeSD working pixels.
	widthSD, edgeSD = 0.012, 1.3
	// slack is the share of widths, found or cut badly, whose error is slackSD
	// times the usual.
	slack, slackSD = 0.15, 3
	// stray is the share of widths that lie on no cut of the list, spread
	// evenly over strayRange of logarithm.
	stray, strayRange = 0.06, 4.0
	// halves is the share of lengths that are a whole number of half inches
	// beyond chance, and lengthVote how much a length says beside a width.
	halves, lengthVote = 0.5, 0.5
)

// widthDensity is the density, over ln w, of a width of w inches seen with
// relative error e.
func widthDensity(w, e float64, cuts []float64) float64 {
	sd := math.Hypot(e*w, ruling)
	sum := 0.0
	for _, c := range cuts {
		if d := (w - c) / sd; d > -12 && d < 12 {
			sum += (1-slack)*math.Exp(-d*d/2) + slack/slackSD*math.Exp(-sq(d/slackSD)/2)
		}
	}
	return (1-stray)*sum*w/(sd*math.Sqrt(2*math.Pi)*float64(len(cuts))) + stray/strayRange
}

// lengthDensity is the density, over ln l, of a length of l inches: of no
// preferred size, or a whole number of half inches.
func lengthDensity(l, e float64, _ []float64) float64 {
	const free = 1 / strayRange
	sd := math.Hypot(e*l, ruling)
	if sd > 0.3 {
		return free // half inches cannot be told apart
	}
	d := math.Abs(l - math.Round(2*l)/2)
	law := func(d float64) float64 { return math.Exp(-sq(d/sd)/2) / (sd * math.Sqrt(2*math.Pi)) }
	// The normal law wrapped round the half inch, against an even one.
	return free * (1 - halves + halves*0.5*(law(d)+law(0.5-d)))
}

const (
	// The search runs over the logarithm of the scale in even steps.
	logStep = 0.002
	// fewest and most are the inches that the picture's diagonal may span.
	fewestInches, mostInches = 8, 200
	// usualInches is the diagonal of a table or floor photographed by someone
	// standing or leaning over it; usualSD is the sd of its logarithm.
	usualInches, usualSD = 46, 0.4
	// Relative errors are rounded up to powers of this, so that shapes share
	// tables.
	errorStep = 1.15
	// The tables run from tableFrom inches up to the longest strip.
	tableFrom, tableTo = 0.05, 300.0
)

// tables holds the logarithm of a density at even steps of ln inches, for the
// errors met so far.
type tables struct {
	density func(v, e float64, cuts []float64) float64
	cuts    []float64
	level   []int
	table   [][]float64
}

func (t *tables) of(e float64) []float64 {
	level := int(math.Ceil(math.Log(e) / math.Log(errorStep)))
	if i := slices.Index(t.level, level); i >= 0 {
		return t.table[i]
	}
	e = math.Pow(errorStep, float64(level))
	v := make([]float64, int(math.Log(tableTo/tableFrom)/logStep)+2)
	for i := range v {
		v[i] = math.Log(t.density(tableFrom*math.Exp(float64(i)*logStep), e, t.cuts))
	}
	t.level, t.table = append(t.level, level), append(t.table, v)
	return v
}

// posterior is the probability of each scale on a grid of its logarithm.
type posterior struct {
	lo float64   // ln(plane units an inch) at p[0]
	p  []float64 // sums to 1
}

// scaleFitter weighs scales by widths. It keeps its tables between fits.
type scaleFitter struct {
	width, length tables
	diagonal      float64 // plane units that the picture's diagonal spans
}

func newScaleFitter(cuts []float64, diagonal float64) *scaleFitter {
	return &scaleFitter{
		width:    tables{density: widthDensity, cuts: cuts},
		length:   tables{density: lengthDensity},
		diagonal: diagonal,
	}
}

// fit weighs every scale, in plane units an inch, by how well the shapes'
// widths fall on the cuts.
func (f *scaleFitter) fit(shapes []shape) posterior {
	lo, hi := math.Log(f.diagonal/mostInches), math.Log(f.diagonal/fewestInches)
	post := posterior{lo: lo, p: make([]float64, int((hi-lo)/logStep)+1)}
	for i := range post.p {
		s := lo + float64(i)*logStep
		post.p[i] = -sq((math.Log(f.diagonal/usualInches)-s)/usualSD) / 2
	}
	add := func(t []float64, length, weight float64) {
		// At scale i the length is length·exp(-lo)·exp(-i·logStep) inches.
		k := int(math.Round((math.Log(length/tableFrom) - lo) / logStep))
		for i := range post.p {
			post.p[i] += weight * t[min(len(t)-1, max(0, k-i))]
		}
	}
	crowd := crowding(shapes)
	for j, q := range shapes {
		w := q.weight / math.Sqrt(crowd[j])
		es, el := errorOf(q.shortPx), errorOf(q.longPx)
		if q.long < q.short*(1+3*math.Hypot(es, el)) {
			add(f.width.of(math.Hypot(es, el)/2), math.Sqrt(q.short*q.long), w)
			continue
		}
		add(f.width.of(es), q.short, w)
		add(f.length.of(el), q.long, lengthVote*w)
	}
	top, sum := slices.Max(post.p), 0.0
	for i, v := range post.p {
		post.p[i] = math.Exp(v - top)
		sum += post.p[i]
	}
	for i := range post.p {
		post.p[i] /= sum
	}
	return post
}

// errorOf is the relative error of a length seen as px working pixels.
func errorOf(px float64) float64 { return math.Hypot(widthSD, edgeSD/max(px, 1)) }

// sameWidth is how far apart, in logarithm, two widths of one cut may lie.
const sameWidth = 0.04

// crowding is how many shapes have each one's width: they share their errors,
// so that a hundred squares of one size say little more than ten.
func crowding(shapes []shape) []float64 {
	out := make([]float64, len(shapes))
	for i := range shapes {
		for j := range shapes {
			if math.Abs(math.Log(shapes[i].short/shapes[j].short)) < sameWidth {
				out[i] += shapes[j].weight
			}
		}
		out[i] = max(1, out[i])
	}
	return out
}

// modeSpan is how far off, relatively, a scale may be and still give the same
// cuts.
const modeSpan = 0.03

// around sums the probability within modeSpan of place i, and gives the mean
// place there.
func (q posterior) around(i int) (mass, place float64) {
	half := int(modeSpan / logStep)
	for k := max(0, i-half); k <= min(len(q.p)-1, i+half); k++ {
		mass += q.p[k]
		place += q.p[k] * float64(k)
	}
	if mass > 0 {
		place /= mass
	}
	return mass, place
}

// mode is the likeliest scale, in plane units an inch, and the probability that
// the true one lies within modeSpan of it.
func (q posterior) mode() (scale, mass float64) {
	best := 0
	for i, p := range q.p {
		if p > q.p[best] {
			best = i
		}
	}
	mass, place := q.around(best)
	return math.Exp(q.lo + place*logStep), mass
}

// density is how much likelier a scale near s (ln plane units an inch) is than
// were all alike.
func (q posterior) density(s float64) float64 {
	mass, _ := q.around(int(math.Round((s - q.lo) / logStep)))
	return mass * float64(len(q.p)) / (2*math.Floor(modeSpan/logStep) + 1)
}

// nearFloor keeps widths that fit no scale near a reference's from moving it.
const nearFloor = 1e-3

// near is the scale, in plane units an inch, where a reference says s ± sd (ln
// plane units an inch).
func (q posterior) near(s, sd float64) float64 {
	sum, mean := 0.0, 0.0
	for i, p := range q.p {
		d := q.lo + float64(i)*logStep - s
		if math.Abs(d) > 3*sd {
			continue
		}
		w := (p + nearFloor) * math.Exp(-sq(d/sd)/2)
		sum += w
		mean += w * d
	}
	if sum == 0 {
		return math.Exp(s)
	}
	return math.Exp(s + mean/sum)
}

const (
	// leastPieces is the least number of whole rectangles whose widths tell a
	// scale.
	leastPieces = 4
	// A width counts that one rectangle in leastShare has: fewer may be
	// faults.
	leastShare = 12
	// farApart is ln of the widest width over the narrowest, from which they
	// are not one width badly found.
	farApart = 0.25
)

// telling says whether the shapes' widths can tell a scale: several rectangles
// of three widths, or of two that are met twice. One width fits many scales.
func telling(shapes []shape) bool {
	w := make([]float64, 0, len(shapes))
	weight := 0.0
	for _, s := range shapes {
		weight += s.weight
		if s.weight > 0.3 {
			w = append(w, math.Log(s.short))
		}
	}
	if weight < leastPieces || len(w) == 0 {
		return false
	}
	slices.Sort(w)
	least := max(1, len(w)/leastShare)
	widths, twice := 0, 0
	for i := 0; i < len(w); {
		j := i + 1
		for j < len(w) && w[j]-w[j-1] < sameWidth {
			j++
		}
		if j-i >= least {
			widths++
			if j-i >= 2 {
				twice++
			}
		}
		i = j
	}
	return w[len(w)-1]-w[0] > farApart && (widths >= 3 || twice >= 2)
}
