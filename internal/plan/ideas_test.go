package plan

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

func builtIns(t testing.TB) []*recipe.Recipe {
	t.Helper()
	var out []*recipe.Recipe
	for _, name := range recipe.Names() {
		r, err := recipe.BuiltIn(name)
		require.NoError(t, err)
		out = append(out, r)
	}
	return out
}

// scraps are so many pieces of usual cuts in all colours, more of some.
func scraps(n int, seed uint64) []cloth.Holding {
	r := rand.New(rand.NewPCG(seed, 1))
	var out []cloth.Holding
	for i := range n {
		h := cloth.Holding{ID: int64(i + 1), Form: cloth.Square, Count: 1, Print: fmt.Sprint("print ", r.IntN(n/3+1)),
			Family: cloth.Families[min(r.IntN(12), r.IntN(12))], Value: cloth.Values[r.IntN(5)]}
		h.WidthIn = []float64{2.5, 2.5, 3.5, 5, 6.5, 10}[r.IntN(6)]
		h.LengthIn = h.WidthIn
		if r.IntN(4) == 0 {
			h.Form, h.WidthIn, h.LengthIn = cloth.Strip, []float64{1.5, 2.5, 3.5}[r.IntN(3)], 8+30*r.Float64()
		}
		out = append(out, h)
	}
	return out
}

// Every idea can be cut: the thorough search for cuts covers it too, and each piece of
// cloth is there as often as it is taken.
func TestIdeasAreCovered(t *testing.T) {
	recipes, matching, bindings := builtIns(t), 0, 0
	for _, r := range builtIns(t) {
		if m, err := r.Match(recipe.UsualMatching); len(r.MayMatch) > 0 {
			require.NoError(t, err)
			recipes = append(recipes, m)
		}
	}
	for seed := range uint64(4) {
		stock := scraps(20+15*int(seed), seed)
		ideas, err := Ideas(recipes, stock, Defaults(recipe.Inches()), cutting.Options{})
		require.NoError(t, err)
		if seed > 1 {
			require.NotEmpty(t, ideas)
		}
		held := map[int64]int{}
		for _, h := range stock {
			held[h.ID] = h.Count
		}
		for _, i := range ideas {
			p, err := FromStash(i.Needs, stock, nil, "", cutting.Options{})
			require.NoError(t, err)
			_, _, short := p.Totals()
			require.Zero(t, short, "%s of %d scraps", i.Needs.Recipe.Name, len(stock))
			matching += len(i.Needs.Sets)
			of, n := map[int64]int{}, 0
			for _, ids := range i.Cloth {
				for _, id := range ids {
					of[id]++
					n++
				}
			}
			require.Equal(t, i.Taken, n)
			for id, n := range of {
				require.LessOrEqual(t, n, held[id])
			}
			require.LessOrEqual(t, i.Needs.WidthIn, float64(ideaMost))
			if bound := *i.Needs; i.Bound { // from what its cloth leaves
				var taken []Pulled
				for _, ids := range i.Cloth {
					for _, id := range ids {
						taken = append(taken, Pulled{id, 1})
					}
				}
				left, _ := Leave(stock, taken)
				bound.Cuts, bound.Borders, bound.Binding.FromStash = nil, nil, true
				p, err := FromStash(&bound, left, nil, "", cutting.Options{})
				require.NoError(t, err)
				require.Zero(t, p.Strips[0].ShortIn())
				bindings++
			}
			if i.Next != nil {
				require.Greater(t, i.Next.Width*i.Next.Length, i.Needs.WidthIn*i.Needs.LengthIn)
				require.NotEmpty(t, i.Lacking)
				for _, g := range i.Lacking {
					require.Zero(t, g.Pieces%max(1, g.Each), "sets are lacking whole")
				}
			}
		}
	}
	require.Positive(t, matching)
	require.Positive(t, bindings)
}

// More cloth never makes a smaller quilt of a recipe in a block of one width.
func TestMoreClothMakesNoSmallerQuilt(t *testing.T) {
	for _, seed := range []uint64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 25} { // at 25 one want takes what another could do with alone
		stock := scraps(200, seed)
		for _, r := range builtIns(t) {
			at := settingsOf(r)
			most := -1
			for _, n := range []int{40, 80, 120, 160, 200} {
				lots := lotsOf(stock[:n], cutting.Options{})
				x, ok := largest(r, lots, nil, Defaults(recipe.Inches()))
				if !ok {
					x.at = -1
				}
				require.GreaterOrEqual(t, x.at, most, "%s, seed %d, %d pieces, settings %v", r.Name, seed, n, at)
				most = x.at
			}
		}
	}
}

func TestOverfullIsMoreThanTwiceTheMiddle(t *testing.T) {
	var stock []cloth.Holding
	for f, n := range map[cloth.Family]int{cloth.Red: 4, cloth.Blue: 4, cloth.Green: 8, cloth.Teal: 9, cloth.Pink: 1} {
		stock = append(stock, cloth.Holding{Form: cloth.Square, Count: n, Family: f, Value: cloth.Dark})
	}
	stock = append(stock, cloth.Holding{Form: cloth.Weighed, Count: 99, Family: cloth.Grey, Value: cloth.Dark})
	require.Equal(t, map[shelf.Alike]bool{{Family: cloth.Teal, Value: cloth.Dark}: true}, Overfull(stock))

	// Of an even number the middle is the mean of two: 6 of 4 and 8.
	stock = nil
	for f, n := range map[cloth.Family]int{cloth.Red: 4, cloth.Blue: 4, cloth.Green: 8, cloth.Teal: 13} {
		stock = append(stock, cloth.Holding{Form: cloth.Square, Count: n, Family: f, Value: cloth.Dark})
	}
	require.Equal(t, map[shelf.Alike]bool{{Family: cloth.Teal, Value: cloth.Dark}: true}, Overfull(stock))
}

func TestABlockWidthIsBetterByTheQuiltItGives(t *testing.T) {
	of := func(area, used float64) rough {
		return rough{Recipe: builtIn(t, "plain-squares"), settings: [][2]int{{3, 3}}, area: area, used: used, shop: inInches()}
	}
	small, large := of(100, 500), of(130, 900)
	require.True(t, large.better(small), "a good deal larger")
	require.False(t, small.better(large))
	near := of(110, 400)
	require.True(t, near.better(small), "nearly the same, and less is left over")
	require.False(t, small.better(near))
}

func BenchmarkIdeas(b *testing.B) {
	stock := scraps(5000, 1)
	var recipes []*recipe.Recipe
	for len(recipes) < 100 {
		recipes = append(recipes, builtIns(b)...)
	}
	for b.Loop() {
		if _, err := Ideas(recipes[:100], stock, Defaults(recipe.Inches()), cutting.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
