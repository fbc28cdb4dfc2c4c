package teach

import (
	"cmp"
	"math"
	"slices"
)

// cuts is a guess at your rule as borders: a tree that parts whole bins from whole
// bins on one axis at a time. A border that parts many bins is known closely,
// for it rests on the examples of them all.
type cuts struct {
	axis     axis
	scale    scale
	borders  []border // ascending
	parts    [][]int  // the bins between the borders
	children []*cuts  // one more than the borders, or on a circle as many
	bins     []int    // of a leaf: one, or those that no border parts
}

// scale is how an axis is read as one number.
type scale int

const (
	straight scale = iota
	angle          // of a hue, in radians
	radius         // of a hue's disc: grey or not
)

// border lies somewhere from lo, where what is below it ends, to hi, where what
// is above it begins.
type border struct {
	lo, hi float64
}

const (
	// overlap is by how much the bins on the two sides of a border may overlap:
	// what measurement does to pieces beside it.
	overlap = 0.15
	// leastApart is the least gap between two bins that each lie in one place.
	leastApart = 0.1
	// leastGap is the least width of what is known of a border.
	leastGap = 0.16
	// greyRadius is the place on a hue's radius below which it is a grey.
	greyRadius = 1.1
)

func (p *place) read(x axis, s scale) float64 {
	switch s {
	case angle:
		return math.Atan2(p[x][1], p[x][0])
	case radius:
		return 2 * math.Hypot(p[x][0], p[x][1])
	}
	return p[x][0]
}

func (x axis) scales() []scale {
	switch x {
	case hue, seenHue:
		return []scale{radius, angle}
	case family:
		return nil
	}
	return []scale{straight}
}

// grow makes the tree that parts bins, of which members lists the examples, by the
// axes xs; the example left, or none where it is -1, is taken not to be known.
func grow(xs []axis, pts []point, members [][]int, left int, bins []int) *cuts {
	best, most := &cuts{bins: bins}, 0.0
	if len(bins) == 1 {
		return best
	}
	for _, x := range xs {
		for _, s := range x.scales() {
			c := &cuts{axis: x, scale: s}
			if worth := c.part(pts, members, left, bins); worth > most {
				best, most = c, worth
			}
		}
	}
	for _, part := range best.parts {
		best.children = append(best.children, grow(xs, pts, members, left, part))
	}
	return best
}

// extent is from where to where a bin reaches on a scale.
type extent struct {
	bin    int
	lo, hi float64
	n      int // examples
}

// part finds every border of the axis that parts whole bins, and gives the bins
// between them, with the logarithm of the odds against such an order by chance.
func (c *cuts) part(pts []point, members [][]int, left int, bins []int) (worth float64) {
	var reach []extent
	for _, b := range bins {
		var e extent
		if c.scale == angle {
			e = c.arc(pts, members[b], left)
		} else {
			e = c.stretch(pts, members[b], left)
		}
		e.bin = b
		if e.n == 0 {
			continue
		}
		reach = append(reach, e)
	}
	if c.scale == angle {
		return c.partCircle(reach)
	}
	slices.SortStableFunc(reach, func(a, b extent) int { return cmp.Compare(a.lo+a.hi, b.lo+b.hi) })
	n, all := 0, 0
	var part []int
	var parts [][]int
	for i, e := range reach {
		part = append(part, e.bin)
		n += e.n
		all += e.n
		if i+1 == len(reach) {
			break
		}
		below, above := hull(reach[:i+1]), hull(reach[i+1:])
		if hi, lo := below.hi, above.lo; lo-hi > max(leastApart-(min(below.hi-below.lo, above.hi-above.lo)), -overlap) {
			c.borders = append(c.borders, borderOf(hi, lo))
			parts = append(parts, part)
			worth -= logFactorial(n)
			part, n = nil, 0
		}
	}
	if parts == nil {
		return 0
	}
	c.parts = append(parts, part)
	return worth - logFactorial(n) + logFactorial(all)
}

func hull(reach []extent) extent {
	out := reach[0]
	for _, e := range reach {
		out.lo, out.hi = min(out.lo, e.lo), max(out.hi, e.hi)
	}
	return out
}

