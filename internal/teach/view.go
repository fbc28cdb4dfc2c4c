package teach

import (
	"math"
	"slices"
)

// view is one guess at what you sort by: a few axes. In it a bin is made of its
// examples and of what lies between two of them, unless a piece of another bin
// lies there too.
type view struct {
	axes  []axis
	spans []span
	rule  *cuts   // nil in a view of spans alone
	score float64 // logarithm of its likelihood
}

// span is what lies between two examples of a bin, or one example alone.
type span struct {
	bin, a, b int // a == b for one example
	// blocked counts the examples of other bins that lie within; blocker is
	// the last of them.
	blocked, blocker int
}

const (
	// sharpness is how fast a bin's odds fall with distance: odds go with
	// distance to the power of less sharpness. With 1 the odds between two bins on
	// one axis are those of a border that may lie anywhere in between.
	sharpness = 2.2
	// blur is the distance that measurement alone makes.
	blur = 0.08
	// spanCrowd is the examples from which a bin needs no joining.
	spanCrowd = 24
	// widestHue is the chord above which two hues are not joined.
	widestHue = 1.3
	// slip is the share of pieces that you are taken to sort carelessly.
	slip = 0.08
)

// distance returns the square of the distance of p from the span between a and b.
func (w *view) distance(p, a, b *place) float64 { return w.within(p, a, b, math.Inf(1)) }

// within is that distance where it is under limit, else limit.
func (w *view) within(p, a, b *place, limit float64) float64 {
	sum := 0.0
	for _, x := range w.axes {
		if sum += x.apart(p, a, b); sum >= limit {
			return limit
		}
	}
	return sum
}

// join makes the spans of a view.
func (w *view) join(pts []point, bins [][]int) {
	w.spans = w.spans[:0]
	for bin, members := range bins {
		for _, i := range members {
			w.spans = append(w.spans, span{bin: bin, a: i, b: i})
		}
		if len(members) > spanCrowd {
			continue
		}
		for k, i := range members {
			for _, j := range members[k+1:] {
				if w.joins(&pts[i].place, &pts[j].place) {
					w.spans = append(w.spans, w.fence(span{bin: bin, a: i, b: j}, pts))
				}
			}
		}
	}
	w.spans = slices.DeleteFunc(w.spans, func(s span) bool { return s.blocked > 1 })
}

func (w *view) joins(a, b *place) bool {
	for _, x := range w.axes {
		if (x == hue || x == seenHue) && x.apart(a, b, b) > widestHue*widestHue {
			return false
		}
	}
	return true
}

func (w *view) fence(s span, pts []point) span {
	for k := range pts {
		if pts[k].bin != s.bin && w.within(&pts[k].place, &pts[s.a].place, &pts[s.b].place, blur*blur/4) < blur*blur/4 {
			s.blocked++
			s.blocker = k
			if s.blocked > 1 {
				break
			}
		}
	}
	return s
}

// weigh fills odds, one for each bin, with the probability that p lies in it,
// and near with the square of its distance from it. The example left, or none
// where left is -1, is taken not to be known.
func (w *view) weigh(p *place, pts []point, left int, odds, near []float64) {
	for b := range near {
		near[b] = math.Inf(1)
	}
	for _, s := range w.spans {
		if s.a == left || s.b == left || s.blocked > 0 && s.blocker != left {
			continue
		}
		near[s.bin] = w.within(p, &pts[s.a].place, &pts[s.b].place, near[s.bin])
	}
	total := 0.0
	for b, d := range near {
		odds[b] = math.Pow(d+blur*blur, -sharpness/2)
		total += odds[b]
	}
	for b := range odds {
		odds[b] /= total
	}
}

// rank fills odds as weigh does, by the view's rule where it has one.
func (w *view) rank(p *place, pts []point, rule *cuts, left int, odds, near []float64) {
	w.weigh(p, pts, left, odds, near)
	if rule == nil {
		return
	}
	copy(near, odds)
	clear(odds)
	rule.weigh(p, 1, odds, func(bins []int, weight float64) {
		total := 0.0
		for _, b := range bins {
			total += near[b]
		}
		for _, b := range bins {
			odds[b] += weight * near[b] / total
		}
	})
}

// judge scores a view by how well it sorts each example from the others.
func (w *view) judge(pts []point, bins [][]int, ruled bool) {
	w.score = 0
	all := everyBin(bins)
	odds, near := make([]float64, len(bins)), make([]float64, len(bins))
	for i := range pts {
		if b := pts[i].bin; len(bins[b]) > 1 {
			var rule *cuts
			if ruled {
				rule = grow(w.axes, pts, bins, i, all)
			}
			w.rank(&pts[i].place, pts, rule, i, odds, near)
			w.score += math.Log((1-slip)*odds[b] + slip/float64(len(bins)))
		}
	}
}

func everyBin(bins [][]int) []int {
	all := make([]int, len(bins))
	for b := range all {
		all[b] = b
	}
	return all
}
