package report

import (
	"piecebag/internal/cloth"
	"piecebag/internal/plan"
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
