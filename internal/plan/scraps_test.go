package plan

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

func scrapNeeds(t require.TestingT, text string, columns, rows int, oneByOne bool) *Needs {
	r, err := recipe.Read("mine", []byte(text))
	require.NoError(t, err)
	shop := Defaults(recipe.Inches())
	shop.OneByOne = oneByOne
	n, err := Need(Order{Recipe: r, Columns: columns, Rows: rows}, shop)
	require.NoError(t, err)
	return n
}

const (
	stringsText = "name = \"strings\"\nwidth = 6\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\nmake = \"strings\"\nroles = [\"background\", \"dark\"]\n"
	crumbsText  = "name = \"crumbs\"\nwidth = 6\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\nmake = \"crumbs\"\n"
)

// Strings are taken as they come, the narrowest first, from 1 inch up: neither what is
// narrower, nor squares, nor what another role wants; and what the stash gives is not
// bought.
func TestStringsAreTakenAsTheyCome(t *testing.T) {
	n := scrapNeeds(t, stringsText, 2, 2, true)
	stock := []cloth.Holding{
		{ID: 1, Form: cloth.Strip, Count: 9, WidthIn: 0.75, LengthIn: 40, Family: cloth.Blue, Value: cloth.Dark},
		{ID: 2, Form: cloth.Strip, Count: 9, WidthIn: 2.5, LengthIn: 20, Family: cloth.Blue, Value: cloth.Dark},
		{ID: 3, Form: cloth.Strip, Count: 2, WidthIn: 1, LengthIn: 40, Family: cloth.Red, Value: cloth.Dark},
		{ID: 4, Form: cloth.Square, Count: 50, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Red, Value: cloth.Dark},
		{ID: 5, Form: cloth.Strip, Count: 9, WidthIn: 1.5, LengthIn: 40, Family: cloth.Red, Value: cloth.Light},
		{ID: 6, Form: cloth.Strip, Count: 9, WidthIn: 1.5, Family: cloth.Red, Value: cloth.Dark},
		{ID: 7, Form: cloth.Rectangle, Count: 1, WidthIn: 3.5, LengthIn: 40, Family: cloth.Red, Value: cloth.Dark},
		{ID: 8, Form: cloth.Rectangle, Count: 1, WidthIn: 2, LengthIn: 4, Family: cloth.Red, Value: cloth.Dark},
	}
	p, err := FromStash(n, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Len(t, p.Scraps, 1, "the background is bought")
	s := p.Scraps[0]
	// Of each of four blocks, ten strings beside the middle one: by hand, each as wide
	// and as long as the lines that it lies between are apart and long, and ½ more.
	want := 0.0
	for _, x := range [][2]float64{{0.19, 0.91}, {0.16, 0.72}, {0.19, 0.56}, {0.16, 0.37}, {0.21, 0.21}} {
		up := recipe.Inches().Up
		want += 4 * 2 * up(x[0]*3*1.41421356+0.5) * up(x[1]*6*1.41421356+0.5)
	}
	require.InDelta(t, want, s.WantedIn2, 1e-9)
	require.Equal(t, []Pulled{{3, 2}, {8, 1}, {2, 4}}, s.Pulled)
	require.InDelta(t, 80+8+4*50, s.GivenIn2, 1e-9)
	require.Greater(t, s.GivenIn2, s.WantedIn2)
	require.Less(t, s.GivenIn2-50, s.WantedIn2)
	require.Equal(t, s.Pulled, p.Pulled())
	require.Equal(t, 7, CountOf(p.Pulled()))
	for _, g := range p.Gaps("q") {
		require.NotContains(t, g.String(), "strings")
	}
	require.Contains(t, n.Notes[0], "4 of 6½ × 6½")

	// Half of it is lacking, and half of the strips are bought.
	p, err = FromStash(n, stock[2:3], nil, "", cutting.Options{})
	require.NoError(t, err)
	// Beside a middle strip that is bought each side of each of four foundations wants one
	// of 9.19 × (1 − 0.5 ÷ 4.6) = 8.19, then, ½ farther out, one of 7.19. Two strips of 40
	// give eight of the first, and of what is left of each one of the second.
	require.Equal(t, []StringLength{{9, 8}, {8, 2}}, p.Scraps[0].Lengths)
	half, seam := 6.5*math.Sqrt2/2, 0.25
	area := func(from, to float64) float64 { return (half-from)*(half-from) - (half-to)*(half-to) }
	covered := 4*2*area(0.5+seam, 1+seam) + 2*area(1+seam, 1.5+seam)
	all := 4 * 2 * area(0.5+seam, half)
	require.InDelta(t, 1-covered/all, p.Scraps[0].Lacking, 1e-6)
	require.InDelta(t, want*p.Scraps[0].Lacking, p.Scraps[0].ShortIn2(), 1e-9)
	bought := 0.0
	for _, g := range p.Gaps("q") {
		if g.String() == "strings of q" {
			bought += g.ClothIn
		}
	}
	strips := 0
	for _, c := range n.Cuts {
		if c.AnyIn2 > 0 && !c.Role.Background {
			strips += c.Count
			// On 6½ square, ½ from the diagonal on, 2 cut 1½ sewn: 8 of 8¼, 8 of 5¼, 8 of 2¼.
			require.Equal(t, 2+2+1, c.Count)
		}
	}
	require.InDelta(t, float64(2*strips)*p.Scraps[0].Lacking, bought, 1e-9)

	// The print of the background is kept for it.
	stock[1].Print = "linen"
	p, err = FromStash(n, stock, nil, "linen", cutting.Options{})
	require.NoError(t, err)
	require.Equal(t, []Pulled{{3, 2}, {8, 1}}, p.Scraps[0].Pulled)

	// What it pulled before it keeps, though narrower cloth has come since.
	p, err = FromStash(n, stock, []Pulled{{2, 8}}, "", cutting.Options{})
	require.NoError(t, err)
	require.Equal(t, []Pulled{{2, 6}}, p.Scraps[0].Pulled[:1])
}

// Crumbs take squares too; no piece is taken twice, none that is not there; and more
// cloth never gives less.
func TestMoreScrapsNeverGiveLess(t *testing.T) {
	n := scrapNeeds(t, crumbsText, 3, 3, true)
	rapid.Check(t, func(t *rapid.T) {
		var stock []cloth.Holding
		for i := range rapid.IntRange(0, 12).Draw(t, "holdings") {
			form := rapid.SampledFrom([]cloth.Form{cloth.Strip, cloth.Square, cloth.Irregular}).Draw(t, "form")
			w := float64(rapid.IntRange(1, 10).Draw(t, "w")) / 2
			stock = append(stock, cloth.Holding{ID: int64(i + 1), Form: form, Count: rapid.IntRange(1, 9).Draw(t, "count"), WidthIn: w, LengthIn: w * float64(rapid.IntRange(1, 12).Draw(t, "l")), Family: cloth.Red, Value: cloth.Dark})
		}
		given := func(stock []cloth.Holding) float64 {
			p, err := FromStash(n, stock, nil, "", cutting.Options{})
			require.NoError(t, err)
			left, taken := Leave(stock, p.Pulled())
			require.Equal(t, CountOf(p.Pulled()), taken)
			require.LessOrEqual(t, len(left), len(stock))
			require.Equal(t, CountOf(p.Pulled()), func() (n int) {
				for _, c := range p.Takes() {
					n += c.Count
				}
				return n
			}())
			return min(p.Scraps[0].WantedIn2, p.Scraps[0].GivenIn2)
		}
		last := given(nil)
		for i := range stock {
			now := given(stock[:i+1])
			require.GreaterOrEqual(t, now, last-1e-9)
			last = now
		}
	})
}

// What is said to cover can be sewn: every string reaches across, no piece gives more than
// its length, and the strings of a side come to its whole height. Where no piece reaches
// the diagonal its middle is not covered, whatever area there is.
func TestStringsReachAcross(t *testing.T) {
	one := "name = \"strings\"\nwidth = 8\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\nmake = \"strings\"\n"
	n := scrapNeeds(t, one, 3, 3, true)
	r := rand.New(rand.NewPCG(4, 4))
	covered := 0
	for range 60 {
		var stock []cloth.Holding
		for id := range int64(2 + r.IntN(30)) {
			stock = append(stock, cloth.Holding{ID: id + 1, Form: cloth.Strip, Count: 1 + r.IntN(3), WidthIn: 1 + float64(r.IntN(9))/4, LengthIn: float64(4 + r.IntN(30))})
		}
		p, err := FromStash(n, stock, nil, "", cutting.Options{})
		require.NoError(t, err)
		s := p.Scraps[0]
		cut, given, longest := 0.0, 0.0, 0.0
		for _, l := range s.Lengths {
			require.LessOrEqual(t, l.LengthIn, 13.0, "8½ × √2 = 12.02")
			cut += (l.LengthIn - 1) * float64(l.Count)
		}
		for _, x := range s.Pulled {
			h := stock[x.ID-1]
			require.LessOrEqual(t, x.Count, h.Count)
			given += float64(x.Count) * h.LengthIn
			longest = max(longest, h.LengthIn)
		}
		require.LessOrEqual(t, cut, given)
		if s.Lacking == 0 {
			covered++
			require.GreaterOrEqual(t, longest, 12.0)
			require.Equal(t, 13.0, s.Lengths[0].LengthIn)
			require.GreaterOrEqual(t, s.Lengths[0].Count, 9, "the middle of each")
		}
	}
	require.Greater(t, covered, 10)
	p, err := FromStash(n, []cloth.Holding{{ID: 1, Form: cloth.Strip, Count: 900, WidthIn: 2, LengthIn: 11}}, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Greater(t, p.Scraps[0].GivenIn2, p.Scraps[0].WantedIn2*0.5)
	require.Positive(t, p.Scraps[0].Lacking, "none is 12 long")
	f := recipe.Strung{WidthIn: 3, LengthIn: 4}
	require.InDelta(t, 5, f.ReachIn(0), 1e-9)
	require.InDelta(t, 2.4, f.HalfIn(), 1e-9)
	require.InDelta(t, 2.5, f.ReachIn(1.2), 1e-9)
	require.Zero(t, f.ReachIn(3))
}

// A role that no string of a small foundation is of is counted by its area, as it is drawn.
func TestMoreRolesThanStrings(t *testing.T) {
	text := "name = \"strings\"\nwidth = 2\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\nmake = \"strings\"\nroles = [\"light\", \"medium\", \"dark\", \"red\", \"blue\"]\n"
	n := scrapNeeds(t, text, 2, 2, true)
	require.Len(t, n.Cuts, 5)
	p, err := FromStash(n, []cloth.Holding{{ID: 1, Form: cloth.Strip, Count: 3, WidthIn: 1.5, LengthIn: 20, Family: cloth.Blue, Value: cloth.Medium}}, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Len(t, p.Scraps, 5)
	for _, s := range p.Scraps {
		require.GreaterOrEqual(t, s.Lacking, 0.0)
		require.LessOrEqual(t, s.Lacking, 1.0)
	}
	require.Zero(t, p.Scraps[4].Lacking, "blue, by its area")
	require.Contains(t, strings.Join(n.Notes, ";"), "foundations of 2½ are small")
}
