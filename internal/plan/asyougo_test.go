package plan

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

func goText(width, join float64) string {
	return fmt.Sprintf("name = \"q\"\nwidth = %v\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\n[sashing]\nwidth = %v\n[backing]\nas_you_go = true\n", width, join)
}

// Blocks quilted one by one: a back and batting each, an inch over on each side; strips
// of 1 in front and 1¾, folded, behind (common practice, no source), which leave no gap
// between battings. 4 × 10 + 3 × ½ is 41½, and ½ of seams makes strips of 42.
func TestBlocksAreQuiltedOneByOne(t *testing.T) {
	n := scrapNeeds(t, goText(10, 0.5), 4, 5, true)
	g := n.Backing.AsYouGo
	require.Equal(t, []float64{41.5, 52}, []float64{n.WidthIn, n.LengthIn})
	require.Equal(t, []float64{20, 12.5, 12.5, 10.5, 10.5, 1.75, 15, 10.5, 4, 42},
		[]float64{float64(g.Blocks), g.BackWidthIn, g.BackIn, g.TrimWidthIn, g.TrimIn, g.StripIn, float64(g.Short), g.ShortIn, float64(g.Long), g.LongIn})
	var cuts []string
	for _, c := range g.Cloth.Cuts {
		cuts = append(cuts, fmt.Sprintf("%d of %v x %v", c.Count, c.WidthIn, c.LengthIn))
		require.NotEmpty(t, c.Why[0].Steps)
	}
	// 4 × 42 = 168; five strips of 40 less four joins of ½ are 198, four only 158½.
	require.Equal(t, []string{"5 of 1.75 x 0", "20 of 12.5 x 12.5", "15 of 1.75 x 10.5"}, cuts)
	front := map[string]int{}
	for _, c := range n.Cuts {
		front[fmt.Sprintf("%s %v x %v", c.Role.Name, c.WidthIn, c.LengthIn)] += c.Count
	}
	require.Equal(t, map[string]int{"any 10.5 x 10.5": 20, "sashing 1 x 10.5": 15, "sashing 1 x 0": 5}, front)
	require.Empty(t, n.Notes)
	require.Equal(t, n.Backing.Why, n.Why.Steps[len(n.Why.Steps)-1])
	p, err := FromStash(n, nil, nil, "", cutting.Options{})
	require.NoError(t, err)
	gaps := p.Gaps("q")
	last := gaps[len(gaps)-1]
	require.Equal(t, "backing of q", last.String())
	require.Equal(t, g.Cloth.LengthIn, last.ClothIn)
	require.Equal(t, 96.25, last.ClothIn) // 5 × 1¾ + 7 × 12½, the short strips from the ends

	n = scrapNeeds(t, goText(10, 1), 3, 1, true)
	require.Contains(t, n.Notes[0], "ends ½ inch apart")
	require.Zero(t, n.Backing.AsYouGo.Long)
	shop := Defaults(recipe.Inches())
	shop.BackWOFIn = 108
	n, err = Need(Order{Recipe: n.Recipe, Columns: 4, Rows: 5}, shop)
	require.NoError(t, err)
	// Eight backs of 12½ across 108, so three rows; two long strips a row of 1¾ at most.
	require.Greater(t, n.Backing.AsYouGo.Cloth.LengthIn, 3*12.5)
	require.LessOrEqual(t, n.Backing.AsYouGo.Cloth.LengthIn, 3*12.5+2*1.75)
}

// A folded strip reaches from the raw edges in its seam over the joining strip to past
// the other seam; backs hold the trimmed block; and the trimmed blocks with the front
// strips come to the size of the quilt.
func TestJoiningStripsReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := float64(rapid.IntRange(16, 120).Draw(t, "width")) / 8
		join := float64(rapid.IntRange(2, 24).Draw(t, "join")) / 8
		columns, rows := rapid.IntRange(1, 6).Draw(t, "columns"), rapid.IntRange(1, 6).Draw(t, "rows")
		n := scrapNeeds(t, goText(width, join), columns, rows, true)
		g, seam := n.Backing.AsYouGo, 0.25
		require.GreaterOrEqual(t, g.StripIn/2, seam+join+coverIn-1e-9)
		require.Less(t, g.StripIn/2, seam+join+coverIn+0.125)
		require.GreaterOrEqual(t, g.BackWidthIn, g.TrimWidthIn+2)
		sewn := float64(columns)*(g.TrimWidthIn-2*seam) + float64(columns-1)*join
		require.InDelta(t, n.WidthIn, sewn, 1e-9)
		require.InDelta(t, g.LongIn, sewn+2*seam, 1e-9)
		require.Equal(t, []int{columns * rows, (columns - 1) * rows, rows - 1}, []int{g.Blocks, g.Short, g.Long})
	})
}
