package shelf

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
)

func held(n int, f cloth.Form, family cloth.Family, value cloth.Value, width, length float64) cloth.Holding {
	return cloth.Holding{Form: f, Count: n, Family: family, Value: value, WidthIn: width, LengthIn: length}
}

func squares(n int, family cloth.Family, value cloth.Value, size float64) cloth.Holding {
	return held(n, cloth.Square, family, value, size, size)
}

func strips(n int, family cloth.Family, value cloth.Value, width, length float64) cloth.Holding {
	return held(n, cloth.Strip, family, value, width, length)
}

// Pieces from one strip of cloth 44 inches wide: Hohn, "Math charts",
// quilterscache.com, 17 June 2002; that chart squares nothing off. Rows of a
// wider strip: the same chart, an 18 × 22 piece gives 56 squares of 2½, 30 of
// 3½, 16 of 4½ and 12 of 5.
func TestYieldAgreesWithPublishedCharts(t *testing.T) {
	for size, want := range map[float64]int{1.5: 29, 2: 22, 2.5: 17, 3: 14, 3.5: 12, 4.5: 9, 5: 8, 6.5: 6, 10: 4} {
		require.Equal(t, want, Yield(size, 44, size, size, 0), "%v", size)
	}
	for size, want := range map[float64]int{2: 99, 2.5: 56, 3: 42, 3.5: 30, 4: 20, 4.5: 16, 5: 12, 6: 9, 6.5: 6} {
		require.Equal(t, want, Yield(18, 22, size, size, 0), "%v", size)
	}
}

func TestYieldAtTheEdges(t *testing.T) {
	require.Equal(t, 6, Yield(2.5, 15.5, 2.5, 2.5, DefaultTrim), "an exact fit after the trim")
	require.Equal(t, 5, Yield(2.5, 15.4, 2.5, 2.5, DefaultTrim))
	require.Equal(t, 15, Yield(5, 20.5, 1.5, 4, DefaultTrim), "three rows of five pieces, 1½ across and 4 along")
	require.Equal(t, 12, Yield(5, 15.5, 2.5, 2.5, DefaultTrim), "a 5-inch strip gives two rows of 2½")
	require.Equal(t, 4, Yield(6/2.54, 24/2.54+DefaultTrim, 6/2.54, 6/2.54, DefaultTrim), "metric")
	for _, c := range [][4]float64{{2, 18, 2.5, 0.5}, {2.5, 0, 2.5, 0.5}, {0, 18, 2.5, 0.5}, {2.5, 0.4, 0.1, 0.5}, {2.5, 18, 0, 0.5}} {
		require.Zero(t, Yield(c[0], c[1], c[2], c[2], c[3]), "%v", c)
	}
}

// Three strips of 7 inches give 2 squares of 2½ each. Joined end to end they
// would seem to give 8: the remnants were once added up.
func TestYieldsAreNotTheTotalLength(t *testing.T) {
	all := []cloth.Holding{strips(3, cloth.Blue, cloth.Dark, 2.5, 7)}
	require.Equal(t, []Squares{{2.5, 6}}, TakeStock(all, StockOptions{Trim: DefaultTrim}).Yields)
}

// The squares that a yield promises fit onto the strip with the end trimmed,
// and one more row or column would not.
func TestYieldFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		eighths := func(label string, least, most int) float64 {
			return float64(rapid.IntRange(least, most).Draw(t, label)) / 8
		}
		width, length, size, trim := eighths("width", 1, 160), eighths("length", 1, 400), eighths("size", 4, 80), eighths("trim", 0, 8)
		n := Yield(width, length, size, size, trim)
		rows := int(width / size)
		if rows == 0 || length <= trim {
			require.Zero(t, n)
			return
		}
		each := n / rows
		require.LessOrEqual(t, float64(each)*size+trim, length)
		require.Greater(t, float64(each+1)*size+trim, length)
		require.Greater(t, float64(rows+1)*size, width)
	})
}

