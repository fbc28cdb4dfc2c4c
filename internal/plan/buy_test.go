package plan

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/family"
	"piecebag/internal/recipe"
)

func shopping(t *testing.T, gaps []Gap, held []Held, each int) Shopping {
	s, err := Buy(gaps, held, Habits{Shop: Defaults(recipe.Inches()), EachPrint: each})
	require.NoError(t, err)
	return s
}

func bin(f cloth.Family, v cloth.Value) Sought { return Sought{Family: f, Value: v} }

// Pieces across 40 inches and down an 18 × 21 quarter: floor of the length over
// the size, as the charts of Hohn ("Math charts", quilterscache.com, 17 June 2002)
// have it, 2½ giving 8 along 21 as along 22, and "40 / 2½ = 16" of McCloskey ("How to figure yardage
// for a quilt").
func TestBuyTheLeastCloth(t *testing.T) {
	one := func(g Gap, each int) Purchase {
		s := shopping(t, []Gap{g}, nil, each)
		require.Len(t, s.Buy, 1)
		return s.Buy[0]
	}
	// 80 squares of 2½ from one print: five strips of 16, 12½ inches; an eighth of
	// a yard is 4½, so 13½, less cloth than two quarters.
	p := one(Gap{Sought: bin(cloth.Blue, cloth.Dark), WidthIn: 2.5, LengthIn: 2.5, Pieces: 80}, 80)
	require.Equal(t, 1, p.Prints)
	require.Equal(t, 12.5, p.LengthIn)
	require.Equal(t, 13.5, p.BuyIn)
	require.Nil(t, p.Fat)
	// Eight 4½ squares take an eighth of a yard (common practice).
	p = one(Gap{Sought: bin(cloth.Blue, cloth.Dark), WidthIn: 4.5, LengthIn: 4.5, Pieces: 8}, 8)
	require.Equal(t, "⅛ yd", p.Buy)
	// 56 of 2½ are four strips, 10 inches, to be bought as 13½; a quarter gives them too
	// and is only 9 inches' worth.
	p = one(Gap{Sought: bin(cloth.Blue, cloth.Dark), WidthIn: 2.5, LengthIn: 2.5, Pieces: 56}, 56)
	require.Equal(t, 1, p.FatCountOf("fat quarter"))
	require.Zero(t, p.BuyIn)
	require.Equal(t, "1 fat quarter", p.Buy)
	// Two of 8 are 9 inches' worth by length, and fit a fat eighth, which is half of that.
	p = one(Gap{Sought: bin(cloth.Blue, cloth.Dark), WidthIn: 8, LengthIn: 8, Pieces: 2}, 2)
	require.Equal(t, "1 fat eighth", p.Buy)
	// Four of 9 × 10¼ are two fat eighths or a fat quarter, which is handier; three lie in a
	// strip, so they are 18 inches by length.
	p = one(Gap{Sought: bin(cloth.Blue, cloth.Dark), WidthIn: 9, LengthIn: 10.25, Pieces: 4}, 4)
	require.Equal(t, "1 fat quarter", p.Buy)
	p = one(Gap{Sought: bin(cloth.Blue, cloth.Dark), WidthIn: 8, LengthIn: 8, Pieces: 4}, 4)
	require.Equal(t, "¼ yd", p.Buy, "one strip holds five")
	// 33 pieces from strips of 16: three prints of 11, from one strip each.
	p = one(Gap{Sought: bin(cloth.Blue, cloth.Dark), WidthIn: 2.5, LengthIn: 2.5, Pieces: 33}, 0)
	require.Equal(t, 3, p.Prints)
	require.Equal(t, 2.5, p.LengthIn)
	require.NotEmpty(t, p.Why.Steps)
	// Eight for each of two quilts would come from one strip of 16, but each quilt
	// keeps its own cloth.
	eight := Gap{Sought: bin(cloth.Blue, cloth.Dark), Quilt: "stars", WidthIn: 2.5, LengthIn: 2.5, Pieces: 8}
	twelve := eight
	twelve.Quilt, twelve.Pieces, twelve.LengthIn = "steps", 12, 4.5
	p = shopping(t, []Gap{eight, twelve}, nil, 0).Buy[0]
	require.Equal(t, []int{20, 3}, []int{p.Pieces, p.Prints}, "1 for 8, and 2 for 12 of which a strip gives 8")
	require.Equal(t, 2.5, p.LengthIn)
}

