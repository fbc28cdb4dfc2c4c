package recipe

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/geom"
)

// touch is the distance below which two seams count as one, and the least length of a
// shared seam, inches: far smaller than any patch, far larger than rounding.
const touch = 1e-4

// Neighbours lists, for each patch, the patches that share a seam with it, in
// order; patches that meet only at a corner are none.
func (l Top) Neighbours() [][]int {
	edges := l.edges()
	pairs := make([][]int, len(l.Patches))
	// Edges on one line are next to one another once sorted: by direction, by
	// distance from the origin, then along the line.
	for _, parallel := range runs(edges, func(e edge) float64 { return e.angle }) {
		for _, line := range runs(parallel, func(e edge) float64 { return e.offset }) {
			slices.SortFunc(line, func(a, b edge) int {
				return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.patch, b.patch))
			})
			for i, a := range line {
				for _, b := range line[i+1:] {
					if b.from > a.to-touch {
						break
					}
					if a.patch != b.patch && min(a.to, b.to)-b.from > touch {
						pairs[a.patch] = append(pairs[a.patch], b.patch)
						pairs[b.patch] = append(pairs[b.patch], a.patch)
					}
				}
			}
		}
	}
	for i := range pairs {
		slices.Sort(pairs[i])
		pairs[i] = slices.Compact(pairs[i])
	}
	return pairs
}

// Corners lists the pairs of patches that meet at a corner of both and share no seam,
// in order, the lower first.
func (l Top) Corners() [][2]int {
	const cell = 64 * touch // of squares that corners are sorted into
	square := func(p geom.Point, dx, dy int) [2]int {
		return [2]int{int(math.Floor(p.X/cell)) + dx, int(math.Floor(p.Y/cell)) + dy}
	}
	type corner struct {
		at    geom.Point
		patch int
	}
	in := map[[2]int][]corner{}
	for i, p := range l.Patches {
		for _, at := range p.Polygon {
			k := square(at, 0, 0)
			in[k] = append(in[k], corner{at, i})
		}
	}
	beside := l.Neighbours()
	var out [][2]int
	for i, p := range l.Patches {
		var met []int
		for _, at := range p.Polygon {
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					for _, c := range in[square(at, dx, dy)] {
						if _, seam := slices.BinarySearch(beside[i], c.patch); c.patch > i && !seam && c.at.Dist(at) < touch {
							met = append(met, c.patch)
						}
					}
				}
			}
		}
		slices.Sort(met)
		for _, j := range slices.Compact(met) {
			out = append(out, [2]int{i, j})
		}
	}
	return out
}

// edge is one side of a patch: on the line at an angle of 0 ≤ angle < π and an
// offset from the origin, between two places along it.
type edge struct {
	angle, offset, from, to float64
	patch                   int
}

func (l Top) edges() []edge {
	var out []edge
	for i, p := range l.Patches {
		for j, a := range p.Polygon {
			b := p.Polygon[(j+1)%len(p.Polygon)]
			angle := math.Atan2(b.Y-a.Y, b.X-a.X)
			if angle < -touch {
				angle += math.Pi
			}
			if angle > math.Pi-touch {
				angle -= math.Pi
			}
			along := geom.Point{X: math.Cos(angle), Y: math.Sin(angle)}
			s, t := a.Dot(along), b.Dot(along)
			out = append(out, edge{angle, along.Cross(a), min(s, t), max(s, t), i})
		}
	}
	return out
}

// runs sorts edges by a measure and splits them wherever it jumps by more than
// touch.
func runs(edges []edge, measure func(edge) float64) [][]edge {
	slices.SortStableFunc(edges, func(a, b edge) int { return cmp.Compare(measure(a), measure(b)) })
	var out [][]edge
	first := 0
	for i := 1; i <= len(edges); i++ {
		if i == len(edges) || measure(edges[i])-measure(edges[i-1]) > touch {
			out = append(out, edges[first:i])
			first = i
		}
	}
	return out
}