func TestStockTellsTheSortsApart(t *testing.T) {
	all := []cloth.Holding{
		squares(12, cloth.Blue, cloth.Dark, 2.5),
		squares(3, cloth.Blue, cloth.Dark, 0), // in a photo without a scale
		strips(2, cloth.Blue, cloth.Dark, 2.5, 18),
		strips(1, cloth.Blue, cloth.Dark, 2.5, 0),
		held(4, cloth.Band, cloth.Blue, cloth.Dark, 0, 0),
		{Form: cloth.Weighed, Count: 1, AreaIn2: 3600, Family: cloth.Blue, Value: cloth.Dark},
	}
	s := TakeStock(all, StockOptions{Trim: DefaultTrim})
	require.Equal(t, Totals{Sized: 14, Seen: 8, Bands: 4, Weighed: 3600}, s.Totals)
	var got []string
	for _, b := range s.Boxes {
		got = append(got, fmt.Sprintf("%v | %v | %d, %d seen, %.0f", b.Alike, b.Cut, b.Count, b.Seen, b.AreaIn))
	}
	require.Equal(t, []string{
		"dark blue | 2½ square | 12, 0 seen, 0",
		"dark blue | square | 3, 3 seen, 0",
		"dark blue | 2½ strip | 3, 1 seen, 0",
		"dark blue | band | 4, 4 seen, 0",
		"dark blue | weighed | 0, 0 seen, 3600",
	}, got)
	require.Equal(t, []Squares{{2.5, 14}}, s.Boxes[2].Yields, "a strip of unknown length yields nothing")
	require.Equal(t, 14, s.FromStrips(Alike{Family: cloth.Blue, Value: cloth.Dark}, 2.5))
}

func TestYourBinsBeatTheFamilies(t *testing.T) {
	sea := squares(5, cloth.Teal, cloth.Medium, 2.5)
	sea.Bin = "sea greens"
	s := TakeStock([]cloth.Holding{squares(2, cloth.Teal, cloth.Medium, 2.5), sea}, StockOptions{})
	require.Len(t, s.Boxes, 2)
	require.Equal(t, Alike{Own: "sea greens"}, s.Boxes[0].Alike)
	require.Equal(t, 5, s.Boxes[0].Count)
	require.Equal(t, 2, s.Boxes[1].Count)
	require.Equal(t, 7, s.Balance.Families[0].Count, "it is teal none the less")
}

func TestPrintsAreCountedOnce(t *testing.T) {
	a, b := squares(2, cloth.Red, cloth.Dark, 2.5), squares(1, cloth.Red, cloth.Dark, 2.5)
	a.Print, b.Print = "a", "a"
	c := strips(1, cloth.Red, cloth.Dark, 2.5, 18)
	c.Print = "b"
	s := TakeStock([]cloth.Holding{a, b, c, squares(1, cloth.Red, cloth.Dark, 2.5)}, StockOptions{})
	require.Equal(t, 1, s.Boxes[0].Prints)
	require.Equal(t, 2, s.Totals.Prints)
	// A bin of several boxes may have a print in each of them: it is not counted.
	d := squares(4, cloth.Red, cloth.Light, 2.5)
	d.Print = "a"
	s = TakeStock([]cloth.Holding{a, b, d}, StockOptions{Bins: ByFamily})
	require.Equal(t, []any{7, 0}, []any{s.Bins[0].Count, s.Bins[0].Prints})
	s = TakeStock([]cloth.Holding{a, b, d}, StockOptions{Bins: ByBoth})
	require.Equal(t, []int{1, 1}, []int{s.Bins[0].Prints, s.Bins[1].Prints})
}