// Each quilt's prints are as long as its own pieces need: four prints of a quilt that wanted
// an eighth of a yard each were once bought as quarters, since another quilt's were.
func TestPrintsAreAsLongAsTheirQuiltNeeds(t *testing.T) {
	dark := Sought{Tone: recipe.DarkTone}
	gap := func(quilt string, side float64, n int) Gap {
		return Gap{Sought: dark, Quilt: quilt, WidthIn: side, LengthIn: side, Pieces: n}
	}
	s := shopping(t, []Gap{gap("med", 8, 20), gap("np", 3.5, 44), gap("lanes", 4, 20)}, nil, 0)
	var got []string
	for _, p := range s.Buy {
		require.Equal(t, dark, p.Sought)
		got = append(got, fmt.Sprint(p.Helps, " ", p.Pieces, " ", p.Prints, " of ", p.Buy))
	}
	require.Equal(t, []string{"[np lanes] 64 6 of ⅛ yd", "[med] 20 4 of ¼ yd"}, got)
	rapid.Check(t, func(t *rapid.T) {
		var gaps []Gap
		for _, quilt := range []string{"", "a", "b", "c"}[:rapid.IntRange(1, 4).Draw(t, "quilts")] {
			gaps = append(gaps, gap(quilt, float64(rapid.IntRange(4, 24).Draw(t, "half inches"))/2, rapid.IntRange(1, 60).Draw(t, "pieces")))
		}
		worth := func(gaps []Gap) (in float64) {
			s, err := Buy(gaps, nil, Habits{Shop: Defaults(recipe.Inches())})
			require.NoError(t, err)
			for _, p := range s.Buy {
				in += float64(p.Prints) * (p.BuyIn + 9*float64(p.FatCountOf("fat quarter")) + 4.5*float64(p.FatCountOf("fat eighth")))
			}
			return in
		}
		each := 0.0
		for _, g := range gaps {
			each += worth([]Gap{g})
		}
		require.InDelta(t, each, worth(gaps), 1e-9, "as much as for each quilt by itself")
	})
}

func TestBuyUnlocksQuiltsFirst(t *testing.T) {
	square := func(s Sought, quilt string, n int) Gap {
		return Gap{Sought: s, Quilt: quilt, WidthIn: 2.5, LengthIn: 2.5, Pieces: n}
	}
	s := shopping(t, []Gap{
		square(bin(cloth.Pink, cloth.Light), "", 40), // a thin bin
		square(bin(cloth.Green, cloth.Dark), "steps", 20),
		square(bin(cloth.Red, cloth.Dark), "steps", 30),
		square(bin(cloth.Red, cloth.Dark), "stars", 4),
		square(bin(cloth.Yellow, cloth.Light), "lanes", 2),
		{Sought: Sought{One: "background of stars"}, Quilt: "stars", ClothIn: 60},
	}, nil, 0)
	var order []string
	for _, p := range s.Buy {
		order = append(order, p.String())
	}
	require.Equal(t, []string{"light yellow", "dark red", "background of stars", "dark green", "light pink"}, order)
	require.Equal(t, []string{"lanes"}, s.Buy[0].Unlocks)
	require.Equal(t, 34, s.Buy[1].Pieces)
	require.Equal(t, []string{"steps", "stars"}, s.Buy[1].Helps)
	require.Empty(t, s.Buy[1].Unlocks)
	require.Equal(t, 1, s.Buy[2].Prints)
	require.Equal(t, 63.0, s.Buy[2].BuyIn, "sixty inches are 14 eighths of a yard")
	require.Empty(t, s.Buy[4].Helps)
}

func TestWhatNotToBuy(t *testing.T) {
	held := []Held{
		{Name: "dark blue", Sought: bin(cloth.Blue, cloth.Dark), Count: 50},
		{Name: "medium blue", Sought: bin(cloth.Blue, cloth.Medium), Count: 10},
		{Name: "light blue", Sought: bin(cloth.Blue, cloth.Light), Count: 10, Needed: 8, Least: 8},
		{Name: "dark red", Sought: bin(cloth.Red, cloth.Dark), Count: 30, Needed: 40, Least: 40},
		{Name: "light red", Sought: bin(cloth.Red, cloth.Light), Count: 10, Needed: 10, Least: 10},
		{Name: "dark teal", Sought: bin(cloth.Teal, cloth.Dark), Count: 60, Wanted: true}, // a planned quilt lacks more of its like
		{Name: "light teal", Sought: bin(cloth.Teal, cloth.Light), Count: 21, Least: 12},
		{Name: "medium teal", Sought: bin(cloth.Teal, cloth.Medium), Count: 40, Least: 15},
		{Name: "medium red", Sought: bin(cloth.Red, cloth.Medium), Count: 9, Needed: 3, Least: 20},
		{Name: "light pink", Sought: bin(cloth.Pink, cloth.Light), Count: 10},
		{Name: "light orange", Sought: bin(cloth.Orange, cloth.Light), Count: 10},
	}
	s := shopping(t, []Gap{{Sought: bin(cloth.Red, cloth.Dark), Quilt: "stars", WidthIn: 2.5, LengthIn: 2.5, Pieces: 10}}, held, 0)
	require.Equal(t, []Enough{
		{"dark blue", 50, "half of your bins hold 10 or fewer"},
		{"medium teal", 40, "more than twice the 15 wanted"},
		{"light blue", 10, "planned quilts take 8 of them"},
	}, s.Enough)
	require.Empty(t, shopping(t, nil, nil, 0))
}

