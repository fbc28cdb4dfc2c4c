package arrange

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/crillab/gophersat/solver"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// grid is a quilt of rows × columns squares of 2 inches.
func grid(rows, columns int, corners bool, pieces []Piece) Problem {
	p := Problem{WidthIn: 2 * float64(columns), HeightIn: 2 * float64(rows), Pieces: pieces, Look: Even, Seed: 1}
	for r := range rows {
		for c := range columns {
			x, y := 2*float64(c), 2*float64(r)
			p.Polygons = append(p.Polygons, geom.Polygon{{X: x, Y: y}, {X: x + 2, Y: y}, {X: x + 2, Y: y + 2}, {X: x, Y: y + 2}})
			i := len(p.Places)
			p.Places = append(p.Places, Place{Patches: []int{i}, Kept: -1, Block: i})
			if c > 0 {
				p.Links = append(p.Links, Link{A: i - 1, B: i})
			}
			if r > 0 {
				p.Links = append(p.Links, Link{A: i - columns, B: i})
				if corners && c > 0 {
					p.Links = append(p.Links, Link{A: i - columns - 1, B: i, Corner: true})
				}
				if corners && c < columns-1 {
					p.Links = append(p.Links, Link{A: i - columns + 1, B: i, Corner: true})
				}
			}
		}
	}
	p.Suits = [][]int{make([]int, len(pieces))}
	for i := range pieces {
		p.Suits[0][i] = i
	}
	return p
}

var families = []cloth.Family{cloth.Blue, cloth.Green, cloth.Red, cloth.Yellow, cloth.Orange, cloth.Purple, cloth.Pink, cloth.Teal}

// planted draws a colouring of a grid in which no two squares that touch are alike:
// first the largest family, in a random set of squares that lie apart, then the others.
// It gives the pieces that it used.
func planted(r *rand.Rand, rows, columns int, largest float64, kinds int) []Piece {
	n := rows * columns
	at := make([]int, n)
	for i := range at {
		at[i] = -1
	}
	beside := func(i int) (out []int) {
		x, y := i%columns, i/columns
		if x > 0 {
			out = append(out, i-1)
		}
		if x < columns-1 {
			out = append(out, i+1)
		}
		if y > 0 {
			out = append(out, i-columns)
		}
		if y < rows-1 {
			out = append(out, i+columns)
		}
		return out
	}
	side := r.IntN(2)
	want := int(largest * float64(n))
	for _, i := range r.Perm(n) {
		if (i%columns+i/columns)%2 == side && want > 0 {
			at[i] = 0
			want--
		}
	}
	for again := true; again; {
		again = false
		for _, i := range r.Perm(n) {
			if at[i] >= 0 {
				continue
			}
			var free []int
			for k := 1; k < kinds; k++ {
				ok := true
				for _, j := range beside(i) {
					ok = ok && at[j] != k
				}
				if ok {
					free = append(free, k)
				}
			}
			if free == nil { // begin what lies about it anew
				for _, j := range beside(i) {
					if at[j] > 0 {
						at[j] = -1
					}
				}
				again = true
				continue
			}
			at[i] = free[r.IntN(len(free))]
		}
	}
	count := map[int]int{}
	for _, k := range at {
		count[k]++
	}
	var out []Piece
	for k := range kinds {
		for n := 0; count[k] > 0; n++ {
			take := min(count[k], 1+r.IntN(5))
			count[k] -= take
			out = append(out, Piece{Holding: int64(len(out) + 1), Count: take, Family: families[k], Print: fmt.Sprintf("%s %d", families[k], n), Lightness: 20 + 70*r.Float64(), Chroma: 60 * r.Float64(), Hue: 360 * r.Float64()})
		}
	}
	return out
}

// Where a layout without touches was planted one is found, also where every piece is
// used and one family fills nearly half.
func TestPlanted(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 1))
		rows, columns := 4+r.IntN(17), 4+r.IntN(17)
		largest := 0.3 + 0.199*r.Float64()
		p := grid(rows, columns, false, planted(r, rows, columns, largest, 4))
		s := laid(t, p, 1)
		assert.Zero(t, s.total, "%d × %d, the largest %.3f, seed %d", rows, columns, largest, seed)
		valid(t, p, s.at)
	}
}