func TestCutNames(t *testing.T) {
	for want, h := range map[string]cloth.Holding{
		"2½ square":          squares(1, "", "", 2.4999999),
		"6 cm square":        squares(1, "", "", 6/2.54),
		"2½ strip":           strips(1, "", "", 2.5, 40),
		"2½ × 4½ rectangle":  held(1, cloth.Rectangle, "", "", 2.5, 4.5),
		"6 × 9 cm rectangle": held(1, cloth.Rectangle, "", "", 6/2.54, 9/2.54),
		"odd piece":          held(1, cloth.Irregular, "", "", 3, 7),
		"strip":              strips(1, "", "", 0, 0),
	} {
		require.Equal(t, want, CutOf(h).String())
	}
}

func blueDark(f Floor) Floor { f.Family, f.Value = cloth.Blue, cloth.Dark; return f }

func TestTheMostParticularFloorHolds(t *testing.T) {
	all := []cloth.Holding{
		squares(3, cloth.Blue, cloth.Dark, 2.5), squares(3, cloth.Red, cloth.Dark, 2.5), squares(3, cloth.Red, cloth.Dark, 5),
	}
	floors := []Floor{
		{Least: 4}, {Cut: Square(2.5), Least: 6}, blueDark(Floor{Least: 5}), blueDark(Floor{Cut: Square(2.5), Least: 9}),
	}
	why := func(floors ...Floor) []string {
		var out []string
		for _, s := range TakeStock(all, StockOptions{Floors: floors}).Short {
			if s.Reason == BelowFloor {
				out = append(out, fmt.Sprintf("%v %v: %d more, %s", s.Alike, s.Cut, s.By(), s.Why()))
			}
		}
		return out
	}
	require.Equal(t, []string{
		"dark red 2½ square: 3 more, floor 6 for 2½ square",
		"dark red 5 square: 1 more, floor 4 for every bin",
		"dark blue 2½ square: 6 more, floor 9 for dark blue, 2½ square",
	}, why(floors...))
	require.Equal(t, []string{"dark blue 2½ square: 1 more, floor 4 for dark blue"}, why(blueDark(Floor{Least: 4})))
	require.Empty(t, why(Floor{Least: 3}), "as many as the floor is enough")
	require.Empty(t, why(Floor{Least: 9}, Floor{Least: 2}), "the later of two alike")
}

// A box that was used up is the thinnest of all, and was once the only one not
// to be named.
func TestAnEmptyBoxIsThin(t *testing.T) {
	all := []cloth.Holding{strips(2, cloth.Blue, cloth.Dark, 2.5, 18)}
	s := TakeStock(all, StockOptions{Trim: DefaultTrim, Floors: []Floor{{Cut: Square(2.5), Least: 20}}})
	require.Equal(t, []Short{{
		Alike: Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: Square(2.5), Want: 20,
		Reason: BelowFloor, Rule: "2½ square", FromStrips: 14,
	}}, s.Short)
	s = TakeStock(nil, StockOptions{Floors: []Floor{blueDark(Floor{Cut: Square(2.5), Least: 2})}})
	require.Len(t, s.Short, 1)
	require.Equal(t, 2, s.Short[0].By())
}

func TestPlannedQuiltsAreFloorsToo(t *testing.T) {
	dark := Alike{Family: cloth.Blue, Value: cloth.Dark}
	all := []cloth.Holding{squares(10, cloth.Blue, cloth.Dark, 2.5)}
	o := StockOptions{
		Floors: []Floor{{Least: 12}},
		Needs:  []Need{{Quilt: "reading corner", Alike: dark, Cut: Square(2.5), Count: 9}, {Quilt: "picnic", Alike: dark, Cut: Square(2.5), Count: 6}},
	}
	s := TakeStock(all, o)
	require.Len(t, s.Short, 1)
	require.Equal(t, "reading corner, picnic take 15", s.Short[0].Why())
	require.Equal(t, 5, s.Short[0].By())
	named := o
	named.Needs = []Need{{Quilt: "sea, sand", Alike: dark, Cut: Square(2.5), Count: 15}}
	require.Equal(t, "sea, sand takes 15", TakeStock(all, named).Short[0].Why(), "one quilt with a comma in its name")
	o.Floors[0].Least = 20
	require.Equal(t, "floor 20 for every bin", TakeStock(all, o).Short[0].Why(), "the greater want is the reason")
}

