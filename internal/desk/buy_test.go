package desk

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

// What shelf, refill and buy want was once three figures: buy said "do not buy" of
// what refill listed as short, bought what refill cut from a rectangle, and asked
// again for what had come in since a quilt was planned.
func TestShelfRefillAndBuyWantTheSame(t *testing.T) {
	sizes := []float64{2.45, 2.5, 5}
	piece := rapid.Custom(func(t *rapid.T) cloth.Holding {
		h := cloth.Holding{
			Form: rapid.SampledFrom([]cloth.Form{cloth.Square, cloth.Square, cloth.Strip, cloth.Rectangle, cloth.Irregular, cloth.Band}).Draw(t, "form"), Count: rapid.IntRange(1, 30).Draw(t, "count"),
			Family: rapid.SampledFrom([]cloth.Family{cloth.Red, cloth.Blue, cloth.Green, ""}).Draw(t, "family"),
			Value:  rapid.SampledFrom([]cloth.Value{cloth.Light, cloth.Dark, ""}).Draw(t, "value"),
			Bin:    rapid.SampledFrom([]string{"", "", "mine"}).Draw(t, "bin"),
		}
		h.WidthIn = rapid.SampledFrom(sizes).Draw(t, "width")
		switch h.Form {
		case cloth.Square:
			h.LengthIn = h.WidthIn
		case cloth.Band:
			h.WidthIn = 0
		default:
			h.LengthIn = float64(rapid.IntRange(6, 20).Draw(t, "length"))
		}
		return h
	})
	rapid.Check(t, func(t *rapid.T) {
		held := rapid.SliceOfN(piece, 1, 8).Draw(t, "held")
		for i := range held {
			held[i].ID = int64(i + 1)
		}
		of := func() shelf.Alike {
			h := rapid.SampledFrom(held).Draw(t, "of")
			return shelf.AlikeOf(h)
		}
		var floors []shelf.Floor
		for range rapid.IntRange(0, 3).Draw(t, "floors") {
			f := shelf.Floor{Least: rapid.IntRange(1, 40).Draw(t, "least")}
			switch rapid.IntRange(0, 3).Draw(t, "floor of") {
			case 1:
				f.Cut = shelf.Square(2.5)
			case 2:
				f.Alike, f.Cut = of(), shelf.Square(2.5)
			case 3:
				f.Alike = of()
			}
			floors = append(floors, f)
		}
		var quilts []planned
		for _, name := range []string{"a", "b"}[:rapid.IntRange(0, 2).Draw(t, "quilts")] {
			q := planned{quilt: name}
			if a := of(); a != (shelf.Alike{}) {
				q.Takes = []plan.Taking{{Bin: a.Own, Family: a.Family, Value: a.Value, Form: cloth.Square, WidthIn: 2.5, LengthIn: 2.5, Count: rapid.IntRange(1, 20).Draw(t, "takes")}}
			}
			q.Gaps = []plan.Gap{
				{Sought: plan.Sought{Tone: recipe.DarkTone}, Quilt: name, WidthIn: 2.5, LengthIn: 2.5, Pieces: rapid.IntRange(1, 60).Draw(t, "lacks")},
				{Sought: plan.Sought{One: "binding of " + name}, Quilt: name, ClothIn: 12},
			}
			quilts = append(quilts, q)
		}
		o := shelf.StockOptions{Trim: shelf.DefaultTrim, Floors: floors, Needs: shelfNeeds(quilts), Lacks: shelfLacks(quilts)}
		w, err := subCut(Shelf{Stock: shelf.TakeStock(held, o), Holdings: held}, quilts, cutting.Options{})
		require.NoError(t, err)

		count := map[shelf.Alike]map[shelf.Cut]int{}
		for _, b := range w.Stock.Boxes {
			if count[b.Alike] == nil {
				count[b.Alike] = map[shelf.Cut]int{}
			}
			count[b.Alike][b.Cut] = b.Count
		}
		gaps := gapsOf(w)
		bought := func(a shelf.Alike, c shelf.Cut) (n int) {
			width, length := sidesOf(c)
			for _, g := range gaps {
				if g.Quilt == "" && g.Bin == a.Own && g.Family == a.Family && g.Value == a.Value && g.WidthIn == width && g.LengthIn == length {
					n += g.Pieces
				}
			}
			return n
		}
		lacking := 0
		for _, s := range w.Stock.Short {
			switch {
			case s.Reason == shelf.Lacking:
				lacking += s.By()
			case s.Form == cloth.Square && s.Family != "" && s.Value != "":
				at := -1
				for k, i := range w.refill.Thin {
					if b := w.bins[i]; b.Own == s.Own && b.Family == s.Family && b.Value == s.Value && b.Cut == shelf.Square(s.Width) {
						require.Negative(t, at, "twice in the refill")
						at = k
						require.Equal(t, []int{s.Count, s.Want}, []int{w.refill.Have[i], b.Least}, "%v", s)
						require.Equal(t, s.By(), w.refill.Covered[k]+w.refill.Short[k])
						require.Equal(t, w.refill.Short[k], bought(s.Alike, s.Cut), "%v", s)
					}
				}
				require.GreaterOrEqual(t, at, 0, "%v is thin on the shelf alone", s)
			}
		}
		forQuilts := 0
		for _, g := range gaps {
			if g.Quilt != "" {
				forQuilts += g.Pieces
			}
		}
		require.Equal(t, lacking, forQuilts)
		s, err := plan.Buy(gaps, heldOf(w), plan.Habits{Shop: plan.Defaults(recipe.Inches())})
		require.NoError(t, err)
		for _, e := range s.Enough {
			for _, h := range held {
				if e.Name != shelf.AlikeOf(h).String()+", "+shelf.CutOf(h).String() {
					continue
				}
				for _, short := range w.Stock.Short {
					require.False(t, short.FilledBy(h), "not to be bought, and would fill %v", short)
				}
			}
		}
	})
}

