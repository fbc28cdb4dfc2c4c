package cutting

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
)

// Of 18 × 21 cut into squares of 5¼ a strip of 2¼ goes back, whole; of 10 × 13 into 4 one of
// 2 along its length, and the inch across the rest is lost; a strip loses its end too.
func TestClothUsedUpByTheSimpleWay(t *testing.T) {
	of := func(w, l, loss float64) Lot {
		return Lot{Holding: cloth.Holding{WidthIn: w, LengthIn: l}, LossIn: loss}
	}
	require.InDelta(t, 18*21-2.25*21, of(18, 21, 0).UsedUp(5.25, 5.25), 1e-9)
	require.InDelta(t, 10*13-2*13, of(10, 13, 0).UsedUp(4, 4), 1e-9)
	require.InDelta(t, 2.5*20-2.5*4.5, of(2.5, 20, 0.5).UsedUp(2.5, 5), 1e-9)
	require.InDelta(t, 2.5*20-2.5*4.5, of(2.5, 20, 0.5).UsedUp(5, 2.5), 1e-9)
}

// Three wants in a ring: what is short takes cloth of the next, which takes cloth of the
// last, which finds other cloth. By counts alone none could be said to be scarce.
func TestWhatIsShortTakesClothOfOthers(t *testing.T) {
	square := func(id int64, n int, side float64, v cloth.Value) cloth.Holding {
		return cloth.Holding{ID: id, Form: cloth.Square, Count: n, WidthIn: side, LengthIn: side, Family: cloth.Blue, Value: v}
	}
	stock := []cloth.Holding{square(1, 4, 3.5, cloth.MediumDark), square(2, 4, 3.5, cloth.Medium), square(3, 4, 3.5, cloth.MediumLight)}
	wants := []Want{
		{W: 2.5, L: 2.5, Count: 4, Values: []cloth.Value{cloth.MediumDark}},
		{W: 3.5, L: 3.5, Count: 4, Values: []cloth.Value{cloth.MediumDark, cloth.Medium}},
		{W: 3, L: 3, Count: 4, Values: []cloth.Value{cloth.Medium, cloth.MediumLight}},
	}
	require.True(t, NewSimply(stock, Options{}).Cut(wants).Covers())
	c, err := FromStash(wants, stock, Options{})
	require.NoError(t, err)
	require.Zero(t, sum(c.Short))
}

// What is cut simply is there, gives so much, and a plan covers no less of it; more cloth
// never covers less where pieces of cloth give one piece each, for then it is a matching.
func TestCutSimply(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sides := []float64{1.5, 2, 2.5, 3.5, 5}
		values := []cloth.Value{cloth.Light, cloth.Medium, cloth.Dark}
		var wants []Want
		for i := range rapid.IntRange(1, 5).Draw(t, "wants") {
			w := Want{Role: fmt.Sprint(i), W: rapid.SampledFrom(sides).Draw(t, "wide"), L: rapid.SampledFrom(sides).Draw(t, "long"), Count: rapid.IntRange(1, 9).Draw(t, "count")}
			w.Values = values[rapid.IntRange(0, 1).Draw(t, "from"):][:2]
			if i > 0 && rapid.Bool().Draw(t, "set") {
				w.Set, w.Each = 1, rapid.IntRange(1, 3).Draw(t, "each")
				w.Count = w.Each * 3
			}
			wants = append(wants, w)
		}
		var stock []cloth.Holding
		for i := range rapid.IntRange(1, 8).Draw(t, "holdings") {
			h := cloth.Holding{ID: int64(i + 1), Form: cloth.Square, Count: rapid.IntRange(1, 6).Draw(t, "pieces"), Value: rapid.SampledFrom(values).Draw(t, "value"), Print: rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "print")}
			h.WidthIn = rapid.SampledFrom(sides).Draw(t, "side")
			h.LengthIn = h.WidthIn
			if rapid.Bool().Draw(t, "strip") {
				h.Form, h.LengthIn = cloth.Strip, rapid.Float64Range(3, 20).Draw(t, "length")
			}
			stock = append(stock, h)
		}
		s := NewSimply(stock, Options{})
		cut := s.Cut(wants)
		used, got := map[int64]int{}, make([]int, len(wants))
		ofSet := map[string][]int{} // pieces by print
		for _, g := range cut.Gives {
			require.LessOrEqual(t, g.Pieces, len(g.IDs)*s.Lots[g.Lot].Yield(wants[g.Want].W, wants[g.Want].L))
			got[g.Want] += g.Pieces
			for _, id := range g.IDs {
				used[id]++
				require.True(t, fits(wants[g.Want], stock[id-1]))
			}
			if print := stock[g.IDs[0]-1].Print; wants[g.Want].Set > 0 && print != "" {
				if ofSet[print] == nil {
					ofSet[print] = make([]int, len(wants))
				}
				ofSet[print][g.Want] += g.Pieces
			}
		}
		for id, n := range used {
			require.LessOrEqual(t, n, stock[id-1].Count)
		}
		for _, counts := range ofSet { // whole sets of each print
			sets := -1
			for i, w := range wants {
				if w.Set == 0 {
					continue
				}
				require.Zero(t, counts[i]%w.Each)
				require.True(t, sets < 0 || sets == counts[i]/w.Each)
				sets = counts[i] / w.Each
			}
		}
		simple := 0.0
		for i, w := range wants {
			require.Equal(t, w.Count-got[i], cut.Short[i])
			simple += float64(got[i]) * w.W * w.L
		}
		c, err := FromStash(wants, stock, Options{})
		require.NoError(t, err)
		requireSound(t, wants, stock, c)
		planned := 0.0
		for i, w := range wants {
			planned += float64(c.Covered[i]) * w.W * w.L
		}
		require.GreaterOrEqual(t, planned, simple-1e-6)
		require.Equal(t, s.Cut(wants), NewSimply(stock, Options{}).Cut(wants), "what is known changes nothing")
	})
}

