package cutting

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// requireSound checks everything that must hold of any plan.
func requireSound(t require.TestingT, wants []Want, stock []cloth.Holding, c Cover) {
	covered, used := make([]int, len(wants)), make([]int, len(stock))
	for _, r := range c.Ready {
		s, w := stock[r.Stock], wants[r.Want]
		require.True(t, fits(w, s), "%v does not suit %v", s, w)
		straight := max(s.WidthIn-w.W, w.W-s.WidthIn, s.LengthIn-w.L, w.L-s.LengthIn) < 0.02
		turned := max(s.WidthIn-w.L, w.L-s.WidthIn, s.LengthIn-w.W, w.W-s.LengthIn) < 0.02
		require.True(t, straight || turned, "%v is not the size of %v", s, w)
		covered[r.Want] += r.Count
		used[r.Stock] += r.Count
	}
	waste := 0.0
	for k, cut := range c.Cuts {
		s := stock[cut.Stock]
		used[cut.Stock]++
		require.Equal(t, s.ID, cut.ID)
		require.NotEmpty(t, cut.Pieces)
		if k > 0 {
			before := c.Cuts[k-1]
			require.GreaterOrEqual(t, before.Trim+before.Length, cut.Trim+cut.Length, "working order")
		}
		a, b := s.WidthIn, s.LengthIn
		if s.Form == cloth.Irregular {
			a, b = a*SureShare, b*SureShare
		}
		require.InDelta(t, a*b, cut.Width*(cut.Trim+cut.Length), 0.01)
		rects := rectsOf(cut.Pieces)
		laid := 0.0
		counts := map[[2]float64]int{} // by size
		for _, p := range cut.Pieces {
			w := wants[p.Want]
			require.True(t, fits(w, s), "%v does not suit %v", s, w)
			if p.Turned {
				w.W, w.L = w.L, w.W
			}
			require.InDelta(t, w.W, p.W, eps)
			require.InDelta(t, w.L, p.H, eps)
			covered[p.Want]++
			counts[sidesOf(wants[p.Want])]++
			laid += p.W * p.H
		}
		waste += cut.Trim * cut.Width
		for _, r := range cut.Remains {
			rects = append(rects, r.Rect)
			laid += r.W * r.H
			require.Equal(t, min(r.W, r.H) >= keepIn-eps, r.Kept)
			if !r.Kept {
				waste += r.W * r.H
			}
		}
		requireCuttable(t, cut.Width, cut.Length, rects)
		require.InDelta(t, cut.Width*cut.Length, laid, 0.2, "cloth is lost")
		for _, st := range cut.Steps {
			if st.Want >= 0 {
				counts[sidesOf(wants[st.Want])] -= st.Times * st.Rows
			}
		}
		for _, n := range counts {
			require.Zero(t, n, "the steps do not give the pieces")
		}
	}
	for i, s := range stock {
		require.LessOrEqual(t, used[i], s.Count, "cut twice")
	}
	pulled := 0
	for _, p := range c.Pulls {
		for _, l := range p.Lines {
			require.Equal(t, p.Basket, stock[l.Stock].Basket)
			require.Equal(t, used[l.Stock], l.Count)
			pulled += l.Count
		}
	}
	require.Equal(t, sum(used), pulled)
	for i, w := range wants {
		require.Equal(t, covered[i], c.Covered[i])
		require.Equal(t, w.Count, c.Covered[i]+c.Short[i])
		require.GreaterOrEqual(t, c.Short[i], 0)
	}
	require.InDelta(t, waste, c.Waste, 0.01+1e-6*waste)
}

var someSizes = []float64{1.5, 2, 2.5, 3.5, 4.5, 5, 6.5}