// laid is the search after its first half, which places pieces so that little touches.
func laid(t *testing.T, p Problem, effort float64) *search {
	p.Effort = effort
	b, err := newBoard(&p)
	require.NoError(t, err)
	s := newSearch(b)
	s.part(context.Background())
	return s
}

// valid checks a layout against the problem by itself.
func valid(t *testing.T, p Problem, at []int32) {
	t.Helper()
	used := make([]int, len(p.Pieces))
	for i, x := range at {
		if x >= 0 {
			used[x]++
			assert.Contains(t, p.Suits[p.Places[i].Class], int(x))
		}
	}
	for x, n := range used {
		assert.LessOrEqual(t, n, p.Pieces[x].Count)
	}
}

// Evenness is worked out in closed form; here layouts at random are drawn and counted.
func TestEvennessOfAGrid(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	p := grid(12, 9, false, planted(r, 12, 9, 0.3, 5))
	windows := p.windows()
	require.Len(t, windows, 10*7)
	for _, w := range windows {
		require.Len(t, w, 9)
	}
	out, err := Lay(context.Background(), p)
	require.NoError(t, err)
	variance := func(at []int) float64 {
		var means []float64
		for _, w := range windows {
			m := 0.0
			for _, i := range w {
				m += p.Pieces[at[i]].Lightness / 9
			}
			means = append(means, m)
		}
		m, v := 0.0, 0.0
		for _, x := range means {
			m += x / float64(len(means))
		}
		for _, x := range means {
			v += (x - m) * (x - m) / float64(len(means))
		}
		return v
	}
	const draws = 4000
	at := append([]int(nil), out.At...)
	mean := 0.0
	for range draws {
		r.Shuffle(len(at), func(i, j int) { at[i], at[j] = at[j], at[i] })
		mean += variance(at) / draws
	}
	assert.InDelta(t, 1-variance(out.At)/mean, out.Evenness, 0.01)
	assert.Greater(t, out.Evenness, 0.9)
}

func BenchmarkLarge(b *testing.B) {
	r := rand.New(rand.NewPCG(7, 7))
	p := grid(100, 100, false, planted(r, 100, 100, 0.3, 6))
	b.ResetTimer()
	for range b.N {
		out, err := Lay(context.Background(), p)
		require.NoError(b, err)
		b.ReportMetric(float64(len(out.Touches)), "touches")
		b.ReportMetric(out.Evenness, "evenness")
	}
}

// Ten times the time finds little more.
func TestMoreTimeFindsLittleMore(t *testing.T) {
	if testing.Short() {
		t.Skip("searches ten times as long")
	}
	for _, n := range []int{8, 20} {
		r := rand.New(rand.NewPCG(uint64(n), 3))
		p := grid(n, n, false, planted(r, n, n, 0.35, 6))
		one, err := Lay(context.Background(), p)
		require.NoError(t, err)
		p.Effort = 10
		ten, err := Lay(context.Background(), p)
		require.NoError(t, err)
		assert.Greater(t, one.Evenness, 0.95*ten.Evenness)
	}
}

// For a grid at most half of the places lie apart, with corners ceil(R/2)·ceil(C/2)
// (Eppstein, "Coloring kinggraphs", 11 April 2019). Touches were counted by hand: in a
// full checkerboard a square more touches as many as lie beside it: two in a
// corner of the quilt, three at its edge, four within.
func TestCrowded(t *testing.T) {
	for _, c := range []struct {
		rows, columns, blue int
		corners             bool
		touches             int
		because             string
	}{
		{8, 12, 48, false, 0, "no two that touch need be alike"},
		{8, 12, 56, false, 2*2 + 6*3, "56 of 96 patches are blue: at most 48 can lie apart"},
		{6, 6, 9, true, 0, "no two that touch need be alike"},
		{6, 6, 12, true, 3, "12 of 36 patches are blue: at most 9 can lie apart"},
		{20, 20, 205, false, 2*2 + 3*3, "205 of 400 patches are blue: at most 200 can lie apart"},
	} {
		pieces := []Piece{{Holding: 1, Count: c.blue, Family: cloth.Blue, Lightness: 40}}
		for i := range c.rows*c.columns - c.blue {
			pieces = append(pieces, Piece{Holding: int64(i + 2), Count: 1, Family: cloth.Many, Print: fmt.Sprint(i), Lightness: 60})
		}
		s := laid(t, grid(c.rows, c.columns, c.corners, pieces), 1)
		least := s.least(s.at)
		assert.Equal(t, int(s.total), least.Touches, "%+v", c)
		assert.Equal(t, c.touches, least.Touches, "%+v", c)
		assert.Equal(t, c.because, least.Because, "%+v", c)
	}
}

