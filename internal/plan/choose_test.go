package plan

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

func heapOf(id int64, count int, side float64, v cloth.Value) cloth.Holding {
	return cloth.Holding{ID: id, Form: cloth.Square, Count: count, WidthIn: side, LengthIn: side, Family: cloth.Blue, Value: v, Print: "a"}
}

func choose(t require.TestingT, o Order, fixed bool, stock ...cloth.Holding) Choice {
	s := inInches()
	s.OneByOne = true
	c, err := Choose(o, s, fixed, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	return c
}

// A pinwheel of 6 takes squares of 3⅞ (grannymaudsgirl.wordpress.com, 2018): of one of 5
// two triangles with their seams, exactly 3.8536 squared, are 14.85 of 25 square inches. A
// half-square triangle takes a square of its finished side and ⅞, so one of 5 finishes 4⅛:
// 24.79 of 25, the block 8¼.
func TestASquareIsNotTrimmedWhereABlockTakesItWhole(t *testing.T) {
	pinwheel := builtIn(t, "pinwheel")
	stock := []cloth.Holding{heapOf(1, 60, 5, cloth.Light), heapOf(2, 60, 5, cloth.Dark)}
	c := choose(t, Order{Recipe: pinwheel, WidthIn: 36, LengthIn: 40}, false, stock...)
	best := c.Best[0]
	require.Equal(t, 8.25, best.Recipe.WidthIn)
	require.Equal(t, []int{5, 5}, []int{c.Needs.Columns, c.Needs.Rows})
	require.Equal(t, []int{50, 50, 50}, []int{best.Wanted, best.Covered, best.AsTheyAre})
	require.InDelta(t, 50*25, best.ClothIn2, 1e-9)
	const whole, trimmed = (4.125 + 0.853553) * (4.125 + 0.853553), (3 + 0.853553) * (3 + 0.853553)
	require.InDelta(t, whole/25, best.Yield(), 1e-5)
	require.InDelta(t, trimmed/25, c.AsIs.Yield(), 1e-5)
	require.InDelta(t, 50*whole*25/trimmed-50*25, c.SavedIn2(), 1e-2)
	require.Equal(t, "8¼", best.Words(recipe.Inches()))
	// The number of blocks is kept, and the block near its width: squares of 3½ leave strips
	// of 1½, which go back.
	c = choose(t, Order{Recipe: pinwheel, Columns: 5, Rows: 5}, false, stock...)
	require.Equal(t, 5.25, c.Best[0].Recipe.WidthIn)
	require.Equal(t, 25, c.Needs.Places.Count())
	require.LessOrEqual(t, c.Weighed, mostWeigh)
	for _, x := range []struct {
		order       Order
		least, most float64
	}{{Order{Recipe: pinwheel, Columns: 5, Rows: 5}, 5, 7.5}, {Order{Recipe: pinwheel, Blocks: 9}, 5, 7.5}, {Order{Recipe: pinwheel, Bed: "twin"}, 2, 18}} {
		widths := blockWidths(x.order, inInches(), false)
		require.Equal(t, []float64{6, x.least, x.most}, []float64{widths[0], slices.Min(widths), slices.Max(widths)})
	}
	metric := blockWidths(Order{Recipe: pinwheel, Bed: "twin"}, Defaults(recipe.Centimetres(0.65/2.54)), false)
	require.InDelta(t, 6*2.54, 2.54*metric[0], 1e-9)
	require.InDelta(t, 6, 2.54*metric[1], 1e-9, "whole centimetres")
}

// A goose of 2 × 4 with flipped corners takes 2½ × 4½ and two squares of 2½
// (pumpkinpatchquilter.com, 2 Mar 2009), 23.75 square inches; four at a time take a square of 5¼
// and four of 2⅞ (alinequilts.blogspot.com, Mar 2011), 15.16 each. Eight half-square
// triangles at a time take as much cloth as two at a time: (2c + 1¾)² for eight is
// (c + ⅞)² for two.
func TestGeeseFourAtATimeTakeLessCloth(t *testing.T) {
	star, err := builtIn(t, "sawtooth-star").Resize(8)
	require.NoError(t, err)
	require.Equal(t, []recipe.Ways{{Make: recipe.FlyingGeese, AtATime: []int{1, 4}}}, star.Ways())
	flip, err := star.Made(map[recipe.Make]int{recipe.FlyingGeese: 1})
	require.NoError(t, err)
	cloths := cloth.Holding{ID: 1, Form: cloth.Rectangle, Count: 20, WidthIn: 18, LengthIn: 21, Family: cloth.Blue, Value: cloth.Dark}
	other := cloths
	other.ID, other.Value = 2, cloth.Medium
	c := choose(t, Order{Recipe: flip, Columns: 3, Rows: 4}, true, cloths, other)
	require.Equal(t, "flying-geese=4", recipe.AtATimeText(c.Best[0].Recipe.AtATime))
	require.Equal(t, "flying geese four at a time", c.Best[0].Differs(c.AsIs, recipe.Inches()), "the width does not change")
	require.Equal(t, "8, flying geese four at a time", c.Best[0].Words(recipe.Inches()))
	require.Empty(t, c.AsIs.Differs(c.AsIs, recipe.Inches()))
	wide, err := c.Best[0].Recipe.Resize(10)
	require.NoError(t, err)
	require.Equal(t, "blocks of 10 in place of 8, flying geese four at a time", Use{Recipe: wide}.Differs(c.AsIs, recipe.Inches()))
	require.Equal(t, c.Best[0].Wanted, c.Best[0].Covered)
	require.Greater(t, c.SavedIn2(), 0.0)
	kept := c.Pull.Saved("stars")
	again, err := kept.Top.Order("stars")
	require.NoError(t, err)
	require.Equal(t, c.Needs.Recipe.Blocks, again.Recipe.Blocks, "it is kept as it was chosen")
}

// A block twice as wide as its recipe's, or half as wide, goes first where 15 hundredths
// more of the cloth are used, and what clearly covers more goes before all else; of two that
// cover nearly as much as the most the one that cuts off less.
func TestABlockNearItsWidthGoesFirst(t *testing.T) {
	of := func(cover, yield, times float64) Use {
		return Use{Cover: cover, ClothIn2: 100, In2: 100 * yield, off: math.Abs(math.Log(times))}
	}
	first := func(all ...Use) Use {
		byUse(all, asUse)
		return all[0]
	}
	near := of(1, 0.8, 1)
	for _, times := range []float64{0.5, 2} {
		require.Equal(t, near, first(of(1, 0.94, times), near))
		require.NotEqual(t, near, first(near, of(1, 0.96, times)))
	}
	require.Equal(t, 1.0, first(of(0.9, 1, 1), of(1, 0.5, 3)).Cover)
	require.Equal(t, 0.985, first(of(1, 0.5, 1), of(0.985, 0.8, 1), of(0.97, 1, 1)).Cover)
	require.Equal(t, 0.84, first(of(0.84, 0.9, 1), of(0.849, 0.84, 1.2), of(0.8, 1, 1)).Cover, "it loses in neither figure that is shown")
}

// A block that does not come out at its size, cut to marks of the ruler, is never chosen
// where it is not the recipe's own.
func TestABlockThatDoesNotComeOutIsNotChosen(t *testing.T) {
	for _, r := range builtIns(t) {
		o := Order{Recipe: r, Columns: 2, Rows: 2}
		off := 0
		for _, w := range blockWidths(o, inInches(), false) {
			sized, err := r.Resize(w)
			off += btoi(err == nil && sized.OffMarks(recipe.Inches()) != nil)
		}
		if off == 0 || r.Setting.Columns > 0 {
			continue
		}
		c := choose(t, o, false, heapOf(1, 90, 10, cloth.Light), heapOf(2, 90, 10, cloth.Dark), heapOf(3, 90, 10, cloth.Medium))
		for _, u := range c.Best {
			require.True(t, u.Recipe.WidthIn == r.WidthIn || u.Recipe.OffMarks(recipe.Inches()) == nil, "%s of %v", r.Name, u.Recipe.WidthIn)
		}
		return
	}
	t.Fatal("all widths of all recipes come out")
}

// Cloth that goes back is not used up, what is squared off is.
func TestClothUsedUp(t *testing.T) {
	strip := cloth.Holding{ID: 1, Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 20, Family: cloth.Blue, Value: cloth.Dark}
	light := heapOf(2, 9, 2.5, cloth.Light)
	four := builtIn(t, "four-patch")
	c := choose(t, Order{Recipe: four, Columns: 1, Rows: 2}, true, strip, light)
	require.Equal(t, 8, c.Best[0].Covered)
	require.InDelta(t, 4*6.25+2.5*(0.5+4*2.5), c.Best[0].ClothIn2, 1e-9)
	require.InDelta(t, 8*6.25, c.Best[0].In2, 1e-9)
	c = choose(t, Order{Recipe: four, Columns: 1, Rows: 2}, true)
	require.Zero(t, c.Best[0].Yield())
	require.Zero(t, c.SavedIn2())
}

// More cloth never covers less of the quilt, and no choice is worse than the recipe as it
// stands.
func TestMoreClothNeverChoosesLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(id int64) cloth.Holding {
			h := heapOf(id, rapid.IntRange(1, 12).Draw(t, "count"), rapid.SampledFrom([]float64{2, 2.5, 3.5, 5, 7}).Draw(t, "side"), rapid.SampledFrom([]cloth.Value{cloth.Light, cloth.Dark}).Draw(t, "value"))
			if rapid.Bool().Draw(t, "strip") {
				h.Form, h.Count, h.LengthIn = cloth.Strip, 1, h.WidthIn*rapid.Float64Range(3, 8).Draw(t, "long")
			}
			return h
		}
		var stock []cloth.Holding
		for i := range rapid.IntRange(1, 4).Draw(t, "holdings") {
			stock = append(stock, draw(int64(i+1)))
		}
		r, err := recipe.BuiltIn(rapid.SampledFrom([]string{"four-patch", "pinwheel"}).Draw(t, "recipe"))
		require.NoError(t, err)
		o := Order{Recipe: r, WidthIn: 12, LengthIn: 12}
		less := choose(t, o, false, stock...)
		more := choose(t, o, false, append(stock, draw(9))...)
		require.GreaterOrEqual(t, more.Best[0].Cover, less.Best[0].Cover-asMuch-1e-9)
		best, as := less.Best[0], less.AsIs
		require.False(t, best.Cover < as.Cover-1e-9 && best.Yield() < as.Yield()-1e-9, "it loses in both figures that are shown")
	})
}

// A quilt of many sizes is weighed in few ways, lest it takes minutes.
func TestFewWaysOfManySizes(t *testing.T) {
	r, err := recipe.BuiltIn("sampler")
	require.NoError(t, err)
	var stock []cloth.Holding
	for i, f := range cloth.Families[:10] {
		stock = append(stock, cloth.Holding{ID: int64(i + 1), Form: cloth.Square, Count: 30, WidthIn: 3.5, LengthIn: 3.5, Family: f, Value: cloth.Values[i%5]})
	}
	c, err := Choose(Order{Recipe: r, Columns: 4, Rows: 5}, Defaults(recipe.Inches()), false, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Greater(t, c.Reckoned, leastWeigh)
	require.LessOrEqual(t, c.Weighed, leastWeigh)
}