// A colour out of balance wants 14 beside the 4 that its thin bin wants; of the seven
// squares that its strip gives that bin takes four.
func TestStripsAreCutUpOnce(t *testing.T) {
	square := func(id int64, n int, f cloth.Family) cloth.Holding {
		return cloth.Holding{ID: id, Form: cloth.Square, Count: n, WidthIn: 2.5, LengthIn: 2.5, Family: f, Value: cloth.Dark}
	}
	held := []cloth.Holding{square(1, 40, cloth.Blue), square(2, 40, cloth.Green), square(3, 1, cloth.Red), {
		ID: 4, Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 18, Family: cloth.Red, Value: cloth.Dark,
	}}
	o := shelf.StockOptions{Trim: shelf.DefaultTrim, Floors: []shelf.Floor{{Alike: shelf.Alike{Family: cloth.Red, Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 5}}}
	w, err := subCut(Shelf{Stock: shelf.TakeStock(held, o), Holdings: held}, nil, cutting.Options{})
	require.NoError(t, err)
	require.Equal(t, []plan.Gap{{Sought: plan.Sought{Family: cloth.Red}, WidthIn: 2.5, LengthIn: 2.5, Pieces: 14 - (7 - 4)}}, gapsOf(w))
}

// A colour or a value that is missing altogether is brought by what is bought of it, of
// any value or colour, and by nothing else.
func TestWhatIsMissingIsBrought(t *testing.T) {
	darkRed := plan.Purchase{Sought: plan.Sought{Family: cloth.Red, Value: cloth.Dark}}
	missing := func(f cloth.Family, v cloth.Value) shelf.Thin { return shelf.Thin{Family: f, Value: v} }
	require.True(t, brings(darkRed, missing(cloth.Red, "")))
	require.True(t, brings(darkRed, missing("", cloth.Dark)))
	require.False(t, brings(darkRed, missing(cloth.Blue, "")))
	require.False(t, brings(darkRed, missing("", cloth.Light)))
	require.False(t, brings(plan.Purchase{}, missing(cloth.Red, "")))
}

// A bin is of a colour where each part that the colour names is its own.
func TestWhichBinsAColourSpeaksOf(t *testing.T) {
	darkBlue := shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}
	own := shelf.Alike{Own: "sea greens"}
	for _, c := range []struct {
		of, bin shelf.Alike
		speaks  bool
	}{
		{shelf.Alike{}, darkBlue, true}, {darkBlue, darkBlue, true}, {shelf.Alike{Family: cloth.Blue}, darkBlue, true},
		{shelf.Alike{Value: cloth.Dark}, darkBlue, true}, {shelf.Alike{Value: cloth.Light}, darkBlue, false},
		{shelf.Alike{Family: cloth.Red}, darkBlue, false}, {own, own, true}, {own, darkBlue, false}, {darkBlue, own, false},
	} {
		require.Equal(t, c.speaks, speaksOf(c.of, c.bin), "%v of %v", c.bin, c.of)
	}
}