// A swatch is of the family and the value that it is to be held against.
func TestSwatchesBelongToTheirBins(t *testing.T) {
	found := 0
	for _, f := range cloth.Families {
		for _, v := range cloth.Values {
			m, ok := SwatchOf(bin(f, v))
			if !ok {
				continue
			}
			found++
			require.Equal(t, f, family.OfMunsell(m), "%s %s", f, v)
			require.Equal(t, v, cloth.ValueOf(m.Linear().Lab().L), "%s %s", f, v)
			t.Log(f, v, m, m.Linear().Hex())
		}
	}
	require.Greater(t, found, 35)
	_, ok := SwatchOf(bin(cloth.Black, cloth.Light))
	require.False(t, ok, "there is no light black")
	m, ok := SwatchOf(Sought{Tone: recipe.DarkTone})
	require.True(t, ok)
	require.Zero(t, m.Chroma)
	require.InDelta(t, 3.1, m.Value, 0.02, "the middle of medium-dark and dark")
	for _, none := range []Sought{{}, {Bin: "sea greens"}, {Family: cloth.Many}, {One: "background of stars"}} {
		_, ok := SwatchOf(none)
		require.False(t, ok, "%v", none)
	}
}

func TestBuyFillsEveryGapOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var gaps []Gap
		want := 0
		for range rapid.IntRange(0, 8).Draw(t, "gaps") {
			g := Gap{
				Sought:  bin(rapid.SampledFrom(cloth.Families).Draw(t, "family"), rapid.SampledFrom(cloth.Values).Draw(t, "value")),
				Quilt:   rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "quilt"),
				WidthIn: 2.5, LengthIn: rapid.SampledFrom([]float64{2.5, 4.5}).Draw(t, "length"),
				Pieces: rapid.IntRange(1, 60).Draw(t, "pieces"),
			}
			gaps = append(gaps, g)
			want += g.Pieces
		}
		s, err := Buy(gaps, nil, Habits{Shop: Defaults(recipe.Inches())})
		require.NoError(t, err)
		got, balanceOnly := 0, false
		for _, p := range s.Buy {
			got += p.Pieces
			require.True(t, p.FatCount > 0 != (p.BuyIn > 0))
			require.GreaterOrEqual(t, p.BuyIn, p.LengthIn)
			require.Subset(t, p.Helps, p.Unlocks)
			require.False(t, balanceOnly && len(p.Helps) > 0, "a quilt comes before balance")
			balanceOnly = len(p.Helps) == 0
		}
		require.Equal(t, want, got)
		once := map[string]bool{}
		for _, p := range s.Buy {
			for _, quilt := range append(p.Helps, "") {
				at := fmt.Sprint(p.Sought, quilt)
				require.False(t, quilt != "" && once[at], "%s is bought once for a quilt", at)
				once[at] = true
			}
		}
	})
}

// Cloth that is known by weight alone may hold what is sought where its bin, its family and
// its value do not speak against it.
func TestWhereWhatIsSoughtMayLie(t *testing.T) {
	blue, darkBlue, greens := Sought{Family: cloth.Blue}, Sought{Family: cloth.Blue, Value: cloth.Dark}, Sought{Bin: "sea greens"}
	in := func(s Sought) Held { return Held{Sought: s} }
	for _, c := range []struct {
		sought, box Sought
		may         bool
	}{
		{blue, darkBlue, true}, {darkBlue, darkBlue, true}, {darkBlue, blue, true},
		{darkBlue, Sought{Family: cloth.Blue, Value: cloth.Light}, false},
		{darkBlue, Sought{Family: cloth.Red, Value: cloth.Dark}, false},
		{greens, greens, true}, {greens, blue, false}, {blue, greens, false},
		{Sought{Tone: recipe.DarkTone}, darkBlue, true}, {Sought{Tone: recipe.LightTone}, darkBlue, false},
		{Sought{One: "backing of fours"}, darkBlue, false},
	} {
		require.Equal(t, c.may, c.sought.mayBeIn(in(c.box)), "%v in %v", c.sought, c.box)
	}
}