// On small quilts of any shape the fewest touches found are the fewest there are, as a
// solver of pseudo-Boolean problems finds them (crillab/gophersat), and the bound is
// never above them.
func TestAgainstAnExactSolver(t *testing.T) {
	proved := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 9))
		rows, columns, kinds := 2+r.IntN(3), 2+r.IntN(3), 2+r.IntN(3)
		n := rows * columns
		var pieces []Piece
		left := n + r.IntN(3)
		for k := range kinds {
			count := left
			if k < kinds-1 {
				count = r.IntN(left + 1)
			}
			left -= count
			pieces = append(pieces, Piece{Holding: int64(k + 1), Count: count, Family: families[k], Lightness: 50})
		}
		p := grid(rows, columns, r.IntN(2) == 0, pieces)
		for range r.IntN(4) { // seams that no grid has
			a, b := r.IntN(n), r.IntN(n)
			if a != b && !linked(p, a, b) {
				p.Links = append(p.Links, Link{A: a, B: b})
			}
		}
		s := laid(t, p, 0.1)
		want := exact(p)
		least := s.least(s.at)
		assert.Equal(t, want, int(s.total), "seed %d", seed)
		assert.LessOrEqual(t, least.Touches, want, "seed %d: %+v", seed, least)
		if least.Touches == want {
			proved++
		}
		// So small a quilt is weighed whole where the bound does not prove it.
		at := make([]int, n)
		for i, x := range s.at {
			at[i] = int(x)
		}
		judged, err := p.Judge(at)
		require.NoError(t, err)
		assert.True(t, judged.Proved(), "seed %d: %+v", seed, judged.Least)
		worse := append([]int(nil), at...)
		worse[0], worse[n-1] = worse[n-1], worse[0]
		judged, err = p.Judge(worse)
		require.NoError(t, err)
		assert.LessOrEqual(t, judged.Least.Touches, want, "seed %d", seed)
		if !judged.Proved() {
			assert.Equal(t, want, judged.Least.Touches, "seed %d", seed)
		}
	}
	assert.Greater(t, proved, 30)
}

func linked(p Problem, a, b int) bool {
	for _, l := range p.Links {
		if l.A == a && l.B == b || l.A == b && l.B == a {
			return true
		}
	}
	return false
}

// exact is the fewest touches of a problem whose pieces are a family each.
func exact(p Problem) int {
	kinds := len(p.Pieces)
	lies := func(place, kind int) int { return place*kinds + kind + 1 }
	touches := func(link int) int { return len(p.Places)*kinds + link + 1 }
	var rules []solver.PBConstr
	for i := range p.Places {
		var one []int
		for k := range p.Pieces {
			one = append(one, lies(i, k))
		}
		rules = append(rules, solver.AtLeast(one, 1), solver.AtMost(append([]int(nil), one...), 1))
	}
	for k, x := range p.Pieces {
		var all []int
		for i := range p.Places {
			all = append(all, lies(i, k))
		}
		rules = append(rules, solver.AtMost(all, x.Count))
	}
	var cost []solver.Lit
	for e, l := range p.Links {
		cost = append(cost, solver.IntToLit(int32(touches(e))))
		for k := range p.Pieces {
			rules = append(rules, solver.PropClause(touches(e), -lies(l.A, k), -lies(l.B, k)))
		}
	}
	problem := solver.ParsePBConstrs(rules)
	weights := make([]int, len(cost))
	for i := range weights {
		weights[i] = 1
	}
	problem.SetCostFunc(cost, weights)
	return solver.New(problem).Minimize()
}

