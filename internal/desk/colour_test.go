package desk

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// A word for a colour reads as what it says; what is none says why, and whether it may
// be a word.
func TestColoursAreReadAsPeopleSayThem(t *testing.T) {
	for text, want := range map[string]Named{
		"dark blue": {Family: cloth.Blue, Value: cloth.Dark}, "#000": {Family: cloth.Black, Value: cloth.Dark}, "5R 5/14": {Family: cloth.Red, Value: cloth.Medium},
	} {
		c, err := ReadColour(text)
		require.NoError(t, err, text)
		n := NameOf(c)
		require.Equal(t, []any{want.Family, want.Value}, []any{n.Family, n.Value}, text)
		require.InDelta(t, c.Lab().L, n.Lightness, 1e-9)
	}
	for text, word := range map[string]bool{"puce": true, "#12345": false, "many": false, "light black": false} {
		_, err := ReadColour(text)
		require.ErrorIs(t, err, fault.ErrUsage, text)
		if word {
			require.ErrorIs(t, err, ErrNoColour, text)
			require.Contains(t, fault.Of(err).Remedy, "navy, cream")
		} else {
			require.NotErrorIs(t, err, ErrNoColour, text)
		}
	}
}
