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

// A strip is slit only where it is wider than its lengths, by more than a cut is true to; the
// ends that are squared off and how many are alike are said.
func TestStripsThatAreJoined(t *testing.T) {
	p := Plan{Plan: desk.Plan{Holdings: someStock(), System: recipe.Inches()}}
	x := plan.Strips{What: "binding", CutIn: 2.25}
	said := func(f plan.PulledStrips) string { return p.stripWords(x, f) }
	green, blue := plan.Pulled{ID: 3, Count: 3}, plan.Pulled{ID: 4, Count: 1}
	require.Equal(t, "medium-dark green 2½ × 18 strip, print c, 3 alike: square off the end, ½; slit 3 lengths of 2¼; 3 lengths of 17½ for the binding",
		said(plan.PulledStrips{Pulled: green, Lengths: 3, WidthIn: 2.5, LengthIn: 17.5, TrimIn: 0.5}))
	require.Equal(t, "medium-dark green 2½ × 18 strip, print c, 3 alike: 3 lengths of 18 for the binding",
		said(plan.PulledStrips{Pulled: green, Lengths: 3, WidthIn: 2.26, LengthIn: 18}))
	require.Equal(t, "light yellow 5 × 12 strip, print d (blues): slit 2 lengths of 2¼; 2 lengths of 12 for the binding",
		said(plan.PulledStrips{Pulled: blue, Lengths: 2, WidthIn: 4.5, LengthIn: 12}))
	require.Equal(t, "holding 99: 1 length of 12 for the binding", said(plan.PulledStrips{Pulled: plan.Pulled{ID: 99, Count: 1}, Lengths: 1, WidthIn: 2.25, LengthIn: 12}))
}

// Each set is told with its own pieces and print.
func TestSetsSayTheirPrints(t *testing.T) {
	stock := someStock()
	piece := func(stock int, cut bool) cutting.SetPiece { return cutting.SetPiece{Stock: stock, Cut: cut} }
	needs := &plan.Needs{Sets: []recipe.Set{{Role: recipe.Role{Name: "points"}, Count: 2, Pieces: []recipe.SizeCount{{WidthIn: 2.5, LengthIn: 2.5, Count: 2}}}, {Role: recipe.Role{Name: "centre"}, Count: 1, Pieces: []recipe.SizeCount{{WidthIn: 2.5, LengthIn: 2.5, Count: 1}}}}}
	p := Plan{Plan: desk.Plan{Needs: needs, Holdings: stock, System: recipe.Inches(), Pull: &plan.Pull{
		Needs: needs, Stock: stock, Wants: []cutting.Want{{W: 2.5, L: 2.5}},
		Cover: cutting.Cover{Sets: []cutting.MatchedSet{{Set: 1, Pieces: []cutting.SetPiece{piece(0, false), piece(0, false)}}, {Set: 2, Pieces: []cutting.SetPiece{piece(2, true)}}}},
	}}}
	whys := p.setWhys()
	require.Len(t, whys, 2)
	require.Equal(t, "2 sets of points: 2 of 2½ from one print for each, 1 covered", whys[0].Text)
	require.Equal(t, []recipe.Why{{Text: "set 1: print a", Steps: []recipe.Why{{Text: "2 of 2½ as it is"}}}}, whys[0].Steps)
	require.Equal(t, []recipe.Why{{Text: "set 1: print c", Steps: []recipe.Why{{Text: "1 of 2½ cut from the medium-dark green 2½ × 18 strip"}}}}, whys[1].Steps)
}