// What a quilt lacks of any dark print was once in no list of what is thin.
func TestLacksOfPlannedQuiltsAreThin(t *testing.T) {
	sea := squares(5, cloth.Teal, cloth.MediumDark, 2.5)
	sea.Bin = "sea greens"
	all := []cloth.Holding{squares(12, cloth.Blue, cloth.Dark, 2.5), sea, squares(9, cloth.Blue, cloth.Light, 2.5), squares(9, cloth.Blue, cloth.Dark, 5)}
	dark := Lack{Quilt: "q2", Tone: "dark", Values: []cloth.Value{cloth.MediumDark, cloth.Dark}, Cut: Square(2.5), Count: 80}
	more := dark
	more.Quilt, more.Count = "q3", 10
	any := Lack{Quilt: "q2", Cut: Square(5), Count: 9}
	o := StockOptions{
		Needs: []Need{{Quilt: "q2", Alike: Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: Square(2.5), Count: 12, Hue: cloth.Blue, Shade: cloth.Dark}},
		Lacks: []Lack{dark, more, any},
	}
	s := TakeStock(all, o)
	require.Equal(t, Short{
		Alike: Alike{Value: cloth.Dark}, Cut: Square(2.5), Count: 5, Want: 90, Reason: Lacking, Quilts: []string{"q2", "q3"}, values: dark.Values,
	}, s.Short[0])
	require.Equal(t, "for q2, q3", s.Short[0].Why())
	twice := o
	twice.Lacks = []Lack{dark, dark}
	require.Equal(t, "for q2", TakeStock(all, twice).Short[0].Why(), "a quilt that lacks twice is named once")
	require.Equal(t, "any dark print, 2½ square", s.Short[0].Name())
	require.Equal(t, "any print, 2½ square", Short{Cut: Square(2.5), Reason: Lacking}.Name())
	require.Equal(t, "no colour, 2½ square", Short{Cut: Square(2.5), Reason: BelowFloor}.Name())
	for _, b := range s.Boxes {
		require.False(t, s.Short[0].Of(b), "no one box is meant")
	}
	for _, x := range s.Short[1:] {
		require.NotEqual(t, Lacking, x.Reason, "nine squares of 5 are held")
	}
}

// A square that suited two quilts was once counted for both; of what is lacking the
// list of what to buy once took no note of squares that had come in since.
func TestASquareFillsOneLack(t *testing.T) {
	all := []cloth.Holding{squares(30, cloth.Yellow, cloth.Light, 2.5), squares(10, cloth.Blue, cloth.Light, 2.5)}
	light := []cloth.Value{cloth.Light, cloth.MediumLight}
	lacks := []Lack{
		{Quilt: "any", Tone: "light", Values: light, Cut: Square(2.5), Count: 35},
		{Quilt: "yellow", Family: cloth.Yellow, Tone: "light", Values: light, Cut: Square(2.5), Count: 20},
		{Quilt: "more", Tone: "light", Values: light, Cut: Square(2.5), Count: 5},
	}
	s := TakeStock(all, StockOptions{Lacks: lacks})
	require.Len(t, s.Lacks, 2)
	require.Equal(t, []string{"any", "more"}, []string{s.Lacks[0].Quilt, s.Lacks[1].Quilt})
	require.Equal(t, []int{15, 5}, []int{s.Lacks[0].Count, s.Lacks[1].Count}, "ten blue, and the ten yellow that the yellow quilt leaves")
	require.Len(t, s.Short, 1)
	require.Equal(t, []int{20, 40, 20}, []int{s.Short[0].Count, s.Short[0].Want, s.Short[0].By()})
	require.True(t, s.Short[0].FilledBy(squares(1, cloth.Red, cloth.MediumLight, 2.5)))
	require.True(t, s.Short[0].FilledBy(squares(1, "", "", 2.5)), "of what is not known any may be meant")
	require.False(t, s.Short[0].FilledBy(squares(1, cloth.Red, cloth.MediumLight, 5)))
	require.False(t, s.Short[0].FilledBy(squares(1, cloth.Red, cloth.Dark, 2.5)))
	require.Equal(t, lacks[0].Count, 35, "what was asked stays as it was")
}

