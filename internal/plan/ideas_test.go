package plan

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

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
		found, err := Ideas(recipes, stock, Defaults(recipe.Inches()), cutting.Options{}, 0)
		require.NoError(t, err)
		require.Len(t, recipes, len(found.Ideas)+len(found.None))
		for _, x := range found.None {
			require.NotEmpty(t, x.Lacking, x.Recipe.Name)
		}
		ideas := found.Ideas
		if seed > 1 {
			require.NotEmpty(t, ideas)
		}
		held := map[int64]int{}
		for _, h := range stock {
			held[h.ID] = h.Count
		}
		for k, i := range ideas {
			if k%4 == int(seed) { // for time's sake
				p, err := FromStash(i.Needs, stock, nil, "", cutting.Options{})
				require.NoError(t, err)
				_, _, short := p.Totals()
				require.Zero(t, short, "%s of %d scraps", i.Needs.Recipe.Name, len(stock))
				for _, x := range p.Scraps {
					require.Zero(t, x.ShortIn2(), "%s of %d scraps", i.Needs.Recipe.Name, len(stock))
				}
			}
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
	shop := inInches()
	shop.OneByOne = true
	for _, seed := range []uint64{0, 6, 25} { // at 25 one want takes what another could do with alone
		stock := scraps(200, seed)
		for _, r := range builtIns(t) {
			before := 0.0
			for _, n := range []int{40, 80, 120, 160, 200} {
				x, _ := largest(r, ideaClothOf(stock[:n], cutting.Options{}), shop)
				require.GreaterOrEqual(t, x.area(), before, "%s, seed %d, %d pieces", r.Name, seed, n)
				before = x.area()
			}
		}
	}
}

// Every shape of a bed is tried: of 615 squares 24 × 25 are the most that make one, where
// a square quilt takes 24 × 24 and one of 4 to 5 as many; a chain ends alike on all sides.
func TestAllShapesOfAQuiltAreTried(t *testing.T) {
	shop := inInches()
	shop.OneByOne = true
	cloths := ideaClothOf([]cloth.Holding{heapOf(1, 615, 2.5, cloth.Dark)}, cutting.Options{})
	twos, err := builtIn(t, "plain-squares").Resize(2)
	require.NoError(t, err)
	x, ok := largest(twos, cloths, shop)
	require.True(t, ok)
	most := 0
	for c := range 50 {
		for r := c; r <= c*8/5; r++ {
			if c*r <= 615 {
				most = max(most, c*r)
			}
		}
	}
	require.Equal(t, most, x.columns*x.rows)
	for _, s := range settingsOf(builtIn(t, "single-irish-chain")) {
		require.Equal(t, []int{1, 1}, []int{s.columns % 2, s.rows % 2})
	}
}

// Nobody sews patches of half an inch or strings on foundations of 2 inches; in the width
// that its recipe has a block is not asked.
func TestWhatNobodyWouldSewIsNoIdea(t *testing.T) {
	narrow := func(name string, width float64) *recipe.Recipe {
		r, err := builtIn(t, name).Resize(width)
		require.NoError(t, err)
		return r
	}
	require.False(t, sewable(narrow("nine-patch", 2), inInches()))
	require.True(t, sewable(narrow("nine-patch", 2.25), inInches()))
	require.False(t, sewable(narrow("crumbs", 4.5), inInches()))
	require.True(t, sewable(narrow("crumbs", 5), inInches()))
	for _, r := range builtIns(t) {
		require.True(t, sewable(r, inInches()), r.Name)
		for _, s := range settingsOf(r) {
			require.LessOrEqual(t, r.BlockCount(s.columns, s.rows), mostPlain)
			require.LessOrEqual(t, s.long, longest*s.wide)
		}
	}
}

// What is missing is told for one block, and where one can be cut for the least quilt.
func TestWhatIsMissingForNoIdea(t *testing.T) {
	shop := inInches()
	shop.OneByOne = true
	of := func(n int) Unmade {
		return unmade(builtIn(t, "plain-squares"), ideaClothOf([]cloth.Holding{heapOf(1, n, 6.5, cloth.Dark)}, cutting.Options{}), shop)
	}
	none := of(0)
	require.Equal(t, []int{1, 1, 1}, []int{none.Columns, none.Rows, none.Lacking[0].Pieces})
	some := of(1)
	require.Equal(t, some.Columns*some.Rows-1, some.Lacking[0].Pieces)
	require.GreaterOrEqual(t, float64(some.Columns)*some.Recipe.WidthIn, float64(ideaLeast))
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

// Of widths that give 115, 130 and 130 square inches the largest count, and of those the one
// that uses up less cloth.
func TestABlockWidthIsBestByTheQuiltItGives(t *testing.T) {
	of := func(area, used float64) rough {
		return rough{Recipe: builtIn(t, "plain-squares"), setting: setting{3, 3, area, 1}, used: used, shop: inInches()}
	}
	small, wasteful, thrifty := of(115, 300), of(130, 900), of(130.2, 400)
	for _, order := range [][]rough{{small, thrifty, wasteful}, {wasteful, thrifty, small}, {thrifty, wasteful, small}} {
		require.Equal(t, 400.0, bestOf(order).used)
	}
}

// Whatever cloth is added to whatever stash, the quilt that is told of a recipe is no smaller.
func TestMoreClothNeverTellsASmallerQuilt(t *testing.T) {
	shop := inInches()
	shop.OneByOne = true
	recipes := builtIns(t)
	rapid.Check(t, func(t *rapid.T) {
		stock := scraps(rapid.IntRange(5, 120).Draw(t, "pieces"), rapid.Uint64Range(0, 1<<40).Draw(t, "seed"))
		less := stock[:rapid.IntRange(1, len(stock)).Draw(t, "of them")]
		r := rapid.SampledFrom(recipes).Draw(t, "recipe")
		before, made := roughOf(r, ideaClothOf(less, cutting.Options{}), shop)
		after, still := roughOf(r, ideaClothOf(stock, cutting.Options{}), shop)
		require.True(t, still || !made, r.Name)
		require.GreaterOrEqual(t, after.area(), before.area()-0.5, r.Name)
	})
}

func BenchmarkIdeas(b *testing.B) {
	stock := scraps(5000, 1)
	var recipes []*recipe.Recipe
	for len(recipes) < 100 {
		recipes = append(recipes, builtIns(b)...)
	}
	for b.Loop() {
		if _, err := Ideas(recipes[:100], stock, Defaults(recipe.Inches()), cutting.Options{}, 8); err != nil {
			b.Fatal(err)
		}
	}
}
