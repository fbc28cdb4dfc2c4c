package find

import (
	"image"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/eye"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/photo"
	"piecebag/internal/raster"
)

// drawn makes a view whose eye is right about a label picture, one letter a
// cell; a dot is no cloth. Sure is how sure it is, 0 to half.
func drawn(sure int16, rows ...string) *view {
	v := &view{field: field{w: len(rows[0]), h: len(rows)}, sx: 1, sy: 1}
	v.rgb = make([]uint8, 3*4*v.w*v.h)
	at := func(x, y int) byte { return rows[y][x] }
	for y := range v.h {
		for x := range v.w {
			c := sure
			if at(x, y) == '.' {
				c = -sure
			}
			v.cloth = append(v.cloth, c)
		}
	}
	for _, d := range [][2]int{{1, 0}, {0, 1}, {4, 0}, {0, 4}, {3, 3}, {-3, 3}} {
		k := newPull(d[0], d[1], v.w*v.h)
		for y := range v.h {
			for x := range v.w {
				k.p[y*v.w+x] = -sure
				if u, w := x+d[0], y+d[1]; u >= 0 && u < v.w && w < v.h && at(u, w) == at(x, y) {
					k.p[y*v.w+x] = sure
				}
			}
		}
		v.pulls = append(v.pulls, k)
	}
	return v
}

// big is each letter of the rows as a block of n × n cells.
func big(n int, rows ...string) []string {
	var out []string
	for _, r := range rows {
		var line []byte
		for _, c := range []byte(r) {
			line = append(line, slices.Repeat([]byte{c}, n)...)
		}
		out = append(out, slices.Repeat([]string{string(line)}, n)...)
	}
	return out
}

func TestShedPartsWhatRepels(t *testing.T) {
	v := drawn(500, big(6, "aab.", "aabb", "....")...)
	roots := shed(v.w*v.h, v.edges(0))
	at := func(x, y int) int32 { return roots[y*v.w+x] }
	require.Equal(t, at(0, 0), at(11, 11), "one piece")
	require.Equal(t, at(13, 2), at(20, 8), "the other")
	require.NotEqual(t, at(11, 3), at(12, 3))
	require.NotEqual(t, at(0, 0), at(0, 14), "what is no cloth joins nothing")
}

// What a strong pull has forbidden, many weaker ones the other way must not
// join: the mutex. One long bridge of weak pulls runs round the wall.
func TestShedKeepsWhatWasForbidden(t *testing.T) {
	e := []edge{{0, 1, 400, 2}, {2, 3, 400, 2}, {1, 2, -300, 2}, {0, 3, 200, 2}, {0, 2, 200, 2}, {1, 3, 200, 2}}
	r := shed(4, e)
	require.Equal(t, r[0], r[1])
	require.Equal(t, r[2], r[3])
	require.NotEqual(t, r[0], r[2])
	e[2].p = -100 // weaker than the bridge: now it is one
	r = shed(4, e)
	require.Equal(t, r[0], r[3])
}

func TestGrowReachesAsFarAsItSays(t *testing.T) {
	lab := []int32{1, 0, 0, 0, 0, 0, 0, 0, 2, 0}
	grow(lab, func(i int) bool { return i != 7 }, 10, 1, 2)
	require.Equal(t, []int32{1, 1, 1, 0, 0, 0, 0, 0, 2, 2}, lab)
}

// A slip of a piece apart from it is dropped; half of it is kept.
func TestPartsApart(t *testing.T) {
	v := drawn(500, big(6, "aaaaaa.....", "aaaaaa...a.", "aaaaaa.....", "aaaaaa.....", "aaaaaa.....")...)
	l := &labelled{view: v, lab: make([]int32, v.w*v.h)}
	for i, c := range v.cloth {
		if c > 0 {
			l.lab[i] = 7
		}
	}
	l.gather(l.tidy())
	require.Equal(t, []piece{{label: 1, area: 30 * 36, cloth: 30 * 36 * 500, box: image.Rect(0, 0, 36, 30)}}, l.pieces)
}

func TestHolesWithinOnePieceAreItsOwn(t *testing.T) {
	for _, c := range []struct {
		from, to, cells int
		in              byte
	}{
		{10, 30, 6400, '.'}, // small: no hole
		{20, 60, 4800, '.'},
		{10, 30, 6000, 'b'}, // another piece is one
	} {
		rows := big(40, "aa", "aa")
		for y := c.from; y < c.to; y++ {
			rows[y] = rows[y][:c.from] + string(slices.Repeat([]byte{c.in}, c.to-c.from)) + rows[y][c.to:]
		}
		v := drawn(500, rows...)
		v.paint(rows, 'b', [3]uint8{200, 40, 40})
		l := v.part(sure(cloth.Spread))
		for i := range l.pieces {
			if p := &l.pieces[i]; p.area > 1000 {
				require.InDelta(t, c.cells, fillArea(oneRing(l.rings(p)), 80, 80), 90, "%v", c)
			}
		}
	}
}

func fillArea(g geom.Polygon, w, h int) (n int) {
	g.Fill(w, h, func(_, x0, x1 int) { n += x1 - x0 })
	return n
}

