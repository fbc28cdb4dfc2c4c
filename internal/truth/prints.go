package truth

import "piecebag/internal/cloth"

// Prints returns the true prints of the answers of a photo, by names that hold in all
// photos: "" for an answer that is no piece.
func Prints(c *Case, s *cloth.Sheet) []string {
	out := make([]string, len(s.Pieces))
	for _, p := range newOverlap(c, s).match(c) {
		t := &c.Pieces[p.truth]
		if out[p.said] = t.Cloth; t.Cloth == "" {
			out[p.said] = c.Name + " " + t.Print
		}
	}
	return out
}

// Pairs counts pairs of pieces: those said to be of one print that are, those said to
// be that are not, and those that are of one print though it was not said.
type Pairs struct{ Both, Said, True int }

// Add counts a pair.
func (p *Pairs) Add(said, same bool) {
	switch {
	case said && same:
		p.Both++
	case said:
		p.Said++
	case same:
		p.True++
	}
}

// F1 of the pairs; 1 where there are none.
func (p Pairs) F1() float64 {
	if p == (Pairs{}) {
		return 1
	}
	return 2 * float64(p.Both) / float64(2*p.Both+p.Said+p.True)
}