// Where there is too little cloth the pieces lie apart, with empty places between.
func TestTooLittleCloth(t *testing.T) {
	p := grid(4, 4, true, []Piece{{Holding: 1, Count: 2, Family: cloth.Red}, {Holding: 2, Count: 2, Family: cloth.Blue}})
	for p.Seed = 1; p.Seed < 9; p.Seed++ {
		s := laid(t, p, 0.1)
		assert.Zero(t, s.total)
		assert.Zero(t, s.least(s.at).Touches)
	}
}

// What is kept in a place stays there, and what never touches does not.
func TestKeptAndApart(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	p := grid(6, 7, false, planted(r, 6, 7, 0.3, 4))
	last := len(p.Pieces) - 1
	p.Places[17].Kept = last
	p.Apart = [][2]int64{{1, int64(last + 1)}}
	p.Effort = 0.1
	out, err := Lay(context.Background(), p)
	require.NoError(t, err)
	assert.Equal(t, last, out.At[17])
	assert.Empty(t, out.Touches)
	p.Pieces[last].Count = 0
	_, err = Lay(context.Background(), p)
	assert.ErrorContains(t, err, "more of piece")
}

// The same seed gives the same layout, another another.
func TestSeed(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	p := grid(9, 9, false, planted(r, 9, 9, 0.3, 5))
	p.Effort = 0.1
	one, err := Lay(context.Background(), p)
	require.NoError(t, err)
	again, err := Lay(context.Background(), p)
	require.NoError(t, err)
	assert.Equal(t, one, again)
	p.Seed++
	other, err := Lay(context.Background(), p)
	require.NoError(t, err)
	assert.Less(t, p.Same(one.At, other.At), 0.5)
}

// A wash runs from light to dark.
func TestWash(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	p := grid(10, 12, false, planted(r, 10, 12, 0.25, 6))
	p.Look, p.Effort = WashAcross, 0.3
	out, err := Lay(context.Background(), p)
	require.NoError(t, err)
	assert.Empty(t, out.Touches)
	assert.Less(t, out.Wash, 0.2)
	var left, right float64
	for i, x := range out.At {
		if p.Polygons[i].Centroid().X < 12 {
			left += p.Pieces[x].Lightness
		} else {
			right += p.Pieces[x].Lightness
		}
	}
	assert.Greater(t, left, 1.3*right)
}

// When it is stopped the search gives what it has.
func TestStopped(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	p := grid(10, 10, false, planted(r, 10, 10, 0.3, 5))
	ctx, stop := context.WithCancel(context.Background())
	stop()
	out, err := Lay(ctx, p)
	require.NoError(t, err)
	assert.True(t, out.Interrupted)
	assert.Greater(t, out.Evenness, 0.6, "it is fit to look at")
	assert.NotContains(t, out.At, -1)
}

// What a swap is said to gain is what it gains, also of two places that touch.
func TestGainIsWhatChanges(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	p := grid(5, 5, true, planted(r, 5, 5, 0.3, 4))
	b, err := newBoard(&p)
	require.NoError(t, err)
	s := newSearch(b)
	s.deal()
	for range 400 {
		i, j := int32(r.IntN(25)), int32(r.IntN(25))
		if !s.barter(i, j) {
			continue
		}
		was, gain, x, y := s.total, s.gain(i, j), s.at[i], s.at[j]
		s.put(i, -1)
		s.put(j, x)
		s.put(i, y)
		require.Equal(t, was-gain, s.total)
		kept := append([]int32(nil), s.touching...)
		s.count()
		require.Equal(t, kept, s.touching)
	}
}