// The edge lies where cloth is as likely as not, between the middles of cells.
func TestOutlineLiesBetweenCells(t *testing.T) {
	v := drawn(500, big(10, "...", ".a.", "...")...)
	for y := range v.h {
		v.cloth[y*v.w+9] = -100  // just off the left side: the edge is near this cell
		v.cloth[y*v.w+20] = -900 // just off the right side: the edge is near the piece
	}
	v.x0, v.sx, v.sy = 100, 2, 2
	l := v.part(sure(cloth.Spread))
	r, ok := l.region(&l.pieces[0])
	require.True(t, ok)
	lo, hi := r.Polygon.Bounds()
	require.InDelta(t, 100+2*(10.5-500./600), lo.X, 0.05)
	require.InDelta(t, 100+2*(19.5+500./1400), hi.X, 0.05)
	require.InDelta(t, 20, lo.Y, 0.05)
	require.InDelta(t, 40, hi.Y, 0.05)
	require.Len(t, r.Corners, 4)
}

// Where two pieces touch, the outline lies where the pulls between neighbours speak
// against one piece, to less than a cell.
func TestOutlineLiesOnTheSeam(t *testing.T) {
	v := drawn(1000, big(24, "....", ".ab.", "....")...)
	l := v.part(sure(cloth.Board))
	require.Len(t, l.pieces, 2)
	for k := range v.pulls {
		if v.pulls[k].dx == 1 && v.pulls[k].dy == 0 {
			for y := range v.h {
				v.pulls[k].p[y*v.w+47] = -600 // half way; the next a third as much
				v.pulls[k].p[y*v.w+48] = -200
			}
		}
	}
	for i := range l.pieces {
		ring := oneRing(l.rings(&l.pieces[i]))
		lo, hi := ring.Bounds()
		require.InDelta(t, 48.25, [2]float64{hi.X, lo.X}[i], 1e-9)
		require.InDelta(t, 24, lo.Y, 1e-9)
	}
}

// Cloth bends: a corner is where the sides meet near it, not where lines along
// whole bowed sides would.
func TestCornersOfBowedCloth(t *testing.T) {
	c := [4]geom.Point{{X: 50, Y: 50}, {X: 250, Y: 50}, {X: 250, Y: 210}, {X: 50, Y: 210}}
	var ring geom.Polygon
	for k, a := range c {
		b := c[(k+1)%4]
		n := b.Sub(a).Mul(1 / a.Dist(b))
		for i := range 60 {
			u := float64(i) / 60
			ring = append(ring, a.Add(b.Sub(a).Mul(u)).Add(geom.Point{X: n.Y, Y: -n.X}.Mul(16*u*(1-u)))) // 4 px in the middle
		}
	}
	got, fit := raster.FitQuad(ring)
	require.Greater(t, fit, quadEnough)
	for _, p := range got {
		near := math.Inf(1)
		for _, q := range c {
			near = min(near, p.Dist(q))
		}
		require.Less(t, near, 2.0, "%v", p)
	}
}

// A turned triangle keeps three straight sides, its corners within a cell or so.
func TestOutlineKeepsTheCorners(t *testing.T) {
	want := geom.Polygon{{X: 20, Y: 10}, {X: 95, Y: 40}, {X: 30, Y: 90}}
	rows := make([][]byte, 100)
	for y := range rows {
		rows[y] = slices.Repeat([]byte("."), 110)
	}
	want.Fill(110, 100, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			rows[y][x] = 'a'
		}
	})
	var text []string
	for _, r := range rows {
		text = append(text, string(r))
	}
	l := drawn(500, text...).part(sure(cloth.Spread))
	r, ok := l.region(&l.pieces[0])
	require.True(t, ok)
	require.Nil(t, r.Corners)
	for _, c := range want {
		best := math.Inf(1)
		for _, p := range r.Polygon {
			best = min(best, p.Dist(c))
		}
		require.Less(t, best, 1.2, "%v", c)
	}
	require.LessOrEqual(t, len(r.Polygon), 6)
	require.InDelta(t, want.Area(), r.Polygon.Area(), 0.01*want.Area())
}

// The mean of all glances does not know left from right, nor up from down: of a
// mirrored picture it is the mirrored mean, to the last bit.
func TestGlancesAreMirrored(t *testing.T) {
	e := eye.Default()
	const w, h = 96, 64
	rgb := bytesOf(open(t, "heap.jpg")).Resize(image.Rect(200, 200, 200+w, 200+h), w, h)
	see := func(rgb []uint8) *field {
		f := newField(w/2, h/2, e.Pulls)
		for k := range f.pulls {
			f.pulls[k].step = 1 // the cells of far pulls are not the mirrored ones
		}
		f.see(e, rgb, often)
		return &f
	}
	a := see(rgb)
	for _, g := range often[1:] {
		b := see(g.mirror(rgb, w, h))
		// pulls by their way: a pull is the same from either end
		ways := map[[2]int]int{}
		for k, p := range b.pulls {
			ways[[2]int{p.dx, p.dy}] = k
		}
		for y := range a.h {
			for x := range a.w {
				require.Equal(t, a.cloth[y*a.w+x], b.cloth[g.y(y, a.h)*a.w+g.x(x, a.w)])
				for _, p := range a.pulls {
					x2, y2 := x+p.dx, y+p.dy
					if x2 < 0 || x2 >= a.w || y2 >= a.h {
						continue
					}
					u, v, u2, v2 := g.x(x, a.w), g.y(y, a.h), g.x(x2, a.w), g.y(y2, a.h)
					k, ok := ways[[2]int{u2 - u, v2 - v}]
					if !ok {
						k, u, v = ways[[2]int{u - u2, v - v2}], u2, v2
					}
					require.Equal(t, p.p[y*a.w+x], b.pulls[k].p[v*a.w+u], "%d,%d by %d,%d", x, y, p.dx, p.dy)
				}
			}
		}
	}
}

