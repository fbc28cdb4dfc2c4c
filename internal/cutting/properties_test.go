package cutting

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// usedOf is how many of each stock entry a plan takes or cuts.
func usedOf(stock []cloth.Holding, c Cover) []int {
	used := make([]int, len(stock))
	for _, p := range c.Pulls {
		for _, l := range p.Lines {
			used[l.Stock] += l.Count
		}
	}
	return used
}

// requireReadyFirst fails if something is cut of which a piece of the size lies
// unused.
func requireReadyFirst(t require.TestingT, wants []Want, stock []cloth.Holding, c Cover) {
	used := usedOf(stock, c)
	for _, cut := range c.Cuts {
		for _, p := range cut.Pieces {
			for i, s := range stock {
				w := wants[p.Want]
				same := min(w.W, w.L) == min(s.WidthIn, s.LengthIn) && max(w.W, w.L) == max(s.WidthIn, s.LengthIn)
				require.False(t, same && used[i] < s.Count && fits(w, s) && s.Form != cloth.Irregular, "%v is cut while %v lies there", w, s)
			}
		}
	}
}

// requireShortFirst fails if cloth is cut where smaller cloth of its width that
// lies unused gives the same pieces in the same way, and no role loses a print.
func requireShortFirst(t require.TestingT, wants []Want, stock []cloth.Holding, c Cover) {
	used := usedOf(stock, c)
	prints := outcomeOf(wants, stock, c).prints
	for k, cut := range c.Cuts {
		from := stock[cut.Stock]
		reach := 0.0
		for _, p := range cut.Pieces {
			reach = max(reach, p.Y+p.H)
		}
		for i, s := range stock {
			suits := !slices.ContainsFunc(cut.Pieces, func(p Placement) bool { return !fits(wants[p.Want], s) })
			if s.Form != from.Form || !suits || used[i] == s.Count || s.WidthIn != from.WidthIn || s.LengthIn >= from.LengthIn || s.LengthIn < reach+cut.Trim {
				continue
			}
			other := c
			other.Cuts = slices.Clone(c.Cuts)
			other.Cuts[k].Stock = i
			require.Less(t, outcomeOf(wants, stock, other).prints, prints, "%v is cut while %v lies there", from, s)
		}
	}
}

// idle counts the cloths that a plan cuts though the rest of what it uses covers
// as much without, in as many prints.
func idle(t require.TestingT, wants []Want, stock []cloth.Holding, c Cover, o Options) int {
	used, n := usedOf(stock, c), 0
	all := outcomeOf(wants, stock, c)
	for _, cut := range c.Cuts {
		var rest []cloth.Holding
		for i, s := range stock {
			if s.Count = used[i]; i == cut.Stock {
				s.Count--
			}
			rest = append(rest, s)
		}
		without, err := FromStash(wants, rest, o)
		require.NoError(t, err)
		if got := outcomeOf(wants, stock, without); got.area >= all.area && got.prints >= all.prints {
			n++
		}
	}
	return n
}

// drawQuilt draws the wants of a quilt and a stash of some entries.
func drawQuilt(seed *draws, entries, pieces int) ([]Want, []cloth.Holding) {
	sizes := []float64{1.5, 2, 2.5, 3.5, 4.5, 5, 6.5}
	var wants []Want
	for i := range 2 + seed.below(4) {
		w := Want{Role: string(rune('a' + i%3)), W: sizes[seed.below(7)], Count: 5 + seed.below(pieces)}
		if w.L = w.W; seed.below(3) == 0 {
			w.L = sizes[seed.below(7)]
		}
		if seed.below(2) == 0 {
			w.Values = []cloth.Value{cloth.Values[seed.below(3)]}
		}
		wants = append(wants, w)
	}
	var stock []cloth.Holding
	for i := range entries/2 + seed.below(entries) {
		s := cloth.Holding{
			ID: int64(i + 1), Form: cloth.Strip, Count: 1, WidthIn: sizes[seed.below(7)], LengthIn: float64(24+seed.below(300)) / 8,
			Family: cloth.Families[seed.below(12)], Value: cloth.Values[seed.below(3)], Print: string(rune('a' + seed.below(20))),
		}
		switch seed.below(5) {
		case 0:
			s.Form, s.LengthIn, s.Count = cloth.Square, s.WidthIn, 1+seed.below(6)
		case 1:
			s.Form = cloth.Rectangle
		case 2:
			s.Print = ""
		}
		stock = append(stock, s)
	}
	return wants, stock
}

