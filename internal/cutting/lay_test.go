package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/fault"
)

// plenty is more pieces than any cloth of these tests holds.
const plenty = 1000

func most(t *testing.T, y Bolt, w, l float64) int {
	t.Helper()
	got, err := Lay(y, []Want{{W: w, L: l, Count: plenty}})
	require.NoError(t, err)
	return plenty - got.Missing[0]
}

// Published charts of squares to a piece of cloth.
func TestSquaresPerCloth(t *testing.T) {
	chart := []float64{2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5}
	for _, c := range []struct {
		source string
		cloth  Bolt
		sizes  []float64
		want   []int
	}{
		{"piecefulliving.blogspot.com 2011 and quilterscache.com math charts 2002, a fat quarter", Bolt{Width: 22, Length: 18}, chart, []int{99, 56, 42, 30, 20, 16, 12, 12, 9, 6}},
		{"squares per yard at 40, jajalger2018.org", Bolt{Width: 40, Length: 36}, chart, []int{360, 224, 156, 110, 90, 64, 56, 42, 36, 30}},
		{"the same at 42", Bolt{Width: 42, Length: 36}, chart, []int{378, 224, 168, 120, 90, 72, 56, 42, 42, 30}},
		{"the same at 39", Bolt{Width: 39, Length: 36}, []float64{2.5, 3.5, 4.5}, []int{210, 110, 64}},
		{"the same at 41", Bolt{Width: 41, Length: 36}, []float64{2.5, 3.5, 4.5}, []int{224, 110, 72}},
		{"quilterscache.com math charts 2002, a yard of 44", Bolt{Width: 44, Length: 36}, chart, []int{396, 238, 168, 120, 99, 72, 56, 48, 42, 30}},
		{"the same, its other sizes", Bolt{Width: 44, Length: 36}, []float64{1.5, 10}, []int{696, 12}},
		// that chart prints 35 squares of 7, which do not fit
		{"the grid", Bolt{Width: 44, Length: 36}, []float64{7}, []int{30}},
		{"sylviasquiltdepot.com, a yard of 44 washed: an inch lost each way", Bolt{Width: 44, Length: 36, LossAcross: 1, LossAlong: 1}, []float64{2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5}, []int{238, 154, 120, 80, 63, 56, 42, 35, 30}},
		// that chart prints 351 of 2 in and 9 of 12 in, which its own cloth does not give
		{"the grid", Bolt{Width: 44, Length: 36, LossAcross: 1, LossAlong: 1}, []float64{2, 12}, []int{357, 6}},
		{"sylviasquiltdepot.com, an eighth of a yard", Bolt{Width: 44, Length: 4.5, LossAcross: 1, LossAlong: 1}, []float64{2.5, 4.5}, []int{17, 0}},
		{"the same, a quarter", Bolt{Width: 44, Length: 9, LossAcross: 1, LossAlong: 1}, []float64{2.5}, []int{51}},
		{"the grid, an eighth with nothing lost", Bolt{Width: 44, Length: 4.5}, []float64{4.5}, []int{9}},
		{"the grid, a fat quarter squared up by ½ each way", Bolt{Width: 22, Length: 18, LossAcross: .5, LossAlong: .5}, []float64{2, 2.5, 4.5}, []int{80, 56, 12}},
		// quiltersresources.com prints 55 of 2½ and 15 of 5 to a fat quarter
		{"the grid", Bolt{Width: 22, Length: 18}, []float64{2.5, 5}, []int{56, 12}},
	} {
		for i, size := range c.sizes {
			require.Equal(t, c.want[i], most(t, c.cloth, size, size), "%s: %v", c.source, size)
		}
	}
}

// Pieces across one strip of the height of the piece.
func TestPiecesPerStrip(t *testing.T) {
	for _, c := range []struct {
		source  string
		w, l    float64
		width   float64
		perWant int
	}{
		{"featheredstar.wordpress.com, how to figure yardage", 2.5, 2.5, 40, 16},
		{"harriger.com, quilt math", 3.5, 3.5, 44, 12},
		{"quiltingboard.com 6228687", 9.5, 9.5, 42, 4},
		{"yourwiseadvices.com, precut yields", 5, 5, 40, 8},
		{"common practice, no source: eight 4½ squares to a width", 4.5, 4.5, 40, 8},
		{"the grid", 4.5, 4.5, 41, 9},
		{"treadlestitches.blogspot.com's brick", 4.5, 2.5, 40, 8},
		{"the same", 4.5, 2.5, 42, 9},
	} {
		got, err := Lay(Bolt{Width: c.width, OneWay: true}, []Want{{W: c.w, L: c.l, Count: c.perWant}})
		require.NoError(t, err)
		require.Equal(t, c.perWant, got.PerStrip, c.source)
		require.Len(t, got.Strips, 1, c.source)
		require.InDelta(t, c.l, got.Inches, eps, c.source)
	}
}