// squares are regions of rows × columns cells, each a little off its place, in
// perspective.
func squares(rows, columns int, leave func(i, j int) bool) []cloth.Region {
	r := rand.New(rand.NewPCG(3, 4))
	h, _ := geom.FitHomography([]geom.Point{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}, []geom.Point{{X: 50, Y: 40}, {X: 440, Y: 70}, {X: 470, Y: 460}, {X: 30, Y: 420}})
	var out []cloth.Region
	for j := range rows {
		for i := range columns {
			if leave(i, j) {
				continue
			}
			x, y := float64(i), float64(j)
			g := geom.Polygon{{X: x + .04, Y: y + .04}, {X: x + .96, Y: y + .04}, {X: x + .96, Y: y + .96}, {X: x + .04, Y: y + .96}}
			for k := range g {
				g[k] = h.Apply(g[k]).Add(geom.Point{X: r.NormFloat64() / 2, Y: r.NormFloat64() / 2})
			}
			out = append(out, cloth.Region{Polygon: g, Corners: slices.Clone(g), Trust: 0.9})
		}
	}
	return out
}

func TestGridByHandIsKeptOrRefused(t *testing.T) {
	cloths := func(rows int) *view { // cloth down to a row of the squares' hundred
		var text []string
		for y := range 500 {
			c := byte('a')
			if y > 40+rows*42 {
				c = '.'
			}
			text = append(text, string(slices.Repeat([]byte{c}, 500)))
		}
		v := drawn(1000, text...)
		return v
	}
	all := squares(6, 7, func(int, int) bool { return false })
	seen := func(leave func(i, j int) bool) *Result {
		r := &Result{Regions: squares(6, 7, leave)}
		r.Signs = make([][]float64, len(r.Regions))
		return r
	}
	v := cloths(10)
	for _, leave := range []func(i, j int) bool{
		func(int, int) bool { return false },
		func(i, j int) bool { return i == 3 && j == 2 || i == 2 && j == 0 },
	} {
		r := seen(leave)
		r.Left = []cloth.Region{{}}
		require.NoError(t, r.onGrid(v, Options{Rows: 6, Cols: 7}))
		require.Empty(t, r.Left, "all squares are said")
		require.Len(t, r.Regions, 42)
		for k, g := range r.Regions { // in reading order, each where its square is
			require.Greater(t, geom.IoU(g.Polygon, all[k].Polygon), 0.8, "square %d", k)
			require.Equal(t, leave(k%7, k/7), slices.Equal(g.Notes, []string{byGrid}), "its trust is only of cloth, which is said")
		}
	}
	var refused *fault.Error
	every := func(int, int) bool { return false }
	require.ErrorAs(t, seen(every).onGrid(v, Options{Rows: 4, Cols: 4}), &refused, "the squares lie otherwise")
	require.NotEmpty(t, refused.Remedy)
	require.ErrorAs(t, (&Result{}).onGrid(nil, Options{Rows: 3, Cols: 3}), &refused)
	upper := func(_, j int) bool { return j > 2 }
	require.ErrorAs(t, seen(upper).onGrid(cloths(3), Options{Rows: 6, Cols: 7}), &refused, "squares where no cloth is are not invented")
	require.ErrorContains(t, refused, "would lie where no cloth shows")

	// Scraps beside the board, one of them in line with a row, are left out, and two
	// halves of a square are one; a row more than was counted is not left out.
	beside := seen(func(i, j int) bool { return i == 4 && j == 3 })
	scrap := squares(7, 8, func(i, j int) bool { return i != 7 || j != 2 })
	var halves [2]cloth.Region
	for n := range halves { // which the eye took for two
		halves[n] = squares(6, 7, func(i, j int) bool { return i != 4 || j != 3 })[0]
		g := halves[n].Polygon
		for _, k := range [2]int{1 - n, 2 + n} {
			g[k] = g[k].Add(g[[4]int{1, 0, 3, 2}[k]]).Mul(0.5)
		}
		halves[n].Corners = g
	}
	beside.Regions = append(beside.Regions, scrap[0], halves[0], halves[1], cloth.Region{Polygon: geom.Polygon{{X: 480, Y: 20}, {X: 499, Y: 20}, {X: 490, Y: 40}}})
	beside.Signs = make([][]float64, len(beside.Regions))
	require.NoError(t, beside.onGrid(v, Options{Rows: 6, Cols: 7}))
	require.Len(t, beside.Regions, 42)
	for k, g := range beside.Regions {
		require.Greater(t, geom.IoU(g.Polygon, all[k].Polygon), 0.8, "square %d", k)
	}
	require.ErrorAs(t, seen(every).onGrid(v, Options{Rows: 5, Cols: 7}), &refused, "a row too few")
	require.ErrorAs(t, seen(every).onGrid(v, Options{Rows: 7, Cols: 6}), &refused, "rows for columns")

	// Corners given by hand as well are kept, and so is their number.
	corners := geom.Polygon{all[0].Polygon[0], all[2].Polygon[1], all[16].Polygon[2], all[14].Polygon[3]}
	r := seen(every)
	require.NoError(t, r.onGrid(v, Options{Rows: 3, Cols: 3, Outline: corners}))
	require.Len(t, r.Regions, 9)
	require.Greater(t, geom.IoU(r.Regions[8].Polygon, all[16].Polygon), 0.8)
	r = seen(every)
	r.within(corners)
	require.Len(t, r.Regions, 9)
}

