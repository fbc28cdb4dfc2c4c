package teach

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
)

// neighbours is how many of the nearest examples a reason goes by.
const neighbours = 3

// reason says why p belongs in bin.
func (s *Sorter) reason(p *place, bin int) string {
	count := s.nearest(p)
	name := s.name(bin)
	switch {
	case name == "":
		return "unlike what your bins hold"
	case count[bin] == 0:
		return fmt.Sprintf("on the same side as %s, by %s", name, s.by())
	}
	return fmt.Sprintf("nearest: %s of %s, by %s", cloth.Count(count[bin], "piece"), name, s.by())
}

// doubt says between what p lies.
func (s *Sorter) doubt(p *place, first, second int) string {
	count := s.nearest(p)
	part := func(b int) string {
		if s.name(b) == "" {
			return "perhaps none of your bins"
		}
		return cloth.Count(count[b], "piece") + " of " + s.name(b)
	}
	return fmt.Sprintf("unsure, nearest: %s, %s, by %s", part(first), part(second), s.by())
}

// by names what the likeliest guess goes by.
func (s *Sorter) by() string {
	var names []string
	for _, x := range s.views[0].axes {
		if !slices.Contains(names, axisNames[x]) {
			names = append(names, axisNames[x])
		}
	}
	if last := len(names) - 1; last > 0 {
		return strings.Join(names[:last], ", ") + " and " + names[last]
	}
	return names[0]
}

// nearest counts, by bin, the examples nearest to p as the likeliest guesses see
// it; the last is for none.
func (s *Sorter) nearest(p *place) []int {
	far := make([]float64, len(s.pts))
	for v := range s.views {
		for i := range s.pts {
			q := &s.pts[i].place
			far[i] += s.share[v] * s.views[v].distance(p, q, q)
		}
	}
	order := make([]int, len(s.pts))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(far[a], far[b]) })
	count := make([]int, len(s.bins)+1)
	for _, i := range order[:min(neighbours, len(order))] {
		count[s.pts[i].bin]++
	}
	return count
}
