package cutting

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
)

// Brute force: all sets of pieces that can be cut from a piece of cloth, built
// from sets of rows and segments on a half-inch grid, and all assignments of
// them. It shares no code with the search, only the definition of the cuts; all
// sides are whole half inches, areas in their squares, and sides under 3 are
// not kept.

type outcome struct{ area, made, spoilt, waste, cuts int }

func (o outcome) plus(p outcome) outcome {
	return outcome{o.area + p.area, o.made + p.made, o.spoilt + p.spoilt, o.waste + p.waste, o.cuts + p.cuts}
}

func (o outcome) beats(p outcome) bool {
	switch {
	case o.area != p.area:
		return o.area > p.area
	case o.made != p.made:
		return o.made < p.made
	case o.spoilt != p.spoilt:
		return o.spoilt < p.spoilt
	case o.waste != p.waste:
		return o.waste < p.waste
	}
	return o.cuts < p.cuts
}

// set is the best outcome for each list of counts, written as a string.
type set map[string]outcome

func (s set) put(counts []int, o outcome) {
	key := fmt.Sprint(counts)
	if old, ok := s[key]; !ok || o.beats(old) {
		s[key] = o
	}
}

func countsOf(key string, n int) []int {
	out := make([]int, n)
	rest := []any{}
	for i := range out {
		rest = append(rest, &out[i])
	}
	form := "["
	for i := range out {
		if i > 0 {
			form += " "
		}
		form += "%d"
	}
	if _, err := fmt.Sscanf(key, form+"]", rest...); err != nil {
		panic(err)
	}
	return out
}

func addCounts(a, b []int) []int {
	out := slices.Clone(a)
	for i, n := range b {
		out[i] += n
	}
	return out
}

func over(counts, most []int) bool {
	for i, n := range counts {
		if n > most[i] {
			return true
		}
	}
	return false
}

func scrap(a, b int) int {
	if a >= 3 && b >= 3 {
		return 0
	}
	return a * b
}

type brute struct {
	sizes [][2]int // of the wants
	most  []int
	may   []bool // the wants that this cloth suits
}

// lengthsOf gives the wants with a side of w, and their other sides.
func (b brute) lengthsOf(w int) (wants, lengths []int) {
	for i, s := range b.sizes {
		if !b.may[i] {
			continue
		}
		if s[0] == w {
			wants, lengths = append(wants, i), append(lengths, s[1])
		}
		if s[1] == w && s[0] != s[1] {
			wants, lengths = append(wants, i), append(lengths, s[0])
		}
	}
	return wants, lengths
}

func (b brute) row(w, long int) set {
	out := set{}
	wants, lengths := b.lengthsOf(w)
	var lay func(counts []int, at, n, from int)
	lay = func(counts []int, at, n, from int) {
		cuts := n
		if at == long && n > 0 {
			cuts--
		}
		area := 0
		for i, c := range counts {
			area += c * b.sizes[i][0] * b.sizes[i][1]
		}
		out.put(counts, outcome{area: area, made: n, waste: scrap(w, long-at), cuts: cuts})
		for k := from; k < len(wants); k++ {
			next := slices.Clone(counts)
			if next[wants[k]]++; at+lengths[k] <= long && !over(next, b.most) {
				lay(next, at+lengths[k], n+1, k)
			}
		}
	}
	lay(make([]int, len(b.sizes)), 0, 0, 0)
	return out
}

func (b brute) segment(wide, long int) set {
	widths := []int{}
	for i, s := range b.sizes {
		if b.may[i] {
			widths = append(widths, s[0], s[1])
		}
	}
	slices.Sort(widths)
	widths = slices.Compact(widths)
	out := set{}
	var slitting func(sofar set, left int, rows []int)
	slitting = func(sofar set, left int, rows []int) {
		kinds := slices.Compact(slices.Clone(rows))
		if len(kinds) > 2 {
			return
		}
		for key, o := range sofar {
			if len(rows) > 0 {
				o.cuts += len(rows) - 1
				if left > 0 {
					o.cuts++
				}
				o.waste += scrap(left, long)
				out.put(countsOf(key, len(b.sizes)), o)
			}
		}
		for _, w := range widths {
			if w > left || len(rows) > 0 && w < rows[len(rows)-1] {
				continue
			}
			next := set{}
			for ka, oa := range sofar {
				for kb, ob := range b.row(w, long) {
					if c := addCounts(countsOf(ka, len(b.sizes)), countsOf(kb, len(b.sizes))); !over(c, b.most) {
						next.put(c, oa.plus(ob))
					}
				}
			}
			slitting(next, left-w, append(slices.Clone(rows), w))
		}
	}
	empty := set{}
	empty.put(make([]int, len(b.sizes)), outcome{})
	slitting(empty, wide, nil)
	return out
}