// Long strips were cut while short ones lay there, six rectangles where three did
// in 57 plans of 200, and squares of the size were left in the tin.
func TestNothingIsCutForNothing(t *testing.T) {
	seed := draws(99)
	cut, without := 0, 0
	for n := range 46 {
		wants, stock := drawQuilt(&seed, 20+n, 20+n)
		if n < 44 {
			continue
		}
		for _, prefer := range []Prefer{Scraps, Variety} {
			o := Options{Prefer: prefer}
			c, err := FromStash(wants, stock, o)
			require.NoError(t, err)
			requireSound(t, wants, stock, c)
			requireShortFirst(t, wants, stock, c)
			if prefer == Scraps {
				requireReadyFirst(t, wants, stock, c)
				cut, without = cut+len(c.Cuts), without+idle(t, wants, stock, c, o)
			}
		}
	}
	t.Logf("%d of %d cloths are cut for nothing", without, cut)
	require.LessOrEqual(t, 100*without, cut)
}

// A large plan has nearly as many prints as there are for each of its roles.
func TestPrintsOfLargePlansAreMany(t *testing.T) {
	wants, stock := twoStarQuilt(0.75), basketOfStrips(1000, 2463534242)
	got, err := FromStash(wants, stock, Options{})
	require.NoError(t, err)
	most := 0
	for _, w := range wants {
		prints := map[string]bool{}
		for _, s := range stock {
			if fits(w, s) && w.W <= min(s.WidthIn, s.LengthIn-0.5) && w.L <= max(s.WidthIn, s.LengthIn-0.5) {
				prints[s.Print] = true
			}
		}
		most += min(w.Count, len(prints))
	}
	require.Greater(t, 100*outcomeOf(wants, stock, got).prints, 98*most)
}

// Of a thousand strips with 199 short ones, once none of the short ones was cut
// into.
func TestShortStripsGoFirst(t *testing.T) {
	stock := basketOfStrips(1000, 2463534242)
	wants := twoStarQuilt(0.25)
	for i := range wants {
		wants[i].Role = "" // for their own sake, not for the prints
	}
	c, err := FromStash(wants, stock, Options{})
	require.NoError(t, err)
	require.Zero(t, sum(c.Short))
	requireSound(t, wants, stock, c)
	requireShortFirst(t, wants, stock, c)
	short, cut := 0, 0
	for _, s := range stock {
		if s.LengthIn < 13.2 {
			short++
		}
	}
	for _, k := range c.Cuts {
		if stock[k.Stock].LengthIn < 13.2 {
			cut++
		}
	}
	require.Equal(t, 200, short)
	require.Greater(t, cut, 150)
}

// A plan comes to no less, by its own aims, than the plan for another preference.
// The least waste once covered more than scraps did, and scraps had more prints than
// variety.
func TestNoPreferenceDoesBetterByTheAimsOfAnother(t *testing.T) {
	seed := draws(4711)
	prefers := []Prefer{Scraps, Variety, Waste}
	for range 25 {
		wants, stock := drawQuilt(&seed, 10, 12)
		var all []outcome
		for _, prefer := range prefers {
			c, err := FromStash(wants, stock, Options{Prefer: prefer})
			require.NoError(t, err)
			o := outcomeOf(wants, stock, c)
			o.spared, o.cuts, o.waste = nil, 0, 0
			all = append(all, o)
		}
		for i, prefer := range prefers {
			for k, other := range all {
				if prefer == Waste { // prints come after the waste
					other.prints = all[i].prints
				}
				require.GreaterOrEqual(t, other.compare(all[i], prefer), 0, "%s gives %v, %s %v: %v from %v", prefer, all[i], prefers[k], other, wants, stock)
			}
		}
	}
}
