package cutting

import "math"

// dual is the Lagrangian of the waste, squares cut down counted in, with prices
// on the pieces: whatever the prices, no way of cutting exactly made pieces of
// each want wastes less than the value, in square ticks (Fisher 1981, The Lagrangian relaxation method for
// solving integer programming problems, eq. 3). It also gives what the cloth
// would be cut into at these prices, which says how to change them.
func (t *tables) dual(copies, made []int) (value float64, would []float64) {
	p := t.p
	would = make([]float64, len(p.wants))
	for i, n := range made {
		value += float64(float64(n) * t.prices[i])
	}
	for k := range p.sources {
		if copies[k] == 0 {
			continue
		}
		src := &p.sources[k]
		worth, way, length := t.best(src)
		if way < 0 {
			continue
		}
		value -= float64(float64(copies[k]) * worth)
		for i, n := range t.counts(src.lies[way].group, length) {
			would[i] += float64(copies[k] * n)
		}
	}
	return value, would
}

// climb raises the bound by subgradient steps of the length of Polyak 1969,
// aiming at the waste of a plan known. Prices are kept between −1 and most
// times the area of a piece. It leaves the best prices found in prices and
// returns the bound, in square ticks.
func (t *tables) climb(copies, made []int, prices []float64, waste, most float64, rounds int) float64 {
	p := t.p
	best, lowest := math.Inf(-1), 0
	theta := 1.0
	at := append([]float64(nil), prices...)
	ahead := make([]float64, len(prices))
	for round := range rounds {
		t.solve(at, 0)
		value, would := t.dual(copies, made)
		if value > best {
			best, lowest = value, round
			copy(prices, at)
		} else if round-lowest >= 6 {
			theta, lowest = theta/2, round
			copy(at, prices)
			clear(ahead)
			continue
		}
		// prices per area: the gradient of a want counts by its area
		norm := 0.0
		for i, n := range made {
			g := float64((float64(n) - would[i]) * float64(p.wants[i].area()))
			ahead[i] = float64(0.6*ahead[i]) + g
			norm += float64(ahead[i] * ahead[i])
		}
		gap := max(waste-value, float64(0.002*math.Abs(waste))+in2Area)
		if norm == 0 {
			break
		}
		step := theta * gap / norm
		for i := range at {
			a := float64(p.wants[i].area())
			at[i] = min(max(at[i]+float64(step*ahead[i]*a), -a), most*a)
		}
	}
	return best
}
