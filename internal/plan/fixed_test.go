package plan

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

func readRecipe(t *testing.T, text string) *recipe.Recipe {
	t.Helper()
	r, err := recipe.Read("x", []byte(text))
	require.NoError(t, err)
	return r
}

// With squares at the corners all four strips are as long as what they go round (common
// practice, no source): about the 40 × 50 of "Determining border lengths",
// anniesattic.com, 50½ and 40½ where butted ones are 50½ and 48½.
// Borders of two cloths were one thing to buy, and neither was named by its cloth.
func TestBordersAreBoughtByTheirCloth(t *testing.T) {
	n := needs(t, "medallion", 0)
	p, err := FromStash(n, nil, nil, "", cutting.Options{})
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, g := range p.Gaps("med") {
		if strings.Contains(g.String(), "border") {
			require.False(t, seen[g.String()], g.String())
			seen[g.String()] = true
		}
	}
	require.Equal(t, map[string]bool{"spacer of border 1 of med, dark": true, "border 2 of med, medium": true, "border 4 of med, dark": true}, seen)
}

func TestBordersWithCorners(t *testing.T) {
	r := readRecipe(t, "name = \"x\"\nwidth = 10\n[[block]]\nrecipe = \"plain-squares\"\n[[border]]\nwidth = 4\ncorner = \"red\"\n[[border]]\nwidth = 2\n")
	all := borders(r.RoundsAbout(40, 50), inInches())
	require.Equal(t, []float64{4.5, 50.5, 40.5}, []float64{all[0].CutIn, all[0].SideIn, all[0].TopIn})
	require.Equal(t, []float64{2.5, 58.5, 52.5}, []float64{all[1].CutIn, all[1].SideIn, all[1].TopIn})
	n := need(t, Order{Recipe: r, Columns: 4, Rows: 5}, inInches())
	require.Equal(t, []float64{52, 62}, []float64{n.WidthIn, n.LengthIn})
	squares := 0
	for _, c := range n.Cuts {
		if c.Role.Name == "red" {
			require.Equal(t, []float64{4.5, 4.5}, []float64{c.WidthIn, c.LengthIn})
			squares += c.Count
		}
	}
	require.Equal(t, 4, squares)
}

// A spacer that is at the sides alone has strips for these alone: about 37 × 42, blocks of
// 4 need 40 across and 44 down, so 1½ at the sides and 1 at top and bottom; about 36 × 40,
// blocks of 5 need 40 across, and 40 down is even.
func TestSpacers(t *testing.T) {
	text := "name = \"x\"\nwidth = 6\n[[block]]\nrecipe = \"plain-squares\"\n[[border]]\nblock = \"pinwheel\"\nspacer = \"red\"\nwidth = "
	all := borders(readRecipe(t, text+"4").RoundsAbout(37, 42), inInches())
	require.Len(t, all, 2)
	require.Equal(t, "spacer of border 1", all[0].What)
	require.Equal(t, []float64{2, 42.5, 0, 3}, []float64{all[0].CutIn, all[0].SideIn, all[0].TopIn, float64(all[0].Strips)})
	require.Equal(t, []float64{1.5, 0, 40.5, 3}, []float64{all[1].CutIn, all[1].SideIn, all[1].TopIn, float64(all[1].Strips)})
	all = borders(readRecipe(t, text+"5").RoundsAbout(36, 40), inInches())
	require.Len(t, all, 1)
	require.Equal(t, []float64{2.5, 40.5, 0}, []float64{all[0].CutIn, all[0].SideIn, all[0].TopIn})
	require.Empty(t, borders(readRecipe(t, text+"5").RoundsAbout(35, 40), inInches()))
}