func TestDoubtfulPiecesAreLeftOut(t *testing.T) {
	good := make([]float64, len(SignNames))
	copy(good, trusts().Mean)
	good[0], good[1], good[2] = 0.99, 0.98, 0.02 // cloth, within, across
	bad := slices.Clone(good)
	bad[0], bad[1], bad[4] = 0.5, 0.5, 0.3 // solidity
	make := func() *Result {
		return &Result{Regions: []cloth.Region{{Notes: []string{"bad"}}, {Notes: []string{"good"}}, {Notes: []string{"drawn"}}}, Signs: [][]float64{slices.Clone(bad), slices.Clone(good), nil}}
	}
	r := make()
	r.judge(1, 0, false)
	require.Empty(t, r.Left, "not worth a look")
	require.Equal(t, "good", r.Regions[0].Notes[0])
	require.Greater(t, r.Regions[0].Trust, 0.8)
	require.Equal(t, "drawn", r.Regions[1].Notes[0])
	r = make()
	r.judge(1, 0, true)
	require.Empty(t, r.Left)
	require.Less(t, r.Regions[0].Trust, leastTrust)
	sure := r.Regions[1].Trust
	r = make()
	r.judge(0.5, 0, true)
	require.InDelta(t, sure/2, r.Regions[1].Trust, 1e-12)
	r = make()
	r.judge(0.2, 0, false)
	require.Len(t, r.Regions, 1, "a photo that hardly shows cloth")
	require.Equal(t, "drawn", r.Regions[0].Notes[0])
	require.Len(t, r.Left, 1, "is kept apart, to be shown")
	require.Equal(t, "good", r.Left[0].Notes[0])
	r = make()
	better := slices.Clone(good)
	better[0], better[1] = 1, 1
	r.Signs[0] = better
	r.judge(0.2, 0, false)
	require.Len(t, r.Left, 2)
	require.Equal(t, "bad", r.Left[0].Notes[0], "the likeliest first")
	require.Greater(t, r.Left[0].Trust, r.Left[1].Trust)
}

// What is usual is the middle of what the photo's outlines have, not of one that
// is far from the others.
func TestSignsOfThePhoto(t *testing.T) {
	r := &Result{Regions: make([]cloth.Region, 4), Signs: make([][]float64, 4)}
	for i, v := range []float64{0.99, 0.2, 0.9} { // the fourth is given by hand
		r.Signs[i] = make([]float64, len(SignNames))
		r.Signs[i][0], r.Signs[i][3] = v, -10*v
	}
	r.judge(1, 0.7, true)
	for i, v := range []float64{-0.9, 7, 0} {
		require.InDeltaSlice(t, []float64{0.9, v, math.Log(3), 0.7}, r.Signs[i][5:], 1e-12)
	}
	require.Equal(t, []string{"usual", "beside", "many", "heap"}, SignNames[5:])
	require.Nil(t, r.Signs[3])
}

func TestOddsOfKinds(t *testing.T) {
	names, p := []string{"stack", "none", "pile"}, []float64{0.3, 0.6, 0.1}
	o := oddsOf(names, p, "")
	require.InDelta(t, 0.6, o("none"), 1e-12)
	require.InDelta(t, 0.4, o(cloth.Stack, cloth.Pile), 1e-12)
	require.Zero(t, o(cloth.Board), "a net that knows no such kind")
	o = oddsOf(names, p, cloth.Pile)
	require.Zero(t, o("none"), "the kind is given")
	require.Equal(t, 1.0, o(cloth.Stack, cloth.Pile))
}

func TestFittedFilesAreWhole(t *testing.T) {
	for names, c := range map[*[]string]*logistic{&SignNames: trusts(), &JoinNames: joins()} {
		require.Len(t, c.Mean, len(*names))
		require.Len(t, c.SD, len(*names))
		require.Len(t, c.LogOdds, len(*names)+1)
		require.Len(t, c.Out, len(c.Hidden))
		for _, w := range c.Hidden {
			require.Len(t, w, len(*names)+1)
		}
		require.Positive(t, c.Reach)
	}
}

// A fitted file is a line through the signs, and units that count where they are
// above 0; a sign far off says no more than one at its reach.
func TestChanceOfSigns(t *testing.T) {
	c := &logistic{Mean: []float64{1, 2}, SD: []float64{2, 1}, Reach: 3, LogOdds: []float64{0.5, 1, -1},
		Hidden: [][]float64{{0, 1, 0}, {-1, 0, 1}}, Out: []float64{2, 4}}
	for _, k := range []struct{ a, b, odds float64 }{
		{1, 2, 0.5},
		{3, 2, 0.5 + 1 + 2},
		{-1, 2, 0.5 - 1},
		{1, 4, 0.5 - 2 + 4},
		{99, 2, 0.5 + 3 + 6},
	} {
		require.InDelta(t, 1/(1+math.Exp(-k.odds)), c.chance([]float64{k.a, k.b}), 1e-12, "%v", k)
	}
}

