package plan

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// keeping plans quilts one by one and keeps each plan, as the command does.
type keeping struct {
	t     *testing.T
	stock []cloth.Holding
	names []string
	kept  []Saved
}

// plan plans a quilt, anew where a plan of its name is kept.
func (k *keeping) plan(name string, n *Needs) Pull {
	k.t.Helper()
	shares, err := Shares(k.stock, k.kept, cutting.Options{})
	require.NoError(k.t, err)
	left, own, at := k.stock, []Pulled(nil), len(k.kept)
	for i, share := range shares {
		if k.names[i] == name {
			own, at = share, i
		} else {
			left, _ = Leave(left, share)
		}
	}
	p, err := FromStash(n, left, own, "", cutting.Options{})
	require.NoError(k.t, err)
	if at == len(k.kept) {
		k.names, k.kept = append(k.names, name), append(k.kept, Saved{})
	}
	k.kept[at] = p.Saved(name)
	return p
}

// squaresOf is a quilt of 2½ inch squares alone.
func squaresOf(n int, tone recipe.Tone) *Needs {
	role := recipe.Role{Name: "patches", Value: tone}
	return &Needs{
		Recipe: &recipe.Recipe{Name: "squares"}, Cuts: []recipe.Lot{{Role: role, WidthIn: 2.5, LengthIn: 2.5, Count: n, For: []string{"squares"}}},
	}
}

// A plan that was kept, planned again when cloth had been bought for another, once
// left its own strip and took the other's squares.
func TestAKeptPlanKeepsItsOwnCloth(t *testing.T) {
	strip := cloth.Holding{ID: 1, Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 10.5, Family: cloth.Pink, Value: cloth.Light}
	k := keeping{t: t, stock: []cloth.Holding{strip}}
	require.Equal(t, []Pulled{{1, 1}}, k.plan("any", squaresOf(4, "")).Pulled())
	require.Equal(t, 4, k.plan("dark", squaresOf(4, recipe.DarkTone)).Gaps("dark")[0].Pieces)

	k.stock = append(k.stock, cloth.Holding{ID: 2, Form: cloth.Square, Count: 5, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue, Value: cloth.Dark})
	require.Equal(t, []Pulled{{1, 1}}, k.plan("any", squaresOf(4, "")).Pulled())
	// A new quilt sees the rest: one square.
	require.Equal(t, []Pulled{{2, 1}}, k.plan("new", squaresOf(4, "")).Pulled())
	require.Equal(t, []Pulled{{2, 4}}, k.plan("dark", squaresOf(4, recipe.DarkTone)).Pulled())
	// Made larger, a quilt keeps what it has, and asks the rest for more.
	k.stock = append(k.stock, cloth.Holding{ID: 3, Form: cloth.Square, Count: 9, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue, Value: cloth.Dark})
	require.Equal(t, []Pulled{{1, 1}, {3, 2}}, k.plan("any", squaresOf(6, "")).Pulled())
}

// bought is stock that fills gaps to the piece.
func bought(gaps []Gap, from int64) (out []cloth.Holding) {
	for _, g := range gaps {
		if g.Pieces == 0 {
			continue
		}
		s := cloth.Holding{ID: from + int64(len(out)), Form: cloth.Rectangle, Count: g.Pieces, WidthIn: min(g.WidthIn, g.LengthIn), LengthIn: max(g.WidthIn, g.LengthIn), Family: cloth.Grey}
		if s.WidthIn == s.LengthIn {
			s.Form = cloth.Square
		}
		families, values := Allowed(g.Family, g.Tone)
		if families != nil {
			s.Family = families[0]
		}
		if values != nil {
			s.Value = values[0]
		}
		out = append(out, s)
	}
	return out
}

