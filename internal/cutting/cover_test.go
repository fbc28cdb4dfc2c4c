package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
)

// requireSound checks everything that must hold of any plan.
func requireSound(t require.TestingT, wants []Want, stock []Stock, o Options, c Cover) {
	o = o.filled()
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
			a, b = a*o.Sure, b*o.Sure
		}
		if b == 0 {
			b = o.AssumeLength
		}
		require.InDelta(t, a*b, cut.Width*(cut.Trim+cut.Length), 0.01)
		rects := rectsOf(cut.Pieces)
		laid := 0.0
		counts := map[int]int{}
		for _, p := range cut.Pieces {
			w := wants[p.Want]
			require.True(t, fits(w, s), "%v does not suit %v", s, w)
			if p.Turned {
				w.W, w.L = w.L, w.W
			}
			require.InDelta(t, w.W, p.W, eps)
			require.InDelta(t, w.L, p.H, eps)
			covered[p.Want]++
			counts[p.Want]++
			laid += p.W * p.H
		}
		waste += cut.Trim * cut.Width
		for _, r := range cut.Remains {
			rects = append(rects, r.Rect)
			laid += r.W * r.H
			require.Equal(t, min(r.W, r.H) >= o.Keep-eps, r.Kept)
			if !r.Kept {
				waste += r.W * r.H
			}
		}
		requireCuttable(t, cut.Width, cut.Length, rects)
		require.InDelta(t, cut.Width*cut.Length, laid, 0.2, "cloth is lost")
		for _, st := range cut.Steps {
			if st.Want >= 0 {
				counts[st.Want] -= st.Times
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
	require.LessOrEqual(t, c.Bound, c.Waste+1e-6)
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

func drawStock(most int, longest float64) *rapid.Generator[[]Stock] {
	return rapid.Custom(func(t *rapid.T) []Stock {
		list := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Stock {
			s := Stock{
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
		o := Options{AssumeLength: rapid.SampledFrom([]float64{0, 12}).Draw(t, "assume")}
		c, err := FromStash(wants, stock, o)
		require.NoError(t, err)
		requireSound(t, wants, stock, o, c)
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