func open(t testing.TB, name string) *cloth.Picture {
	p, _, err := photo.Open("../../samples/"+name, photo.Options{})
	require.NoError(t, err)
	return p
}

// The sample photos are renders; their pieces were counted by eye.
func TestFindOnTheSamples(t *testing.T) {
	for name, want := range map[string]struct {
		kind   cloth.Kind
		lo, hi int
	}{
		"table.jpg":          {cloth.Spread, 12, 12},
		"tin-of-squares.jpg": {cloth.Board, 48, 48},
	} {
		r, err := Find(open(t, name), Options{})
		require.NoError(t, err)
		n := 0
		for _, g := range r.Regions {
			if !g.Card {
				n++
			}
		}
		require.Equal(t, want.kind, r.Kind, name)
		require.GreaterOrEqual(t, n, want.lo, name)
		require.LessOrEqual(t, n, want.hi, name)
		require.Len(t, r.Signs, len(r.Regions))
	}
}

// What is found does not depend on the number of processors, nor on the run.
func TestFindIsTheSameOnAnyNumberOfProcessors(t *testing.T) {
	p := open(t, "heap.jpg")
	a, err := Find(p, Options{})
	require.NoError(t, err)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(5))
	b, err := Find(p, Options{})
	require.NoError(t, err)
	require.Equal(t, a, b)
	require.Greater(t, len(a.Regions), 3)
}

// Outlines and a kind given by hand are kept as they are.
func TestGivenByHandIsKept(t *testing.T) {
	p := open(t, "table.jpg")
	ring := geom.Polygon{{X: 10, Y: 10}, {X: 10, Y: 60}, {X: 60, Y: 60}, {X: 60, Y: 10}} // counterclockwise
	r, err := Find(p, Options{Given: []geom.Polygon{ring}, Kind: cloth.Pile})
	require.NoError(t, err)
	require.Equal(t, cloth.Pile, r.Kind)
	require.Equal(t, 1, r.Given)
	require.True(t, slices.ContainsFunc(r.Regions[1:], func(g cloth.Region) bool { return g.Card }), "the card beside it tells the scale and white")
	require.Equal(t, 1.0, r.Regions[0].Trust)
	require.Positive(t, r.Regions[0].Polygon.SignedArea())
	require.InDelta(t, 2500, r.Regions[0].Polygon.Area(), 1e-9)
	require.Len(t, r.Regions[0].Corners, 4)
	all, err := Find(p, Options{Kind: cloth.Spread})
	require.NoError(t, err)
	i := slices.IndexFunc(all.Regions, func(g cloth.Region) bool { return !g.Card })
	r, err = Find(p, Options{Given: []geom.Polygon{all.Regions[i].Polygon}, Kind: cloth.Spread})
	require.NoError(t, err)
	require.Equal(t, all.Regions[i], r.Regions[0])
	require.ElementsMatch(t, all.Regions, r.Regions, "the rest follows, and nothing of what the hand took")
	r, err = Find(p, Options{Kind: cloth.Stack})
	require.NoError(t, err)
	require.Equal(t, cloth.Stack, r.Kind)
}

