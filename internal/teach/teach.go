// Package teach learns a quilter's own bins from pieces that are sorted, and
// sorts new pieces in the same way, with the reason. It does no I/O.
package teach

import (
	"cmp"
	"math"
	"slices"
)

// Example is one piece that you have put in a bin of your own. An empty Bin says
// that it belongs in none of them.
type Example struct {
	Bin string `json:"bin"`
	Features
}

// Candidate is a bin a piece may belong in, with its probability, 0..1.
type Candidate struct {
	Bin   string
	Trust float64
}

// Answer is where a piece belongs. It is one of three: sure (Bin is set), asked
// (Ask is set, and Others holds the two likeliest bins, the likelier first, of which
// the second may be "", none of yours), or none of your bins (neither is set), when
// the default families stand. A piece that most likely belongs in none is not asked
// about: who has taught one bin has a stash of others.
type Answer struct {
	Bin    string
	Reason string  // such as "nearest: 3 pieces of sea greens, by hue"
	Trust  float64 // 0..1, the probability of Bin, or of the likelier of Others
	Ask    bool
	Others []Candidate
}

// Sorter sorts as the examples it was taught with. It is not changed by use, and
// any number of goroutines may share it. The zero value knows no bin.
type Sorter struct {
	names []string // of the bins, in the order of their first example
	bins  [][]int  // the examples of each
	pts   []point
	views []view    // the likeliest first
	share []float64 // of each view; they sum to 1
	like  likeness
}

// point is a distinct example.
type point struct {
	bin int
	place
}

const (
	// judged is how many examples views are judged by.
	judged = 72
	// ruled is how many views are tried with borders.
	ruled = 24
	// kept is how many views sort, of those that weigh at least leastShare of the
	// likeliest.
	kept       = 16
	leastShare = 0.01
	// temper is the power of the likelihoods by which guesses are weighed: examples
	// of one bin are judged one by one, but are not independent.
	temper = 0.5
	// sure is the probability from which a piece is sorted and not asked about.
	sure = 0.84
)

// Learn learns from examples in the order they were given: of two with the same
// features the later is what you mean.
func Learn(examples []Example) *Sorter {
	s := new(Sorter)
	s.read(examples)
	if len(s.pts) == 0 {
		return s
	}
	s.like = likenessOf(s.pts, s.bins)
	s.views = s.guess()
	top := s.views[0].score
	total := 0.0
	for i := range s.views {
		s.views[i].join(s.pts, s.bins)
		if s.views[i].rule != nil {
			s.views[i].rule = grow(s.views[i].axes, s.pts, s.bins, -1, everyBin(s.bins))
		}
		w := math.Exp(temper * (s.views[i].score - top))
		s.share = append(s.share, w)
		total += w
	}
	for i := range s.share {
		s.share[i] /= total
	}
	return s
}

func (s *Sorter) read(examples []Example) {
	at := map[place]int{}
	for _, e := range examples {
		b := slices.Index(s.names, e.Bin)
		if b < 0 {
			b = len(s.names)
			s.names = append(s.names, e.Bin)
		}
		p := placeOf(e.Features)
		if i, known := at[p]; known {
			s.pts[i].bin = b
			continue
		}
		at[p] = len(s.pts)
		s.pts = append(s.pts, point{b, p})
	}
	s.bins = make([][]int, len(s.names))
	for i, p := range s.pts {
		s.bins[p.bin] = append(s.bins[p.bin], i)
	}
}