// A floor of red and the balance of colours once wanted red twice over, by two
// figures.
func TestEveryPieceIsWantedOnce(t *testing.T) {
	all := []cloth.Holding{
		squares(4, cloth.Red, cloth.Light, 2.5), squares(3, cloth.Red, cloth.Dark, 2.5),
		squares(40, cloth.Blue, cloth.Dark, 2.5), squares(40, cloth.Green, cloth.Light, 2.5), squares(40, cloth.Purple, cloth.Light, 5),
	}
	red := func(floors ...Floor) (by []int) {
		for _, s := range TakeStock(all, StockOptions{Floors: floors}).Short {
			if s.Family == cloth.Red {
				by = append(by, s.By())
			}
		}
		return by
	}
	colour := Alike{Family: cloth.Red}
	require.Equal(t, []int{13}, red(), "half of 40, less seven")
	require.Equal(t, []int{26, 27}, red(Floor{Alike: colour, Least: 30}))
	require.Empty(t, red(Floor{Alike: colour, Least: 3}), "your own word is enough")
	require.Equal(t, []int{2, 11}, red(Floor{Alike: Alike{Family: cloth.Red, Value: cloth.Dark}, Cut: Square(2.5), Least: 5}), "thirteen in all")
	require.Equal(t, []int{13}, red(Floor{Alike: Alike{Family: cloth.Red, Value: cloth.Dark}, Cut: Square(2.5), Least: 3}))
	require.Equal(t, []int{16, 17}, red(Floor{Least: 20}))
}

func TestABoxKnowsWhatIsWantedOfIt(t *testing.T) {
	blue := Alike{Family: cloth.Blue, Value: cloth.Dark}
	all := []cloth.Holding{squares(50, cloth.Blue, cloth.Dark, 2.5), squares(50, cloth.Blue, cloth.Dark, 5), held(2, cloth.Irregular, cloth.Blue, cloth.Dark, 3, 7), held(1, cloth.Band, cloth.Blue, cloth.Dark, 0, 0)}
	needs := []Need{{Quilt: "a", Alike: blue, Cut: Square(2.5), Count: 7}, {Quilt: "b", Alike: blue, Cut: Square(2.5), Count: 6}}
	least := func(floors []Floor, needs []Need) (out []int) {
		s := TakeStock(all, StockOptions{Floors: floors, Needs: needs})
		require.Empty(t, s.Short, "a floor asks for no more odd pieces, nor for folds of a stack")
		for _, b := range s.Boxes {
			out = append(out, b.Least)
		}
		return out
	}
	floors := []Floor{{Least: 4}, {Cut: Square(2.5), Least: 10}}
	require.Equal(t, []int{13, 4, 0, 0}, least(floors, needs), "two quilts together take more than the floor")
	require.Equal(t, []int{10, 4, 0, 0}, least(floors, needs[:1]), "the more particular floor holds")
	require.Equal(t, []int{0, 0, 0, 0}, least(nil, nil))
}

