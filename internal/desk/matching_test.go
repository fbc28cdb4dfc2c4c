package desk

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// stars asks for Ohio stars of six inches, each star of one print: a centre of 2½ and two
// squares of 3¼.
func stars(t *testing.T, columns, rows int, save string) ArrangeRequest {
	t.Helper()
	ask := asks(t, "ohio-star", 6, columns, rows, save)
	var err error
	ask.Order.Recipe, err = ask.Order.Recipe.Match(recipe.UsualMatching)
	require.NoError(t, err)
	return ask
}

// addStars adds four prints that give a star, one of them a strip, and one that gives its
// centre alone.
func addStars(t *testing.T, d *Desk) {
	for i, f := range []cloth.Family{cloth.Red, cloth.Blue, cloth.Green} {
		for _, h := range []cloth.Holding{squares(1, f, cloth.Dark), {Form: cloth.Square, Count: 2, WidthIn: 3.25, LengthIn: 3.25, Family: f, Value: cloth.Dark}} {
			h.Print = string(rune('a' + i))
			add(t, d, h)
		}
	}
	add(t, d, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 3.25, LengthIn: 12, Family: cloth.Purple, Value: cloth.Dark, Print: "d"})
	e := squares(4, cloth.Brown, cloth.Dark)
	e.Print = "e"
	add(t, d, e)
}

// starPrints are the prints of each block's star, and how many patches of it have one.
func starPrints(t *testing.T, a Arrangement) (print map[string]string, patches map[string]int) {
	print, patches = map[string]string{}, map[string]int{}
	for i, p := range a.Top.Patches {
		if p.Role.Background || a.Laid[0].Cloth[i] < 0 {
			continue
		}
		block := a.Names[i][:2]
		of := a.Holdings[a.Laid[0].Cloth[i]].Print
		if patches[block] > 0 {
			require.Equal(t, print[block], of, "%s is not of one print", a.Names[i])
		}
		print[block] = of
		patches[block]++
	}
	return print, patches
}

func TestSetsAreLaidOutWhole(t *testing.T) {
	d := newDesk(t, t.TempDir())
	addStars(t, d)
	a, err := d.Arrange(ctx, stars(t, 2, 3, "stars"))
	require.NoError(t, err)
	print, patches := starPrints(t, a)
	require.Len(t, print, 4)
	for block := range print {
		require.Equal(t, 9, patches[block], block)
	}
	require.Equal(t, 6, a.Empty, "two sets of three pieces")
	require.Equal(t, 18, a.Pieces())
	set := 0
	for _, g := range a.Saved.Gaps {
		if g.Set > 0 {
			set++
			require.Equal(t, 2*g.Each, g.Pieces)
		}
	}
	require.Equal(t, 2, set)
	kept, err := d.Quilt(ctx, "stars")
	require.NoError(t, err)
	again, _ := starPrints(t, kept)
	require.Equal(t, print, again)
	require.Equal(t, 6, kept.Empty)
}

// A plan's picture shows each star in the one print that is pulled for it.
func TestSetsAreDrawnWhole(t *testing.T) {
	d := newDesk(t, t.TempDir())
	addStars(t, d)
	ask := stars(t, 2, 3, "").PlanRequest
	ask.Picture = true
	p, err := d.Plan(ctx, ask)
	require.NoError(t, err)
	print, patches := starPrints(t, *p.Drawn)
	require.Len(t, print, 4)
	for block := range print {
		require.Equal(t, 9, patches[block], block)
	}
}

// patchOf is a patch of a block's star, its centre or one of its points.
func patchOf(a Arrangement, block string, centre bool) string {
	for i, p := range a.Top.Patches {
		if !p.Role.Background && a.Names[i][:2] == block && (len(p.Polygon) == 4) == centre {
			return a.Names[i]
		}
	}
	return ""
}

