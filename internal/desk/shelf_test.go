package desk

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// What the counts alone give is what the pieces give: the shelf once forgot the
// lengths of strips for speed.
func TestShelfByCountsIsShelfByPieces(t *testing.T) {
	ctx := context.Background()
	st, err := stash.Open(t.TempDir(), stash.Options{Now: time.Now})
	require.NoError(t, err)
	defer st.Close()
	var all []cloth.Holding
	for i := range 60 {
		h := cloth.Holding{
			Form: cloth.Forms[i%5], Count: 1 + i%3, WidthIn: 2.5, LengthIn: float64(3 + i%11), Trust: 1,
			Family: cloth.Families[i%7], Value: cloth.Values[i%4], Print: fmt.Sprint("print ", i%9),
		}
		switch {
		case h.Form == cloth.Square:
			h.LengthIn = h.WidthIn
		case h.Form == cloth.Band:
			h.WidthIn, h.LengthIn = 0, 0
		case i%13 == 0:
			h.Bin = "sea greens"
		}
		all = append(all, h)
	}
	all = append(all, cloth.Holding{Form: cloth.Weighed, Count: 1, AreaIn2: 1512, Family: cloth.Red, Value: cloth.Dark, Trust: 1})
	_, err = st.Add(ctx, all...)
	require.NoError(t, err)
	_, err = st.SetFloor(ctx, shelf.Floor{Cut: shelf.Square(2.5), Least: 9})
	require.NoError(t, err)

	pieces, err := takeStockOf(ctx, st, ShelfRequest{})
	require.NoError(t, err)
	counts, err := takeStockByCounts(ctx, st, ShelfRequest{})
	require.NoError(t, err)
	pieces.Stock.Totals.Prints = 0 // counts do not tell prints of several boxes apart
	for i := range pieces.Stock.Bins {
		if b := &pieces.Stock.Bins[i]; len(b.In) > 1 {
			b.Prints = 0
		}
	}
	require.NotEmpty(t, counts.Stock.Short)
	require.NotEmpty(t, counts.Stock.Yields)
	require.Equal(t, pieces.Stock, counts.Stock)
}

// Cloth 45 inches wide, of 3½ yards to the pound of 453.59237 g (NIST Handbook 44, appendix
// C): a yard of it is 36 by 45 inches of 25.4 mm, which makes 124 g a square metre.
func TestTheWeighedYard(t *testing.T) {
	d := newDesk(t, t.TempDir())
	require.NoError(t, second(d.Set(ctx, SetRequest{YardGrams: 453.59237 / 3.5, YardWidthIn: 45})))
	got, err := d.Settings(ctx)
	require.NoError(t, err)
	require.InDelta(t, 124, got.GSM, 0.05)
}

// Only the floor that is named is taken away.
func TestOneFloorIsCleared(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for _, f := range []shelf.Floor{{Least: 8}, {Cut: shelf.Square(2.5), Least: 20}} {
		require.NoError(t, second(d.SetFloor(ctx, f, false)))
	}
	require.ErrorIs(t, second(d.ClearFloor(ctx, shelf.Floor{Cut: shelf.Square(5)})), ErrNoFloor)
	require.NoError(t, second(d.ClearFloor(ctx, shelf.Floor{Cut: shelf.Square(2.5)})))
	left, err := d.Floors(ctx)
	require.NoError(t, err)
	require.Equal(t, []shelf.Floor{{Least: 8}}, left)
}

// Two letters may be a slip, three are another name.
func TestASlipIsTwoLettersAtMost(t *testing.T) {
	require.True(t, alikeNames("Saltmarsh greens", "Saltmarsh greans"))
	require.True(t, alikeNames("saltmarsh greens", "salltmarsh grens"))
	require.False(t, alikeNames("saltmarsh greens", "salltmarsh grenss x"))
	require.False(t, alikeNames("saltmarshgreens", "saltmarshgrayxs"))
}
