package raster

// Search moves x to where cost is least, as far as it sees (a pattern search: Hooke &
// Jeeves 1961, J. ACM 8(2)). It goes a step along each axis, either way, while that makes
// the cost less, at most rounds times round all axes; then the same with half the step,
// from first down to last. A step is in units of unit along each axis. The cost, which may
// be +Inf, is told the step: it may see sharper as that gets smaller.
func Search(x, unit []float64, first, last float64, rounds int, cost func(x []float64, step float64) float64) {
	for step := first; step > last; step /= 2 {
		least := cost(x, step)
		for moved, n := true, 0; moved && n < rounds; n++ {
			moved = false
			for k, u := range unit {
				at := x[k]
				for _, d := range [2]float64{step * u, -step * u} {
					x[k] = at + d
					if c := cost(x, step); c < least {
						least, at, moved = c, x[k], true
						break
					}
				}
				x[k] = at
			}
		}
	}
}
