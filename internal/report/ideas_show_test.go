package report

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/plan"
)

func TestWhatTheNextBedLacksInShort(t *testing.T) {
	require.Empty(t, nextBedShort(plan.Idea{}))
	twin := &plan.Bed{Name: "twin"}
	require.Equal(t, "twin: 52 more", nextBedShort(plan.Idea{Next: twin, Lacking: []plan.Gap{{Pieces: 40}, {Pieces: 12}}}))
}