// Published yardage: featheredstar.wordpress.com (80 squares, with its 6 % for
// shrinkage), harriger.com (100 squares), quiltingboard.com 6228687 (63).
func TestYardage(t *testing.T) {
	got, err := Lay(Bolt{Width: 40, Shrink: 0.06}, []Want{{W: 2.5, L: 2.5, Count: 80}})
	require.NoError(t, err)
	require.Len(t, got.Strips, 5)
	require.InDelta(t, 12.5, got.Inches, eps)
	require.Equal(t, "⅜ yd", got.Buy)
	require.Equal(t, []string{
		"2½ in square: 40 in ÷ 2½ in = 16 across a strip",
		"80 pieces ÷ 16 = 5", "5 strips × 2½ in = 12½ in",
		"in all 12½ in along the cloth",
		"with 6 % for shrinkage: 13¼ in",
		"up to the next ⅛ yard: ⅜ yd, 13½ in",
	}, got.Steps)

	got, err = Lay(Bolt{Width: 44}, []Want{{W: 3.5, L: 3.5, Count: 100}})
	require.NoError(t, err)
	require.Len(t, got.Strips, 9)

	got, err = Lay(Bolt{Width: 42}, []Want{{W: 9.5, L: 9.5, Count: 63}})
	require.NoError(t, err)
	require.Len(t, got.Strips, 16)
	require.InDelta(t, 152, got.Inches, eps)
	require.InDelta(t, 4.222*36, got.Inches, 0.01)
	require.Equal(t, "4¼ yd", got.Buy)
}

// Common practice, no source: eight 4½ squares take one width of fabric, so an
// eighth of a yard, to the thread.
func TestEightSquaresTakeAnEighth(t *testing.T) {
	got, err := Lay(Bolt{}, []Want{{W: 4.5, L: 4.5, Count: 8}})
	require.NoError(t, err)
	require.Equal(t, "⅛ yd", got.Buy)
	require.True(t, got.ExactFit)

	got, err = Lay(Bolt{LossAlong: 0.5}, []Want{{W: 4.5, L: 4.5, Count: 8}})
	require.NoError(t, err)
	require.Equal(t, "¼ yd", got.Buy)
	require.False(t, got.ExactFit)
}

// American Patchwork & Quilting, "Red, White, and Blue Bricks": 5 × 8½ bricks
// from an 18 × 21 quarter, eight lying freely, six of a one-way print.
func TestOneWayPrintsAreNotTurned(t *testing.T) {
	require.Equal(t, 8, most(t, Bolt{Width: 18, Length: 21}, 5, 8.5))
	require.Equal(t, 6, most(t, Bolt{Width: 18, Length: 21, OneWay: true}, 5, 8.5))
}

func TestMetricCloth(t *testing.T) {
	const cm = 1 / 2.54
	got, err := Lay(Bolt{Width: 110 * cm, Metric: true}, []Want{{W: 11 * cm, L: 11 * cm, Count: 20}})
	require.NoError(t, err)
	require.Equal(t, 10, got.PerStrip)
	require.Equal(t, "30 cm", got.Buy)
	require.Equal(t, "11 cm square: 110 cm ÷ 11 cm = 10 across a strip", got.Steps[0])
}

// The end of the tall strip holds the small squares: 40 − 4 × 8½ = 6 wide, two
// columns of three.
func TestEndsOfStripsAreUsed(t *testing.T) {
	got, err := Lay(Bolt{}, []Want{{W: 2.5, L: 2.5, Count: 6}, {W: 8.5, L: 8.5, Count: 4}})
	require.NoError(t, err)
	require.Len(t, got.Strips, 1)
	require.InDelta(t, 8.5, got.Inches, eps)
	require.Contains(t, got.Steps, "2½ in square: 6 pieces from the ends of taller strips")
}

// Of the end of 17 × 3 six squares of 2 take 12 × 2 and leave no room for the strip of 16;
// it goes first, and they fit beside it.
func TestLongPiecesGoFirstWhereThatTakesLess(t *testing.T) {
	got, err := Lay(Bolt{Width: 20}, []Want{{W: 3, L: 3, Count: 1}, {W: 2, L: 2, Count: 6}, {W: 16, L: 1, Count: 1}})
	require.NoError(t, err)
	require.Equal(t, 3.0, got.Inches)
}

