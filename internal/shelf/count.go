package shelf

import "slices"

// Count is how much one box holds, or by how much more it holds than it did: below 0
// where it is less.
type Count struct {
	Alike
	Cut
	Count  int     // of pieces
	AreaIn float64 // of weighed cloth, square inches
	Prints int     // different ones; 0 in a difference
}

// leastArea is the smallest area that weighing can tell from none, square inches.
const leastArea = 0.5

func (c Count) nothing() bool {
	return c.Count == 0 && c.AreaIn > -leastArea && c.AreaIn < leastArea
}

// ByColour adds counts up by hue family, all values and cuts together, and by
// your own bins; what comes to nothing is left out.
func ByColour(counts []Count) []Count {
	var sum gathered[Alike, Count]
	for _, c := range counts {
		a := Alike{Own: c.Own, Family: c.Family}
		sum.of(a, Count{Alike: a}).add(c)
	}
	return slices.DeleteFunc(sum.all, Count.nothing)
}

func (c *Count) add(more Count) {
	c.Count += more.Count
	c.AreaIn += more.AreaIn
	c.Prints += more.Prints
}

// Merge adds up counts of the same box, leaves out what comes to nothing and
// puts them in shelf order.
func Merge(counts []Count) []Count {
	var sum gathered[place, Count]
	for _, c := range counts {
		sum.of(place{c.Alike, c.Cut}, Count{Alike: c.Alike, Cut: c.Cut}).add(c)
	}
	all := slices.DeleteFunc(sum.all, Count.nothing)
	slices.SortFunc(all, func(a, b Count) int { return place{a.Alike, a.Cut}.compare(place{b.Alike, b.Cut}) })
	return all
}