// However kept plans are planned again after shopping, none pulls what is another's.
func TestKeptPlansTakeNothingOfEachOther(t *testing.T) {
	recipes := []string{"four-patch", "ohio-star", "nine-patch", "rail-fence", "hourglass", "log-cabin", "pinwheel", "bricks"}
	for seed := range uint64(12) {
		rng := rand.New(rand.NewPCG(17, seed))
		k := keeping{t: t}
		for i := range 14 {
			s := cloth.Holding{ID: int64(i + 1), Form: cloth.Strip, Count: 1 + rng.IntN(2), WidthIn: []float64{1.5, 2.5, 3.5, 5}[rng.IntN(4)], LengthIn: 8 + float64(rng.IntN(34)),
				Family: cloth.Families[rng.IntN(8)], Value: cloth.Values[rng.IntN(5)]}
			if i%3 == 0 {
				s.Form, s.Count, s.LengthIn = cloth.Square, 1+rng.IntN(6), s.WidthIn
			}
			k.stock = append(k.stock, s)
		}
		var quilts [3]*Needs
		for i := range quilts {
			quilts[i] = needs(t, recipes[rng.IntN(len(recipes))], 1+rng.IntN(4))
			k.plan(fmt.Sprint(i), quilts[i])
		}
		var gaps []Gap
		for _, s := range k.kept {
			gaps = append(gaps, s.Gaps...)
		}
		k.stock = append(k.stock, bought(gaps, 100)...)
		for _, i := range rng.Perm(len(quilts)) {
			shares, err := Shares(k.stock, k.kept, cutting.Options{})
			require.NoError(t, err)
			k.plan(fmt.Sprint(i), quilts[i])
			of := map[int64]int{}
			for j, share := range shares {
				if j == i {
					share = k.kept[i].Pulled
				}
				for id, n := range counts(share) {
					of[id] += n
				}
			}
			for _, s := range k.stock {
				require.LessOrEqual(t, of[s.ID], s.Count, "seed %d: holding %d", seed, s.ID)
			}
		}
	}
}

// clothOf is what a shopping list says to buy, uncut.
func clothOf(list Shopping, from int64) (out []cloth.Holding) {
	for _, p := range list.Buy {
		if p.One != "" {
			continue
		}
		families, values := Allowed(p.Family, p.Tone)
		for range p.Prints {
			s := cloth.Holding{ID: from + int64(len(out)), Form: cloth.Rectangle, Count: 1, WidthIn: p.BuyIn, LengthIn: cutting.DefaultWidth, Family: cloth.Grey, Value: cloth.Medium}
			if p.Fat != nil {
				s.Count, s.WidthIn, s.LengthIn = p.FatCount, p.Fat.Width, p.Fat.Long
			}
			if s.WidthIn > s.LengthIn {
				s.WidthIn, s.LengthIn = s.LengthIn, s.WidthIn
			}
			if families != nil {
				s.Family = families[0]
			}
			if values != nil {
				s.Value = values[0]
			}
			s.Print = fmt.Sprint("bought ", s.ID)
			out = append(out, s)
		}
	}
	return out
}

// Cloth that was bought for two quilts was all kept by the one that was planned
// first, and the list counted it for both.
func TestWhatBuySaysIsEnough(t *testing.T) {
	recipes := []string{"four-patch", "nine-patch", "rail-fence", "plain-squares"}
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(18, seed))
		k := keeping{t: t}
		quilts := make([]*Needs, 2+rng.IntN(2))
		var gaps []Gap
		for i := range quilts {
			quilts[i] = needs(t, recipes[rng.IntN(len(recipes))], 2+rng.IntN(6))
			gaps = append(gaps, k.plan(fmt.Sprint(i), quilts[i]).Gaps(fmt.Sprint(i))...)
		}
		k.stock = clothOf(shopping(t, gaps, nil, 0), 1)
		for _, i := range rng.Perm(len(quilts)) {
			_, _, short := k.plan(fmt.Sprint(i), quilts[i]).Totals()
			require.Zero(t, short, "seed %d: quilt %d, %s", seed, i, quilts[i].Recipe.Name)
		}
	}
}

// A layout claims what lies in it uncut and unsewn, the cloth that the rest is cut from, and
// what is pulled besides; scraps are of no one holding.
func TestWhatALayoutHolds(t *testing.T) {
	l := Laid{
		Pieces: []LaidPiece{
			{Holding: 3}, {Holding: 3}, {Holding: 5, Stage: PulledStage},
			{Holding: 3, Stage: SewnStage}, {Holding: 8, Cut: true}, {Holding: 9, Scrap: true}, {Holding: 9, Cut: true, Stage: SewnStage}, {},
		},
		Cloth:   []CutCloth{{Holding: 8}, {Holding: 8}, {Holding: 5}},
		Besides: []Pulled{{ID: 11, Count: 4}, {ID: 3, Count: 1}},
	}
	require.Equal(t, []Pulled{{3, 3}, {5, 2}, {8, 2}, {11, 4}}, l.Holds())
}

// What is sewn is drawn in all of its colours.
func TestWhatIsSewnKeepsItsColours(t *testing.T) {
	h := cloth.Holding{ID: 7, Family: cloth.Blue, Measured: true, Colours: []cloth.Ink{{Share: 0.7}, {Colour: colour.Linear{1, 1, 1}, Share: 0.3}}}
	was := WasOf(h)
	require.Equal(t, h.Colours, was.Holding(7).Colours)
	was.Colours = nil
	require.Len(t, was.Holding(7).Colours, 1, "as it was kept before")
}
