// Package teach learns a quilter's own bins from pieces she has sorted, and
// sorts new pieces as she does, with the reason. It does no I/O.
package teach

import (
	"cmp"
	"math"
	"slices"
)

// Example is one piece that she has put in a bin of her own. An empty Bin says
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
// (Ask is set, and Others holds the two likeliest bins, the likelier first), or
// none of her bins (neither is set), when the default families stand.
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
}

// point is a distinct example.
type point struct {
	bin int
	place
}

const (
	// judged is how many examples views are judged by.
	judged = 120
	// kept is how many views sort, and leastShare what the likeliest must have
	// less than to keep the others.
	kept       = 8
	leastShare = 0.01
	// sure is the probability from which a piece is sorted and not asked about.
	sure = 0.68
)

// Learn learns from examples in the order they were given: of two with the same
// features the later is what she means.
func Learn(examples []Example) *Sorter {
	s := new(Sorter)
	s.read(examples)
	if len(s.pts) == 0 {
		return s
	}
	s.views = s.guess()
	top := s.views[0].score
	total := 0.0
	for i := range s.views {
		s.views[i].join(s.pts, s.bins)
		w := math.Exp(s.views[i].score - top)
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
		w.judge(pts, bins)
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
	n := 1
	for n < min(kept, len(all)) && all[n].score > all[0].score+math.Log(leastShare) {
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

// Bins are the bins that were taught, in the order of their first example.
func (s *Sorter) Bins() []string {
	return slices.DeleteFunc(slices.Clone(s.names), func(n string) bool { return n == "" })
}

// Sort says which bin a piece belongs in.
func (s *Sorter) Sort(f Features) Answer {
	if len(s.pts) == 0 {
		return Answer{}
	}
	p := placeOf(f)
	n := len(s.bins)
	sum, odds, near := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range s.views {
		s.views[i].weigh(&p, s.pts, -1, odds, near)
		for b, o := range odds {
			sum[b] += s.share[i] * o
		}
	}
	order := make([]int, n)
	for b := range order {
		order[b] = b
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(sum[b], sum[a]) })
	a := Answer{Trust: sum[order[0]], Reason: s.reason(&p, order[0])}
	if a.Trust >= sure || n == 1 {
		a.Bin = s.names[order[0]]
		return a
	}
	a.Ask = true
	for _, b := range order[:2] {
		a.Others = append(a.Others, Candidate{s.names[b], sum[b]})
	}
	return a
}

func (s *Sorter) reason(p *place, bin int) string { return "nearest: pieces of " + s.names[bin] }
