package report

import (
	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is a hair less than chance gives is no share below nothing.
func TestPercentWords(t *testing.T) {
	require.Equal(t, "0 %", percentWords(-0.001))
	require.Equal(t, "-4 %", percentWords(-0.04))
	require.Equal(t, "71 %", percentWords(0.706))
}

func TestWhatTheNextBedLacksInShort(t *testing.T) {
	require.Empty(t, nextBedShort(plan.Idea{}))
	twin := &plan.Bed{Name: "twin"}
	require.Equal(t, "twin: 52 more", nextBedShort(plan.Idea{Next: twin, Lacking: []plan.Gap{{Pieces: 40}, {Pieces: 12}}}))
}

// Of the colours that are thin the thinnest are said first, and none is left out.
func TestEveryThinColourIsNamed(t *testing.T) {
	var s Shelf
	for i, f := range []cloth.Family{cloth.Red, cloth.Many, cloth.Grey, cloth.Teal, cloth.Black} {
		s.Stock.Short = append(s.Stock.Short, shelf.Short{Alike: shelf.Alike{Family: f}, Cut: shelf.Square(2.5), Count: i, Want: 9})
	}
	line := s.thinFamilies()[0]
	require.True(t, strings.HasPrefix(line, "Above all reds"), line)
	require.Contains(t, line, "; prints of many colours")
	require.True(t, strings.HasSuffix(line, ". Then teals, blacks."), line)
	s.Stock.Short = s.Stock.Short[:2]
	require.NotContains(t, s.thinFamilies()[0], "Then")
}

func TestSizesOfWhatIsBought(t *testing.T) {
	gap := func(w, l float64, n int) plan.Gap { return plan.Gap{WidthIn: w, LengthIn: l, Pieces: n} }
	b := Buying{Buying: desk.Buying{System: recipe.Inches()}}
	for want, gaps := range map[string][]plan.Gap{
		"7 pieces of 2½":         {gap(2.5, 2.5, 4), gap(2.5, 2.5, 3)},
		"1 piece of 2½ × 4½":     {gap(2.5, 4.5, 1)},
		"6 of 2½, 2 of 3½":       {gap(2.5, 2.5, 4), gap(3.5, 3.5, 2), gap(2.5, 2.5, 2), {ClothIn: 9}},
		"1 of 1, 2 of 2, 3 of 3": {gap(1, 1, 1), gap(2, 2, 2), gap(3, 3, 3)},
		"10 pieces of 4 sizes":   {gap(1, 1, 1), gap(2, 2, 2), gap(3, 3, 3), gap(4, 4, 4)},
	} {
		p := plan.Purchase{Gaps: gaps}
		for _, g := range gaps {
			p.Pieces += g.Pieces
		}
		require.Equal(t, want, b.pieces(p))
	}
}
