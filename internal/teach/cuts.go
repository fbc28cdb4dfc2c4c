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
	borders  []border // ascending
	parts    [][]int  // the bins between the borders
	children []*cuts  // one more than the borders
	bins     []int    // of a leaf: one, or those that no border parts
}

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
)

// read returns where a place lies on an axis, as one number: of a hue how far it is from
// grey. Hues go round, and families have no order: no border parts those.
func (p *place) read(x axis) float64 {
	if x == hue || x == seenHue {
		return 2 * math.Hypot(p[x][0], p[x][1])
	}
	return p[x][0]
}

// grow makes the tree that parts bins, of which members lists the examples, by the
// axes xs; the example left, or none where it is -1, is taken not to be known.
func grow(xs []axis, pts []point, members [][]int, left int, bins []int) *cuts {
	best, most := &cuts{bins: bins}, 0.0
	if len(bins) == 1 {
		return best
	}
	for _, x := range xs {
		if x == family {
			continue
		}
		c := &cuts{axis: x}
		if worth := c.part(pts, members, left, bins); worth > most {
			best, most = c, worth
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
		e := extent{bin: b, lo: math.Inf(1), hi: math.Inf(-1)}
		for _, i := range members[b] {
			if i != left {
				v := pts[i].read(c.axis)
				e.lo, e.hi, e.n = min(e.lo, v), max(e.hi, v), e.n+1
			}
		}
		if e.n > 0 {
			reach = append(reach, e)
		}
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
		lo, hi := below.hi, above.lo
		if hi-lo > max(leastApart-min(below.hi-below.lo, above.hi-above.lo), -overlap) {
			short := max(0, leastGap-(hi-lo))
			c.borders = append(c.borders, border{lo - short/2, hi + short/2})
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
	v, before := p.read(c.axis), 1.0
	for i, child := range c.children {
		after := 0.0
		if i < len(c.borders) {
			after = c.borders[i].passed(v)
		}
		if share := max(0, before-after); share > 1e-6 {
			child.weigh(p, weight*share, odds, spread)
		}
		before = after
	}
}

// soft is by how much a place may be off on an axis, as measured.
const soft = 0.06

// passed returns the probability that a border lies below v, which may be soft off.
func (b border) passed(v float64) float64 {
	return min(1, max(0, (v-b.lo+soft)/(b.hi-b.lo+2*soft)))
}

// uses reports whether the tree has a border on every axis of xs, or a leaf that no
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
