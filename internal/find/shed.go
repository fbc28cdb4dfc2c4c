package find

// edge joins two cells of cloth: p > 0 speaks for one piece, p < 0 against it,
// in steps of a field.
type edge struct {
	u, v   int32
	p      int16
	weight int8 // how much it counts where fragments are weighed, in halves
}

// edges returns the pulls between cells of cloth, those whose cloth is above least.
func (f *field) edges(least int16) []edge {
	n := 0
	for _, k := range f.pulls {
		n += (f.w/k.step + 1) * (f.h/k.step + 1)
	}
	out := make([]edge, 0, n)
	for _, k := range f.pulls {
		for y := 0; y+k.dy < f.h; y++ {
			for x := k.first(y); x < f.w; x += k.step {
				if x+k.dx < 0 || x+k.dx >= f.w {
					continue
				}
				i := y*f.w + x
				j := i + k.dy*f.w + k.dx
				if f.cloth[i] > least && f.cloth[j] > least {
					out = append(out, edge{int32(i), int32(j), k.p[i], k.weight})
				}
			}
		}
	}
	return out
}

// shed returns the mutex watershed (Wolf et al. 2018): edges from the strongest to
// the weakest, each either joins the fragments at its ends or forbids that they
// ever join; what was forbidden stays so. It gives the fragments of n cells, by
// the number of a cell in each. Ties break by the order of the edges.
func shed(n int, edges []edge) []int32 {
	strength := func(e *edge) int { return int(max(e.p, -e.p)) }
	var at [half + 2]int32
	for i := range edges {
		at[strength(&edges[i])]++
	}
	next := int32(0)
	for s := len(at) - 1; s >= 0; s-- {
		at[s], next = next, next+at[s]
	}
	sorted := make([]edge, len(edges))
	for _, e := range edges {
		s := strength(&e)
		sorted[at[s]] = e
		at[s]++
	}
	// Each fragment's enemies are a linked list, so that two lists join at once.
	parent, size := make([]int32, n), make([]int32, n)
	head, tail, enemies := make([]int32, n), make([]int32, n), make([]int32, n)
	for i := range parent {
		parent[i], size[i], head[i], tail[i] = int32(i), 1, -1, -1
	}
	var who, after []int32
	for i := range sorted {
		e := &sorted[i]
		a, b := root(parent, e.u), root(parent, e.v)
		if a == b {
			continue
		}
		if enemies[a] > enemies[b] {
			a, b = b, a
		}
		forbidden := false
		for x := head[a]; x >= 0 && !forbidden; x = after[x] {
			who[x] = root(parent, who[x])
			forbidden = who[x] == b
		}
		switch {
		case forbidden:
		case e.p > 0:
			if size[a] > size[b] {
				a, b = b, a
			}
			parent[a] = b
			size[b] += size[a]
			if head[a] >= 0 {
				if head[b] < 0 {
					head[b] = head[a]
				} else {
					after[tail[b]] = head[a]
				}
				tail[b] = tail[a]
				enemies[b] += enemies[a]
			}
		default:
			for range 2 {
				x := int32(len(who))
				who, after = append(who, b), append(after, -1)
				if head[a] < 0 {
					head[a] = x
				} else {
					after[tail[a]] = x
				}
				tail[a] = x
				enemies[a]++
				a, b = b, a
			}
		}
	}
	for i := range parent {
		parent[i] = root(parent, int32(i))
	}
	return parent
}

// root finds the root of x in a forest, and shortens the way there.
func root(parent []int32, x int32) int32 {
	for parent[x] != x {
		parent[x] = parent[parent[x]]
		x = parent[x]
	}
	return x
}
