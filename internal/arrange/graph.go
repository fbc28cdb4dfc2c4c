package arrange

import "slices"

// independent finds open places of which no two touch: as many as there can be where
// the open places can be parted into two sides with no touch within a side (König
// 1931: all places but a least cover, which a largest matching gives), else as many as
// a greedy choice of the place with the fewest open neighbours gives.
func (b *board) independent(open []bool) []int32 {
	side := b.sides(open)
	if side == nil {
		return b.greedy(open)
	}
	match := b.matching(open, side)
	// From the unmatched places of the one side, along paths that alternate: what is
	// reached of it, and not reached of the other, is independent.
	reached := make([]bool, len(open))
	var queue []int32
	for i := range open {
		if open[i] && side[i] == 0 && match[i] < 0 {
			reached[i] = true
			queue = append(queue, int32(i))
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		for _, l := range b.links[i] {
			j := l.to
			if !open[j] || reached[j] {
				continue
			}
			reached[j] = true
			if m := match[j]; m >= 0 && !reached[m] {
				reached[m] = true
				queue = append(queue, m)
			}
		}
	}
	var out []int32
	for i := range open {
		if open[i] && reached[i] == (side[i] == 0) {
			out = append(out, int32(i))
		}
	}
	return out
}

// sides parts open places into 0 and 1 so that no two of a side touch; nil where that
// cannot be.
func (b *board) sides(open []bool) []int8 {
	side := make([]int8, len(open))
	for i := range side {
		side[i] = -1
	}
	var queue []int32
	for i := range open {
		if !open[i] || side[i] >= 0 {
			continue
		}
		side[i] = 0
		queue = append(queue[:0], int32(i))
		for len(queue) > 0 {
			j := queue[0]
			queue = queue[1:]
			for _, l := range b.links[j] {
				if !open[l.to] {
					continue
				}
				if side[l.to] == side[j] {
					return nil
				}
				if side[l.to] < 0 {
					side[l.to] = 1 - side[j]
					queue = append(queue, l.to)
				}
			}
		}
	}
	return side
}

// matching pairs open places of the two sides that touch, as many as can be (Hopcroft
// & Karp 1973, SIAM Journal on Computing 2(4)): of each place its partner, or -1.
func (b *board) matching(open []bool, side []int8) []int32 {
	match := make([]int32, len(open))
	for i := range match {
		match[i] = -1
	}
	depth := make([]int32, len(open))
	var seek func(i int32) bool
	seek = func(i int32) bool {
		for _, l := range b.links[i] {
			j := l.to
			if !open[j] {
				continue
			}
			if m := match[j]; m < 0 || depth[m] == depth[i]+1 && seek(m) {
				match[i], match[j] = j, i
				return true
			}
		}
		depth[i] = -1
		return false
	}
	for {
		var queue []int32
		for i := range open {
			depth[i] = -1
			if open[i] && side[i] == 0 && match[i] < 0 {
				depth[i] = 0
				queue = append(queue, int32(i))
			}
		}
		for k := 0; k < len(queue); k++ {
			for _, l := range b.links[queue[k]] {
				if m := match[l.to]; open[l.to] && m >= 0 && depth[m] < 0 {
					depth[m] = depth[queue[k]] + 1
					queue = append(queue, m)
				}
			}
		}
		found := false
		for i := range open {
			if depth[i] == 0 && match[i] < 0 && seek(int32(i)) {
				found = true
			}
		}
		if !found {
			return match
		}
	}
}

// greedy takes the place with the fewest open neighbours, closes those, and goes on;
// of equals the one whose neighbours closed last, so that what is taken grows together.
func (b *board) greedy(open []bool) []int32 {
	degree := make([]int, len(open))
	free := slices.Clone(open)
	most := 0
	for i := range open {
		for _, l := range b.links[i] {
			if open[i] && open[l.to] {
				degree[i]++
			}
		}
		most = max(most, degree[i])
	}
	stacks := make([][]int32, most+1) // by degree; entries that no longer hold are passed over
	for i := len(open) - 1; i >= 0; i-- {
		if open[i] {
			stacks[degree[i]] = append(stacks[degree[i]], int32(i))
		}
	}
	var out []int32
	for d := 0; d <= most; {
		n := len(stacks[d])
		if n == 0 {
			d++
			continue
		}
		i := stacks[d][n-1]
		stacks[d] = stacks[d][:n-1]
		if !free[i] || degree[i] != d {
			continue
		}
		free[i] = false
		out = append(out, i)
		for _, l := range b.links[i] {
			if !free[l.to] {
				continue
			}
			free[l.to] = false
			for _, m := range b.links[l.to] {
				if free[m.to] {
					degree[m.to]--
					stacks[degree[m.to]] = append(stacks[degree[m.to]], m.to)
					d = min(d, degree[m.to])
				}
			}
		}
	}
	return out
}

// cliques parts places into groups of which all touch one another, large ones first
// as greed finds them, by touches that are not used yet; it uses those it takes.
func (b *board) cliques(places []int32, used map[[2]int32]bool) [][]int32 {
	in := make([]bool, len(b.Places))
	for _, i := range places {
		in[i] = true
	}
	touch := func(i, j int32) bool {
		if used[[2]int32{min(i, j), max(i, j)}] {
			return false
		}
		return slices.ContainsFunc(b.links[i], func(l link) bool { return l.to == j })
	}
	var out [][]int32
	for _, i := range places {
		if !in[i] {
			continue
		}
		best := []int32{i}
		for _, l := range b.links[i] { // a clique from each neighbour on
			if !in[l.to] || !touch(i, l.to) {
				continue
			}
			group := []int32{i, l.to}
			for _, m := range b.links[i] {
				if in[m.to] && m.to != l.to && !slices.ContainsFunc(group, func(g int32) bool { return !touch(g, m.to) }) {
					group = append(group, m.to)
				}
			}
			if len(group) > len(best) {
				best = group
			}
		}
		for k, g := range best {
			in[g] = false
			for _, h := range best[:k] {
				used[[2]int32{min(g, h), max(g, h)}] = true
			}
		}
		out = append(out, best)
	}
	return out
}