func drawWants(most, count int) *rapid.Generator[[]Want] {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Want {
		w := Want{
			W: rapid.SampledFrom(someSizes).Draw(t, "w"), L: rapid.SampledFrom(someSizes).Draw(t, "l"),
			Count: rapid.IntRange(0, count).Draw(t, "count"),
		}
		if rapid.Bool().Draw(t, "square") {
			w.L = w.W
		}
		if rapid.Bool().Draw(t, "of a value") {
			w.Values = rapid.SliceOfN(rapid.SampledFrom(cloth.Values), 1, 2).Draw(t, "values")
		}
		if rapid.IntRange(0, 4).Draw(t, "of a print") == 0 {
			w.Prints = []string{"a"}
		}
		return w
	}), 1, most)
}

func drawStock(most int, longest float64) *rapid.Generator[[]cloth.Holding] {
	return rapid.Custom(func(t *rapid.T) []cloth.Holding {
		list := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) cloth.Holding {
			s := cloth.Holding{
				Form: rapid.SampledFrom(cloth.Forms).Draw(t, "form"), Count: rapid.IntRange(0, 2).Draw(t, "copies"),
				WidthIn:  rapid.SampledFrom(someSizes).Draw(t, "width"),
				LengthIn: eighths(t, "length", 1, longest),
				Family:   rapid.SampledFrom(cloth.Families).Draw(t, "family"), Value: rapid.SampledFrom(cloth.Values[:3]).Draw(t, "value"),
				Print: rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "print"), Basket: rapid.SampledFrom([]string{"", "x", "y"}).Draw(t, "basket"),
			}
			switch s.Form {
			case cloth.Square:
				s.LengthIn = s.WidthIn
			case cloth.Strip:
				s.Count = max(s.Count, 1)
				if rapid.IntRange(0, 5).Draw(t, "unmeasured") == 0 {
					s.LengthIn = 0
				}
			}
			return s
		}), 0, most).Draw(t, "stock")
		for i := range list {
			list[i].ID = int64(100 + i)
		}
		return list
	})
}

func TestPlansAreSound(t *testing.T) {
	optimal, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		wants := drawWants(4, 25).Draw(t, "wants")
		stock := drawStock(20, 30).Draw(t, "stock")
		o := Options{}
		c, err := FromStash(wants, stock, o)
		require.NoError(t, err)
		requireSound(t, wants, stock, c)
		again, err := FromStash(wants, stock, o)
		require.NoError(t, err)
		require.Equal(t, c, again, "two runs differ")
		all++
		if c.Optimal {
			optimal++
		}
	})
	t.Logf("%d of %d solved for certain", optimal, all)
}

func square(size float64, n int) Want { return Want{W: size, L: size, Count: n} }

func stripsOf(width float64, lengths ...float64) []cloth.Holding {
	var out []cloth.Holding
	for i, l := range lengths {
		out = append(out, cloth.Holding{ID: int64(i), Form: cloth.Strip, Count: 1, WidthIn: width, LengthIn: l})
	}
	return out
}