// partCircle is part on a circle.
func (c *cuts) partCircle(reach []extent) (worth float64) {
	var parts [][]int
	for _, e := range reach {
		if e.hi-e.lo > 1.5*math.Pi {
			return 0
		}
	}
	if len(reach) < 2 {
		return 0
	}
	slices.SortStableFunc(reach, func(a, b extent) int { return cmp.Compare(a.lo+a.hi, b.lo+b.hi) })
	// A border follows bin i where nothing reaches from i or before over the
	// start of what comes after.
	k := len(reach)
	var ends []int
	var found []border
	for i := range k {
		next := reach[(i+1)%k]
		turn := 0.0
		if i+1 == k {
			turn = 2 * math.Pi
		}
		lo, mid := next.lo+turn, (next.lo+next.hi)/2+turn
		hi := math.Inf(-1)
		for j := range k {
			o := reach[j]
			// Bring every extent to the turn that starts below the border or above it.
			m := (o.lo + o.hi) / 2
			for m < mid-1e-12-2*math.Pi {
				o.lo, o.hi, m = o.lo+2*math.Pi, o.hi+2*math.Pi, m+2*math.Pi
			}
			for m >= mid-1e-12 {
				o.lo, o.hi, m = o.lo-2*math.Pi, o.hi-2*math.Pi, m-2*math.Pi
			}
			hi = max(hi, o.hi)
			lo = min(lo, o.lo+2*math.Pi)
		}
		if lo-hi > -overlap {
			ends = append(ends, i)
			found = append(found, borderOf(hi, lo))
		}
	}
	if len(ends) < 2 {
		return 0
	}
	all := 0
	for i, e := range ends {
		to := ends[(i+1)%len(ends)]
		var part []int
		n := 0
		for j := (e + 1) % k; ; j = (j + 1) % k {
			part = append(part, reach[j].bin)
			n += reach[j].n
			if j == to {
				break
			}
		}
		parts = append(parts, part)
		worth -= logFactorial(n)
		all += n
	}
	c.borders, c.parts = found, parts
	return worth + logFactorial(all) - math.Log(float64(all))
}

func borderOf(lo, hi float64) border {
	lo, hi = min(lo, hi), max(lo, hi)
	if short := leastGap - (hi - lo); short > 0 {
		lo, hi = lo-short/2, hi+short/2
	}
	return border{lo, hi}
}

func (c *cuts) stretch(pts []point, members []int, left int) extent {
	e := extent{lo: math.Inf(1), hi: math.Inf(-1)}
	for _, i := range members {
		if i != left {
			v := pts[i].read(c.axis, c.scale)
			e.lo, e.hi, e.n = min(e.lo, v), max(e.hi, v), e.n+1
		}
	}
	return e
}

// arc is the shortest arc that holds the examples of a bin, but for greys, which
// have no angle. A bin of greys reaches all round.
func (c *cuts) arc(pts []point, members []int, left int) extent {
	var at []float64
	greys := 0
	for _, i := range members {
		switch {
		case i == left:
		case pts[i].read(c.axis, radius) < greyRadius:
			greys++
		default:
			at = append(at, pts[i].read(c.axis, angle))
		}
	}
	if len(at) == 0 {
		return extent{lo: -math.Pi, hi: math.Pi, n: greys}
	}
	slices.Sort(at)
	widest, from := 0.0, 0
	for i := range at {
		gap := at[(i+1)%len(at)] - at[i]
		if i+1 == len(at) {
			gap += 2 * math.Pi
		}
		if gap > widest {
			widest, from = gap, (i+1)%len(at)
		}
	}
	e := extent{lo: at[from], hi: at[from] + 2*math.Pi - widest, n: len(at)}
	if e.lo+e.hi >= 2*math.Pi { // the middle lies beyond a half turn
		e.lo, e.hi = e.lo-2*math.Pi, e.hi-2*math.Pi
	}
	return e
}

// weigh adds to odds, for each bin, the probability that p lies in it, times
// weight. Bins that no border parts are weighed by spread.
func (c *cuts) weigh(p *place, weight float64, odds []float64, spread func(bins []int, weight float64)) {
	switch {
	case len(c.bins) == 1:
		odds[c.bins[0]] += weight
		return
	case len(c.bins) > 1:
		spread(c.bins, weight)
		return
	}
	pass := func(child int, share float64) {
		if share > 1e-6 {
			c.children[child].weigh(p, weight*share, odds, spread)
		}
	}
	v, soft, over := p.read(c.axis, c.scale), 0.06, 0.0
	if c.scale == angle {
		soft = 0.05 / max(0.02, p.read(c.axis, radius)/2)
		first := (c.borders[0].lo + c.borders[0].hi) / 2
		for v < first {
			v += 2 * math.Pi
		}
		for v >= first+2*math.Pi {
			v -= 2 * math.Pi
		}
		over = c.borders[0].passed(v-2*math.Pi, soft)
	}
	before := 1.0
	for i := range len(c.borders) + 1 {
		after, child := over, i
		if i < len(c.borders) {
			after = c.borders[i].passed(v, soft)
		}
		if c.scale == angle { // the last part lies before the first border too
			child = (i + len(c.children) - 1) % len(c.children)
		}
		pass(child, max(0, before-after))
		before = after
	}
	pass(0, over)
}

// passed is the probability that a border lies below v, which may be soft off.
func (b border) passed(v, soft float64) float64 {
	return min(1, max(0, (v-b.lo+soft)/(b.hi-b.lo+2*soft)))
}

// uses says whether the tree has a border on every axis of xs, or a leaf that no
// border parts.
func (c *cuts) uses(xs []axis) bool {
	used := [axisCount]bool{}
	if c.survey(&used) {
		return true
	}
	return !slices.ContainsFunc(xs, func(x axis) bool { return !used[x] })
}

func (c *cuts) survey(used *[axisCount]bool) (tangled bool) {
	if c.borders == nil {
		return len(c.bins) > 1
	}
	used[c.axis] = true
	for _, k := range c.children {
		tangled = k.survey(used) || tangled
	}
	return tangled
}

func logFactorial(n int) float64 {
	v, _ := math.Lgamma(float64(n) + 1)
	return v
}
