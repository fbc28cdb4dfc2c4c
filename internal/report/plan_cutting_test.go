package report

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// What is cut off a row and slit once more was called a piece of its own.
func TestStepsOfRowsSlitOnceMore(t *testing.T) {
	w := Plan{Plan: desk.Plan{Pull: &plan.Pull{Wants: []cutting.Want{{W: 6, L: 4}, {W: 3, L: 2}}, Stock: []cloth.Holding{{}}}, System: recipe.Inches()}}
	require.Equal(t, []string{
		"slit lengthwise into rows of 4 and 2", "cut 1 of 6 × 4 from row 1", "cut off 3 from row 1", "slit 2 of 3 × 2 off that",
	}, w.steps(cutting.Diagram{Steps: []cutting.Step{
		{Slit: []float64{4, 2}, Length: 12, Times: 1, Row: -1, Rows: 1, Want: -1},
		{Length: 6, Times: 1, Row: 0, Rows: 1, Want: 0},
		{Length: 3, Times: 1, Row: 0, Rows: 1, Want: -1},
		{Length: 2, Times: 2, Row: 0, Rows: 1, Want: 1, Rest: true},
	}}, false))
}
