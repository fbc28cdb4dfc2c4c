package desk

import (
	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"testing"

	"github.com/stretchr/testify/require"
)

// A layout is of the blocks that the plan chooses for the cloth, and says so; a quilt that is
// kept has its own.
func TestALayoutOfChosenBlocks(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for i, f := range []cloth.Family{cloth.Blue, cloth.Red, cloth.Green, cloth.Yellow} {
		h := squares(40, f, cloth.Values[i])
		h.WidthIn, h.LengthIn = 3.5, 3.5
		add(t, d, h)
	}
	r, err := recipe.BuiltIn("four-patch")
	require.NoError(t, err)
	order := plan.Order{Recipe: r, WidthIn: 24, LengthIn: 24}
	p, err := d.Plan(ctx, PlanRequest{Order: order, Shop: plan.Defaults(recipe.Inches()), Choose: true})
	require.NoError(t, err)
	require.NotEqual(t, r.WidthIn, p.Needs.Recipe.WidthIn)
	ask := ArrangeRequest{PlanRequest: PlanRequest{Order: order, Shop: plan.Defaults(recipe.Inches()), Choose: true, Save: "mat"}, Seed: 1}
	a, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.Equal(t, p.Needs.Recipe.WidthIn, a.Needs.Recipe.WidthIn)
	require.NotNil(t, a.Choice)
	kept, err := d.Quilt(ctx, "mat")
	require.NoError(t, err)
	require.Equal(t, a.Needs.Recipe.WidthIn, kept.Needs.Recipe.WidthIn)
	_, err = d.LayAgain(ctx, "mat", ArrangeRequest{PlanRequest: PlanRequest{Choose: true}})
	require.ErrorIs(t, err, fault.ErrUsage)
}