// Of places with two sides as many lie apart as there can be; where three meet, a greedy
// choice finds one of each three.
func TestIndependent(t *testing.T) {
	for _, size := range [][2]int{{5, 7}, {20, 20}, {3, 4}} {
		p := grid(size[0], size[1], false, []Piece{{Holding: 1, Count: 1}})
		b, err := newBoard(&p)
		require.NoError(t, err)
		open := make([]bool, len(p.Places))
		for i := range open {
			open[i] = i != 1
		}
		got := b.independent(open)
		most := (size[0]*size[1] + 1) / 2
		assert.GreaterOrEqual(t, len(got), most-1)
		in := map[int32]bool{}
		for _, i := range got {
			in[i] = true
			assert.True(t, open[i])
		}
		for _, l := range p.Links {
			assert.False(t, in[int32(l.A)] && in[int32(l.B)])
		}
	}
	p := grid(6, 9, true, []Piece{{Holding: 1, Count: 1}})
	b, err := newBoard(&p)
	require.NoError(t, err)
	open := make([]bool, len(p.Places))
	for i := range open {
		open[i] = true
	}
	assert.Len(t, b.independent(open), 3*5)
}

// Two of one family must not touch, nor two of one print, nor two of one holding whose
// print is not known; of many colours only those of one print.
func TestAlike(t *testing.T) {
	p := Problem{Apart: [][2]int64{{1, 6}}, Pieces: []Piece{
		{Holding: 1, Family: cloth.Blue, Print: "a"}, {Holding: 2, Family: cloth.Blue, Print: "b"},
		{Holding: 3, Family: cloth.Many, Print: "c"}, {Holding: 4, Family: cloth.Many, Print: "d"}, {Holding: 5, Family: cloth.Many, Print: "c"},
		{Holding: 6}, {Holding: 7}, {Holding: 8, Family: cloth.Red, Print: "a"},
	}}
	p.Suits = [][]int{nil}
	b, err := newBoard(&p)
	require.NoError(t, err)
	for _, c := range []struct {
		a, b int
		why  Cause
	}{{0, 1, SameFamily}, {2, 3, ""}, {2, 4, SamePrint}, {5, 6, ""}, {5, 5, SamePrint}, {0, 7, SamePrint}, {0, 5, KeptApart}, {5, 0, KeptApart}, {1, 5, ""}} {
		assert.Equal(t, c.why, b.alike(int32(c.a), int32(c.b)), "%v", c)
	}
	for i := range p.Pieces {
		for j := range p.Pieces {
			assert.Equal(t, b.alike(int32(i), int32(j)) != "", b.clash(int32(i), int32(j)), "%d %d", i, j)
		}
	}
}

// A small quilt is weighed whole only where groups of pieces say all there is to say.
func TestWhatIsNotWeighed(t *testing.T) {
	made := func(change func(p *Problem)) (Least, bool) {
		p := grid(2, 2, true, []Piece{{Holding: 1, Count: 2, Family: cloth.Red}, {Holding: 2, Count: 2, Family: cloth.Blue}})
		change(&p)
		b, err := newBoard(&p)
		require.NoError(t, err)
		at := []int32{0, 0, 1, 1}
		if p.Pieces[1].Count == 1 {
			at[3] = -1
		}
		return b.weigh(at, 9)
	}
	l, ok := made(func(*Problem) {})
	require.True(t, ok)
	require.Equal(t, 2, l.Touches)
	for what, change := range map[string]func(p *Problem){
		"an empty place":             func(p *Problem) { p.Pieces[1].Count = 1 },
		"a piece that is kept":       func(p *Problem) { p.Places[2].Kept = 1 },
		"pieces that are kept apart": func(p *Problem) { p.Apart = [][2]int64{{1, 2}} },
		"one print in two families":  func(p *Problem) { p.Pieces[0].Print, p.Pieces[1].Print = "a", "a" },
		"pieces of a group that suit otherwise": func(p *Problem) {
			p.Pieces = append(p.Pieces, Piece{Holding: 3, Count: 1, Family: cloth.Red})
		},
	} {
		_, ok := made(change)
		require.False(t, ok, what)
	}
}