// A point shows where a piece is, and two points in what the eye takes for one
// piece part it at the seam; a box holds all of its piece's parts, or cuts it out.
func TestPointsAndBoxesSteer(t *testing.T) {
	v := drawn(900, big(30, ".....", ".aab.", ".aab.", ".....")...)
	for k := range v.pulls {
		if p := &v.pulls[k]; p.dx == 1 && p.dy == 0 {
			for y := range v.h {
				p.p[y*v.w+54] = -900 // a seam off the middle, which nothing else sees
			}
		}
	}
	area := func(r cloth.Region) float64 { return r.Polygon.Area() }
	at := func(x, y float64) geom.Polygon { return geom.Polygon{{X: x, Y: y}} }
	box := func(x0, y0, x1, y1 float64) geom.Polygon { return geom.Polygon{{X: x0, Y: y0}, {X: x1, Y: y1}} }

	hand := func(v *view, given ...geom.Polygon) (*Result, error) {
		var l *labelled
		if v != nil {
			l = v.part(sure(cloth.Spread))
		}
		r := &Result{}
		return r, r.byHand(l, given, nil, 0, 150, 120)
	}
	r, err := hand(v, at(100, 50), at(40, 40))
	require.NoError(t, err)
	require.InDelta(t, 1800, area(r.Regions[0]), 40, "in the order given")
	require.InDelta(t, 3600, area(r.Regions[1]), 60)
	require.Len(t, r.Regions[0].Corners, 4)
	all := &Result{}
	all.take(v.part(sure(cloth.Spread)), 150, 120)
	all.judge(1, 0, true)
	require.Equal(t, all.Regions[1], r.Regions[0], "as the eye finds and trusts it")
	require.Equal(t, all.Regions[0], r.Regions[1])
	require.Equal(t, all.Signs[1], r.Signs[0])
	require.Less(t, r.Regions[0].Trust, 1.0)

	r, err = hand(v, at(35, 40), at(80, 80), geom.Polygon{{X: 0, Y: 9}, {X: 9, Y: 0}, {X: 0, Y: 0}})
	require.NoError(t, err)
	require.InDelta(t, 25*60, area(r.Regions[0]), 40, "as far as the seam")
	require.InDelta(t, 35*60, area(r.Regions[1]), 40)
	require.InDelta(t, 40.5, area(r.Regions[2]), 1e-9, "an outline is kept")
	require.Equal(t, 1.0, r.Regions[2].Trust)
	require.Nil(t, r.Signs[2])
	written := slices.Clone(all.Regions[1].Polygon)
	written[0].X += 0.04
	r, err = hand(v, written)
	require.NoError(t, err)
	require.Equal(t, all.Regions[1].Trust, r.Regions[0].Trust, "given back as the eye found it, it is no surer")
	written[0].X += 1
	r, err = hand(v, written)
	require.NoError(t, err)
	require.Equal(t, 1.0, r.Regions[0].Trust)
	r, err = hand(v, at(35, 40), at(80, 80))
	require.NoError(t, err)
	require.Greater(t, r.Signs[1][2], 0.0, "what lies beside it now speaks too: across")

	r, err = hand(v, box(20, 20, 125, 100))
	require.NoError(t, err)
	require.InDelta(t, 5400, area(r.Regions[0]), 60, "both")
	r, err = hand(v, box(50, 50, 30, 30))
	require.NoError(t, err)
	require.InDelta(t, 21*21, area(r.Regions[0]), 30, "cut out")
	cut := r.Regions[0].Trust
	r, err = hand(v, box(65, 20, 125, 100))
	require.NoError(t, err)
	require.InDelta(t, 1800, area(r.Regions[0]), 40, "of the larger it holds two fifths, which is not enough")
	r, err = hand(v, box(20, 20, 92, 100), box(88, 20, 125, 100))
	require.NoError(t, err, "boxes may overlap where neither takes what the other does")
	require.InDelta(t, 3600, area(r.Regions[0]), 60)
	require.Less(t, cut, r.Regions[0].Trust, "what is cut out of cloth is less sure")

	faint := drawn(60, big(30, ".....", ".aab.", ".aab.", ".....")...)
	r, err = hand(faint, at(100, 50))
	require.NoError(t, err, "what is given is kept, however doubtful")
	require.Less(t, r.Regions[0].Trust, leastTrust)

	drawnSquare := geom.Polygon{{X: 30, Y: 40}, {X: 90, Y: 40}, {X: 90, Y: 100}, {X: 30, Y: 100}}
	var refused *fault.Error
	for _, c := range []struct {
		entry int
		why   string
		given []geom.Polygon
	}{
		{2, "no cloth shows there", []geom.Polygon{at(40, 40), at(5, 5)}},
		{1, "no cloth shows there", []geom.Polygon{box(0, 0, 20, 20), at(40, 40)}},
		{3, "no seam shows between it and entry 2", []geom.Polygon{at(100, 50), at(35, 40), at(35, 60)}},
		{3, "it takes cloth that entry 2 takes", []geom.Polygon{at(100, 50), box(20, 20, 95, 100), box(50, 50, 35, 35)}},
		{2, "it takes cloth that entry 1 takes", []geom.Polygon{box(20, 20, 95, 100), at(40, 40)}},
		{3, "it takes cloth that entry 1 takes", []geom.Polygon{drawnSquare, drawnSquare.Map(func(p geom.Point) geom.Point { return p.Add(geom.Point{X: 36}) }), drawnSquare}},
		{2, "it takes cloth that entry 1 takes", []geom.Polygon{drawnSquare, {{X: 35, Y: 45}, {X: 45, Y: 45}, {X: 45, Y: 55}}}},
		{2, "it takes cloth that entry 1 takes", []geom.Polygon{drawnSquare, at(40, 40)}},
	} {
		_, err = hand(v, c.given...)
		require.ErrorAs(t, err, &refused)
		require.ErrorIs(t, err, Entry(c.entry))
		require.Equal(t, c.why, refused.Why)
	}
	r, err = hand(v, at(40, 40))
	require.NoError(t, err)
	seen := r.Regions[0].Polygon
	_, err = hand(v, seen, seen)
	require.ErrorIs(t, err, Entry(2), "just what the eye finds is no second piece either")
	require.ErrorIs(t, err, ErrTaken)
	_, err = hand(nil, geom.Polygon{{}, {X: 1}, {Y: 1}}, at(5, 5))
	require.ErrorAs(t, err, &refused)
	require.ErrorIs(t, err, Entry(2))
}

// In a stack cloth is cloth from a twentieth more likely than not on, as the eye takes
// a little too much for it there; elsewhere from even odds on.
func TestClothOfAStack(t *testing.T) {
	for _, c := range []struct {
		sure          int16
		stack, spread int
	}{{unit / 8, 2, 2}, {unit / 30, 0, 2}} {
		v := drawn(900, big(30, "....", ".ab.", ".ab.", "....")...)
		for i, p := range v.cloth {
			v.cloth[i] = min(p, c.sure)
		}
		require.Len(t, v.part(sure(cloth.Stack)).pieces, c.stack, "%d", c.sure)
		require.Len(t, v.part(sure(cloth.Spread)).pieces, c.spread, "%d", c.sure)
	}
}

