package plan

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// matched are the needs of four Ohio stars, each star of one print: a centre of 4½ and
// two squares of 5¼ (quiltcg.com, "April block of the month: Ohio star", 3 Apr 2015).
func matched(t *testing.T) *Needs {
	r, err := recipe.BuiltIn("ohio-star")
	require.NoError(t, err)
	r, err = r.Match(recipe.UsualMatching)
	require.NoError(t, err)
	shop := Defaults(recipe.Inches())
	shop.OneByOne = true
	n, err := Need(Order{Recipe: r, Blocks: 4}, shop)
	require.NoError(t, err)
	return n
}

func darkSquares(id int64, print string, size float64, count int) cloth.Holding {
	return cloth.Holding{ID: id, Form: cloth.Square, Count: count, WidthIn: size, LengthIn: size, Family: cloth.Red, Value: cloth.Dark, Print: print}
}

// Of three prints one has all of a star, one its centre alone, and one, a strip beside a
// square, gives a whole star too: two stars are covered and two are short, whole.
func TestAStarOfOnePrint(t *testing.T) {
	n := matched(t)
	require.Equal(t, []recipe.Set{{
		Role: n.Recipe.Blocks[0].Units[0].Roles[0], Count: 4,
		Pieces: []recipe.SizeCount{{WidthIn: 5.25, LengthIn: 5.25, Count: 2}, {WidthIn: 4.5, LengthIn: 4.5, Count: 1}},
	}}, n.Sets)
	stock := []cloth.Holding{
		darkSquares(1, "a", 5.25, 3), darkSquares(2, "a", 4.5, 2), darkSquares(3, "b", 4.5, 4), darkSquares(4, "c", 4.5, 1),
		{ID: 5, Form: cloth.Strip, Count: 1, WidthIn: 5.25, LengthIn: 12, Family: cloth.Red, Value: cloth.Dark, Print: "c"},
	}
	p, err := FromStash(n, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Equal(t, []MatchedSets{{n.Sets[0], 2}}, p.Sets())
	wanted, covered, short := p.Totals()
	require.Equal(t, []int{12, 6, 6}, []int{wanted, covered, short})
	require.Equal(t, "star, hourglasses, two at a time; 2 of one print", p.Wants[0].Name)
	require.ElementsMatch(t, []Pulled{{1, 2}, {2, 1}, {4, 1}, {5, 1}}, p.Pulled())
	gaps := p.Gaps("stars")
	dark := Sought{Tone: recipe.DarkTone}
	require.Equal(t, Gap{Sought: dark, Quilt: "stars", WidthIn: 5.25, LengthIn: 5.25, Pieces: 4, Set: 1, Each: 2}, gaps[0])
	require.Equal(t, Gap{Sought: dark, Quilt: "stars", WidthIn: 4.5, LengthIn: 4.5, Pieces: 2, Set: 1, Each: 1}, gaps[1])

	// It comes back as it was kept, and asks for the same again.
	text, err := json.Marshal(p.Saved("stars"))
	require.NoError(t, err)
	var back Saved
	require.NoError(t, json.Unmarshal(text, &back))
	o, err := back.Top.Order("stars")
	require.NoError(t, err)
	require.Equal(t, []string{"star"}, o.Recipe.Matching())

	// Cloth that comes fills whole sets of what a kept plan lacks, and no part of one.
	for _, c := range []struct {
		more []cloth.Holding
		want []Pulled
	}{
		{[]cloth.Holding{darkSquares(7, "d", 5.25, 2)}, nil},
		{[]cloth.Holding{darkSquares(7, "d", 5.25, 3), darkSquares(8, "d", 4.5, 5)}, []Pulled{{7, 2}, {8, 1}}},
		{[]cloth.Holding{darkSquares(7, "d", 5.25, 2), darkSquares(8, "e", 4.5, 5)}, nil},
	} {
		shares, err := Shares(append(stock[:5:5], c.more...), []Saved{back}, cutting.Options{})
		require.NoError(t, err)
		require.ElementsMatch(t, append(p.Pulled(), c.want...), shares[0])
	}
	// Nor is a set of two plans.
	both := []Saved{{Gaps: back.Gaps}, {Gaps: back.Gaps}}
	shares, err := Shares([]cloth.Holding{darkSquares(7, "d", 5.25, 4), darkSquares(8, "d", 4.5, 2)}, both, cutting.Options{})
	require.NoError(t, err)
	require.ElementsMatch(t, [][]Pulled{{{7, 4}, {8, 2}}, nil}, shares)
}

// Of every print that is bought whole sets are cut.
func TestSetsAreBoughtWhole(t *testing.T) {
	dark := Sought{Tone: recipe.DarkTone}
	gap := Gap{Sought: dark, Quilt: "stars", WidthIn: 2.5, LengthIn: 2.5, Pieces: 48, Set: 1, Each: 12}
	h := Habits{Shop: Defaults(recipe.Inches()), EachPrint: 10}
	s, err := Buy([]Gap{gap}, nil, h)
	require.NoError(t, err)
	require.Equal(t, 4, s.Buy[0].Prints, "a set of twelve each, though ten is enough of one print")
	require.Equal(t, "48 pieces from 4 prints: 12 of 2½ of each", s.Buy[0].Why.Steps[0].Text)
	h.EachPrint = 30
	s, err = Buy([]Gap{gap}, nil, h)
	require.NoError(t, err)
	require.Equal(t, 2, s.Buy[0].Prints)
}
