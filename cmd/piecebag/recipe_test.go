package main

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// The recipe that the README prints is read and planned as it stands there.
func TestReadmeRecipe(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, text, found := strings.Cut(string(readme), "### A recipe of your own\n")
	require.True(t, found)
	var lines []string
	for _, line := range strings.Split(text, "\n") {
		if code, ok := strings.CutPrefix(line, "    "); ok || line == "" && lines != nil {
			lines = append(lines, code)
		} else if lines != nil {
			break
		}
	}
	printed := strings.TrimSpace(strings.Join(lines, "\n")) + "\n"
	require.Equal(t, recipe.Example, printed)
	r, err := recipe.Read("README.md", []byte(printed))
	require.NoError(t, err)
	n, err := plan.Need(plan.Order{Recipe: r, Columns: 3, Rows: 4}, plan.Defaults(recipe.Inches()))
	require.NoError(t, err)
	// Three blocks of 8, two sashes of 1 and two borders of 3; four and three down.
	require.Equal(t, []float64{3*8 + 2 + 6, 4*8 + 3 + 6}, []float64{n.WidthIn, n.LengthIn})
	require.Equal(t, 17, n.Cuts[len(n.Cuts)-1].Count, "two sashes in each of four rows, three lines of three")
}