// A piece ends where cloth is as likely as not, and half way to the next cell where
// only one of the two cells, or neither, is what its label says.
func TestCrossing(t *testing.T) {
	l := &labelled{view: &view{field: field{w: 2, h: 1}}, lab: []int32{1, 0}}
	for _, c := range []struct {
		in, out int16
		at      float64
	}{{300, -100, 0.75}, {100, -300, 0.25}, {-100, -300, 0.5}, {300, 100, 0.5}} {
		l.cloth = []int16{c.in, c.out}
		require.Equal(t, c.at, l.crossing(0, 1, nil), "%d %d", c.in, c.out)
	}
}

// Regions are read row by row; a row begins with the first that lies more than half a
// usual height below the one that began the row before.
func TestReadingOrder(t *testing.T) {
	var r Result
	at := func(x, y float64) {
		r.Regions = append(r.Regions, cloth.Region{Polygon: geom.Polygon{{X: x, Y: y}, {X: x + 10, Y: y}, {X: x + 10, Y: y + 10}, {X: x, Y: y + 10}}})
		r.Signs = append(r.Signs, []float64{x})
	}
	at(0, 6)
	at(20, 5)
	at(40, 0)
	at(60, 10)
	r.sort()
	var got []float64
	for i, g := range r.Regions {
		require.Equal(t, []float64{g.Polygon[0].X}, r.Signs[i], "the signs go with their regions")
		got = append(got, g.Polygon[0].X)
	}
	require.Equal(t, []float64{20, 40, 0, 60}, got)
}

func BenchmarkFind(b *testing.B) {
	p := open(b, "heap.jpg")
	for b.Loop() {
		_, err := Find(p, Options{})
		require.NoError(b, err)
	}
}

// A far pull is read from one cell of so many, and from every column.
func TestFarPullsAreReadFromSomeCells(t *testing.T) {
	for far, step := range map[int]int{1: 1, 4: 2, 12: 3, 64: 4} {
		const w, h = 48, 24
		k := newPull(far, 0, w*h)
		n, columns := 0, map[int]bool{}
		for y := range h {
			for x := k.first(y); x < w; x += k.step {
				n++
				columns[x] = true
			}
		}
		require.Equal(t, w*h/(step*step), n, far)
		require.Len(t, columns, w, far)
	}
}

// sure is the odds where the kind of photo is known.
func sure(k cloth.Kind) odds { return oddsOf(nil, nil, k) }

// joinerOf is a joiner of the fragments of a drawn view, one for each letter.
func joinerOf(v *view, kind cloth.Kind) *joiner {
	roots := shed(v.w*v.h, v.edges(0))
	g := fragmentsOf(roots, &v.field, 0, v.edges(0))
	g.crumbs()
	return newJoiner(v, g, sure(kind))
}

// paint gives the cells of a letter a colour.
func (v *view) paint(rows []string, letter byte, rgb [3]uint8) {
	for y, row := range rows {
		for x := range row {
			for _, at := range [4]int{4*v.w*y + 2*x, 4*v.w*y + 2*x + 1, 4*v.w*y + 2*v.w + 2*x, 4*v.w*y + 2*v.w + 2*x + 1} {
				if row[x] == letter {
					copy(v.rgb[3*at:], rgb[:])
				}
			}
		}
	}
}

func TestCrumbsJoinOrDissolve(t *testing.T) {
	// Of two lone crumbs and one at a piece's side, only the last is kept, in it.
	rows := big(4, "aaaa...b", "aaaac...", "aaaa...d")
	v := drawn(500, rows...)
	j := joinerOf(v, cloth.Spread)
	kept := map[int32]int{}
	for _, k := range j.lab {
		kept[k]++
	}
	delete(kept, 0)
	require.Equal(t, map[int32]int{j.lab[0]: 12*16 + 16}, kept)

	// One that a crumb has made large enough is a crumb no more.
	j = joinerOf(drawn(500, slices.Repeat([]string{"aaaaaaaaaaaabbbbbcc"}, 4)...), cloth.Spread)
	require.NotEqual(t, j.lab[0], j.lab[12])
	require.Equal(t, j.lab[12], j.lab[18])
}

// What is known of two fragments joined is what would be known of them as one.
func TestJoinKeepsWhatIsKnown(t *testing.T) {
	rows := big(8, "aab", "aab", "ccc")
	v := drawn(500, rows...)
	v.paint(rows, 'a', [3]uint8{200, 40, 40})
	v.paint(rows, 'b', [3]uint8{40, 40, 200})
	j := joinerOf(v, cloth.Spread)
	a, b := j.lab[0], j.lab[23]
	j.join(a, b)
	j.settle()
	one := newJoiner(v, j.fragments, sure(cloth.Spread))
	got, want := j.looks[a], one.looks[a]
	require.Equal(t, want.edge, got.edge)
	require.Equal(t, want.cloth, got.cloth)
	require.InDeltaSlice(t, want.sum[:], got.sum[:], 1e-6)
	require.InDelta(t, want.hull.Area(), got.hull.Area(), 1e-9)
	require.Nil(t, j.looks[b])
}