// A plan of a large stash covers no less than the simple way does: of some of these the
// search alone covers less, for it takes what is the size of one want though another has no other.
func TestAPlanCoversNoLessThanTheSimpleWay(t *testing.T) {
	for _, seed := range []uint64{1, 2, 32, 50, 59, 61} { // at 32 to 59 the search alone covers less, at 61 with sets
		r := rand.New(rand.NewPCG(seed, 1))
		values := []cloth.Value{cloth.Light, cloth.Medium, cloth.MediumDark, cloth.Dark}
		sides := []float64{2, 2.5, 3.5, 5}
		var stock []cloth.Holding
		for i := range 8 {
			side := sides[r.IntN(len(sides))]
			stock = append(stock, cloth.Holding{ID: int64(i + 1), Form: cloth.Square, Count: 5 + r.IntN(60), WidthIn: side, LengthIn: side, Value: values[r.IntN(4)]})
		}
		var wants []Want
		for i := range 3 {
			from := r.IntN(3)
			wants = append(wants, Want{Role: fmt.Sprint(i), W: sides[r.IntN(3)], L: sides[r.IntN(3)], Count: 30 + r.IntN(100), Values: values[from : from+2]})
		}
		area := func(covered func(i int) int) (in2 float64) {
			for i, w := range wants {
				in2 += float64(covered(i)) * w.W * w.L
			}
			return in2
		}
		simple := NewSimply(stock, Options{}).Cut(wants)
		least := area(func(i int) int { return wants[i].Count - simple.Short[i] })
		c, err := FromStash(wants, stock, Options{})
		require.NoError(t, err)
		require.GreaterOrEqual(t, area(func(i int) int { return c.Covered[i] }), least-1e-6, "seed %d", seed)
		wants[0].Set, wants[0].Each = 1, 4 // which the simple way leaves whole or gives none of
		wants[0].Count -= wants[0].Count % 4
		c, err = FromStash(wants, stock, Options{})
		require.NoError(t, err)
		requireSound(t, wants, stock, c)
	}
}

// tight draws kinds of cloth and so much wanted that hardly a piece may go elsewhere: most of
// each kind is given to the want of which it gives the most worth.
func tight(seed uint64) (kinds []batch, need []int) {
	r := rand.New(rand.NewPCG(seed, 3))
	worth := make([]float64, 2+r.IntN(3))
	for i := range worth {
		worth[i] = 0.2 + 2*r.Float64()
	}
	need = make([]int, len(worth))
	for range 4 + r.IntN(14) {
		b := batch{count: 1 + r.IntN(10), each: make([]gift, len(worth))}
		area, best := 1+30*r.Float64()*r.Float64(), 0
		for i := range worth {
			if r.IntN(3) > 0 {
				b.each[i].pieces = int(area / float64(1+2*i))
			}
			if worth[i]*float64(b.each[i].pieces) > worth[best]*float64(b.each[best].pieces) {
				best = i
			}
		}
		if b.each[best].pieces == 0 {
			continue
		}
		kinds = append(kinds, b)
		for range b.count {
			i := best
			if r.IntN(20) == 0 {
				i = r.IntN(len(worth))
			}
			need[i] += b.each[i].pieces
		}
	}
	return kinds, need
}

// Dealt want by want a tenth of such stashes were found short, though each covers what is
// asked; and one piece more made some short that were not.
func TestClothThatIsJustEnoughIsFoundToBe(t *testing.T) {
	const tries = 4000
	covered, lost := 0, 0
	for seed := range uint64(tries) {
		kinds, need := tight(seed)
		d := dealOf(kinds, need)
		if !d.covers() || len(kinds) == 0 {
			continue
		}
		covered++
		kinds[seed%uint64(len(kinds))].count++
		if d = dealOf(kinds, need); !d.covers() {
			lost++
		}
	}
	t.Logf("%d of %d found, %d lost with a piece more", covered, tries, lost)
	require.Greater(t, 100*covered, 97*tries)
	require.LessOrEqual(t, lost, 2)
}

// A stash that covers corners, squares of two values and keys, from kinds of cloth that give
// 1 to 56 of them; with one medium-light piece more, which no corner is cut from, two corners
// were short.
func TestOnePieceMoreMakesNoCornerShort(t *testing.T) {
	var kinds []batch
	for _, k := range [][5]int{
		{9, 0, 0, 1, 0}, {11, 0, 1, 0, 0}, {10, 0, 4, 0, 0}, {2, 0, 3, 0, 1}, {3, 0, 4, 0, 1}, {1, 0, 0, 5, 2}, {3, 0, 6, 0, 2}, {2, 1, 8, 0, 4},
		{1, 0, 0, 7, 3}, {2, 0, 10, 0, 4}, {4, 0, 0, 8, 4}, {3, 0, 0, 11, 5}, {10, 1, 16, 0, 4}, {7, 0, 0, 16, 4}, {1, 0, 0, 0, 6}, {2, 0, 12, 0, 5},
		{2, 0, 0, 14, 6}, {1, 0, 0, 16, 8}, {1, 0, 0, 24, 12}, {1, 0, 0, 56, 24},
	} {
		b := batch{count: k[0], each: make([]gift, 4)}
		for i := range b.each {
			b.each[i].pieces = k[1+i]
		}
		kinds = append(kinds, b)
	}
	need := []int{4, 160, 128, 104}
	d := dealOf(kinds, need)
	require.True(t, d.covers())
	kinds[13].count--
	d = dealOf(kinds, need)
	require.True(t, d.covers())
}