// Strips that a floor or a planned quilt keeps as strips were once said to yield
// squares, which refill then did not cut.
func TestStripsThatAreWantedYieldNothing(t *testing.T) {
	blue := Alike{Family: cloth.Blue, Value: cloth.Dark}
	all := []cloth.Holding{
		squares(1, cloth.Blue, cloth.Dark, 2.5), strips(2, cloth.Blue, cloth.Dark, 2.5, 18), strips(1, cloth.Blue, cloth.Dark, 2.5, 42),
		strips(1, cloth.Blue, cloth.Dark, 5, 10.5),
	}
	yield := func(needs ...Need) int {
		o := StockOptions{Trim: DefaultTrim, Floors: []Floor{{Alike: blue, Cut: Square(2.5), Least: 40}}, Needs: needs}
		s := TakeStock(all, o)
		require.Equal(t, 14+16+8, s.Yields[0].Count, "all strips together")
		return s.Short[0].FromStrips
	}
	narrow := Cut{Form: cloth.Strip, Width: 2.5}
	require.Equal(t, 38, yield())
	require.Equal(t, 22, yield(Need{Quilt: "q", Alike: blue, Cut: narrow, Count: 1}), "the longest is left alone")
	require.Equal(t, 15, yield(Need{Quilt: "q", Alike: blue, Cut: narrow, Count: 2}))
}

// A colour without a value was once no colour: four green strips were "missing".
func TestColourAndValueAreCountedApart(t *testing.T) {
	s := TakeStock([]cloth.Holding{
		squares(12, cloth.Blue, cloth.Dark, 2.5), strips(4, cloth.Green, "", 2.5, 0), squares(3, "", cloth.Light, 2.5),
	}, StockOptions{})
	var families, values []string
	for _, f := range s.Balance.Families {
		families = append(families, fmt.Sprintf("%s %d %.2f", f.Family, f.Count, f.Share))
	}
	for _, v := range s.Balance.Values {
		values = append(values, fmt.Sprintf("%s %d %.2f", v.Value, v.Count, v.Share))
	}
	require.Equal(t, []string{"green 4 0.25", "blue 12 0.75"}, families)
	require.Equal(t, []string{"light 3 0.20", "medium-light 0 0.00", "medium 0 0.00", "medium-dark 0 0.00", "dark 12 0.80"}, values)
	for _, m := range s.Missing {
		require.NotEqual(t, cloth.Green, m.Family)
		require.NotEqual(t, cloth.Light, m.Value)
	}
	require.Zero(t, s.Totals.Unnamed)
}

// A strip that measured 2⅜ was once counted in squares of 2⅜, and so was every
// other strip.
func TestYieldsAreOfUsualCuts(t *testing.T) {
	sizes := func(all []cloth.Holding, o StockOptions) (out []float64) {
		for _, y := range TakeStock(all, o).Yields {
			out = append(out, y.Size)
		}
		return out
	}
	odd, usual := strips(1, cloth.Blue, cloth.Dark, 2.375, 20), strips(1, cloth.Blue, cloth.Dark, 2.5, 20)
	require.Equal(t, []float64{2.5}, sizes([]cloth.Holding{odd, usual}, StockOptions{}))
	require.Equal(t, []float64{2.375}, sizes([]cloth.Holding{odd}, StockOptions{}), "it is all there is")
	require.Equal(t, []float64{1.75, 2.5}, sizes([]cloth.Holding{odd, usual}, StockOptions{Floors: []Floor{{Cut: Square(1.75), Least: 3}}}))
}

func TestBalanceFindsTheShortColour(t *testing.T) {
	all := []cloth.Holding{
		squares(40, cloth.Blue, cloth.Dark, 2.5), squares(30, cloth.Red, cloth.Light, 2.5), squares(4, cloth.Yellow, cloth.Light, 2.5),
	}
	s := TakeStock(all, StockOptions{})
	require.Len(t, s.Short, 1)
	require.Equal(t, Alike{Family: cloth.Yellow}, s.Short[0].Alike)
	require.Equal(t, 11, s.Short[0].By(), "half of the middle count, 30, is 15")
	require.Len(t, s.Missing, 9+3, "nine hue families and three values")
}

