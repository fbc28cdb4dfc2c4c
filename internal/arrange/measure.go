package arrange

import "math"

// Measures say how a layout looks.
type Measures struct {
	// Evenness is 1 less the variance of the mean L* of all windows of three by three
	// patches over what layouts of the same pieces at random have in the mean: 1 is
	// even, 0 chance. Brightness is the same of CIELAB chroma.
	Evenness, Brightness float64
	// Repeats is how near pieces of one print lie, over layouts at random.
	Repeats float64
	// Wash is how far the pieces stand from the order that the look asks for, over
	// layouts at random; 0 of looks that ask for none.
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

// Same is the share of places in which two layouts show the same print, 0..1.
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

// Changes counts the places that a place could change pieces with without a touch
// more, and how many of those changes would cost less by the look that is asked for.
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