// Leftovers are cut into the squares that the stash holds and the strips that are thin in
// it; what is thin is worth more, by the share that is missing.
func TestWhatLeftoversAreCutInto(t *testing.T) {
	blue := shelf.Alike{Family: cloth.Blue}
	short := func(c shelf.Cut, count, want int) shelf.Short {
		return shelf.Short{Alike: blue, Cut: c, Count: count, Want: want}
	}
	strips := func(in float64) shelf.Cut { return shelf.Cut{Form: cloth.Strip, Width: shelf.Mark(in)} }
	stock := shelf.Stock{
		Boxes: []shelf.Box{{Alike: blue, Cut: shelf.Square(2.5)}, {Alike: blue, Cut: strips(3)}, {Alike: blue, Cut: shelf.Square(3.5)}},
		Short: []shelf.Short{short(shelf.Square(3.5), 3, 4), short(strips(2), 0, 6), short(shelf.Square(5), 1, 9)},
	}
	sizes, thin := sizesFor(stock, nil, nil, blue)
	var sides []float64
	for _, s := range sizes {
		sides = append(sides, s.W, s.L, s.Weight)
	}
	require.Equal(t, []float64{2.5, 2.5, 1, 3.5, 3.5, 1.25, 2, 0, 2}, sides)
	require.Equal(t, []shelf.Short{{}, stock.Short[0], stock.Short[1]}, thin)
	sizes, _ = sizesFor(stock, nil, nil, shelf.Alike{Family: cloth.Red})
	require.Equal(t, []cutting.Size{{W: 2.5, L: 2.5, Weight: 1}, {W: 3.5, L: 3.5, Weight: 1}}, sizes, "no bin of reds is thin")
}

// What one planned quilt lacks is bought, and the list knows that it is of a quilt, and all
// that is held.
func TestWhatOneQuiltLacksIsBought(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(12, cloth.Blue, cloth.Dark))
	b, err := d.Buy(ctx, BuyRequest{Habits: plan.Habits{Shop: plan.Defaults(recipe.Inches())}})
	require.NoError(t, err)
	require.False(t, b.Planned)
	r, err := recipe.BuiltIn("four-patch")
	require.NoError(t, err)
	_, err = d.Plan(ctx, PlanRequest{Order: plan.Order{Recipe: r, Columns: 3, Rows: 4}, Shop: plan.Defaults(recipe.Inches()), Save: "mat"})
	require.NoError(t, err)
	b, err = d.Buy(ctx, BuyRequest{Habits: plan.Habits{Shop: plan.Defaults(recipe.Inches())}})
	require.NoError(t, err)
	require.True(t, b.Planned)
	require.NotEmpty(t, b.Shopping.Buy)
	require.Equal(t, []string{"mat"}, b.Shopping.Buy[0].Helps)
	require.Len(t, b.Holdings, 1)
	require.Equal(t, 12, b.Holdings[0].Count)
}
