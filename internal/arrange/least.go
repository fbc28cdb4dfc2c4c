package arrange

import (
	"fmt"
	"slices"
	"strings"
)

// least returns how few touches any layout that fills as many places as at has at least:
// pieces of one family, or of one print, cannot all lie apart where there are more of them
// than places of which no two touch.
func (b *board) least(at []int32) Least {
	filled := 0
	for _, x := range at {
		if x >= 0 {
			filled++
		}
	}
	out := Least{Because: "no two that touch need be alike"}
	var why []string
	groups := b.groups(func(x int) int { return min(1, b.Pieces[x].Count) })
	for _, g := range groups {
		places := b.placesFor(g)
		must := filled - b.mostWithout(g)
		degree := 0
		for _, i := range places {
			degree = max(degree, len(b.links[i]))
		}
		if must*(degree+1) <= len(places) { // so many can lie apart, whichever places touch
			continue
		}
		n, apart := b.crowd(places, must)
		if n == 0 {
			continue
		}
		out.Touches += n
		what := fmt.Sprintf("%d of %d patches are %s: at most %d can lie apart", must, filled, b.nameOf(g), apart)
		if must < filled && len(b.Suits) > 1 {
			what = fmt.Sprintf("%d patches must be %s: of the %d that can be, at most %d lie apart", must, b.nameOf(g), len(places), apart)
		}
		why = append(why, what)
	}
	// Only where every place is filled need those that meet all be of some kind.
	if n, size := b.meeting(len(groups)); n > out.Touches && filled == len(b.Places) {
		out.Touches = n
		why = []string{fmt.Sprintf("%d patches touch one another in places, and there is cloth of %d kinds", size, len(groups))}
	}
	if why != nil {
		out.Because = strings.Join(why, "; ")
	}
	return out
}

// groups returns the pieces of which no two may touch: those of a family, or of a print
// where the family does not matter; each piece as often as counts has it.
func (b *board) groups(counts func(piece int) int) [][]int32 {
	number := map[int32]int{}
	var out [][]int32
	for x := range b.Pieces {
		n := counts(x)
		if n == 0 {
			continue
		}
		key := b.family[x]
		if key < 0 {
			key = -1 - b.print[x]
		}
		k, ok := number[key]
		if !ok {
			k = len(out)
			number[key] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], slices.Repeat([]int32{int32(x)}, n)...)
	}
	return out
}

func (b *board) nameOf(group []int32) string {
	x := b.Pieces[group[0]]
	if b.family[group[0]] >= 0 {
		return string(x.Family)
	}
	if x.Print != "" {
		return "of print " + x.Print
	}
	return fmt.Sprintf("of piece %d", x.Holding)
}

// placesFor returns the places that some piece of a group suits.
func (b *board) placesFor(group []int32) (out []int32) {
	for i, p := range b.Places {
		fits := slices.ContainsFunc(group, func(x int32) bool { return b.suits[p.Class][x] })
		if b.start[i] >= 0 {
			fits = slices.Contains(group, b.start[i])
		}
		if fits {
			out = append(out, int32(i))
		}
	}
	return out
}

// mostWithout returns how many places can be filled by all other pieces: by the classes of
// places and what suits them.
func (b *board) mostWithout(group []int32) int {
	need := make([]int, len(b.Suits))
	have := make([]int, len(b.Pieces))
	for x, p := range b.Pieces {
		have[x] = p.Count
	}
	kept := 0
	for i, p := range b.Places {
		if x := b.start[i]; x >= 0 {
			have[x]--
			if !slices.Contains(group, x) {
				kept++
			}
			continue
		}
		need[p.Class]++
	}
	classes, from := len(need), len(need)+len(have)
	n := newNetwork(from + 2)
	for c, list := range b.Suits {
		n.add(from, c, need[c])
		for _, x := range list {
			n.add(c, classes+x, need[c])
		}
	}
	for x := range have {
		if !slices.Contains(group, int32(x)) {
			n.add(classes+x, from+1, have[x])
		}
	}
	return kept + n.flow(from, from+1)
}

// crowd returns a lower bound on the touches among must of these places, and an upper bound
// on how many of the places can lie apart.
func (b *board) crowd(places []int32, must int) (touches, apart int) {
	at := make([]int, len(b.Places)) // where in places; 0 for none
	for k, i := range places {
		at[i] = k + 1
	}
	// By a linear programme: each place is taken or not, or half, a touch costs what
	// its two places are taken beyond one, and each taken place is paid price. The
	// least cut of the graph with every place twice gives its optimum for a price
	// (Hochbaum 2008, Operations Research 56(4), for such programmes), and
	// every price bounds the touches of must places.
	n, degree := len(places), 0
	for _, i := range places {
		d := 0
		for _, l := range b.links[i] {
			if at[l.to] > 0 {
				d += int(l.times)
			}
		}
		degree = max(degree, d)
	}
	bound := func(scale, price int) int { // twice the bound, times scale
		net := newNetwork(2*n + 2)
		for k, i := range places {
			net.add(2*n, k, price)
			net.add(n+k, 2*n+1, price)
			for _, l := range b.links[i] {
				if at[l.to] > 0 {
					net.add(k, n+at[l.to]-1, scale*int(l.times))
				}
			}
		}
		return net.flow(2*n, 2*n+1) - 2*price*n
	}
	// At half a touch a place, what is taken lies apart.
	apart = min(n, -bound(2, 1)/2)
	if must > apart {
		for price := 1; price <= degree; price++ {
			touches = max(touches, (bound(1, price)+2*price*must+1)/2)
		}
	}
	// By groups that touch one another: so many places in so few groups must share
	// some. Groups of touches that no group before has used add up.
	used := map[[2]int32]bool{}
	sum := 0
	for round := 0; round < degree; round++ {
		groups := b.cliques(places, used)
		if round == 0 {
			apart = min(apart, len(groups))
		}
		if must <= len(groups) {
			break
		}
		sum += shared(groups, must)
	}
	return max(touches, sum), apart
}

// shared returns the least number of pairs within one group when must places are spread
// over groups of these sizes.
func shared(groups [][]int32, must int) (pairs int) {
	for depth := 1; must > 0; depth++ { // the depth-th of a group makes depth-1 pairs
		room := 0
		for _, g := range groups {
			if len(g) >= depth {
				room++
			}
		}
		n := min(room, must)
		if n == 0 {
			break
		}
		pairs += n * (depth - 1)
		must -= n
	}
	return pairs
}

// meeting bounds the touches where more places touch one another than there are kinds
// of cloth, and says how many do.
func (b *board) meeting(kinds int) (touches, size int) {
	degree := 0
	all := make([]int32, len(b.Places))
	for i := range all {
		all[i] = int32(i)
		degree = max(degree, len(b.links[i]))
	}
	if kinds > degree {
		return 0, 0
	}
	used := map[[2]int32]bool{}
	for range degree {
		some := false
		for _, g := range b.cliques(all, used) {
			some = some || len(g) > 1
			size = max(size, len(g))
			touches += shared(slices.Repeat([][]int32{g}, kinds), len(g))
		}
		if !some {
			break
		}
	}
	return touches, size
}
