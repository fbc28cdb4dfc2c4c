package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// What is fetched stands by its basket, box 2 before box 10 and what is in none last, and in
// each as it lies on the shelf.
func TestWhatIsFetchedByBasket(t *testing.T) {
	held := func(id int64, basket, print string, f cloth.Family, v cloth.Value, side float64) cloth.Holding {
		return cloth.Holding{ID: id, Form: cloth.Square, Count: 9, Family: f, Value: v, Basket: basket, Print: print, WidthIn: side, LengthIn: side}
	}
	stock := []cloth.Holding{
		held(1, "box 10", "", cloth.Blue, cloth.Dark, 2.5), held(2, "", "", cloth.Red, cloth.Dark, 2.5),
		held(3, "box 2", "print 12", cloth.Red, cloth.Dark, 2.5), held(4, "box 10", "", cloth.Red, cloth.Light, 2.5),
		held(5, "box 2", "print 9", cloth.Red, cloth.Dark, 2.5), held(6, "box 2", "", cloth.Red, cloth.Light, 5),
	}
	c := Cover{Cuts: []Diagram{{Stock: 5}, {Stock: 5}}}
	for i := range 5 {
		c.Ready = append(c.Ready, Ready{Stock: i, Count: i + 1})
	}
	require.Equal(t, []PullList{
		{Basket: "box 2", Lines: []PullLine{{5, 6, 2}, {4, 5, 5}, {2, 3, 3}}},
		{Basket: "box 10", Lines: []PullLine{{3, 4, 4}, {0, 1, 1}}},
		{Lines: []PullLine{{1, 2, 2}}},
	}, pulls(c, stock))
}
