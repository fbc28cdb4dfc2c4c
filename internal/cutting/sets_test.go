package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
)

// drawSets joins some of drawn wants to sets.
func drawSets(seed *draws, wants []Want) {
	for i := range wants {
		w := &wants[i]
		if w.Set = seed.below(3); w.Set > 0 {
			w.Each = 1 + seed.below(2)
			w.Count = w.Each * (1 + seed.below(2))
			w.Values = nil
		}
	}
	for i := range wants { // sets alike are as many of each
		for _, other := range wants[:i] {
			if w := &wants[i]; w.Set > 0 && w.Set == other.Set {
				w.Count = w.Each * (other.Count / other.Each)
			}
		}
	}
}

// requireMatched checks that what is covered of sets is dealt out whole, each from one
// print, and each piece once.
func requireMatched(t require.TestingT, wants []Want, stock []cloth.Holding, c Cover) {
	dealt := make([]int, len(wants))
	type from struct {
		id   int64
		want int
		cut  bool
	}
	had := map[from]int{}
	for _, r := range c.Ready {
		had[from{r.ID, r.Want, false}] += r.Count
	}
	for _, d := range c.Cuts {
		for _, p := range d.Pieces {
			had[from{d.ID, p.Want, true}]++
		}
	}
	for _, s := range c.Sets {
		each := make([]int, len(wants))
		print, one := stock[s.Pieces[0].Stock].Print, s.Pieces[0].Stock
		for _, p := range s.Pieces {
			each[p.Want]++
			dealt[p.Want]++
			k := from{p.ID, p.Want, p.Cut}
			had[k]--
			require.GreaterOrEqual(t, had[k], 0, "a piece in two sets")
			require.Equal(t, print, stock[p.Stock].Print)
			if print == "" {
				require.Equal(t, one, p.Stock, "cloth of no known print matches itself alone")
			}
		}
		for i, w := range wants {
			if w.Set == s.Set {
				require.Equal(t, w.Each, each[i])
			} else {
				require.Zero(t, each[i])
			}
		}
	}
	for i, w := range wants {
		if w.Set > 0 {
			require.Equal(t, c.Covered[i], dealt[i])
		}
	}
}

// A plan of sets that is said to be the best is as good as any that brute force finds.
func TestSetsSaidToBeTheBestAre(t *testing.T) {
	seed := draws(88172645463325252)
	sets := 0
	for range 250 {
		wants, stock := drawSmall(&seed, 4)
		drawSets(&seed, wants)
		for _, prefer := range []Prefer{Scraps, Variety} {
			got, err := FromStash(wants, stock, Options{Prefer: prefer})
			require.NoError(t, err)
			require.True(t, got.Optimal)
			requireSound(t, wants, stock, got)
			requireMatched(t, wants, stock, got)
			sets += len(got.Sets)
			best, found := bruteForce(wants, stock, prefer), outcomeOf(wants, stock, got)
			best.waste, found.waste = 0, 0
			require.LessOrEqual(t, found.compare(best, prefer), 0, "%v is better than %v: %v from %v", best, found, wants, stock)
		}
	}
	require.Greater(t, sets, 100)
}

// The way for large plans, set to small ones: never better than the best, and mostly as
// good.
func TestPackingAgainstTheBest(t *testing.T) {
	seed := draws(88172645463325252)
	for _, prefer := range []Prefer{Scraps, Waste, Variety} {
		cover, all := 0, 0
		for all < 200 {
			wants, stock := drawSmall(&seed, 9)
			drawSets(&seed, wants)
			p, _, err := newProblem(wants, stock, Options{Prefer: prefer}.filled())
			require.NoError(t, err)
			if p.sets == nil {
				continue
			}
			all++
			best, ok := p.exact()
			require.True(t, ok)
			got := p.packed()
			for i, n := range got.left {
				require.GreaterOrEqual(t, n, 0, i)
			}
			require.False(t, got.better(best), "%v is better than %v: %v from %v", got.score(), best.score(), wants, stock)
			if best.score()[uncovered] == got.score()[uncovered] {
				cover++
			}
		}
		t.Logf("%s: of %d, %d cover as much as the best", prefer, all, cover)
		require.Greater(t, 100*cover, 97*all)
	}
}

func TestSetsAreSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wants := drawWants(4, 6).Draw(t, "wants")
		times := rapid.IntRange(1, 9).Draw(t, "times")
		for i := range wants {
			if w := &wants[i]; rapid.Bool().Draw(t, "in a set") {
				w.Set, w.Each = 1+i%2, max(1, w.Count)
				w.Count = w.Each * times
			}
		}
		stock := drawStock(25, 30).Draw(t, "stock")
		c, err := FromStash(wants, stock, Options{})
		require.NoError(t, err)
		requireSound(t, wants, stock, c)
		requireMatched(t, wants, stock, c)
	})
}

