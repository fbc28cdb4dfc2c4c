package plan

import (
	"math/bits"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// joined are the needs of plain squares of 4 inches, bound from the stash.
func joined(t *testing.T, columns, rows int, change func(*recipe.Recipe, *Shop)) *Needs {
	t.Helper()
	r, err := recipe.BuiltIn("plain-squares")
	require.NoError(t, err)
	r, err = r.Resize(4)
	require.NoError(t, err)
	shop := Defaults(recipe.Inches())
	shop.OneByOne, shop.BindingFrom = true, Stash
	if change != nil {
		change(r, &shop)
	}
	n, err := Need(Order{Recipe: r, Columns: columns, Rows: rows}, shop)
	require.NoError(t, err)
	return n
}

func stripsLong(width float64, lengths ...float64) (out []cloth.Holding) {
	for i, l := range lengths {
		out = append(out, cloth.Holding{ID: int64(i + 1), Form: cloth.Strip, Count: 1, WidthIn: width, LengthIn: l, Family: cloth.Green, Value: cloth.Medium})
	}
	return out
}

// Strips as long as cloth is wide, the half inch that is squared off besides, are as many
// as are cut from new cloth: the published rule of 2(w + l) + 10 over strips that lose a
// diagonal join each (see TestBinding), and the cloth is then not bought.
func TestAsManyStripsAsOfNewCloth(t *testing.T) {
	for _, at := range [][2]int{{3, 3}, {5, 6}, {12, 15}, {17, 23}} {
		n := joined(t, at[0], at[1], nil)
		p, err := FromStash(n, []cloth.Holding{{ID: 1, Form: cloth.Strip, Count: 40, WidthIn: 2.5, LengthIn: 40.5}}, nil, "", cutting.Options{})
		require.NoError(t, err)
		require.Equal(t, n.Binding.Strips, p.Strips[0].From[0].Count)
		require.Equal(t, n.Binding.Strips-1, p.Strips[0].Joins())
		require.GreaterOrEqual(t, p.Strips[0].HaveIn(), n.Binding.RoundIn)
		for _, g := range p.Gaps("mat") {
			require.NotEqual(t, "binding of mat", g.String())
		}
	}
}

// The strips chosen are the fewest that are enough, by weighing every choice of a few; and
// where all of them are not enough, all are joined.
func TestTheFewestJoins(t *testing.T) {
	n := joined(t, 4, 4, nil) // 2 × 32 + 10
	r := rand.New(rand.NewPCG(3, 1))
	enough, short := 0, 0
	for range 200 {
		var lengths []float64
		for range 1 + r.IntN(9) {
			lengths = append(lengths, 10.5+float64(r.IntN(160))/8)
		}
		p, err := FromStash(n, stripsLong(2.5, lengths...), nil, "", cutting.Options{})
		require.NoError(t, err)
		fewest, least, all := 0, 0.0, -2.5*float64(len(lengths)-1)
		for _, l := range lengths {
			all += l - 0.5
		}
		for set := 1; set < 1<<len(lengths); set++ {
			have := -2.5 * float64(bits.OnesCount(uint(set))-1)
			for i, l := range lengths {
				if set>>i&1 == 1 {
					have += l - 0.5
				}
			}
			if k := bits.OnesCount(uint(set)); have >= n.Binding.RoundIn && (fewest == 0 || k < fewest) {
				fewest, least = k, have
			}
		}
		s := p.Strips[0]
		if fewest == 0 {
			short++
			require.Len(t, s.From, len(lengths))
			require.InDelta(t, all, s.HaveIn(), 1e-9)
			require.InDelta(t, n.Binding.RoundIn-all+2.5, s.ShortIn(), 1e-9)
			require.Positive(t, s.BuyIn())
			continue
		}
		enough++
		require.Len(t, s.From, fewest)
		require.GreaterOrEqual(t, s.HaveIn(), n.Binding.RoundIn)
		require.Zero(t, s.ShortIn())
		require.Positive(t, least)
	}
	require.Greater(t, min(enough, short), 20)
}

// The last strip is the shortest that is enough, strips of the width go before wider ones,
// which are slit, and those of four widths and less are left.
func TestWhichStripsAreJoined(t *testing.T) {
	n := joined(t, 2, 2, nil) // 2 × 16 + 10 = 42
	require.InDelta(t, 42, n.Binding.RoundIn, 1e-9)
	p, err := FromStash(n, stripsLong(2.5, 30.5, 30.5, 16, 15, 14.5, 9), nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Equal(t, []Pulled{{1, 1}, {4, 1}}, p.Besides(), "30 + 14½ less 2½ is 42 to the last eighth")
	require.InDelta(t, 42, p.Strips[0].HaveIn(), 1e-9)
	require.Equal(t, "30 + 14½, less 1 diagonal join of 2½ = 42", p.Strips[0].Why(recipe.Inches()).Steps[0].Text)

	wide := append(stripsLong(5, 22), stripsLong(2.5, 20.5)...)
	wide[1].ID = 2
	wide = append(wide, cloth.Holding{ID: 3, Form: cloth.Square, Count: 4, WidthIn: 4.5, LengthIn: 4.5}) // the patches
	p, err = FromStash(n, wide, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Equal(t, []PulledStrips{
		{Pulled{2, 1}, 0, 1, 2.5, 20, 0.5}, {Pulled{1, 1}, 0, 2, 5, 21.5, 0.5},
	}, p.Strips[0].From, "the wide one is slit in two")
	require.InDelta(t, 20+2*21.5-5, p.Strips[0].HaveIn(), 1e-9)

	p, err = FromStash(n, stripsLong(2.5, 10, 9), nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Empty(t, p.Besides())
	require.InDelta(t, 42, p.Strips[0].ShortIn(), 1e-9)
	require.InDelta(t, 5, p.Strips[0].BuyIn(), 1e-9, "two strips of 40")
	gaps := p.Gaps("mat")
	require.Equal(t, Gap{Sought: Sought{One: "binding of mat"}, Quilt: "mat", ClothIn: 5}, gaps[len(gaps)-2])
}

// No strip is used twice, and the background's print is left; more cloth never leaves more
// to be joined from new cloth or fewer patches covered.
func TestStripsAreUsedOnce(t *testing.T) {
	n := joined(t, 5, 5, func(r *recipe.Recipe, s *Shop) {
		r.Borders = []recipe.Border{{WidthIn: 2, Role: recipe.Role{Name: "border", Value: recipe.MediumTone}, FromStrips: true}}
	})
	require.Equal(t, []bool{true, true}, []bool{n.Borders[0].FromStash, n.Binding.FromStash})
	r := rand.New(rand.NewPCG(7, 1))
	for range 15 {
		var stock []cloth.Holding
		left, covered := 1e9, 0
		for id := range int64(24) {
			h := cloth.Holding{ID: id + 1, Form: cloth.Strip, Count: 1 + r.IntN(2), WidthIn: []float64{2.5, 2.5, 4.5}[r.IntN(3)], LengthIn: float64(8 + r.IntN(30)), Value: cloth.Medium, Print: string(rune('a' + r.IntN(4)))}
			stock = append(stock, h)
			if id%6 != 5 {
				continue
			}
			p, err := FromStash(n, stock, nil, "d", cutting.Options{})
			require.NoError(t, err)
			pulled := counts(p.Pulled())
			for _, h := range stock {
				require.LessOrEqual(t, pulled[h.ID], h.Count)
				if h.Print == "d" {
					require.Zero(t, pulled[h.ID])
				}
			}
			_, now, _ := p.Totals()
			require.GreaterOrEqual(t, now, covered)
			if now == covered || covered == 25 {
				require.LessOrEqual(t, p.shortStrips(), left+1e-9)
			}
			left, covered = p.shortStrips(), now
			require.Len(t, p.Strips, 2)
			require.InDelta(t, 0.5, p.Strips[0].JoinIn, 1e-9, "a straight join takes two seams")
			require.InDelta(t, 2.5, p.Strips[1].JoinIn, 1e-9)
		}
	}
}

// Patches that could be cut from other cloth leave the strips to the binding, which has
// nothing else.
func TestPatchesLeaveStripsToTheBinding(t *testing.T) {
	n := joined(t, 2, 2, nil)
	for i := range n.Cuts { // patches that a strip of the binding's width gives
		n.Cuts[i].WidthIn, n.Cuts[i].LengthIn = 2.5, 2.5
	}
	stock := append(stripsLong(2.5, 24, 24.5), cloth.Holding{ID: 9, Form: cloth.Rectangle, Count: 1, WidthIn: 10, LengthIn: 30, Family: cloth.Green, Value: cloth.Medium})
	p, err := FromStash(n, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	_, covered, _ := p.Totals()
	require.Equal(t, 4, covered)
	require.Zero(t, p.shortStrips(), "%v", p.Strips)
	require.Equal(t, map[int64]int{1: 1, 2: 1, 9: 1}, counts(p.Pulled()))
}

// Where strips give either patches or the binding that is asked to be joined from them, the
// binding has them: as much new cloth is bought, and what its joins take.
func TestStripsThatAreAskedForAreNotCutIntoPatches(t *testing.T) {
	n := joined(t, 2, 2, nil)
	for i := range n.Cuts {
		n.Cuts[i].WidthIn, n.Cuts[i].LengthIn = 2.5, 11
	}
	p, err := FromStash(n, stripsLong(2.5, 24, 24.5), nil, "", cutting.Options{})
	require.NoError(t, err)
	_, covered, _ := p.Totals()
	require.Zero(t, covered)
	require.Zero(t, p.shortStrips())
}

// What cuts leave of strips is joined too, longest first as whole strips are, and does not
// go back; what is narrower, shorter than four widths or of other cloth than strips is not.
func TestRemnantsOfStripsAreJoined(t *testing.T) {
	n := joined(t, 2, 2, nil) // 42 round, four patches of 4½
	stock := []cloth.Holding{
		{ID: 1, Form: cloth.Strip, Count: 1, WidthIn: 4.5, LengthIn: 48, Family: cloth.Green, Value: cloth.Medium},
		{ID: 2, Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 20.5, Family: cloth.Green, Value: cloth.Medium},
	}
	p, err := FromStash(n, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Equal(t, []PulledStrips{{Pulled: Pulled{1, 0}, Cut: 1, Lengths: 1, WidthIn: 4.5, LengthIn: 29.5}, {Pulled: Pulled{2, 1}, Lengths: 1, WidthIn: 2.5, LengthIn: 20, TrimIn: 0.5}},
		[]PulledStrips{p.Strips[0].From[1], p.Strips[0].From[0]}, "48 less ½ and four of 4½ is 29½")
	require.InDelta(t, 29.5+20-2.5, p.Strips[0].HaveIn(), 1e-9)
	require.Zero(t, p.Strips[0].ShortIn())
	require.Equal(t, []Pulled{{1, 1}, {2, 1}}, p.Pulled(), "each once")
	rest := p.Cover.Cuts[0].Remains[0]
	require.Equal(t, []any{"binding", false}, []any{rest.For, rest.Kept})

	for _, other := range []cloth.Holding{
		{ID: 1, Form: cloth.Rectangle, Count: 1, WidthIn: 4.5, LengthIn: 48},
		{ID: 1, Form: cloth.Strip, Count: 1, WidthIn: 4.5, LengthIn: 28, Family: cloth.Green, Value: cloth.Medium},
	} {
		p, err := FromStash(n, []cloth.Holding{other}, nil, "", cutting.Options{})
		require.NoError(t, err)
		require.Empty(t, p.Strips[0].From)
		require.Len(t, p.Cover.Cuts, 1)
		require.Empty(t, p.Cover.Cuts[0].Remains[0].For)
	}
}

func TestWhereStripsComeFrom(t *testing.T) {
	for _, c := range []struct {
		source Source
		own    bool
		want   bool
	}{{"", false, false}, {"", true, true}, {Stash, false, true}, {Bought, true, false}} {
		n := joined(t, 2, 2, func(r *recipe.Recipe, s *Shop) { r.Binding.FromStrips, s.BindingFrom = c.own, c.source })
		require.Equal(t, c.want, n.Binding.FromStash)
		p, err := FromStash(n, nil, nil, "", cutting.Options{})
		require.NoError(t, err)
		require.Equal(t, c.want, len(p.Strips) == 1)
	}
	n := joined(t, 2, 2, func(r *recipe.Recipe, s *Shop) { r.Binding.Role = recipe.Role{Name: "background", Background: true} })
	require.False(t, n.Binding.FromStash, "the background is one fabric")
}
