package cutting

import (
	"cmp"
	"math/bits"
	"slices"
)

// The aims of a plan, each a number of which less is better.
const (
	uncovered = iota // square ticks, less those of all that is wanted
	unready          // less the pieces taken as they are
	unmixed          // less the prints, summed over the roles
	unspared         // the cloths cut into, the largest counting beyond all smaller ones
	cloths
	cuts
	wasted // square ticks
	nAims
)

// orders say in which order the aims are compared.
var orders = map[Prefer][nAims]int{
	Scraps:  {uncovered, unready, unmixed, unspared, cloths, cuts, wasted},
	Waste:   {uncovered, unready, wasted, cloths, unspared, cuts, unmixed},
	Variety: {uncovered, unmixed, unready, unspared, cloths, cuts, wasted},
}

// score is what a plan, or a part of one, comes to by each aim; the scores of parts add
// up.
type score [nAims]int64

func (s score) plus(o score) score {
	for i, v := range o {
		s[i] += v
	}
	return s
}

func (s score) better(than score, order *[nAims]int) bool {
	for _, i := range order {
		if s[i] != than[i] {
			return s[i] < than[i]
		}
	}
	return false
}

// smaller orders cloth by what is cut into first: strips, rectangles and irregular
// pieces before squares, which are cut to a size already, and the smallest first.
func (s source) smaller(o source) int {
	rank := func(s source) int {
		if s.square {
			return 1
		}
		return 0
	}
	return cmp.Or(rank(s)-rank(o), cmp.Compare(s.area(), o.area()))
}

// sparing gives each source what cutting a copy of it counts for, so that no
// number of smaller ones comes to as much; ok is false where that takes more than
// 62 bits.
func (p *problem) sparing() (weights []int64, ok bool) {
	order := make([]int, len(p.sources))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return p.sources[a].smaller(p.sources[b]) })
	weights = make([]int64, len(order))
	width := 0 // in bits, of all smaller
	for at := 0; at < len(order); {
		n, copies := at, 0
		for ; n < len(order) && p.sources[order[n]].smaller(p.sources[order[at]]) == 0; n++ {
			copies += p.sources[order[n]].copies
		}
		for _, k := range order[at:n] {
			weights[k] = 1 << width
		}
		if width += bits.Len(uint(copies)); width > 62 {
			return nil, false
		}
		at = n
	}
	return weights, true
}
