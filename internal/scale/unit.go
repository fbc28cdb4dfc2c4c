package scale

import (
	"fmt"
	"math"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

const (
	// seamGap is how many working pixels may lie between two patches that are sewn
	// together, and seamShare how long they must touch against the side of a square as
	// large as the smaller.
	seamGap, seamShare = 4, 0.5
	// mostPatches are sewn in one unit, and unitFill is how much of its rectangle they
	// fill at least.
	mostPatches, unitFill = 16, 0.92
	// alikeWithin is how far, as a share, patches alike differ in area.
	alikeWithin = 0.2
)

// units notes at each patch of a sewn unit how large the unit is: patches that touch,
// and fill a rectangle together.
func (r *Result) units(regions []cloth.Region, skip []bool, o *owners) {
	for _, unit := range touching(regions, skip, o) {
		var all []geom.Point
		var areas []float64
		sum := 0.0
		for _, i := range unit {
			g := regions[i].Polygon.Map(r.table.at)
			all = append(all, g...)
			areas = append(areas, g.Area())
			sum += g.Area()
		}
		box := geom.MinAreaRect(all)
		a, b := sides(box)
		if a <= 0 || b <= 0 || sum < unitFill*a*b {
			continue
		}
		u := r.ruler.marks()
		short, long := u.round(min(a, b)/r.ruler.unit), u.round(max(a, b)/r.ruler.unit)
		for _, i := range unit {
			r.Sizes[i].Notes = append(r.Sizes[i].Notes, fmt.Sprintf("one of %d patches of %s, %s × %s%s",
				len(unit), r.unitName(unit, areas, long < squareWithin*short), u.number(short), u.number(long), u.suffix))
		}
	}
}

// unitNames are what quilters call units of n patches alike, 0: of any number (common
// practice, no source).
var unitNames = []struct {
	form   string
	n      int
	square bool
	name   string
}{
	{"square", 4, true, "a four-patch"},
	{"square", 9, true, "a nine-patch"},
	{"half-square triangle", 2, true, "a half-square triangle unit"},
	{"quarter-square triangle", 4, true, "a quarter-square triangle unit"},
	{"strip", 0, false, "a rail"},
	{"rectangle", 0, false, "a rail"},
}

// unitName returns what a unit of such patches is called.
func (r *Result) unitName(unit []int, areas []float64, square bool) string {
	m := raster.Mean(areas)
	for _, k := range unitNames {
		fits := (k.n == 0 || k.n == len(unit)) && (square || !k.square)
		for i, at := range unit {
			fits = fits && strings.HasSuffix(r.Sizes[at].Cut, " "+k.form) && math.Abs(areas[i]-m) <= alikeWithin*m
		}
		if fits {
			return k.name
		}
	}
	return "a sewn unit"
}

// touching returns the regions that touch along a side, in groups of two and more.
func touching(regions []cloth.Region, skip []bool, o *owners) [][]int {
	type pair struct{ a, b int16 }
	met := map[pair]int{}
	for y := range o.h - seamGap {
		for x := range o.w - seamGap {
			a := o.of[y*o.w+x]
			if a == 0 {
				continue
			}
			for _, b := range [2]int16{o.of[y*o.w+x+seamGap], o.of[(y+seamGap)*o.w+x]} {
				if b != 0 && b != a {
					met[pair{min(a, b), max(a, b)}]++
				}
			}
		}
	}
	group := make([]int, len(regions))
	for i := range group {
		group[i] = i
	}
	root := func(i int) int {
		for group[i] != i {
			i = group[i]
		}
		return i
	}
	for p, n := range met {
		i, j := int(p.a-1), int(p.b-1)
		if skip[i] || skip[j] {
			continue
		}
		least := math.Sqrt(min(regions[i].Polygon.Area(), regions[j].Polygon.Area()))
		if float64(n) > seamGap*seamShare*least {
			i, j = root(i), root(j)
			group[max(i, j)] = min(i, j)
		}
	}
	members := make([][]int, len(regions))
	for i := range regions {
		members[root(i)] = append(members[root(i)], i)
	}
	var out [][]int
	for _, m := range members {
		if len(m) > 1 && len(m) <= mostPatches {
			out = append(out, m)
		}
	}
	return out
}
