package arrange

import (
	"cmp"
	"fmt"
	"slices"
)

// The quilts of which every layout is weighed: so many places, and so many steps.
const (
	mostWeighed = 20
	mostSteps   = 1_000_000
)

// weigh returns the fewest touches of a small quilt, by weighing all layouts but those that
// touch more already than the best known, which has so many; ok tells that it came to the end. It looks at
// groups of pieces alone, so it says nothing where pieces of two groups may clash, where
// pieces of one suit other places than the rest of it, or where places are empty or kept.
func (b *board) weigh(at []int32, known int) (l Least, ok bool) {
	n := len(b.Places)
	groups := b.groups(func(x int) int { return b.Pieces[x].Count })
	if n > mostWeighed || len(b.apart) > 0 || slices.Contains(at, -1) {
		return l, false
	}
	for _, x := range b.start {
		if x >= 0 {
			return l, false
		}
	}
	for k, g := range groups {
		for _, x := range g {
			for _, other := range groups[k+1:] {
				if slices.ContainsFunc(other, func(y int32) bool { return b.clash(x, y) }) {
					return l, false
				}
			}
			for c := range b.suits {
				if b.suits[c][x] != b.suits[c][g[0]] {
					return l, false
				}
			}
		}
	}
	order := make([]int32, n) // those that touch most first
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(i, j int32) int { return cmp.Compare(len(b.links[j]), len(b.links[i])) })
	left := make([]int, len(groups))
	for k, g := range groups {
		left[k] = len(g)
	}
	in := make([]int, n) // the group of each place; -1: none yet
	for i := range in {
		in[i] = -1
	}
	best, steps := known, 0
	var place func(depth, touches int)
	place = func(depth, touches int) {
		if steps++; touches >= best || steps > mostSteps {
			return
		}
		if depth == n {
			best = touches
			return
		}
		i := order[depth]
		for k, g := range groups {
			if left[k] == 0 || !b.suits[b.Places[i].Class][g[0]] {
				continue
			}
			more := 0
			for _, l := range b.links[i] {
				if in[l.to] == k {
					more += int(l.times)
				}
			}
			left[k]--
			in[i] = k
			place(depth+1, touches+more)
			left[k]++
			in[i] = -1
		}
	}
	place(0, 0)
	return Least{best, fmt.Sprintf("every layout of the %d pieces was weighed", n)}, steps <= mostSteps
}
