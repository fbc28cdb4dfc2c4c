package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
)

func strip(id int64, w, l float64, f cloth.Family, v cloth.Value) cloth.Holding {
	return cloth.Holding{ID: id, Form: cloth.Strip, Count: 1, WidthIn: w, LengthIn: l, Family: f, Value: v}
}

// The strips of 2½ that are kept are the longest; the short one and the wide
// one give the squares.
func TestRefillLeavesOtherBinsTheirFloor(t *testing.T) {
	bins := []shelf.Box{
		{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 20},
		{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Cut{Form: cloth.Strip, Width: 2.5}, Least: 2},
	}
	stock := []cloth.Holding{
		strip(1, 2.5, 42, cloth.Blue, cloth.Dark),
		strip(2, 2.5, 12, cloth.Blue, cloth.Dark), // four squares: (12 − ½) ÷ 2½
		strip(3, 2.5, 40, cloth.Blue, cloth.Dark),
		strip(4, 5, 10.5, cloth.Blue, cloth.Dark), // two rows of four
		strip(5, 2.5, 42, cloth.Red, cloth.Dark),
		{ID: 6, Form: cloth.Square, Count: 3, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue, Value: cloth.Dark},
	}
	got, err := RefillBins(bins, stock, nil, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{3, 3}, got.Have)
	require.Equal(t, []int{0}, got.Thin)
	require.Equal(t, []int{1, 0, 1, 0, 0, 3}, got.Held)
	require.Equal(t, []int{12}, got.Covered)
	require.Equal(t, []int{5}, got.Short)
	require.Empty(t, got.Ready)
	require.Len(t, got.Cuts, 2)
}

// A strip that a planned quilt has pulled was once cut up for a thin bin.
func TestRefillLeavesPlannedQuiltsTheirCloth(t *testing.T) {
	bins := []shelf.Box{
		{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 20},
		{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Cut{Form: cloth.Strip, Width: 2.5}, Least: 1},
	}
	stock := []cloth.Holding{
		strip(1, 2.5, 42, cloth.Blue, cloth.Dark),
		strip(2, 2.5, 12, cloth.Blue, cloth.Dark), // four squares
		{ID: 3, Form: cloth.Square, Count: 3, WidthIn: 5, LengthIn: 5, Family: cloth.Blue, Value: cloth.Dark},
	}
	got, err := RefillBins(bins, stock, map[int64]int{2: 1, 3: 3}, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{0, 1, 3}, got.Held) // and the bin has its floor by it
	require.Len(t, got.Cuts, 1)
	require.Equal(t, int64(1), got.Cuts[0].ID)
	got, err = RefillBins(bins, stock, map[int64]int{1: 1, 2: 1, 3: 3}, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{1, 1, 3}, got.Held)
	require.Empty(t, got.Cuts)
	require.Equal(t, []int{20}, got.Short)
}

