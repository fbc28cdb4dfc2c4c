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

// MeasuresOf measures a layout.
func (p *Problem) MeasuresOf(at []int) Measures {
	b, err := newBoard(p)
	if err != nil { // what is kept fits no more: nothing is kept for measuring
		q := *p
		q.Places = append([]Place(nil), p.Places...)
		for i := range q.Places {
			q.Places[i].Kept = -1
		}
		b, _ = newBoard(&q)
	}
	s := newSearch(b)
	for i, x := range at {
		s.at[i] = int32(x)
	}
	windows := p.windows()
	light, chroma := make([]float64, len(p.Pieces)), make([]float64, len(p.Pieces))
	for x, piece := range p.Pieces {
		light[x], chroma[x] = piece.Lightness, piece.Chroma
	}
	m := Measures{Evenness: 1, Brightness: 1}
	if t := newSpread(s, windows, light); t != nil && len(windows) > 1 {
		m.Evenness = 1 - t.cost()
	}
	if t := newSpread(s, windows, chroma); t != nil && len(windows) > 1 {
		m.Brightness = 1 - t.cost()
	}
	if t := newRepeats(s); t != nil {
		m.Repeats = t.cost()
	}
	if p.Look != Even && p.Look != Random && p.Look != "" {
		m.Wash = newWash(s).cost()
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