func TestSetsMoveTogether(t *testing.T) {
	d := newDesk(t, t.TempDir())
	addStars(t, d)
	a, err := d.Arrange(ctx, stars(t, 2, 2, "stars"))
	require.NoError(t, err)
	require.Zero(t, a.Empty)
	before, _ := starPrints(t, a)
	a, err = d.EditQuilt(ctx, "stars", Edit{Swap: [2]string{patchOf(a, "A1", false), patchOf(a, "B2", true)}})
	require.NoError(t, err)
	after, _ := starPrints(t, a)
	require.Equal(t, map[string]string{"A1": before["B2"], "B2": before["A1"], "A2": before["A2"], "B1": before["B1"]}, after)
	_, err = d.EditQuilt(ctx, "stars", Edit{Swap: [2]string{patchOf(a, "A1", false), patchOf(a, "A1", true)}})
	require.ErrorContains(t, err, "both patches are of one set, cut from one print")
	why, err := a.Why(patchOf(a, "A1", true))
	require.NoError(t, err)
	require.Len(t, why.Matches, 2)

	// One of another print takes the place of the whole set, where it gives all of it.
	// One that has a single square for two parts of the set does not.
	for i, print := range []string{"y", "z"} {
		centre := squares(1, cloth.Teal, cloth.Dark)
		centre.Print = print
		add(t, d, centre)
		add(t, d, cloth.Holding{Form: cloth.Square, Count: 1 + i, WidthIn: 3.25, LengthIn: 3.25, Family: cloth.Teal, Value: cloth.Dark, Print: print})
	}
	fit, err := d.Fitting(ctx, "stars", patchOf(a, "A2", true))
	require.NoError(t, err)
	require.Len(t, fit, 1)
	require.Equal(t, "z", fit[0].Print)
	brown := slices.IndexFunc(a.Holdings, func(h cloth.Holding) bool { return h.Print == "e" })
	_, err = d.EditQuilt(ctx, "stars", Edit{Lay: KeptPatch{patchOf(a, "A2", true), a.Holdings[brown].ID}})
	require.ErrorContains(t, err, "of its print there are no 3 pieces free, as many as match here")
	a, err = d.EditQuilt(ctx, "stars", Edit{Lay: KeptPatch{patchOf(a, "A2", true), fit[0].ID}})
	require.NoError(t, err)
	print, patches := starPrints(t, a)
	require.Equal(t, []any{"z", 9}, []any{print["A2"], patches["A2"]})
}

// A set of which a piece is sewn, or locked, stays when the rest is laid out anew; what is
// cut and sewn of it is as it is for other pieces.
func TestSetsStayAndAreSewn(t *testing.T) {
	d := newDesk(t, t.TempDir())
	addStars(t, d)
	a, err := d.Arrange(ctx, stars(t, 2, 2, "stars"))
	require.NoError(t, err)
	of := func(a Arrangement, print string) string {
		all, _ := starPrints(t, a)
		for block, p := range all {
			if p == print {
				return block
			}
		}
		return ""
	}
	strip, red := of(a, "d"), of(a, "a")
	m, err := d.MarkQuilt(ctx, MarkRequest{Quilt: "stars", Stage: plan.SewnStage, Blocks: []string{patchOf(a, strip, true)}})
	require.NoError(t, err)
	require.Equal(t, []int{1, 1, 2}, []int{m.Pieces, m.Cloth, m.Others}, "the strip gives all three")
	_, err = d.EditQuilt(ctx, "stars", Edit{Lock: []string{patchOf(a, red, false)}})
	require.NoError(t, err)
	for seed := range uint64(4) {
		ask := stars(t, 2, 2, "stars")
		ask.Seed = seed + 5
		again, err := d.Arrange(ctx, ask)
		require.NoError(t, err)
		require.Zero(t, again.Empty, seed)
		all, patches := starPrints(t, again)
		require.Equal(t, []string{"d", "a"}, []string{all[strip], all[red]})
		require.Equal(t, map[string]int{"A1": 9, "A2": 9, "B1": 9, "B2": 9}, patches)
		kept, err := d.Quilt(ctx, "stars")
		require.NoError(t, err)
		require.Empty(t, kept.Gone)
		for _, one := range kept.Saved.Laid.Pieces {
			if one.Patch == patchOf(a, strip, true) {
				require.Equal(t, plan.SewnStage, one.Stage)
			}
		}
	}
	_, err = d.EditQuilt(ctx, "stars", Edit{Swap: [2]string{patchOf(a, strip, false), patchOf(a, red, false)}})
	require.ErrorContains(t, err, "sewn already")
	require.NotNil(t, fault.Of(err))
	last, err := d.MarkQuilt(ctx, MarkRequest{Quilt: "stars", Stage: plan.SewnStage})
	require.NoError(t, err)
	require.True(t, last.Done)
	_, pieces := squareInches(t, d)
	require.Equal(t, 4, pieces-1, "four browns and what the strip left")
}

