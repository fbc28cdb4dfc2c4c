package shelf

// Least is the fewest pieces wanted in a box, by the floors or by what planned
// quilts take of it, whichever is more; 0 where nothing is wanted.
func Least(floors []Floor, needs []Need, a Alike, c Cut) int {
	least, _ := needOf(needs, a, c)
	if f, ok := floorOf(floors, a, c); ok {
		least = max(least, f.Least)
	}
	return least
}
