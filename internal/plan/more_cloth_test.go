package plan

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// Whatever cloth is added to whatever stash, a plan lacks no more than before: of patches, then
// of the strips that a binding and borders are joined from, then of strings and crumbs. Matching
// sets, pieced borders and strip sets are among what is planned.
func TestMoreClothNeverCoversLess(t *testing.T) {
	recipes := builtIns(t)
	for _, r := range recipes {
		if m, err := r.Match(recipe.UsualMatching); len(r.MayMatch) > 0 {
			require.NoError(t, err)
			recipes = append(recipes, m)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(recipes).Draw(t, "recipe")
		shop, from := inInches(), []Source{"", Stash}
		shop.BindingFrom = rapid.SampledFrom(from).Draw(t, "binding from")
		shop.BorderFrom = rapid.SampledFrom(from).Draw(t, "borders from")
		shop.StripSets = rapid.Bool().Draw(t, "strip sets")
		o := Order{Recipe: r}
		if r.Setting.Columns == 0 {
			o.Columns, o.Rows = rapid.IntRange(1, 3).Draw(t, "columns"), rapid.IntRange(1, 3).Draw(t, "rows")
		}
		n, err := Need(o, shop)
		require.NoError(t, err)
		stock := scraps(rapid.IntRange(5, 60).Draw(t, "pieces"), rapid.Uint64Range(0, 1<<40).Draw(t, "seed"))
		gone := rapid.SliceOfNDistinct(rapid.IntRange(1, len(stock)), 1, 5, rapid.ID[int]).Draw(t, "without")
		var less []cloth.Holding
		for _, h := range stock {
			if !slices.Contains(gone, int(h.ID)) {
				less = append(less, h)
			}
		}
		of := func(stock []cloth.Holding) (patches, strips, scraps float64) {
			p, err := FromStash(n, stock, nil, "", cutting.Options{})
			require.NoError(t, err)
			for _, x := range p.Scraps {
				scraps += x.ShortIn2()
			}
			return p.lackingIn2(), p.shortStrips(), scraps
		}
		patches, strips, scraps := of(less)
		morePatches, moreStrips, moreScraps := of(stock)
		const slack = 1e-6
		require.LessOrEqual(t, morePatches, patches+slack)
		if morePatches > patches-slack {
			require.LessOrEqual(t, moreStrips, strips+slack)
			if moreStrips > strips-slack {
				require.LessOrEqual(t, moreScraps, scraps+slack)
			}
		}
	})
}
