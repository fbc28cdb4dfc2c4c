package plan

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// Pairs come from what a quilt leaves: by hand, of a 2½ strip of 21 inches, half an inch
// squared off, 8 squares; of a 5-inch square 4; the 48 squares that the quilt pulls and
// the background's print give none.
func TestPairsBetweenAreOfWhatIsLeft(t *testing.T) {
	n := needs(t, "reading-corner", 1) // 48 squares of 2½ in any print
	stock := []cloth.Holding{
		{ID: 1, Form: cloth.Square, Count: 48, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Red, Value: cloth.Dark, Print: "a"},
		{ID: 2, Form: cloth.Strip, Count: 2, WidthIn: 2.5, LengthIn: 21, Family: cloth.Blue, Value: cloth.MediumDark, Print: "b"},
		{ID: 3, Form: cloth.Square, Count: 3, WidthIn: 5, LengthIn: 5, Family: cloth.Pink, Value: cloth.MediumLight, Print: "c"},
		{ID: 4, Form: cloth.Square, Count: 1, WidthIn: 5, LengthIn: 5, Family: cloth.Pink, Value: cloth.Medium, Print: "d"},
		{ID: 5, Form: cloth.Square, Count: 9, WidthIn: 5, LengthIn: 5, Family: cloth.White, Value: cloth.Light, Print: "linen"},
		{ID: 6, Form: cloth.Square, Count: 9, WidthIn: 2, LengthIn: 2, Family: cloth.White, Value: cloth.Light, Print: "e"},
		{ID: 7, Form: cloth.Square, Count: 9, WidthIn: 5, LengthIn: 5, Print: "f"},
	}
	p, err := FromStash(n, stock, nil, "linen", cutting.Options{})
	require.NoError(t, err)
	b := p.PairsBetween(2.5, stock, "linen", cutting.Options{})
	require.Equal(t, []int{12, 4, 16}, []int{b.Light, b.Medium, b.Dark})
	// Sixteen are not dark, as many as are: all go in pairs. Eight four-patches of 4
	// inches, two by four of them.
	require.Equal(t, []int{16, 8, 2, 4}, []int{b.Pairs, b.Blocks, b.Columns, b.Rows})
	require.Equal(t, []float64{8, 16}, []float64{b.WidthIn, b.LengthIn})
	require.NotEmpty(t, b.Why.Steps)
	// The background takes eight of nine squares of linen; the last is kept for it.
	require.Equal(t, 4, p.PairsBetween(2.5, stock, "", cutting.Options{}).Light-b.Light)
}

// As many pairs as can be made of squares that differ in tone, taken one after another
// from the two commonest; and more cloth never gives fewer.
func TestPairsAreAsManyAsCanBe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		count := rapid.IntRange(0, 30)
		left := []int{count.Draw(t, "light"), count.Draw(t, "medium"), count.Draw(t, "dark")}
		b := Between{SideIn: 2.5, Light: left[0], Medium: left[1], Dark: left[2]}
		b.pair(recipe.Inches())
		more := b
		more.Dark++
		more.pair(recipe.Inches())
		require.GreaterOrEqual(t, more.Pairs, b.Pairs)
		pairs := 0
		for ; ; pairs++ {
			first, second := 0, 1
			for i := range left {
				if left[i] > left[first] {
					first = i
				}
			}
			second = (first + 1) % 3
			if other := (first + 2) % 3; left[other] > left[second] {
				second = other
			}
			if left[first] == 0 || left[second] == 0 {
				break
			}
			left[first]--
			left[second]--
		}
		require.Equal(t, pairs, b.Pairs)
		require.LessOrEqual(t, b.Columns*b.Rows, b.Blocks)
		require.LessOrEqual(t, 2*b.Blocks, b.Pairs)
	})
}