// Two pieces of 3 × 4 lie shortest by themselves with the 4 across, but with a square of
// 4 all three fill one strip of 10: 4 + 3 + 3.
func TestPiecesAreTurnedForOneAnother(t *testing.T) {
	got, err := Lay(Bolt{Width: 10}, []Want{{W: 4, L: 4, Count: 1}, {W: 3, L: 4, Count: 2}})
	require.NoError(t, err)
	require.Equal(t, 4.0, got.Inches)
}

func TestLayRefuses(t *testing.T) {
	for _, c := range []struct {
		cloth Bolt
		need  Want
		says  string
	}{
		{Bolt{}, Want{W: 50, L: 45, Count: 1}, "join widths"},
		{Bolt{OneWay: true}, Want{W: 45, L: 2, Count: 1}, "join widths"},
		{Bolt{}, Want{W: 0, L: 2, Count: 1}, "length above 0"},
		{Bolt{}, Want{W: 2, L: 2, Count: -1}, "count from 0"},
		{Bolt{Width: -3}, Want{W: 2, L: 2, Count: 1}, "length above 0"},
		{Bolt{LossAcross: 40}, Want{W: 2, L: 2, Count: 1}, "squaring up takes all"},
	} {
		_, err := Lay(c.cloth, []Want{c.need})
		require.Contains(t, fault.Of(err).Full(), c.says)
	}
	got, err := Lay(Bolt{}, nil)
	require.NoError(t, err)
	require.Equal(t, "0 yd", got.Buy)
}

func eighths(t *rapid.T, name string, lo, hi float64) float64 {
	return float64(rapid.IntRange(int(lo*8), int(hi*8)).Draw(t, name)) / 8
}

func TestLayoutsCanBeCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := Bolt{Width: eighths(t, "width", 18, 44), OneWay: rapid.Bool().Draw(t, "one way")}
		if rapid.Bool().Draw(t, "given length") {
			y.Length = eighths(t, "length", 4, 40)
		}
		needs := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Want {
			return Want{W: eighths(t, "w", 1, 18), L: eighths(t, "l", 1, 18), Count: rapid.IntRange(0, 12).Draw(t, "count")}
		}), 1, 4).Draw(t, "needs")
		got, err := Lay(y, needs)
		require.NoError(t, err)
		long := got.Inches
		if y.Length > 0 {
			long = y.Length
		}
		laid := make([]int, len(needs))
		var all []Placement
		for _, s := range got.Strips {
			all = append(all, s.Pieces...)
		}
		requireCuttable(t, y.Width, long, rectsOf(all))
		for _, p := range all {
			n := needs[p.Want]
			if p.Turned {
				n.W, n.L = n.L, n.W
			}
			require.False(t, p.Turned && y.OneWay)
			require.InDelta(t, n.W, p.W, eps)
			require.InDelta(t, n.L, p.H, eps)
			laid[p.Want]++
		}
		for i, n := range needs {
			require.Equal(t, n.Count, laid[i]+got.Missing[i])
			require.True(t, y.Length > 0 || got.Missing[i] == 0)
		}
		require.GreaterOrEqual(t, got.BuyInches, got.Inches-eps)
	})
}

// Half an inch more once gave three pieces fewer: strips of the second way took the
// place of those of the first.
func TestMoreLengthGivesNoFewerStrips(t *testing.T) {
	need := []Want{{W: 3.625, L: 1.5, Count: 300}}
	less, err := Lay(Bolt{Width: 33, Length: 37.75}, need)
	require.NoError(t, err)
	more, err := Lay(Bolt{Width: 33, Length: 38.25}, need)
	require.NoError(t, err)
	require.Equal(t, []int{71, 69}, []int{less.Missing[0], more.Missing[0]})
}

func TestMoreClothNeverYieldsFewer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, l := eighths(t, "w", 1, 12), eighths(t, "l", 1, 12)
		need := []Want{{W: w, L: l, Count: 300}}
		y := Bolt{Width: eighths(t, "width", 12, 44), Length: eighths(t, "length", 1, 40)}
		less, err := Lay(y, need)
		require.NoError(t, err)
		y.Width += eighths(t, "wider", 0, 4)
		y.Length += eighths(t, "longer", 0, 4)
		more, err := Lay(y, need)
		require.NoError(t, err)
		require.LessOrEqual(t, more.Missing[0], less.Missing[0])
	})
}
