package shelf

import (
	"cmp"
	"slices"
)

// Count is how much one box holds, or by how much more it holds than it did: below 0
// where it is less.
type Count struct {
	Alike
	Cut
	Count  int     // of pieces
	AreaIn float64 // of weighed cloth, square inches
	Prints int     // different ones; 0 in a difference
}

// leastArea is the area that weighing can tell from none, square inches.
const leastArea = 0.5

func (c Count) nothing() bool {
	return c.Count == 0 && c.AreaIn > -leastArea && c.AreaIn < leastArea
}

// ByColour adds counts up by hue family, all values and cuts together, and by
// your own bins; what comes to nothing is left out.
func ByColour(counts []Count) []Count {
	var out []Count
	for _, c := range counts {
		a := Alike{Own: c.Own, Family: c.Family}
		i := slices.IndexFunc(out, func(o Count) bool { return o.Alike == a })
		if i < 0 {
			i = len(out)
			out = append(out, Count{Alike: a})
		}
		out[i].Count += c.Count
		out[i].AreaIn += c.AreaIn
	}
	return slices.DeleteFunc(out, Count.nothing)
}

// Merge adds up counts of the same box, leaves out what comes to nothing and
// puts them in shelf order.
func Merge(counts []Count) []Count {
	at := map[stockKey]int{}
	var all []Count
	for _, c := range counts {
		k := stockKey{c.Alike, c.Cut}
		i, ok := at[k]
		if !ok {
			i = len(all)
			at[k] = i
			all = append(all, Count{Alike: c.Alike, Cut: c.Cut})
		}
		all[i].Count += c.Count
		all[i].AreaIn += c.AreaIn
		all[i].Prints += c.Prints
	}
	all = slices.DeleteFunc(all, Count.nothing)
	slices.SortFunc(all, func(a, b Count) int { return cmp.Or(a.Alike.compare(b.Alike), a.Cut.compare(b.Cut)) })
	return all
}
