package shelf

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

func TestThinByShare(t *testing.T) {
	s := Build(slices.Concat(
		repeat(6, piece(cloth.Red, cloth.Medium)),
		repeat(5, piece(cloth.Blue, cloth.Medium)),
		repeat(1, piece(cloth.Blue, cloth.Light)),
		repeat(2, piece(cloth.Yellow, cloth.Light)),
		repeat(6, piece(cloth.Green, cloth.Dark)),
	), Options{})
	require.Equal(t, []Thin{
		{Family: cloth.Yellow, Count: 2, Share: 0.1, Reason: SmallShare, Against: 6},
		{Family: cloth.Yellow, Value: cloth.Light, Count: 2, Share: 0.1, Reason: SmallShare, Against: 5},
		{Family: cloth.Blue, Value: cloth.Light, Count: 1, Share: 0.05, Reason: SmallShare, Against: 5},
	}, s.Thin)
}

// Exactly half of the middle share is enough.
func TestHalfOfTheMiddleIsNotThin(t *testing.T) {
	s := Build(slices.Concat(
		repeat(2, piece(cloth.Red, cloth.Medium)),
		repeat(4, piece(cloth.Blue, cloth.Medium)),
		repeat(4, piece(cloth.Green, cloth.Medium)),
	), Options{})
	require.Empty(t, s.Thin)
}

func TestThinBelowTheFloor(t *testing.T) {
	items := slices.Concat(
		repeat(2, piece(cloth.Red, cloth.Medium)),
		repeat(3, piece(cloth.Blue, cloth.Medium)),
		repeat(1, piece(cloth.Many, cloth.Dark)),
	)
	require.Equal(t, []Thin{
		{Family: cloth.Red, Value: cloth.Medium, Count: 2, Share: 2.0 / 6, Reason: BelowFloor, Against: 3},
		{Family: cloth.Many, Value: cloth.Dark, Count: 1, Share: 1.0 / 6, Reason: BelowFloor, Against: 3},
	}, cellsOf(Build(items, Options{Floor: 3}).Thin))
	require.Empty(t, cellsOf(Build(items, Options{}).Thin))
}

// The cuts of one colour and value share a bin here: four cuts of one piece
// each are not thin where the middle bin holds four.
func TestCutsCountTogether(t *testing.T) {
	cut := func(c string) Item {
		return Item{Piece: cloth.Piece{Family: cloth.Red, Value: cloth.Dark, Cut: c}}
	}
	items := slices.Concat(
		[]Item{cut("1½ strip"), cut("2½ strip"), cut("5 square"), cut("")},
		repeat(4, piece(cloth.Blue, cloth.Dark)))
	require.Empty(t, Build(items, Options{Floor: 4}).Thin)
}

func TestManyIsNeitherThinNorMissing(t *testing.T) {
	s := Build(slices.Concat(
		repeat(6, piece(cloth.Red, cloth.Medium)), repeat(6, piece(cloth.Blue, cloth.Medium)),
		repeat(1, piece(cloth.Many, cloth.Medium)),
	), Options{})
	require.Empty(t, s.Thin)
	for _, m := range Build(repeat(1, piece(cloth.Red, cloth.Medium)), Options{}).Missing {
		require.NotEqual(t, cloth.Many, m.Family)
	}
}

func TestMissing(t *testing.T) {
	var items []Item
	for _, f := range cloth.Families {
		if f != cloth.Teal {
			items = append(items, piece(f, cloth.Light), piece(f, cloth.Medium), piece(f, cloth.Dark))
		}
	}
	require.Equal(t, []Thin{
		{Family: cloth.Teal, Reason: Nothing},
		{Value: cloth.MediumLight, Reason: Nothing},
		{Value: cloth.MediumDark, Reason: Nothing},
	}, Build(items, Options{}).Missing)
}

func cellsOf(all []Thin) []Thin {
	return slices.DeleteFunc(slices.Clone(all), func(t Thin) bool { return t.Family == "" || t.Value == "" })
}

// Even one piece that a thin bin wants is said to be wanted there.
func TestWhySaysWhatThinBinsWantAlready(t *testing.T) {
	s := Short{Alike: Alike{Family: cloth.Red}, Reason: SmallShare, Middle: 12.5}
	require.Equal(t, "less than half as many as the middle colour, which has 12.5", s.Why())
	s.InBins = 1
	require.Equal(t, "less than half as many as the middle colour, which has 12.5, even when its thin bins are filled", s.Why())
	s.Reason, s.Want, s.Rule = BelowFloor, 20, "red"
	require.Equal(t, "floor 20 for red, even when the thin values in it are filled", s.Why())
}

// Many is no colour that you could shop for, however few of them there are.
func TestManyIsNeverThin(t *testing.T) {
	s := TakeStock([]cloth.Holding{
		squares(10, cloth.Red, cloth.Dark, 2.5), squares(10, cloth.Blue, cloth.Dark, 2.5), squares(4, cloth.Green, cloth.Dark, 2.5), squares(1, cloth.Many, cloth.Dark, 2.5),
	}, StockOptions{})
	var thin []string
	for _, x := range s.Short {
		thin = append(thin, x.Name())
	}
	require.Equal(t, []string{"green"}, thin)
}