// What is bought for sets gives whole ones of each print, also where single pieces have come
// since.
func TestSetsAreBoughtWhole(t *testing.T) {
	d := newDesk(t, t.TempDir())
	addStars(t, d)
	_, err := d.Arrange(ctx, stars(t, 2, 3, "stars"))
	require.NoError(t, err)
	gaps := func() (each, pieces []int) {
		b, err := d.Buy(ctx, BuyRequest{plan.Habits{Shop: plan.Defaults(recipe.Inches())}})
		require.NoError(t, err)
		for _, p := range b.Buy {
			for _, g := range p.Gaps {
				if g.Set > 0 {
					each, pieces = append(each, g.Each), append(pieces, g.Pieces)
				}
			}
		}
		return each, pieces
	}
	each, pieces := gaps()
	require.Equal(t, []int{2, 1}, each, "centres too, though four browns lie there: they match nothing")
	require.Equal(t, []int{4, 2}, pieces)
	add(t, d, cloth.Holding{Form: cloth.Square, Count: 1, WidthIn: 3.25, LengthIn: 3.25, Family: cloth.Grey, Value: cloth.Dark, Print: "g"})
	_, pieces = gaps()
	require.Equal(t, []int{4, 2}, pieces, "one alone is no set")
	add(t, d, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 3.25, LengthIn: 8, Family: cloth.Grey, Value: cloth.Dark, Print: "g"})
	_, pieces = gaps()
	require.Equal(t, []int{2, 1}, pieces, "with a strip of its print it is")
}

// What a set takes is offered to no other patch, and strips that are joined are the
// quilt's until it is sewn.
func TestClothOfSetsAndStripsIsUsedOnce(t *testing.T) {
	d := newDesk(t, t.TempDir())
	h := squares(3, cloth.Red, cloth.Dark)
	h.Print = "a"
	add(t, d, h)
	add(t, d, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 40, Family: cloth.Green, Value: cloth.Medium, Print: "moss"})
	r, err := recipe.Read("bow", []byte("name = \"bow\"\nwidth = 4\ngrid = [2, 2]\nmatching = [\"tie\"]\n[roles]\ntie = \"red\"\n[[patch]]\nat = [[1, 1], [2, 2]]\nrole = \"tie\"\n[[patch]]\nat = [[1, 2], [2, 1]]\nrole = \"red\""))
	require.NoError(t, err)
	ask := asks(t, "four-patch", 4, 1, 1, "bow")
	ask.Order.Recipe, ask.Shop.BindingFrom = r, plan.Stash
	a, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.Equal(t, 1, a.Empty, "of three squares a set takes two")
	all, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Equal(t, 4, all[0].Pulled, "three squares and the strip")

	add(t, d, h)
	_, err = d.Arrange(ctx, ask)
	require.NoError(t, err)
	m, err := d.MarkQuilt(ctx, MarkRequest{Quilt: "bow", Stage: plan.SewnStage})
	require.NoError(t, err)
	require.True(t, m.Done)
	all, err = d.Quilts(ctx)
	require.NoError(t, err)
	require.Zero(t, all[0].Pulled)
	_, pieces := squareInches(t, d)
	require.Equal(t, 2, pieces, "the strip is gone with the quilt")
}