// What strips and precuts give. The grid's own figures are those of common
// charts: pieces = ⌊length ÷ size⌋ of each strip, never of all lengths together.
func TestYieldsOfStrips(t *testing.T) {
	noTrim, trim := Options{Trim: -1}, Options{Trim: 0.5}
	for _, c := range []struct {
		source string
		want   Want
		stock  []cloth.Holding
		o      Options
		yields int
	}{
		{"featheredstar.wordpress.com: a strip of 2½ at 40", square(2.5, plenty), stripsOf(2.5, 40), noTrim, 16},
		{"yourwiseadvices.com: a strip of 5 at 40", square(5, plenty), stripsOf(5, 40), noTrim, 8},
		{"the grid: slit into two rows", square(2.5, plenty), stripsOf(5, 40), noTrim, 32},
		{"the grid: two such strips", square(2.5, plenty), stripsOf(5, 40, 40), noTrim, 64},
		{"the grid: remnants, nothing trimmed", square(2.5, plenty), stripsOf(2.5, 40, 22, 11, 6), noTrim, 30},
		{"the grid: remnants, ½ squared off each", square(2.5, plenty), stripsOf(2.5, 40, 22, 11, 6), trim, 29},
		{"the grid: four of 2.4, not the ⌊9.6 ÷ 2½⌋ of all together", square(2.5, plenty), stripsOf(2.5, 2.4, 2.4, 2.4, 2.4), noTrim, 0},
		{"the grid: a strip of 7", square(7, plenty), stripsOf(7, 40), noTrim, 5},
		{"the grid: a strip of 7 slit in two", square(3.5, plenty), stripsOf(7, 40), noTrim, 22},
		{"treadlestitches.blogspot.com's brick from a strip", Want{W: 2.5, L: 4.5, Count: plenty}, stripsOf(2.5, 40), noTrim, 8},
		{"the same at 42", Want{W: 2.5, L: 4.5, Count: plenty}, stripsOf(2.5, 42), noTrim, 9},
		{"yourwiseadvices.com: a ten-inch square", square(5, plenty), []cloth.Holding{{Form: cloth.Square, Count: 1, WidthIn: 10, LengthIn: 10}}, trim, 4},
		{"the grid: the same in 2½", square(2.5, plenty), []cloth.Holding{{Form: cloth.Square, Count: 1, WidthIn: 10, LengthIn: 10}}, trim, 16},
	} {
		got, err := FromStash([]Want{c.want}, c.stock, c.o)
		require.NoError(t, err)
		require.Equal(t, c.yields, got.Covered[0], c.source)
		requireSound(t, []Want{c.want}, c.stock, got)
	}
}

func TestTheCuttingListSaysWhatToDo(t *testing.T) {
	wants := []Want{square(5, 3), square(2.5, 10)}
	stock := stripsOf(5, 40)
	stock[0].Family, stock[0].Value, stock[0].Basket = cloth.Blue, cloth.Dark, "window sill"
	got, err := FromStash(wants, stock, Options{})
	require.NoError(t, err)
	require.True(t, got.Optimal)
	require.Equal(t, []Step{
		{Length: 5, Times: 3, Row: -1, Rows: 1, Want: 0},
		{Length: 12.5, Times: 1, Row: -1, Rows: 1, Want: -1},
		{Slit: []float64{2.5, 2.5}, Length: 12.5, Times: 1, Row: -1, Rows: 1, Want: -1},
		{Length: 2.5, Times: 5, Row: 0, Rows: 2, Want: 1},
	}, got.Cuts[0].Steps)
	require.Equal(t, []Remnant{{Rect: geom.Rect{X: 0, Y: 27.5, W: 5, H: 12}, Kept: true, box: box{"5 strip", cloth.Strip}}}, got.Cuts[0].Remains)
	require.Equal(t, []PullList{{Basket: "window sill", Lines: []PullLine{{Count: 1}}}}, got.Pulls)
	require.InDelta(t, 2.5, got.Waste, eps, "the trimmed end")
	require.Equal(t, 1+3+1+1+4+4, got.CutCount)
}

func TestPiecesOfTheSizeComeBeforeCutting(t *testing.T) {
	stock := append(stripsOf(2.5, 40), cloth.Holding{ID: 9, Form: cloth.Square, Count: 3, WidthIn: 2.5, LengthIn: 2.5})
	got, err := FromStash([]Want{square(2.5, 5)}, stock, Options{})
	require.NoError(t, err)
	require.Equal(t, []Ready{{Stock: 1, ID: 9, Want: 0, Count: 3}}, got.Ready)
	require.Len(t, got.Cuts, 1)
	require.Len(t, got.Cuts[0].Pieces, 2)
}