func TestChangesAddUp(t *testing.T) {
	change := func(n int, f cloth.Family, v cloth.Value) Count {
		return Count{Alike: Alike{Family: f, Value: v}, Cut: Square(2.5), Count: n}
	}
	all := Merge([]Count{
		change(4, cloth.Blue, cloth.Dark), change(-5, cloth.Green, cloth.Medium), change(1, cloth.Red, cloth.Light),
		change(-1, cloth.Blue, cloth.Dark), change(1, cloth.Red, cloth.Dark), change(2, cloth.Pink, cloth.Dark), change(-2, cloth.Pink, cloth.Light),
	})
	require.Len(t, all, 6, "the changes of one box are one")
	var got []string
	for _, c := range ByColour(all) {
		got = append(got, fmt.Sprintf("%+d %v", c.Count, c.Alike))
	}
	require.Equal(t, []string{"+2 red", "-5 green", "+3 blue"}, got, "pink is no more and no less")
	require.Empty(t, Merge([]Count{change(3, cloth.Red, cloth.Dark), change(-3, cloth.Red, cloth.Dark)}))
}

// However holdings are split and ordered, the stock is the same.
func TestStockDoesNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one := rapid.Custom(func(t *rapid.T) cloth.Holding {
			return held(rapid.IntRange(1, 5).Draw(t, "count"), rapid.SampledFrom(cloth.Forms).Draw(t, "form"),
				rapid.SampledFrom(cloth.Families).Draw(t, "family"), rapid.SampledFrom(cloth.Values).Draw(t, "value"),
				float64(rapid.IntRange(0, 4).Draw(t, "width")), float64(rapid.IntRange(0, 20).Draw(t, "length")))
		})
		all := rapid.SliceOf(one).Draw(t, "all")
		o := StockOptions{Trim: DefaultTrim, Floors: []Floor{{Least: 3}, {Cut: Square(2), Least: 9}}}
		require.Equal(t, TakeStock(all, o), TakeStock(rapid.Permutation(all).Draw(t, "other order"), o))
	})
}

// BenchmarkTakeStock is a stash of 200,000 pieces.
func BenchmarkTakeStock(b *testing.B) {
	var all []cloth.Holding
	for i := range 200_000 {
		h := squares(1, cloth.Families[i%13], cloth.Values[i/13%5], []float64{1.5, 2.5, 5}[i%3])
		if i%4 == 0 {
			h = strips(1, cloth.Families[i%13], cloth.Values[i/13%5], 2.5, float64(8+i%30))
		}
		h.Print = fmt.Sprint("print ", i%2000)
		all = append(all, h)
	}
	for b.Loop() {
		TakeStock(all, StockOptions{Trim: DefaultTrim, Floors: []Floor{{Least: 4}}})
	}
}

