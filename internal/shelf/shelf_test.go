package shelf

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
)

func piece(f cloth.Family, v cloth.Value) Item {
	return Item{Piece: cloth.Piece{Family: f, Value: v}}
}

func repeat(n int, it Item) []Item { return slices.Repeat([]Item{it}, n) }

func TestItemsKeepPhotoAndOrder(t *testing.T) {
	items := Items([]cloth.Sheet{
		{Pieces: []cloth.Piece{{ID: 1}, {ID: 2}}},
		{},
		{Pieces: []cloth.Piece{{ID: 1}}},
	})
	var got [][2]int
	for _, it := range items {
		got = append(got, [2]int{it.Photo, it.Piece.ID})
	}
	require.Equal(t, [][2]int{{0, 1}, {0, 2}, {2, 1}}, got)
}

func TestBinsFollowTheShelf(t *testing.T) {
	sized := func(cut string, width float64) Item {
		return Item{Piece: cloth.Piece{Family: cloth.Blue, Value: cloth.Dark, Cut: cut, WidthIn: width, LengthIn: width}}
	}
	items := []Item{
		sized("", 0), sized("10 square", 10), piece(cloth.Many, cloth.Medium), sized("2½ square", 2.5),
		piece(cloth.Blue, cloth.Light), piece(cloth.Red, cloth.Dark), sized("2½ square", 2.5),
	}
	require.Equal(t, []Group{
		{cloth.Red, cloth.Dark, "", []int{5}},
		{cloth.Blue, cloth.Light, "", []int{4}},
		{cloth.Blue, cloth.Dark, "2½ square", []int{3, 6}},
		{cloth.Blue, cloth.Dark, "10 square", []int{1}},
		{cloth.Blue, cloth.Dark, "", []int{0}},
		{cloth.Many, cloth.Medium, "", []int{2}},
	}, Build(items, Options{}).Groups)
}

func TestSortedRunsLightToDarkInEachColour(t *testing.T) {
	at := func(f cloth.Family, l float64) Item { return Item{Piece: cloth.Piece{Family: f, Lightness: l}} }
	items := []Item{at(cloth.Black, 12), at(cloth.Red, 30), at("", 99), at(cloth.Red, 60), at(cloth.Teal, 60), at(cloth.Red, 60)}
	require.Equal(t, []int{3, 5, 1, 4, 0, 2}, Sorted(items))
}

func TestUnnamedPiecesAreInNoBin(t *testing.T) {
	s := Build([]Item{piece("", cloth.Dark), piece(cloth.Red, cloth.Dark), piece(cloth.Red, "")}, Options{})
	require.Equal(t, []int{0, 2}, s.Unnamed)
	require.Equal(t, []Group{{cloth.Red, cloth.Dark, "", []int{1}}}, s.Groups)
	require.Equal(t, []Stack{{cloth.Red, cloth.Dark, []int{1}, nil}}, s.Stacks)
	require.Equal(t, 1.0, s.Balance.Families[0].Share)
}

func TestEmptyShelf(t *testing.T) {
	s := Build(nil, Options{Floor: 3})
	require.Empty(t, s.Groups)
	require.Empty(t, s.Thin)
	require.Empty(t, s.Missing)
	require.Empty(t, s.Stacks)
	require.Zero(t, s.Balance.Sized)
}

// Every named piece is in exactly one bin and one stack, whatever came in.
func TestNothingIsLostOrCountedTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		families := append([]cloth.Family{""}, cloth.Families...)
		values := append([]cloth.Value{""}, cloth.Values...)
		n := rapid.IntRange(0, 60).Draw(t, "n")
		items := make([]Item, n)
		for i := range items {
			items[i] = piece(rapid.SampledFrom(families).Draw(t, "family"), rapid.SampledFrom(values).Draw(t, "value"))
		}
		s := Build(items, Options{Floor: rapid.IntRange(0, 5).Draw(t, "floor")})
		inBins, inStacks := slices.Clone(s.Unnamed), slices.Clone(s.Unnamed)
		for _, b := range s.Groups {
			inBins = append(inBins, b.Items...)
		}
		for _, k := range s.Stacks {
			inStacks = append(append(inStacks, k.Stay...), k.Bring...)
		}
		slices.Sort(inBins)
		slices.Sort(inStacks)
		want := make([]int, n)
		for i := range want {
			want[i] = i
		}
		require.ElementsMatch(t, want, inBins)
		require.ElementsMatch(t, want, inStacks)
		shares := 0.0
		for _, v := range s.Balance.Values {
			shares += v.Share
		}
		if len(s.Groups) > 0 {
			require.InDelta(t, 1, shares, 1e-12)
		}
	})
}

func TestBalanceByCountAndArea(t *testing.T) {
	sized := func(f cloth.Family, v cloth.Value, w, l float64) Item {
		return Item{Piece: cloth.Piece{Family: f, Value: v, WidthIn: w, LengthIn: l}}
	}
	b := Build([]Item{
		sized(cloth.Blue, cloth.Dark, 5, 5), sized(cloth.Red, cloth.Light, 2.5, 10),
		sized(cloth.Red, cloth.Dark, 5, 10), sized(cloth.Red, cloth.Dark, 0, 0),
	}, Options{}).Balance
	require.Equal(t, Balance{
		Families: []Portion{
			{Family: cloth.Red, Count: 3, Share: 0.75, Area: 75},
			{Family: cloth.Blue, Count: 1, Share: 0.25, Area: 25},
		},
		Values: []Portion{
			{Value: cloth.Light, Count: 1, Share: 0.25, Area: 25},
			{Value: cloth.MediumLight}, {Value: cloth.Medium}, {Value: cloth.MediumDark},
			{Value: cloth.Dark, Count: 3, Share: 0.75, Area: 75},
		},
		Sized: 3, Area: 100,
	}, b)
}