// Of twelve squares in four prints, three each; of a hundred in ten, ten each.
func TestPrintsAreSpreadEvenly(t *testing.T) {
	for _, c := range []struct{ prints, have, want int }{{4, 9, 12}, {10, 30, 100}} {
		var stock []cloth.Holding
		for i := range c.prints {
			stock = append(stock, cloth.Holding{ID: int64(i), Form: cloth.Square, Count: c.have, WidthIn: 2.5, LengthIn: 2.5, Print: string(rune('a' + i))})
		}
		got, err := FromStash([]Want{square(2.5, c.want)}, stock, Options{})
		require.NoError(t, err)
		require.Len(t, got.Ready, c.prints)
		for _, r := range got.Ready {
			require.Equal(t, c.want/c.prints, r.Count)
		}
	}
}

func TestWhatIsNotSureIsSaid(t *testing.T) {
	want := []Want{square(2.5, 8)}
	unknown := stripsOf(2.5, 0)
	got, err := FromStash(want, unknown, Options{})
	require.NoError(t, err)
	require.Empty(t, got.Cuts)
	require.Equal(t, []int{0}, got.Measure)

	// half of each side of the box: one square of 2½ by two
	got, err = FromStash(want, []cloth.Holding{{Form: cloth.Irregular, Count: 1, WidthIn: 5, LengthIn: 10}}, Options{})
	require.NoError(t, err)
	require.Equal(t, 2, got.Covered[0])
	require.True(t, got.Cuts[0].Unsure)

	got, err = FromStash(want, []cloth.Holding{{Form: cloth.Band, Count: 5, WidthIn: 2.5}, {Form: cloth.Weighed, Count: 1}}, Options{})
	require.NoError(t, err)
	require.Equal(t, 8, got.Short[0])
}

// Sixteen centimetres hold two squares of 8, to the tenth of a millimetre.
func TestMetricStrips(t *testing.T) {
	const cm = 1 / 2.54
	got, err := FromStash([]Want{square(8*cm, 9), square(6.5*cm, 4)}, stripsOf(8*cm, 16*cm, 24*cm), Options{Trim: -1})
	require.NoError(t, err)
	require.Equal(t, []int{5, 0}, got.Covered)
	require.InDelta(t, 0, got.Waste, 1e-9)
}

// With nothing to cut from there is nothing to search, however much is wanted:
// the search once asked for half a gigabyte to find that out.
func TestNoClothNeedsNoSearch(t *testing.T) {
	wants := []Want{square(2.5, 9999), square(3, 9999), square(3.5, 9999), square(5, 9999)}
	c, err := FromStash(wants, nil, Options{})
	require.NoError(t, err)
	require.True(t, c.Optimal)
	require.Equal(t, []int{9999, 9999, 9999, 9999}, c.Short)
	require.Zero(t, c.Waste)
}

func TestFromStashRefuses(t *testing.T) {
	_, err := FromStash([]Want{square(0, 1)}, nil, Options{})
	require.Contains(t, fault.Of(err).Full(), "length above 0")
	_, err = FromStash([]Want{square(2, -1)}, nil, Options{})
	require.Contains(t, fault.Of(err).Full(), "count from 0")
	_, err = FromStash([]Want{square(2, 1)}, []cloth.Holding{{ID: 7, Form: cloth.Strip, Count: 1, WidthIn: -2}}, Options{})
	require.Contains(t, fault.Of(err).Full(), "stash entry 7")
	got, err := FromStash(nil, stripsOf(2.5, 40), Options{})
	require.NoError(t, err)
	require.Empty(t, got.Cuts)
}

func TestMoreStockNeverCoversLess(t *testing.T) {
	seed := draws(88172645463325252)
	for n := range 25 {
		wants, stock := drawQuilt(&seed, 10+n, 10+n)
		_, more := drawQuilt(&seed, 4, 1)
		less, err := FromStash(wants, stock, Options{})
		require.NoError(t, err)
		got, err := FromStash(wants, append(stock, more...), Options{})
		require.NoError(t, err)
		require.GreaterOrEqual(t, coveredArea(wants, got), coveredArea(wants, less)-eps)
	}
}

func coveredArea(wants []Want, c Cover) float64 {
	a := 0.0
	for i, n := range c.Covered {
		a += float64(n) * wants[i].W * wants[i].L
	}
	return a
}