// spotted is a grid of 6 × 6 squares in blocks of three, of which every fourth touches a
// background.
func spotted(look Look) Problem {
	r := rand.New(rand.NewPCG(9, 9))
	p := grid(6, 6, false, planted(r, 6, 6, 0.3, 5))
	p.Look = look
	for i := range p.Places {
		p.Places[i].Block = i / 3
		if i%4 == 0 {
			p.Places[i].Ground = 80
		}
	}
	return p
}

// What a swap is said to cost is what a count anew says, of every look.
func TestCostIsKeptAlong(t *testing.T) {
	for _, look := range Looks {
		p := spotted(look)
		b, err := newBoard(&p)
		require.NoError(t, err)
		s := newSearch(b)
		s.deal()
		c := newCost(s)
		if look == Even {
			require.Len(t, c, 5)
		}
		for range 200 {
			i, j := int32(s.rng.IntN(36)), int32(s.rng.IntN(36))
			if !s.barter(i, j) {
				continue
			}
			x, y := s.at[i], s.at[j]
			c.put(i, x, y)
			c.put(j, y, x)
			s.at[i], s.at[j] = y, x
			require.InDelta(t, newCost(s).sum(), c.sum(), 1e-9, look)
		}
	}
}

// row is a layout of pieces in one row of squares.
func row(t *testing.T, pieces []Piece, change func(p *Problem)) *search {
	for i := range pieces {
		pieces[i].Holding, pieces[i].Count = int64(i+1), 1
	}
	p := grid(1, len(pieces), false, pieces)
	change(&p)
	b, err := newBoard(&p)
	require.NoError(t, err)
	s := newSearch(b)
	for i := range s.at {
		s.at[i] = int32(i)
	}
	return s
}

// A block wants a dark patch and a bright one: of two blocks the one has all of both,
// then each has some.
func TestBlocksWantADarkAndABright(t *testing.T) {
	blocks := func(p *Problem) {
		for i := range p.Places {
			p.Places[i].Block = i / 3
		}
	}
	s := row(t, []Piece{{Lightness: 10, Chroma: 50}, {Lightness: 20, Chroma: 60}, {Lightness: 30}, {Lightness: 70}, {Lightness: 80}, {Lightness: 90}}, blocks)
	assert.InDelta(t, 2./4, newContrasts(s).cost(), 1e-12)
	s.at[0], s.at[3] = 3, 0
	assert.Zero(t, newContrasts(s).cost())
	s = row(t, make([]Piece, 6), func(p *Problem) {
		for i := range p.Places {
			p.Places[i].Block = i / 2
		}
	})
	assert.False(t, newContrasts(s).tells(), "blocks of two patches need not have both")
}

// Cloth beside the background that is as light as it is lost there; 25 of L* away it
// stands out.
func TestClothIsLostBesideItsLike(t *testing.T) {
	beside := func(p *Problem) { p.Places[0].Ground = 90 }
	pieces := func() []Piece { return []Piece{{Lightness: 85}, {Lightness: 60}, {Lightness: 40}} }
	s := row(t, pieces(), beside)
	l := newLost(s)
	assert.InDelta(t, 0.64, l.sum, 1e-12, "a fifth of 25 away: 0.8 squared")
	assert.InDelta(t, 0.64/3, l.atRandom, 1e-12, "a third of the time it lies there")
	s.at[0], s.at[1] = 1, 0
	assert.Zero(t, newLost(s).sum)
	all := row(t, pieces(), func(p *Problem) {
		for i := range p.Places {
			p.Places[i].Ground = 90
		}
	})
	assert.False(t, newLost(all).tells(), "where all lies beside it nothing can be gained")
}

// Repeats weigh by the square of how near they lie, up to three pitches.
func TestRepeatsWeighByNearness(t *testing.T) {
	for far, want := range map[int]float64{1: 1, 2: 1. / 4, 3: 1. / 9, 4: 0} {
		pieces := make([]Piece, 6)
		pieces[0].Print, pieces[far].Print = "a", "a"
		s := row(t, pieces, func(*Problem) {})
		assert.InDelta(t, want, newRepeats(s).sum, 1e-9, "%d away", far)
	}
}
