package teach

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/testtable"
)

// drawn is a piece of a colour near a middle, with inks, a motif and a size.
func drawn(r *rand.Rand, m colour.Lab, spread float64, motif float64) cloth.Piece {
	at := func() colour.Linear {
		return colour.Lab{L: m.L + spread*(r.Float64()-0.5), A: m.A + spread*(r.Float64()-0.5), B: m.B + spread*(r.Float64()-0.5)}.Linear()
	}
	c := at()
	other := colour.Lab{L: 95 - m.L, A: m.B / 2, B: -m.A / 2}.Linear()
	share := 0.6 + 0.4*r.Float64()
	return cloth.Piece{Mean: c, ReadsAs: c, Lightness: c.Lab().L, Colours: []cloth.Ink{{Colour: c, Share: share}, {Colour: other, Share: 1 - share}}, Motif: motif * (0.5 + r.Float64()), WidthIn: 2.5, LengthIn: 2.5}
}

// Bins that part by hue, by value, by strength and by the width of motifs, taught by few pieces and by
// many: where further pieces go, how sure that is and why, as it was kept.
func TestPiecesAreSortedAsKept(t *testing.T) {
	middles := []colour.Lab{{L: 40, A: 50, B: 30}, {L: 45, A: 5, B: -45}, {L: 60, A: -40, B: 35}, {L: 80, A: 2, B: 12}, {L: 30, A: 3, B: -3}}
	all := map[string][]string{}
	for name, c := range map[string]struct {
		each int
		bin  func(k int, p cloth.Piece) string
	}{
		"by hue": {6, func(k int, _ cloth.Piece) string { return []string{"warm", "sea", "moss", "cream", "coal"}[k] }},
		"by value": {9, func(_ int, p cloth.Piece) string {
			return map[bool]string{true: "lights", false: "darks"}[p.Lightness > 50]
		}},
		"by motif": {8, func(_ int, p cloth.Piece) string {
			return map[bool]string{true: "large", false: "small"}[p.Motif > 0.5]
		}},
		"one bin": {5, func(k int, _ cloth.Piece) string { return []string{"warm", "", "", "", ""}[k] }},
		"few":     {1, func(k int, _ cloth.Piece) string { return []string{"a", "b", "a", "b", "c"}[k] }},
	} {
		r := rand.New(rand.NewPCG(uint64(c.each), 3))
		var examples []Example
		for range c.each {
			for k, m := range middles {
				p := drawn(r, m, 14, []float64{0.2, 1.2}[r.IntN(2)])
				examples = append(examples, Example{Bin: c.bin(k, p), Features: FeaturesOf(p)})
			}
		}
		s := Learn(examples)
		all[name] = append(all[name], fmt.Sprint(s.Bins()))
		for i := range 30 {
			m := middles[i%5]
			p := drawn(r, m, []float64{10, 30, 70}[i%3], []float64{0.2, 1.2}[i%2])
			a := s.Sort(FeaturesOf(p))
			line := fmt.Sprintf("%d: %q %.3f ask %v, %s", i, a.Bin, a.Trust, a.Ask, a.Reason)
			for _, o := range a.Others {
				line += fmt.Sprintf("; %q %.3f", o.Bin, o.Trust)
			}
			all[name] = append(all[name], line)
		}
	}
	testtable.Kept(t, "sorted", all, 1e-6)
}