// The search for large plans, set to small ones: never better than the best, and
// mostly as good.
func TestSearchAgainstTheBest(t *testing.T) {
	seed := draws(88172645463325252)
	for _, prefer := range []Prefer{Scraps, Waste, Variety} {
		same, cover, all := 0, 0, 300
		for range all {
			wants, stock := drawSmall(&seed, 9)
			p, _, err := newProblem(wants, stock, Options{Prefer: prefer}.filled())
			require.NoError(t, err)
			best, ok := p.exact()
			require.True(t, ok)
			got := p.search()
			require.False(t, got.better(best), "%v is better than %v", got.score(), best.score())
			if !best.better(got) {
				same++
			}
			if best.score()[uncovered] == got.score()[uncovered] {
				cover++
			}
		}
		t.Logf("%s: of %d, %d cover as much as the best, %d are as good", prefer, all, cover, same)
		require.Greater(t, 100*cover, 99*all)
		require.Greater(t, 4*same, 3*all)
	}
}

// Twenty-four squares of 3½ once took the place of the one strip that gives all
// the patches: 144 square inches were thrown away for cloth that was added.
func TestNoSquareIsCutDownWhereAStripServes(t *testing.T) {
	want := []Want{square(2.5, 24)}
	stock := stripsOf(10, 36)
	stock[0].Family, stock[0].Value = cloth.Blue, cloth.Dark
	for _, n := range []int{0, 12, 20, 24, 300} {
		more := append(slices.Clone(stock), cloth.Holding{ID: 2, Form: cloth.Square, Count: n, WidthIn: 3.5, LengthIn: 3.5})
		got, err := FromStash(want, more, Options{})
		require.NoError(t, err)
		requireSound(t, want, more, got)
		require.Len(t, got.Cuts, 1, "%d squares", n)
		require.Equal(t, 5.0, got.Waste, "%d squares", n)
		require.Equal(t, 25, got.CutCount, "%d squares", n) // the end, a piece of 15, three slits, five cuts in each of four rows
		require.Equal(t, []Remnant{{Rect: geom.Rect{X: 0, Y: 15, W: 10, H: 20.5}, Kept: true, box: box{"10 strip", cloth.Strip}}}, got.Cuts[0].Remains)
	}
}

// A block of log cabin once slit a whole strip into five rows and used two.
func TestNoMoreIsSlitThanIsUsed(t *testing.T) {
	var wants []Want
	for _, l := range []float64{9.25, 8, 6.75, 5.5, 4.25, 3} {
		wants = append(wants, Want{W: 1.75, L: l, Count: 1})
	}
	stock := stripsOf(10, 36)
	got, err := FromStash(wants, stock, Options{})
	require.NoError(t, err)
	requireSound(t, wants, stock, got)
	require.Zero(t, sum(got.Short))
	largest := 0.0
	for _, r := range got.Cuts[0].Remains {
		largest = max(largest, r.W*r.H)
	}
	require.Greater(t, largest, 150.0, "of 355 square inches 64 are used")
	require.LessOrEqual(t, len(got.Cuts[0].Remains), 4)
}

// A stash of some prints and another with more of everything: whatever the more
// is, the plan is none the worse for it.
func TestMoreStockIsNoWorse(t *testing.T) {
	seed := draws(88172645463325252)
	for range 12 {
		stock := basketOfStrips(30+seed.below(60), seed)
		seed.below(2)
		var wants []Want
		for _, s := range []float64{2.5, 3.5, 1.5}[:1+seed.below(3)] {
			wants = append(wants, square(s, 20+seed.below(80)))
		}
		var more []cloth.Holding
		for k, s := range []float64{3.5, 5, 4.5} {
			more = append(more, cloth.Holding{ID: int64(1000 + k), Form: cloth.Square, Count: seed.below(40), WidthIn: s, LengthIn: s})
		}
		less, err := FromStash(wants, stock, Options{})
		require.NoError(t, err)
		got, err := FromStash(wants, append(slices.Clone(stock), more...), Options{})
		require.NoError(t, err)
		requireSound(t, wants, append(slices.Clone(stock), more...), got)
		a, b := outcomeOf(wants, stock, less), outcomeOf(wants, append(slices.Clone(stock), more...), got)
		require.GreaterOrEqual(t, a.compare(b, Scraps), 0, "%v with less, %v with more", a, b)
	}
}

