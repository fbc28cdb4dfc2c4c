package cutting

import (
	"cmp"
	"slices"
)

// taken is how many copies of a source go to a want as they are.
type taken struct{ source, want, n int }

// ready gives as many pieces as can be to wants of their own size, and takes
// them off copies and left. Wants that little other cloth could answer come
// first; each piece found may push others along (augmenting paths, Berge 1957),
// so the number is the greatest there is.
func (p *problem) ready(copies, left []int) []taken {
	given := make([]map[int]int, len(p.sources)) // by want
	for k := range given {
		given[k] = map[int]int{}
	}
	for _, want := range p.scarcest(copies) {
		for left[want] > 0 && p.augment(want, copies, given) {
			left[want]--
		}
	}
	var out []taken
	for k, by := range given {
		for i := range p.wants {
			if n := by[i]; n > 0 {
				out = append(out, taken{k, i, n})
			}
		}
	}
	return out
}

// augment finds one more piece for a want, if need be by giving a want that
// holds a fitting one another instead: a breadth-first search over the wants.
func (p *problem) augment(want int, copies []int, given []map[int]int) bool {
	from := map[int][2]int{want: {-1, -1}} // the want that asked and the source it would take
	for queue := []int{want}; len(queue) > 0; queue = queue[1:] {
		w := queue[0]
		for k := range p.sources {
			if !slices.Contains(p.sources[k].ready, w) {
				continue
			}
			if copies[k] > 0 {
				copies[k]--
				for at := k; ; {
					given[at][w]++
					back := from[w]
					if back[0] < 0 {
						return true
					}
					given[back[1]][w]--
					w, at = back[0], back[1]
				}
			}
			for _, other := range p.sources[k].ready {
				if _, seen := from[other]; !seen && given[k][other] > 0 {
					from[other] = [2]int{w, k}
					queue = append(queue, other)
				}
			}
		}
	}
	return false
}

// scarcest orders the wants by the area of the cloth that could answer them,
// least first.
func (p *problem) scarcest(copies []int) []int {
	order := make([]int, len(p.wants))
	could := make([]float64, len(p.wants))
	for i := range order {
		order[i] = i
	}
	for k, src := range p.sources {
		for _, l := range src.lies[:min(1, len(src.lies))] {
			for _, i := range p.sigs[src.sig].wants {
				could[i] += float64(float64(copies[k]) * (area(l.across) * area(l.along)).in2())
			}
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(could[a], could[b]) })
	return order
}
