package desk

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
	"piecebag/internal/stash"
)

// What is not said of pieces added by hand follows from what is.
func TestPiecesAddedByHandAreCompleted(t *testing.T) {
	for name, c := range map[string]struct{ in, want cloth.Holding }{
		"a width alone is a square":         {cloth.Holding{WidthIn: 5}, cloth.Holding{Form: cloth.Square, Count: 1, WidthIn: 5, LengthIn: 5}},
		"a count alone is of squares":       {cloth.Holding{Count: 3, Family: cloth.Blue}, cloth.Holding{Form: cloth.Square, Count: 3, Family: cloth.Blue}},
		"nearly square it is a rectangle":   {cloth.Holding{WidthIn: 2.5, LengthIn: 4.5}, cloth.Holding{Form: cloth.Rectangle, Count: 1, WidthIn: 2.5, LengthIn: 4.5}},
		"of two equal sides it is a square": {cloth.Holding{WidthIn: 4.5, LengthIn: 4.5}, cloth.Holding{Form: cloth.Square, Count: 1, WidthIn: 4.5, LengthIn: 4.5}},
		"with a length it is a strip":       {cloth.Holding{WidthIn: 2.5, LengthIn: 18}, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 18}},
		"the longer side is the length":     {cloth.Holding{WidthIn: 18, LengthIn: 2.5}, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 18}},
		"a strip may be of no length":       {cloth.Holding{Form: cloth.Strip, WidthIn: 2.5}, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 2.5}},
		"a form of a bin needs no size":     {cloth.Holding{Form: cloth.Irregular, Bin: "blues"}, cloth.Holding{Form: cloth.Irregular, Count: 1, Bin: "blues"}},
	} {
		c.want.Trust = 1
		got, err := AddRequest{Holding: c.in}.pieces()
		require.NoError(t, err, name)
		require.Equal(t, c.want, got, name)
	}
}

func TestWhatCannotBeAddedIsRefused(t *testing.T) {
	for why, h := range map[string]cloth.Holding{
		"nothing to add: there is neither a size nor a colour nor a weight": {Count: 12},
		"square 2½ × 5: a square has one size":                              {Form: cloth.Square, WidthIn: 2.5, LengthIn: 5},
		"rectangle 2½: its length is missing":                               {Form: cloth.Rectangle, WidthIn: 2.5},
		"irregular 2½: its length is missing":                               {Form: cloth.Irregular, WidthIn: 2.5},
		"weighed cloth is added by its weight":                              {Form: cloth.Weighed, Family: cloth.Blue},
	} {
		_, err := newDesk(t, t.TempDir()).Add(ctx, AddRequest{Holding: h})
		require.EqualError(t, err, why)
		require.ErrorIs(t, err, fault.ErrUsage, why)
	}
}

// As much cloth as nobody keeps is a slip of the finger, whatever it is cut to: a thousand fat
// quarters, or ten thousand pieces, are the most at once.
func TestASlipOfTheFingerFillsNoShelf(t *testing.T) {
	of := func(count int, width, length float64) error {
		_, err := AddRequest{Holding: cloth.Holding{Form: cloth.Rectangle, Count: count, WidthIn: width, LengthIn: length}}.pieces()
		return err
	}
	require.NoError(t, of(1000, 18, 21))
	require.EqualError(t, of(1001, 18, 21), "1001 pieces at once are more than anybody keeps")
	require.Contains(t, fault.Of(of(9999, 18, 21)).Remedy, "add 1000 at a time")
	require.NoError(t, of(10_000, 2.5, 2.5))
	require.Error(t, of(10_001, 2.5, 2.5))
	require.NoError(t, of(1, 120, 9999), "one roll")
	_, err := AddRequest{Holding: cloth.Holding{Form: cloth.Strip, Count: 10_001, WidthIn: 2.5}}.pieces()
	require.Error(t, err, "of no length")
}

func TestWeighedClothIsOneHoldingOfItsArea(t *testing.T) {
	d := newDesk(t, t.TempDir())
	_, err := d.Add(ctx, AddRequest{Holding: cloth.Holding{Family: cloth.Blue}, Grams: 100})
	require.NoError(t, err)
	p, err := d.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	require.Len(t, p.Held, 1)
	require.Equal(t, cloth.Weighed, p.Held[0].Form)
	require.InDelta(t, 100/150.0*1550.0031, p.Held[0].AreaIn2, 1, "150 g a square metre, which is 1550.0031 square inches")
}

func TestWhatBecameOfPhotosIsCounted(t *testing.T) {
	here := cloth.Holding{ID: 1, Form: cloth.Square}
	same, other := stash.Reread{Before: []cloth.Holding{here}, After: []cloth.Holding{here}}, stash.Reread{Before: []cloth.Holding{here}}
	known := stash.Stowed{Known: true}
	s := Stowing{Photos: []Stowed{{}, {}, {}, {Stowed: known}, {Stowed: known, Again: &same}, {Stowed: known, Again: &other}}}
	require.Equal(t, Sum{Fresh: 3, Known: 1, Again: 2, Other: 1}, s.Sum())
}

func TestNumbersOfPiecesAreRead(t *testing.T) {
	n, err := ReadNumbers("12, 15 13–16 12")
	require.NoError(t, err)
	require.Equal(t, Numbers{All: []int64{12, 15, 13, 14, 16}, Said: []int64{12, 15, 12}}, n)
	n, err = ReadNumbers(" ,")
	require.NoError(t, err)
	require.Empty(t, n.All)
	for _, text := range []string{"one", "0", "9-1", "1-", "-3", "1-2000001", "99999999999999999999"} {
		_, err := ReadNumbers("7," + text)
		require.ErrorIs(t, err, ErrNoNumbers, text)
		require.Equal(t, text, fault.Of(err).About)
	}
}

// Cloth as large as no cloth is was once searched for minutes.
func TestALeftoverIsNoLargerThanABolt(t *testing.T) {
	d := newDesk(t, filepath.Join(t.TempDir(), "stash"))
	for _, c := range []cutting.Leftover{{W: 121, L: 121}, {W: 401, L: 2}} {
		_, err := d.Leftovers(ctx, LeftoversRequest{Cloths: []cutting.Leftover{c}, System: recipe.Inches()})
		require.ErrorIs(t, err, ErrTooLarge)
	}
	_, err := d.Leftovers(ctx, LeftoversRequest{Cloths: []cutting.Leftover{{W: 120, L: 400}}, Cuts: []float64{100}, System: recipe.Inches()})
	require.NoError(t, err)
}
