package desk

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
)

// A piece that is free and fits may lie in a patch in place of its own, which is free
// then; one that a quilt has, or of another size, may not. Where nothing lay less is to
// be bought.
func TestAnotherPieceInAPatch(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for i, f := range []cloth.Family{cloth.Blue, cloth.Red, cloth.Green} {
		h := squares(3, f, cloth.Dark)
		h.Print = fmt.Sprint("print ", i)
		add(t, d, h)
	}
	_, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 3, 3, "one"))
	require.NoError(t, err)
	fit, err := d.Fitting(ctx, "one", "B2")
	require.NoError(t, err)
	require.Empty(t, fit, "all nine lie in it")
	add(t, d, squares(1, cloth.Teal, cloth.Light))
	small := squares(1, cloth.Teal, cloth.Light)
	small.WidthIn, small.LengthIn = 1, 1
	add(t, d, small)
	fit, err = d.Fitting(ctx, "one", "b2")
	require.NoError(t, err)
	require.Len(t, fit, 1)
	require.Equal(t, cloth.Teal, fit[0].Family)

	was, err := d.Quilt(ctx, "one")
	require.NoError(t, err)
	to := KeptPatch{Patch: "B2", Holding: fit[0].ID}
	lies := func(a Arrangement) int64 {
		place := a.placeNamed("B2")
		return a.Problem.Pieces[a.Laid[0].At[place]].Holding
	}
	tried, err := d.EditQuilt(ctx, "one", Edit{Lay: to, Try: true})
	require.NoError(t, err)
	require.Equal(t, fit[0].ID, lies(tried))
	now, err := d.Quilt(ctx, "one")
	require.NoError(t, err)
	require.Equal(t, lies(was), lies(now), "it was tried")
	_, err = d.EditQuilt(ctx, "one", Edit{Lay: to})
	require.NoError(t, err)
	now, err = d.Quilt(ctx, "one")
	require.NoError(t, err)
	require.Equal(t, fit[0].ID, lies(now))
	pulled := map[int64]int{}
	for _, p := range now.Saved.Pulled {
		pulled[p.ID] = p.Count
	}
	require.Equal(t, map[int64]int{lies(was): 2, fit[0].ID: 1}, map[int64]int{lies(was): pulled[lies(was)], fit[0].ID: pulled[fit[0].ID]})
	takes := 0
	for _, x := range now.Saved.Takes {
		takes += x.Count
	}
	require.Equal(t, 9, takes)
	other := "" // a patch of another print than lay in B2
	for i, x := range now.Laid[0].At {
		if h := now.Problem.Pieces[x].Holding; h != lies(was) && h != fit[0].ID {
			other = now.firstName(i)
		}
	}
	free, err := d.Fitting(ctx, "one", other)
	require.NoError(t, err)
	require.Len(t, free, 1, "what lay in B2")
	require.Equal(t, lies(was), free[0].ID)

	for _, no := range []KeptPatch{{other, fit[0].ID}, {other, 999}, {"Z9", fit[0].ID}} {
		_, err = d.EditQuilt(ctx, "one", Edit{Lay: no})
		require.ErrorIs(t, err, fault.ErrUsage)
	}
	_, err = d.MarkQuilt(ctx, MarkRequest{Quilt: "one", Stage: plan.CutStage, Blocks: []string{"B2"}})
	require.NoError(t, err)
	_, err = d.EditQuilt(ctx, "one", Edit{Lay: KeptPatch{"B2", free[0].ID}})
	require.ErrorContains(t, err, "cut already")

	larger, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 1, 2, "two"))
	require.NoError(t, err)
	require.Equal(t, 1, larger.Empty)
	bought := len(larger.Saved.Gaps)
	empty := larger.Names[0]
	if larger.Laid[0].At[0] >= 0 {
		empty = larger.Names[1]
	}
	add(t, d, squares(1, cloth.Pink, cloth.Light))
	fit, err = d.Fitting(ctx, "two", empty)
	require.NoError(t, err)
	require.Len(t, fit, 1)
	filled, err := d.EditQuilt(ctx, "two", Edit{Lay: KeptPatch{empty, fit[0].ID}})
	require.NoError(t, err)
	require.Len(t, filled.Saved.Gaps, bought-1, "binding and backing are still to be bought")
	require.Zero(t, filled.Empty)
}