// Plans of many sets, packed, can be cut, and more cloth never makes fewer; with pieces
// besides that match nothing it never covers less.
func TestMoreStockNeverMakesFewerSets(t *testing.T) {
	seed := draws(1234567)
	packed := 0
	for n := range 40 {
		var wants []Want
		for i := range 1 + seed.below(3) {
			w := Want{Role: "a", W: 2.5, L: []float64{2.5, 4.5, 6.5}[i], Set: 1, Each: 1 + seed.below(4)}
			w.Count = w.Each * (4 + n)
			wants = append(wants, w)
		}
		if loose := n%2 == 1; loose {
			wants = append(wants, Want{Role: "b", W: 2, L: 3, Count: n})
		}
		draw := func(count int) (stock []cloth.Holding) {
			for range count {
				s := cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: float64(6 + seed.below(30)), Print: string(rune('a' + seed.below(12)))}
				if seed.below(3) == 0 {
					s.Form, s.Count, s.LengthIn = cloth.Square, 1+seed.below(6), 2.5
				}
				s.ID = int64(seed.below(1_000_000_000))
				stock = append(stock, s)
			}
			return stock
		}
		stock := draw(10 + 2*n)
		less, err := FromStash(wants, stock, Options{})
		require.NoError(t, err)
		more, err := FromStash(wants, append(stock, draw(4)...), Options{})
		require.NoError(t, err)
		if n%2 == 0 {
			require.GreaterOrEqual(t, len(more.Sets), len(less.Sets))
		}
		require.GreaterOrEqual(t, coveredArea(wants, more), coveredArea(wants, less)-eps)
		requireSound(t, wants, stock, less)
		requireMatched(t, wants, stock, less)
		if !less.Optimal {
			packed++
		}
	}
	require.Greater(t, packed, 10)
}

// Four squares of a colour that were counted by hand may be of four prints; what one strip
// gives is of one.
func TestClothOfNoKnownPrintMatchesItselfAlone(t *testing.T) {
	two := square(2.5, 4)
	two.Set, two.Each = 1, 2
	squares := cloth.Holding{ID: 1, Form: cloth.Square, Count: 4, WidthIn: 2.5, LengthIn: 2.5}
	c, err := FromStash([]Want{two}, []cloth.Holding{squares}, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{0}, c.Covered)
	squares.Print = "a"
	c, err = FromStash([]Want{two}, []cloth.Holding{squares}, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{4}, c.Covered)
	c, err = FromStash([]Want{two}, stripsOf(2.5, 3, 3, 5.5), Options{})
	require.NoError(t, err)
	require.Equal(t, []int{2}, c.Covered, "of three strips one gives two squares")
}

// What a set leaves of its strip gives pieces that match nothing, though another piece of a
// set, which nothing completes, would fill it better.
func TestWhatASetLeavesIsCutIntoTheRest(t *testing.T) {
	two := square(2.5, 4)
	two.Set, two.Each = 1, 2
	stock := append(stripsOf(2.5, 8), cloth.Holding{Form: cloth.Square, Count: 1, WidthIn: 2.5, LengthIn: 2.5})
	stock[0].Print, stock[1].Print = "a", "b"
	p, _, err := newProblem([]Want{two, {W: 2.5, L: 2, Count: 1, Prints: []string{"a"}}}, stock, Options{}.filled())
	require.NoError(t, err)
	require.Equal(t, []int{2, 0}, p.packed().left, "one set of two, and the other piece")
}

// A set takes pieces of one print from several pieces of cloth, as they are and cut, and no
// part of a set is covered.
func TestASetFromSeveralPieces(t *testing.T) {
	four := square(2.5, 8)
	four.Set, four.Each = 1, 4
	stock := append(stripsOf(2.5, 5.5, 3), cloth.Holding{Form: cloth.Square, Count: 3, WidthIn: 2.5, LengthIn: 2.5})
	for i := range stock {
		stock[i].Print, stock[i].ID = "a", int64(i+1)
	}
	c, err := FromStash([]Want{four}, stock, Options{})
	require.NoError(t, err)
	require.Equal(t, []int{4}, c.Covered)
	require.Equal(t, []int{4}, c.Short)
	require.Len(t, c.Sets, 1)
	require.Equal(t, []SetPiece{{Stock: 2, ID: 3}, {Stock: 2, ID: 3}, {Stock: 2, ID: 3}, {Stock: 1, ID: 2, Cut: true}}, c.Sets[0].Pieces)
}
