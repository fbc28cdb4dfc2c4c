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

// Changes lists the boxes that hold more or less after than before, in shelf
// order.
func Changes(before, after Stock) []Change {
	at := map[stockKey]int{}
	var all []Change
	tally := func(boxes []Box, sign int) {
		for _, b := range boxes {
			k := stockKey{b.Alike, b.Cut}
			i, ok := at[k]
			if !ok {
				i = len(all)
				at[k] = i
				all = append(all, Change{Alike: b.Alike, Cut: b.Cut})
			}
			all[i].Count += sign * b.Count
			all[i].AreaIn += float64(sign) * b.AreaIn
		}
	}
	tally(before.Boxes, -1)
	tally(after.Boxes, 1)
	all = slices.DeleteFunc(all, Change.nothing)
	slices.SortFunc(all, func(a, b Change) int { return cmp.Or(a.Alike.compare(b.Alike), a.Cut.compare(b.Cut)) })
	return all
}

// leastArea is the area that weighing can tell from none, square inches.
const leastArea = 0.5

func (c Change) nothing() bool {
	return c.Count == 0 && c.AreaIn > -leastArea && c.AreaIn < leastArea
}

// ByColour adds changes up by hue family, all values and cuts together, and by
// her own bins; what comes to nothing is left out.
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
