package plan

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

func needs(t *testing.T, name string, blocks int) *Needs {
	r, err := recipe.BuiltIn(name)
	require.NoError(t, err)
	shop := Defaults(recipe.Inches())
	shop.OneByOne = true
	n, err := Need(Order{Recipe: r, Blocks: blocks}, shop)
	require.NoError(t, err)
	return n
}

func TestFromStashAsksForWhatTheRolesAllow(t *testing.T) {
	n := needs(t, "ohio-star", 4)
	stock := []cloth.Holding{
		{ID: 1, Form: cloth.Square, Count: 20, WidthIn: 4.5, LengthIn: 4.5, Family: cloth.Red, Value: cloth.Dark, Print: "a", Basket: "reds"},
		{ID: 2, Form: cloth.Square, Count: 20, WidthIn: 4.5, LengthIn: 4.5, Family: cloth.Pink, Value: cloth.Light, Print: "b"},
		{ID: 3, Form: cloth.Square, Count: 20, WidthIn: 5.25, LengthIn: 5.25, Family: cloth.Pink, Value: cloth.Light, Print: "b"},
	}
	p, err := FromStash(n, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	// Four blocks of an Ohio star take a 4½ centre and two 5¼ squares of the star
	// each (quiltcg.com, "April block of the month: Ohio star", 3 Apr 2015).
	wanted, covered, short := p.Totals()
	require.Equal(t, []int{12, 4, 8}, []int{wanted, covered, short})
	require.Equal(t, []Taking{{Family: cloth.Red, Value: cloth.Dark, Form: cloth.Square, WidthIn: 4.5, LengthIn: 4.5, Count: 4}}, p.Takes())
	gaps := p.Gaps("star")
	require.Equal(t, Gap{Sought: Sought{Tone: recipe.DarkTone}, Quilt: "star", WidthIn: 5.25, LengthIn: 5.25, Pieces: 8}, gaps[0])
	require.Equal(t, "background of star", gaps[1].String())
	require.Equal(t, n.Yardage[0].LengthIn, gaps[1].ClothIn)
	require.Equal(t, "backing of star", gaps[len(gaps)-1].String())

	// The light print is the background once it is named, and is then not bought.
	p, err = FromStash(n, stock, nil, "b", cutting.Options{})
	require.NoError(t, err)
	wanted, covered, _ = p.Totals()
	require.Equal(t, []int{36, 28}, []int{wanted, covered})
	for _, g := range p.Gaps("star") {
		require.NotEqual(t, "background of star", g.String())
	}
}

// The background's cloth is kept for it, whatever else could be cut from it.
func TestTheBackgroundIsKept(t *testing.T) {
	linen := cloth.Holding{ID: 1, Form: cloth.Square, Count: 99, WidthIn: 4.5, LengthIn: 4.5, Family: cloth.White, Value: cloth.Light, Print: "linen"}
	plain := cloth.Holding{ID: 2, Form: cloth.Square, Count: 3, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Red, Value: cloth.Dark}
	for _, stock := range [][]cloth.Holding{{linen}, {linen, plain}} {
		p, err := FromStash(needs(t, "reading-corner", 1), stock, nil, "linen", cutting.Options{})
		require.NoError(t, err)
		for i, r := range p.Roles {
			if r.Background {
				require.Equal(t, 8, p.Cover.Covered[i])
			} else {
				require.Equal(t, 3*(len(stock)-1), p.Cover.Covered[i])
			}
		}
	}
}

func TestSavedPlanComesBackWhole(t *testing.T) {
	p, err := FromStash(needs(t, "four-patch", 6), nil, nil, "", cutting.Options{})
	require.NoError(t, err)
	s := p.Saved("fours")
	require.NotEmpty(t, s.Gaps)
	text, err := json.Marshal(s)
	require.NoError(t, err)
	var back Saved
	require.NoError(t, json.Unmarshal(text, &back))
	require.Equal(t, s, back)
}
