package arrange

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

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

func TestPlanted(t *testing.T) {
	for seed := range uint64(24) {
		r := rand.New(rand.NewPCG(seed, 1))
		rows, columns := 4+r.IntN(17), 4+r.IntN(17)
		largest := 0.3 + 0.195*r.Float64()
		p := grid(rows, columns, false, planted(r, rows, columns, largest, 4))
		p.Effort = 0.05
		out, err := Lay(context.Background(), p)
		require.NoError(t, err)
		assert.Empty(t, out.Touches, "%d × %d, the largest %.3f, seed %d", rows, columns, largest, seed)
		valid(t, p, out)
	}
}

// valid checks a layout against the problem by itself.
func valid(t *testing.T, p Problem, l Layout) {
	t.Helper()
	used := make([]int, len(p.Pieces))
	for i, x := range l.At {
		if x >= 0 {
			used[x]++
			assert.Contains(t, p.Suits[p.Places[i].Class], x)
		}
	}
	for x, n := range used {
		assert.LessOrEqual(t, n, p.Pieces[x].Count)
	}
}

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
	t.Log(out.Measures)
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
		t.Log(n, one.Measures, ten.Measures)
		assert.Greater(t, one.Evenness, 0.95*ten.Evenness)
	}
}

func TestCrowded(t *testing.T) {
	for _, c := range []struct {
		rows, columns, blue, touches, apart int
		corners                             bool
	}{
		{8, 12, 56, 0, 48, false},
		{6, 6, 18, 0, 18, false},
		{6, 6, 12, 0, 9, true},
		{20, 20, 205, 13, 200, false},
	} {
		pieces := []Piece{{Holding: 1, Count: c.blue, Family: cloth.Blue, Lightness: 40}}
		for i := range c.rows*c.columns - c.blue {
			pieces = append(pieces, Piece{Holding: int64(i + 2), Count: 1, Family: cloth.Many, Print: fmt.Sprint(i), Lightness: 60})
		}
		p := grid(c.rows, c.columns, c.corners, pieces)
		out, err := Lay(context.Background(), p)
		require.NoError(t, err)
		t.Logf("%+v: %d touches, least %+v", c, len(out.Touches), out.Least)
		assert.LessOrEqual(t, out.Least.Touches, len(out.Touches))
		if c.touches > 0 {
			assert.Equal(t, c.touches, out.Least.Touches)
		}
	}
	_ = math.Inf
}