// A recipe with one layout needs no size, is refused another, and grows its block to a size
// or a bed by half inches, no further than it must.
func TestOnlyOneLayout(t *testing.T) {
	r := readRecipe(t, "name = \"x\"\nwidth = 10\n[[block]]\nrecipe = \"ohio-star\"\n[setting]\nlayout = [2, 3]\n[[border]]\nwidth = 2\n")
	n := need(t, Order{Recipe: r}, inInches())
	require.Equal(t, []float64{24, 34}, []float64{n.WidthIn, n.LengthIn})
	require.Equal(t, []int{2, 3}, []int{n.Columns, n.Rows})
	need(t, Order{Recipe: r, Columns: 2, Rows: 3}, inInches())
	need(t, Order{Recipe: r, Blocks: 6}, inInches())
	for _, o := range []Order{{Recipe: r, Columns: 3, Rows: 2}, {Recipe: r, Blocks: 5}} {
		_, err := Need(o, inInches())
		require.ErrorContains(t, err, "x is 2 by 3, and no other")
		require.Contains(t, fault.Of(err).Remedy, "layout")
	}
	_, err := Need(Order{Recipe: r, Blocks: 6, Bed: "crib"}, inInches())
	require.ErrorContains(t, err, "given more than once")
	n = need(t, Order{Recipe: r, WidthIn: 24, LengthIn: 34}, inInches())
	require.Equal(t, 10.0, n.Recipe.WidthIn)
	n = need(t, Order{Recipe: r, WidthIn: 27, LengthIn: 34}, inInches())
	require.Equal(t, []float64{11.5, 27}, []float64{n.Recipe.WidthIn, n.WidthIn})
	require.Contains(t, n.Notes, "the block is 11½ in wide instead of 10 in, so that the quilt is as large as asked")
	// A tenth larger before it shrinks; a bed may fall short by three inches: 55 - 3 = 52.
	n = need(t, Order{Recipe: r, WidthIn: 27, LengthIn: 34, Shrinks: 0.1}, inInches())
	require.Equal(t, 13.0, n.Recipe.WidthIn, "27 ÷ 0.9 = 30")
	n = need(t, Order{Recipe: r, Bed: "crib"}, inInches())
	require.Equal(t, []float64{16.5, 37, 53.5}, []float64{n.Recipe.WidthIn, n.WidthIn, n.LengthIn})
}

// How large a quilt is must be said once; what is counted in blocks does not grow for the
// wash. Of the latter the command alone once told.
func TestAnOrderSaysItsSizeOnce(t *testing.T) {
	r, fixed := readRecipe(t, "name = \"x\"\nwidth = 10\n[[block]]\nrecipe = \"ohio-star\"\n"),
		readRecipe(t, "name = \"x\"\nwidth = 10\n[[block]]\nrecipe = \"ohio-star\"\n[setting]\nlayout = [2, 3]\n")
	for _, c := range []struct {
		o    Order
		kind error
	}{
		{Order{Recipe: r}, ErrExtents}, {Order{Recipe: r, Blocks: 6, Columns: 2, Rows: 3}, ErrExtents}, {Order{Recipe: r, WidthIn: 30, LengthIn: 40, Bed: "crib"}, ErrExtents},
		{Order{Recipe: fixed}, nil}, {Order{Recipe: fixed, Blocks: 6, Bed: "crib"}, ErrExtentsFixed},
		{Order{Recipe: r, Blocks: 6, Shrinks: 0.1}, ErrShrinks}, {Order{Recipe: r, Columns: 2, Rows: 3, Shrinks: 0.1}, ErrShrinks}, {Order{Recipe: fixed, Shrinks: 0.1}, ErrShrinks},
		{Order{Recipe: r, WidthIn: 30, LengthIn: 40, Shrinks: 0.1}, nil}, {Order{Recipe: r, Bed: "crib", Shrinks: 0.1}, nil}, {Order{Recipe: r, Blocks: 6}, nil},
	} {
		_, err := Need(c.o, inInches())
		require.ErrorIs(t, err, c.kind)
		require.Equal(t, c.kind != nil, errors.Is(err, fault.ErrUsage))
	}
	require.False(t, Order{}.Sized())
	for _, o := range []Order{{Blocks: 1}, {Columns: 1}, {Rows: 1}, {WidthIn: 1}, {LengthIn: 1}, {Bed: "crib"}} {
		require.True(t, o.Sized())
	}
}