// What is a piece once it is slit is not cut once more; squares alike off one
// strip are slit in one length; each was three cuts by itself.
func TestStepsCanBeFollowed(t *testing.T) {
	got, err := FromStash([]Want{square(2.5, 1)}, []cloth.Holding{{Form: cloth.Square, Count: 1, WidthIn: 3.5, LengthIn: 3.5}}, Options{})
	require.NoError(t, err)
	require.Equal(t, []Step{
		{Length: 2.5, Times: 1, Row: -1, Rows: 1, Want: -1},
		{Slit: []float64{2.5}, Length: 2.5, Times: 1, Row: -1, Rows: 1, Want: -1},
		{Length: 2.5, Times: 1, Row: 0, Rows: 1, Want: 0, Ready: true},
	}, got.Cuts[0].Steps)

	got, err = FromStash([]Want{square(3.5, 3)}, stripsOf(5, 21), Options{})
	require.NoError(t, err)
	require.Equal(t, []Step{
		{Length: 10.5, Times: 1, Row: -1, Rows: 1, Want: -1},
		{Slit: []float64{3.5}, Length: 10.5, Times: 1, Row: -1, Rows: 1, Want: -1},
		{Length: 3.5, Times: 3, Row: 0, Rows: 1, Want: 0},
	}, got.Cuts[0].Steps)
	require.Equal(t, geom.Rect{X: 3.5, Y: 0, W: 1.5, H: 10.5}, got.Cuts[0].Remains[0].Rect)
}

func TestRemnantsAreCalledWhatTheyAre(t *testing.T) {
	o := Options{}.filled()
	for _, c := range []struct {
		short, long float64
		cut         string
		form        cloth.Form
	}{
		{1.5, 3.5, "1½ × 3½ rectangle", cloth.Rectangle}, {2.5, 5, "2½ × 5 rectangle", cloth.Rectangle},
		{2.5, 12, "2½ strip", cloth.Strip}, {2.5, 2.5, "2½ square", cloth.Square},
		{3, 39.5, "2½ strip, once trimmed from 3", ""}, {2.5, 3, "2½ square, once trimmed", ""}, {1, 30, "scrap", ""},
	} {
		require.Equal(t, box{c.cut, c.form}, o.boxOf(c.short, c.long))
	}
	o = Options{Metric: true}.filled()
	require.Equal(t, box{"6.5 cm strip", cloth.Strip}, o.boxOf(6.5/2.54, 60/2.54))
	require.Equal(t, box{"9 cm square", cloth.Square}, o.boxOf(9/2.54, 9/2.54))
}

// Squares of 2½ inches are 63.5 mm: they pass for 6.4 cm, and it is said by how
// much they are short; for 6.5 cm they do not.
func TestInchesPassForCentimetres(t *testing.T) {
	stock := []cloth.Holding{{Form: cloth.Square, Count: 4, WidthIn: 2.5, LengthIn: 2.5}}
	got, err := FromStash([]Want{square(6.4/2.54, 4)}, stock, Options{})
	require.NoError(t, err)
	require.Len(t, got.Ready, 1)
	require.InDelta(t, 0.5/cloth.MMPerInch, got.Ready[0].Short, 1e-6)
	got, err = FromStash([]Want{square(6.3/2.54, 4)}, stock, Options{})
	require.NoError(t, err)
	require.Zero(t, got.Ready[0].Short)
	got, err = FromStash([]Want{square(6.5/2.54, 4)}, stock, Options{})
	require.NoError(t, err)
	require.Equal(t, 4, got.Short[0])
}

