package arrange

import "slices"

// independent finds many open places of which no two touch. Of each connected part it takes
// the larger of its two colours, where the part can be coloured like a chequered board;
// else what a greedy choice gives.
func (b *board) independent(open []bool) (out []int32) {
	side := make([]int8, len(open)) // 1 and -1; 0 is for none yet
	for i := range open {
		if !open[i] || side[i] != 0 {
			continue
		}
		side[i] = 1
		hang, sum := []int32{int32(i)}, 0
		for k := 0; k < len(hang); k++ {
			j := hang[k]
			sum += int(side[j])
			for _, l := range b.links[j] {
				switch {
				case !open[l.to]:
				case side[l.to] == 0:
					side[l.to] = -side[j]
					hang = append(hang, l.to)
				case side[l.to] == side[j]:
					return b.greedy(open)
				}
			}
		}
		for _, j := range hang {
			if (side[j] > 0) == (sum > 0) {
				out = append(out, j)
			}
		}
	}
	return out
}

// greedy takes the place with the fewest open neighbours, closes those, and goes on. Among
// equals it takes the one whose neighbours were closed last, so that the places taken grow
// from one spot.
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

// cliques divides places into groups of which all touch one another, found greedily, large
// ones first. It uses only touches that are not in used, and adds those of its groups to
// it.
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