// Some thirty of sixty bins were thin where a floor spoke of every value by itself.
func TestAFloorSpeaksOfTheBasketsOfTheShelf(t *testing.T) {
	all := []cloth.Holding{
		squares(4, cloth.Green, cloth.Light, 2.5), squares(3, cloth.Green, cloth.Medium, 2.5),
		squares(2, cloth.Red, cloth.Dark, 2.5), strips(2, cloth.Red, cloth.Medium, 2.5, 18),
	}
	o := StockOptions{Bins: ByFamily, Trim: DefaultTrim, Floors: []Floor{{Least: 6, Cut: Square(2.5)}}}
	s := TakeStock(all, o)
	require.Len(t, s.Bins, 3)
	require.Equal(t, 7, s.Bins[2].Count, "both greens")
	require.Len(t, s.Bins[2].In, 2)
	require.Equal(t, 6, s.Bins[2].Least)
	require.Len(t, s.Short, 1, "seven greens are enough")
	red := s.Short[0]
	require.Equal(t, "red, 2½ square", red.Name())
	require.Equal(t, 4, red.By())
	require.Equal(t, 14, red.FromStrips, "of strips of another value too")
	require.True(t, red.FilledBy(squares(1, cloth.Red, cloth.Light, 2.5)))
	require.False(t, red.FilledBy(squares(1, cloth.Blue, cloth.Light, 2.5)))
	for _, b := range s.Boxes {
		require.False(t, red.Of(b), "a box of one value is not thin by it")
	}

	// A floor that names a value is held against that box, and asks for no more twice.
	o.Floors = append(o.Floors, Floor{Alike: Alike{Family: cloth.Red, Value: cloth.Light}, Cut: Square(2.5), Least: 3})
	s = TakeStock(all, o)
	require.Len(t, s.Short, 2)
	require.Equal(t, 1, s.Short[0].By(), "four wanted, three of them light")
	require.Equal(t, "light red, 2½ square", s.Short[1].Name())
	require.Equal(t, 3, s.Short[1].By())

	o = StockOptions{Bins: ByValue, Trim: DefaultTrim, Floors: []Floor{{Least: 4, Cut: Square(2.5)}}}
	s = TakeStock(all, o)
	require.Equal(t, "medium, 2½ square", s.Short[0].Name())
	o.Bins = ByBoth
	require.Len(t, TakeStock(all, o).Short, 3)
}

// A colour out of balance is filled by any value of it, a value by any colour.
func TestWhatFillsAColourSmallShare(t *testing.T) {
	yellow := Short{Alike: Alike{Family: cloth.Yellow}, Reason: SmallShare}
	require.True(t, yellow.FilledBy(squares(1, cloth.Yellow, cloth.Light, 2.5)))
	require.True(t, yellow.FilledBy(squares(1, cloth.Yellow, cloth.Dark, 5)))
	require.False(t, yellow.FilledBy(squares(1, cloth.Blue, cloth.Light, 2.5)))
	dark := Short{Alike: Alike{Value: cloth.Dark}, Reason: SmallShare}
	require.True(t, dark.FilledBy(squares(1, cloth.Blue, cloth.Dark, 2.5)))
	require.False(t, dark.FilledBy(squares(1, cloth.Blue, cloth.Light, 2.5)))
}

// A floor is of pieces that have a cut and a colour: cloth by weight has no pieces to
// count.
func TestWeighedClothHasNoFloor(t *testing.T) {
	weighed := held(1, cloth.Weighed, cloth.Red, cloth.Dark, 0, 0)
	weighed.AreaIn2, weighed.Grams = 500, 50
	colourless := squares(1, "", "", 5)
	s := TakeStock([]cloth.Holding{weighed, colourless, squares(1, cloth.Red, cloth.Dark, 2.5)}, StockOptions{Floors: []Floor{{Least: 4}}})
	var thin []string
	for _, x := range s.Short {
		thin = append(thin, x.Name())
	}
	require.Equal(t, []string{"dark red, 2½ square"}, thin)
}

// Pieces that must come of one print are lacking still, whatever of their colour lies in
// the stash: it may be of several prints.
func TestWhatIsInTheStashFillsNoSet(t *testing.T) {
	lack := Lack{Quilt: "star", Family: cloth.Blue, Tone: "dark", Values: []cloth.Value{cloth.Dark}, Cut: Square(2.5), Count: 8}
	set := lack
	set.Set, set.Each = 1, 4
	all := []cloth.Holding{squares(8, cloth.Blue, cloth.Dark, 2.5)}
	require.Empty(t, TakeStock(all, StockOptions{Lacks: []Lack{lack}}).Lacks)
	require.Equal(t, []Lack{set}, TakeStock(all, StockOptions{Lacks: []Lack{set}}).Lacks)
	require.Equal(t, []Lack{set}, TakeStock(all, StockOptions{Lacks: []Lack{set, lack}}).Lacks, "others have what it leaves")
}
