package desk

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/shelf"
)

// A thin bin of strips was never refilled from leftovers, which gave squares alone.
func TestThinStripsAreCutFromLeftovers(t *testing.T) {
	green := shelf.Alike{Family: cloth.Green, Value: cloth.Dark}
	stock := shelf.Stock{Short: []shelf.Short{{Alike: green, Cut: shelf.Cut{Form: cloth.Strip, Width: 2.5}, Count: 1, Want: 4}}}
	sizes, thin := sizesFor(stock, []float64{5}, nil, green)
	require.Equal(t, []cutting.Size{{W: 5, L: 5, Weight: 1}, {W: 2.5, Weight: 1.75, Lack: 3}}, sizes)
	require.Equal(t, []shelf.Short{{}, stock.Short[0]}, thin)
	sizes, _ = sizesFor(stock, []float64{5}, nil, shelf.Alike{Family: cloth.Red})
	require.Len(t, sizes, 1)
}

// Of bins that are as thin the first is named, and a size that no bin wants is worth its
// cloth.
func TestTheFirstOfEquallyThinBinsIsNamed(t *testing.T) {
	of := func(f cloth.Family, have int) shelf.Short {
		return shelf.Short{Alike: shelf.Alike{Family: f, Value: cloth.Dark}, Cut: shelf.Square(2.5), Count: have, Want: 4}
	}
	stock := shelf.Stock{Short: []shelf.Short{of(cloth.Red, 3), of(cloth.Green, 1), of(cloth.Blue, 1)}}
	sizes, thin := sizesFor(stock, []float64{2.5, 5}, nil, shelf.Alike{})
	require.Equal(t, []cutting.Size{{W: 2.5, L: 2.5, Weight: 1.75, Lack: 3}, {W: 5, L: 5, Weight: 1}}, sizes)
	require.Equal(t, []shelf.Short{stock.Short[1], {}}, thin)
}
