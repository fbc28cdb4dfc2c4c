package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/desk"
)

// A piece that the sorter is not sure of can be said to be in neither bin, by its
// number in the stash.
func TestAnAskedPieceMayBeInNeitherBin(t *testing.T) {
	require.Equal(t, "  piece 12: sea greens or none of your bins? (unsure)\n"+
		"  piece 14: sea greens or reds? (unsure)\n"+
		"if so, say: piecebag fix 12,14 --bin 'sea greens'\n"+
		"if neither, say: piecebag fix 12,14 --no-bin\n",
		sortedText(nil, []desk.Unsure{
			{ID: 12, Piece: 3, Likely: []string{"sea greens", ""}, Reason: "unsure"},
			{ID: 14, Piece: 5, Likely: []string{"sea greens", "reds"}, Reason: "unsure"},
		}))
	require.Empty(t, sortedText(nil, nil))
}