// Cloth is slit along first where that gives more: each row is then cut across, and
// what is wider than its piece slit once more.
func TestClothIsSlitAlongFirst(t *testing.T) {
	wants := []Want{{W: 3.5, L: 9, Count: 1}, {W: 2, L: 7, Count: 1}, {W: 1.5, L: 5, Count: 2}}
	stock := []cloth.Holding{{Form: cloth.Rectangle, Count: 1, WidthIn: 7, LengthIn: 10}}
	got, err := FromStash(wants, stock, Options{})
	require.NoError(t, err)
	requireSound(t, wants, stock, got)
	require.Zero(t, sum(got.Short))
	require.Equal(t, []float64{3.5, 2, 1.5}, got.Cuts[0].Steps[0].Slit)
	require.Equal(t, 10.0, got.Cuts[0].Steps[0].Length)

	var c Diagram
	size := func(want int, across, along float64) part {
		return part{want: want, across: ticks(across), along: ticks(along)}
	}
	c.alongSteps([]band{
		{ticks(4), []row{{ticks(6), []part{size(0, 6, 4)}}, {ticks(3), []part{size(1, 3, 2), size(1, 3, 2)}}}},
		{ticks(2), []row{{ticks(12), []part{size(2, 12, 2)}}}},
	}, ticks(12), ticks(6))
	require.Equal(t, []Step{
		{Slit: []float64{4, 2}, Length: 12, Times: 1, Row: -1, Rows: 1, Want: -1},
		{Length: 6, Times: 1, Row: 0, Rows: 1, Want: 0},
		{Length: 3, Times: 1, Row: 0, Rows: 1, Want: -1},
		{Length: 2, Times: 2, Row: 0, Rows: 1, Want: 1, Rest: true},
		{Length: 12, Times: 1, Row: 1, Rows: 1, Want: 2, Ready: true},
	}, c.Steps)
}

// Pieces far smaller than the cloth once fell between two lengths that the search
// tells apart, and it ended in a panic.
func TestClothFarLargerThanItsPieces(t *testing.T) {
	wants := []Want{square(1, 3000), {W: 3.3, L: 7.1, Count: 200}, square(6.125, 90)}
	stock := []cloth.Holding{{ID: 1, Form: cloth.Rectangle, Count: 2, WidthIn: 2000, LengthIn: 9999}}
	got, err := FromStash(wants, stock, Options{})
	require.NoError(t, err)
	require.Zero(t, sum(got.Short))
	require.Len(t, got.Cuts, 1)
}

// Pieces of one size for two patches are one step: "cut 1 of 3½; cut 1 of 3½" was
// once said.
func TestPiecesOfOneSizeAreOneStep(t *testing.T) {
	wants := []Want{square(2.5, 2), square(2.5, 2), square(4, 1)}
	got, err := FromStash(wants, []cloth.Holding{{Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 10.5}}, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{2, 2, 0}, got.Covered)
	require.Equal(t, []Step{{Length: 2.5, Times: 4, Row: -1, Rows: 1, Want: 0}}, got.Cuts[0].Steps)
	got, err = FromStash(wants, []cloth.Holding{{Form: cloth.Rectangle, Count: 1, WidthIn: 5, LengthIn: 5}}, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{2, 2, 0}, got.Covered)
	require.Equal(t, Step{Length: 2.5, Times: 2, Row: 0, Rows: 2, Want: 0}, got.Cuts[0].Steps[1])
}

func sidesOf(w Want) [2]float64 { return [2]float64{min(w.W, w.L), max(w.W, w.L)} }

func TestSizesAreNamedByTheirSides(t *testing.T) {
	require.Equal(t, "2½", sizeName(2.5, 2.5))
	require.Equal(t, "2½ × 4", sizeName(2.5, 4))
}