// Signs of two parts of one print that lie in line on both sides of another.
func TestSignsAcrossAnOccluder(t *testing.T) {
	rows := big(10, "aabbcc", "aabbcc")
	v := drawn(500, rows...)
	red := [3]uint8{200, 40, 40}
	v.paint(rows, 'a', red)
	v.paint(rows, 'b', [3]uint8{40, 40, 200})
	v.paint(rows, 'c', red)
	j := joinerOf(v, cloth.Pile)
	a, b, c := j.lab[0], j.lab[30], j.lab[50]
	sign := func(x, y int32) map[string]float64 {
		out := map[string]float64{}
		for i, s := range j.signs(x, y) {
			out[JoinNames[i]] = s
		}
		return out
	}
	s := sign(a, c)
	require.Len(t, s, len(JoinNames))
	require.InDelta(t, 1, s["alike"], 1e-6)
	require.InDelta(t, 1, s["common"], 1e-6)
	require.Zero(t, s["touch"])
	require.InDelta(t, 1, s["in_line"], 1e-9)
	require.InDelta(t, 1, s["overlap"], 1e-9)
	require.InDelta(t, 1, s["gap"], 0.11, "as wide as they are, less a cell")
	require.Greater(t, s["other"], 0.3)
	require.Zero(t, s["bare"])
	require.InDelta(t, 0, s["smaller"], 1e-9)
	require.Equal(t, 1.0, s["pile"])
	s = sign(a, b)
	require.Equal(t, 1.0, s["touch"])
	require.InDelta(t, 20./80, s["border"], 1e-9, "one side of four")
	require.Less(t, s["common"], 0.5)
	require.Zero(t, s["nearly"])
	require.Less(t, s["pull"], -0.2)
	require.Equal(t, j.signs(a, b), j.signs(b, a))
	rows = big(10, "aabb..", "aabbcc", "aabbcc")
	v = drawn(500, rows...)
	v.paint(rows, 'b', [3]uint8{40, 40, 200})
	j = joinerOf(v, cloth.Pile)
	s = sign(j.lab[0], j.lab[len(j.lab)-1])
	require.InDelta(t, 10./30, s["high"], 0.02, "a third of the width out of line")
	require.InDelta(t, 0, s["low"], 1e-9)
	require.Zero(t, s["in_line"])
	require.InDelta(t, 1, s["side_in_line"], 1e-9)
	// In a spread what no pull reaches has nothing to do with each other.
	require.Nil(t, joinerOf(v, cloth.Spread).signs(j.lab[0], j.lab[len(j.lab)-1]))
}

// What is joined first is what is likeliest, and then all is weighed anew.
func TestRunJoinsTheLikeliestFirst(t *testing.T) {
	j := joinerOf(drawn(500, big(8, "ab", "ab", "cc")...), cloth.Spread) // three as large, each beside the others
	a, b, c := j.lab[0], j.lab[8], j.lab[len(j.lab)-1]
	j.chance = func(signs []float64) float64 {
		if smaller, larger := signs[9], signs[10]; larger > smaller+0.1 {
			return 0 // two together are no longer like the third
		}
		return 0.5
	}
	var joined [][2]int32
	j.seen = func(a, b int32, signs []float64) {
		if signs == nil {
			joined = append(joined, [2]int32{a, b})
		}
	}
	j.run()
	require.Equal(t, [][2]int32{{a, b}}, joined, "ties by number")
	require.Equal(t, a, j.lab[8])
	require.Equal(t, c, j.lab[len(j.lab)-1])
}

func TestPairsKnowWhatIsTrue(t *testing.T) {
	rows := big(8, "aab", "aab", "ccc")
	v := drawn(500, rows...)
	truth := func(x, y float64) int { // a and b are one piece, c another
		if y < 16 {
			return 7
		}
		return 9
	}
	pairs := v.pairs(sure(cloth.Spread), truth)
	for i, same := range []bool{true, false, false} { // a and b, a and c, b and c
		require.Len(t, pairs[i].Signs, len(JoinNames))
		require.Equal(t, same, pairs[i].Same, i)
		require.Equal(t, 1.0, pairs[i].Weight, "whole pieces are at stake")
	}
}

// The watershed's fragments are those of its definition (Wolf et al. 2018), worked out by
// sets: from the strongest edge on, two sets are joined unless a pair of them may not be.
func TestFragmentsAreThoseOfTheDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 12).Draw(t, "cells")
		var edges []edge
		for range rapid.IntRange(1, 30).Draw(t, "edges") {
			u, v := rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")
			edges = append(edges, edge{u: int32(u), v: int32(v), p: int16(rapid.IntRange(-half, half).Draw(t, "pull"))})
		}
		got := shed(n, edges)
		of, apart := make([]int, n), map[[2]int]bool{} // of each cell, the set; cells that may not meet
		for i := range of {
			of[i] = i
		}
		sorted := slices.Clone(edges)
		slices.SortStableFunc(sorted, func(a, b edge) int { return int(max(b.p, -b.p)) - int(max(a.p, -a.p)) })
		for _, e := range sorted {
			a, b := of[e.u], of[e.v]
			if a == b {
				continue
			}
			never := false
			for pair := range apart {
				x, y := of[pair[0]], of[pair[1]]
				never = never || x == a && y == b || x == b && y == a
			}
			switch {
			case never:
			case e.p > 0:
				for i := range of {
					if of[i] == b {
						of[i] = a
					}
				}
			default:
				apart[[2]int{int(e.u), int(e.v)}] = true
			}
		}
		for i := range n {
			for k := range n {
				require.Equal(t, of[i] == of[k], got[i] == got[k], "cells %d and %d of %v", i, k, edges)
			}
		}
	})
}
