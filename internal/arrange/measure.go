package arrange

import "math"

// Measures say how a layout looks.
type Measures struct {
	// Evenness is 1 minus a ratio: the variance of the mean L* of all windows of three by
	// three patches, over the mean of that variance in random layouts of the same pieces. 1
	// is even, 0 is what chance gives. Brightness is the same for CIELAB chroma.
	Evenness, Brightness float64
	// Repeats is how near pieces of one print lie, relative to random layouts.
	Repeats float64
	// Wash is how far the pieces are from the order that the look asks for, relative to
	// random layouts; 0 for looks that ask for none.
	Wash float64
}

// measures measures the layout of a search.
func (s *search) measures() Measures {
	m := Measures{Evenness: 1, Brightness: 1}
	windows := s.windows()
	if t := newSpread(s, windows, lightness); t.tells() && len(windows) > 1 {
		m.Evenness = 1 - t.cost()
	}
	if t := newSpread(s, windows, chroma); t.tells() && len(windows) > 1 {
		m.Brightness = 1 - t.cost()
	}
	if t := newRepeats(s); t.tells() {
		m.Repeats = t.cost()
	}
	if t := newWash(s); t.tells() && s.Look != Even && s.Look != Random && s.Look != "" {
		m.Wash = t.cost()
	}
	return m
}

// Same returns the share of places in which two layouts show the same print, 0..1.
func (p *Problem) Same(a, b []int) float64 {
	same, n := 0, 0
	for i := range a {
		if a[i] < 0 || b[i] < 0 {
			continue
		}
		n++
		if a[i] == b[i] || p.Pieces[a[i]].print() == p.Pieces[b[i]].print() {
			same++
		}
	}
	return float64(same) / math.Max(1, float64(n))
}

// Changes counts with how many places a place could exchange its piece without one more
// touch, and how many of those exchanges would suit the look better.
func (p *Problem) Changes(at []int, place int) (all, better int) {
	b, err := newBoard(p)
	if err != nil {
		return 0, 0
	}
	s := newSearch(b)
	for i, x := range at {
		s.at[i] = int32(x)
	}
	s.count()
	c := newCost(s)
	now := c.sum()
	i := int32(place)
	for j := range int32(len(s.at)) {
		if s.at[j] < 0 || !s.barter(i, j) || s.gain(i, j) < 0 {
			continue
		}
		all++
		x, y := s.at[i], s.at[j]
		c.put(i, x, y)
		c.put(j, y, x)
		if c.sum() < now-1e-9 {
			better++
		}
		c.put(j, x, y)
		c.put(i, y, x)
	}
	return all, better
}