// cloth is every set of pieces from cloth of a width and length.
func (b brute) cloth(wide, long int) set {
	fixed := map[int]bool{}
	for i, s := range b.sizes {
		if b.may[i] {
			fixed[s[0]], fixed[s[1]] = true, true
		}
	}
	segments := make([]set, long+1)
	for u := 1; u <= long; u++ {
		segments[u] = b.segment(wide, u)
	}
	// done[free][at]: what may be cut up to at, having used the free segment or not
	done := [2][]set{make([]set, long+1), make([]set, long+1)}
	for f := range done {
		for at := range done[f] {
			done[f][at] = set{}
		}
	}
	zero := make([]int, len(b.sizes))
	done[0][0].put(zero, outcome{})
	out := set{}
	for at := 0; at <= long; at++ {
		for f := range 2 {
			for key, o := range done[f][at] {
				counts := countsOf(key, len(b.sizes))
				whole := o
				whole.waste += scrap(wide, long-at)
				if at == long {
					whole.cuts--
				}
				if at > 0 {
					out.put(counts, whole)
				}
				for u := 1; at+u <= long; u++ {
					g := f
					if !fixed[u] {
						g++
					}
					if g > 1 {
						continue
					}
					for kb, ob := range segments[u] {
						c := countsOf(kb, len(b.sizes))
						if slices.Max(c) == 0 || over(addCounts(counts, c), b.most) {
							continue
						}
						ob.cuts++
						done[g][at+u].put(addCounts(counts, c), o.plus(ob))
					}
				}
			}
		}
	}
	return out
}

// bruteForce is the best outcome of all, trims of one half inch for strips.
func bruteForce(wants []Want, stock []Stock) outcome {
	half := func(in float64) int { return int(in * 2) }
	var sizes [][2]int
	var most []int
	for _, w := range wants {
		sizes, most = append(sizes, [2]int{half(w.W), half(w.L)}), append(most, w.Count)
	}
	plans := set{}
	plans.put(make([]int, len(wants)), outcome{})
	for _, s := range stock {
		may := make([]bool, len(wants))
		suits := false
		for i, w := range wants {
			may[i] = fits(w, s)
			suits = suits || may[i]
		}
		if !suits {
			continue
		}
		w, l := half(s.WidthIn), half(s.LengthIn)
		b := brute{sizes, most, may}
		ways := set{}
		add := func(wide, long, trim int) {
			for key, o := range b.cloth(wide, long-trim) {
				if trim > 0 {
					o.cuts++
					o.waste += trim * wide
				}
				if s.Form == cloth.Square {
					o.spoilt = wide * long
				}
				ways.put(countsOf(key, len(wants)), o)
			}
		}
		if s.Form == cloth.Strip {
			if l > 1 {
				add(w, l, 1)
			}
		} else {
			add(w, l, 0)
			if w != l {
				add(l, w, 0)
			}
		}
		for i, size := range sizes {
			if may[i] && most[i] > 0 && (size == [2]int{w, l} || size == [2]int{l, w}) {
				one := make([]int, len(wants))
				one[i] = 1
				ways.put(one, outcome{area: w * l})
			}
		}
		for range s.Count {
			next := set{}
			for ka, oa := range plans {
				a := countsOf(ka, len(wants))
				next.put(a, oa)
				for kb, ob := range ways {
					if c := addCounts(a, countsOf(kb, len(wants))); !over(c, most) {
						next.put(c, oa.plus(ob))
					}
				}
			}
			plans = next
		}
	}
	best := outcome{area: -1}
	for _, o := range plans {
		if o.beats(best) {
			best = o
		}
	}
	return best
}

func drawSmall(t *rapid.T) ([]Want, []Stock) {
	sizes := []float64{1.5, 2, 2.5, 3, 4}
	wants := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Want {
		w := Want{W: rapid.SampledFrom(sizes).Draw(t, "w"), L: rapid.SampledFrom(sizes).Draw(t, "l"), Count: rapid.IntRange(1, 3).Draw(t, "count")}
		if rapid.Bool().Draw(t, "dark") {
			w.Values = []cloth.Value{cloth.Dark}
		}
		return w
	}), 1, 3).Draw(t, "wants")
	stock := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Stock {
		s := Stock{
			Form:  rapid.SampledFrom([]cloth.Form{cloth.Strip, cloth.Strip, cloth.Square, cloth.Rectangle}).Draw(t, "form"),
			Count: 1, WidthIn: rapid.SampledFrom(sizes).Draw(t, "width"),
			LengthIn: float64(rapid.IntRange(3, 11).Draw(t, "halves")) / 2,
			Value:    rapid.SampledFrom([]cloth.Value{cloth.Dark, cloth.Light}).Draw(t, "value"),
		}
		if s.Form == cloth.Square {
			s.LengthIn = s.WidthIn
		}
		return s
	}), 1, 4).Draw(t, "stock")
	return wants, stock
}

func outcomeOf(wants []Want, stock []Stock, c Cover) outcome {
	o := outcome{cuts: c.CutCount, waste: int(c.Waste*4 + 0.5)}
	for i, n := range c.Covered {
		o.area += n * int(wants[i].W*2) * int(wants[i].L*2)
	}
	for _, cut := range c.Cuts {
		o.made += len(cut.Pieces)
		if stock[cut.Stock].Form == cloth.Square {
			o.spoilt += int(cut.Width * cut.Length * 4)
		}
	}
	return o
}

func TestSmallPlansAreTheBest(t *testing.T) {
	agreed, cut := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		wants, stock := drawSmall(t)
		got, err := FromStash(wants, stock, Options{})
		require.NoError(t, err)
		if !got.Optimal {
			return // too many patterns for a proof
		}
		best, found := bruteForce(wants, stock), outcomeOf(wants, stock, got)
		require.False(t, best.beats(found), "%v is better than %v", best, found)
		found.waste, found.cuts = best.waste, best.cuts // joining may save some of both
		require.Equal(t, best, found)
		if agreed++; len(got.Cuts) > 0 {
			cut++
		}
	})
	require.Positive(t, cut)
	t.Logf("%d plans as good as brute force, %d with cuts", agreed, cut)
}