// guess finds the likeliest views, the likeliest first: of one axis, of any two,
// and of three where two of them do well.
func (s *Sorter) guess() []view {
	pts, bins := s.sample()
	judge := func(xs ...axis) view {
		w := view{axes: xs}
		w.join(pts, bins)
		w.judge(pts, bins, false)
		return w
	}
	best := func(v []view) { slices.SortStableFunc(v, func(a, b view) int { return cmp.Compare(b.score, a.score) }) }
	var all, pairs []view
	for x := range axisCount {
		all = append(all, judge(x))
		for y := range x {
			pairs = append(pairs, judge(y, x))
		}
	}
	best(pairs)
	var seen [][]axis
	for _, p := range pairs[:4] {
		for x := range axisCount {
			xs := append(slices.Clone(p.axes), x)
			slices.Sort(xs)
			if slices.Contains(p.axes, x) || slices.ContainsFunc(seen, func(o []axis) bool { return slices.Equal(o, xs) }) {
				continue
			}
			seen = append(seen, xs)
			all = append(all, judge(xs...))
		}
	}
	all = append(all, pairs...)
	best(all)
	for _, w := range slices.Clone(all[:min(ruled, len(all))]) {
		w.rule = grow(w.axes, pts, bins, -1, everyBin(bins))
		if !w.rule.uses(w.axes) {
			continue // a view of fewer axes says the same
		}
		w.judge(pts, bins, true)
		all = append(all, w)
	}
	best(all)
	n := 1
	for n < min(kept, len(all)) && all[n].score > all[0].score+math.Log(leastShare)/temper {
		n++
	}
	return all[:n]
}

// sample is as many of the examples as views are judged by, the latest of each
// bin.
func (s *Sorter) sample() ([]point, [][]int) {
	each := max(2, judged/len(s.bins))
	var pts []point
	bins := make([][]int, len(s.bins))
	for b, members := range s.bins {
		for _, i := range members[max(0, len(members)-each):] {
			bins[b] = append(bins[b], len(pts))
			pts = append(pts, s.pts[i])
		}
	}
	return pts, bins
}

// Bins returns the bins that were taught, in the order of their first example.
func (s *Sorter) Bins() []string {
	return slices.DeleteFunc(slices.Clone(s.names), func(n string) bool { return n == "" })
}

// Vague reports whether a single bin was taught, by examples that hold nearly every colour:
// with nothing to tell them from, everything would belong there.
func (s *Sorter) Vague() bool { return len(s.names) == 1 && s.like.held >= wholeFrom }

// Sort says which bin a piece belongs in: none where the sorter is Vague.
func (s *Sorter) Sort(f Features) Answer {
	switch {
	case len(s.pts) == 0:
		return Answer{}
	case s.Vague():
		return Answer{Reason: "the examples of " + s.names[0] + " are too unlike one another"}
	}
	p := placeOf(f)
	n := len(s.bins)
	// The last of sum is for pieces of none of your bins.
	sum, odds, near := make([]float64, n+1), make([]float64, n), make([]float64, n)
	for i := range s.views {
		s.views[i].rank(&p, s.pts, s.views[i].rule, -1, odds, near)
		for b, o := range odds {
			sum[b] += s.share[i] * o
		}
	}
	s.like.strange(&p, s.pts, odds, near)
	for b, name := range s.names {
		away := sum[b]
		if name != "" {
			away *= odds[b]
		}
		sum[b] -= away
		sum[n] += away
	}
	first, second := topTwo(sum)
	a := Answer{Trust: sum[first]}
	if a.Trust >= sure || s.name(first) == "" {
		a.Bin = s.name(first)
		a.Reason = s.reason(&p, first)
		return a
	}
	a.Ask = true
	a.Others = []Candidate{{s.name(first), sum[first]}, {s.name(second), sum[second]}}
	a.Reason = s.doubt(&p, first, second)
	return a
}

// name returns the name of bin b, where one more than there are is none.
func (s *Sorter) name(b int) string {
	if b == len(s.names) {
		return ""
	}
	return s.names[b]
}

// topTwo returns the places of the two largest, the earlier where two are alike.
func topTwo(v []float64) (first, second int) {
	first, second = 0, 1
	if v[1] > v[0] {
		first, second = 1, 0
	}
	for i := 2; i < len(v); i++ {
		switch {
		case v[i] > v[first]:
			first, second = i, first
		case v[i] > v[second]:
			second = i
		}
	}
	return first, second
}
