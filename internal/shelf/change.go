package shelf

import (
	"cmp"
	"slices"
)

// Change is how much more, or less, one box holds than it did. Both figures are
// negative where there is less.
type Change struct {
	Alike
	Cut
	Count  int
	AreaIn float64 // of weighed cloth, square inches
}

// leastArea is the area that weighing can tell from none, square inches.
const leastArea = 0.5

func (c Change) nothing() bool {
	return c.Count == 0 && c.AreaIn > -leastArea && c.AreaIn < leastArea
}

// ByColour adds changes up by hue family, all values and cuts together, and by
// your own bins; what comes to nothing is left out.
func ByColour(changes []Change) []Change {
	var out []Change
	for _, c := range changes {
		a := Alike{Own: c.Own, Family: c.Family}
		i := slices.IndexFunc(out, func(o Change) bool { return o.Alike == a })
		if i < 0 {
			i = len(out)
			out = append(out, Change{Alike: a})
		}
		out[i].Count += c.Count
		out[i].AreaIn += c.AreaIn
	}
	return slices.DeleteFunc(out, Change.nothing)
}

// Merge adds up changes of the same box, leaves out what comes to nothing and
// puts them in shelf order.
func Merge(changes []Change) []Change {
	at := map[stockKey]int{}
	var all []Change
	for _, c := range changes {
		k := stockKey{c.Alike, c.Cut}
		i, ok := at[k]
		if !ok {
			i = len(all)
			at[k] = i
			all = append(all, Change{Alike: c.Alike, Cut: c.Cut})
		}
		all[i].Count += c.Count
		all[i].AreaIn += c.AreaIn
	}
	all = slices.DeleteFunc(all, Change.nothing)
	slices.SortFunc(all, func(a, b Change) int { return cmp.Or(a.Alike.compare(b.Alike), a.Cut.compare(b.Cut)) })
	return all
}