// A bin once counted and cut cloth that lies in a bin of your own, or of a value
// where its own was not known; squares that the shelf counts as 2½ were none.
func TestRefillCountsAsTheShelfDoes(t *testing.T) {
	square := func(side float64, v cloth.Value, own string) cloth.Holding {
		return cloth.Holding{Form: cloth.Square, Count: 4, WidthIn: side, LengthIn: side, Family: cloth.Green, Value: v, Bin: own}
	}
	own := strip(1, 2.5, 20, cloth.Green, cloth.Dark)
	own.Bin = "sea greens"
	stock := []cloth.Holding{
		square(2.5, cloth.Dark, "sea greens"), own, square(2.45, cloth.Dark, ""), square(2.5, "", ""),
		strip(2, 2.5, 10, cloth.Green, cloth.Dark),
	}
	got, err := RefillBins([]shelf.Box{
		{Alike: shelf.Alike{Family: cloth.Green}, Cut: shelf.Square(2.5), Least: 9},
		{Alike: shelf.Alike{Family: cloth.Green, Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 9},
		{Alike: shelf.Alike{Own: "sea greens"}, Cut: shelf.Square(2.5), Least: 9},
	}, stock, nil, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{4, 4, 4}, got.Have)
	require.Equal(t, []int{0, 3, 5}, got.Covered, "each from its own strips")
}

func TestRefillRefuses(t *testing.T) {
	_, err := RefillBins([]shelf.Box{{Cut: shelf.Cut{Form: cloth.Rectangle, Length: 2}}}, nil, nil, Options{})
	require.Contains(t, fault.Of(err).Full(), "length above 0")
	_, err = RefillBins([]shelf.Box{{Cut: shelf.Square(2), Least: -1}}, nil, nil, Options{})
	require.Contains(t, fault.Of(err).Full(), "floors of 0 or more")
	got, err := RefillBins(nil, nil, nil, Options{})
	require.NoError(t, err)
	require.Empty(t, got.Cuts)
}

func TestRefillTakesNoBinBelowItsFloor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stock := drawStock(12, 20).Draw(t, "stock")
		for k := range stock {
			stock[k].Family = ""
		}
		var bins []shelf.Box
		for _, v := range cloth.Values[:2] {
			for _, s := range []float64{2, 2.5, 3.5, 5} {
				bins = append(bins,
					shelf.Box{Alike: shelf.Alike{Value: v}, Cut: shelf.Square(s), Least: rapid.IntRange(0, 6).Draw(t, "floor")},
					shelf.Box{Alike: shelf.Alike{Value: v}, Cut: shelf.Cut{Form: cloth.Strip, Width: s}, Least: rapid.IntRange(0, 2).Draw(t, "strips")})
			}
		}
		got, err := RefillBins(bins, stock, nil, Options{})
		require.NoError(t, err)
		for _, r := range got.Ready { // a strip as short as it is wide is a square
			require.NotEqual(t, cloth.Square, stock[r.Stock].Form, "moved from one bin to the same bin")
		}
		taken := make([]int, len(stock))
		for _, c := range got.Cuts {
			taken[c.Stock]++
		}
		for _, r := range got.Ready {
			taken[r.Stock] += r.Count
		}
		for i, b := range bins {
			left := got.Have[i]
			for k, s := range stock {
				if first := indexOfBin(bins, s); first == i {
					left -= taken[k]
				}
			}
			require.GreaterOrEqual(t, left, min(b.Least, got.Have[i]), "bin %v", b)
		}
	})
}

func indexOfBin(bins []shelf.Box, s cloth.Holding) int {
	for i, b := range bins {
		if b.Alike == shelf.AlikeOf(s) && b.Cut == shelf.CutOf(s) {
			return i
		}
	}
	return -1
}

// A bin of a hue family is filled from strips of any of its values; one of a value in
// it is filled by its own.
func TestRefillFillsABasketFromEveryValue(t *testing.T) {
	stock := []cloth.Holding{
		strip(1, 2.5, 18, cloth.Blue, cloth.Dark), strip(2, 2.5, 18, cloth.Blue, cloth.Light), strip(3, 2.5, 18, cloth.Red, cloth.Dark),
		{ID: 4, Form: cloth.Square, Count: 2, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue, Value: cloth.Medium},
	}
	got, err := RefillBins([]shelf.Box{{Sorting: shelf.ByFamily, Alike: shelf.Alike{Family: cloth.Blue}, Cut: shelf.Square(2.5), Least: 12}}, stock, nil, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{2}, got.Have)
	require.Equal(t, []int{10}, got.Covered)
	got, err = RefillBins([]shelf.Box{{Sorting: shelf.ByValue, Alike: shelf.Alike{Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 12}}, stock, nil, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{12}, got.Covered, "from blue and red")
	// A basket and a box in it both keep their pieces.
	got, err = RefillBins([]shelf.Box{
		{Sorting: shelf.ByFamily, Alike: shelf.Alike{Family: cloth.Blue}, Cut: shelf.Square(2.5), Least: 2},
		{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Medium}, Cut: shelf.Square(2.5), Least: 2},
	}, stock, nil, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{2, 2}, got.Have)
	require.Empty(t, got.Thin)
}
