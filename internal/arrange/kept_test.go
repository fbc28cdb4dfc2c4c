package arrange

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/testtable"
)

// quiltOf is a quilt of rows × columns squares, some of them places of two patches, of pieces
// drawn by chance: few families, prints and values, of some holdings several pieces.
func quiltOf(seed uint64, rows, columns int, corners bool) Problem {
	r := rand.New(rand.NewPCG(seed, 5))
	var pieces []Piece
	left := rows * columns
	for left > 0 {
		n := min(left, 1+r.IntN(3))
		left -= n
		f := cloth.Families[r.IntN(5)]
		pieces = append(pieces, Piece{Holding: int64(len(pieces) + 1), Count: n, Family: f, Value: cloth.Values[r.IntN(5)], Print: []string{"", "a", "b", "c", "d", "e", "f"}[r.IntN(7)], Lightness: float64(r.IntN(100)), Chroma: float64(r.IntN(60)), Hue: float64(r.IntN(360))})
	}
	p := grid(rows, columns, corners, pieces)
	p.Suits = append(p.Suits, nil)
	for i := range pieces {
		if i%3 > 0 {
			p.Suits[1] = append(p.Suits[1], i)
		}
	}
	for i := range p.Places {
		p.Places[i].Block = i / 4
		if i%5 == 0 {
			p.Places[i].Class = 1
		}
		if i%4 == 1 {
			p.Places[i].Ground = 90
		}
	}
	// Two squares far apart are one place.
	last := len(p.Places) - 1
	p.Places[1].Patches = append(p.Places[1].Patches, last)
	p.Places = p.Places[:last]
	return p
}

// Small quilts in every look, with all that can be asked besides: what lies where and how it
// measures, as it was kept. Each is judged again, and each exchange is counted by trying it.
func TestSmallQuiltsAreLaidAsKept(t *testing.T) {
	all := map[string]any{}
	for seed := range uint64(4) {
		for _, look := range Looks {
			p := quiltOf(seed, 4, 4+int(seed)%3, seed%2 == 0)
			p.Look, p.Seed, p.Effort = look, seed, 0.01
			if seed == 1 {
				p.Apart = [][2]int64{{1, 2}, {2, 3}}
				p.Places[4].Kept = p.Suits[p.Places[4].Class][0]
			}
			if seed == 3 {
				p.Pieces[0].Count = 0 // too little cloth
			}
			var told []float64
			p.Progress = func(done float64) { told = append(told, done) }
			l, err := Lay(context.Background(), p)
			require.NoError(t, err)
			require.IsNonDecreasing(t, told)
			again, err := p.Judge(l.At)
			require.NoError(t, err)
			require.Equal(t, l, again)
			lines := []string{fmt.Sprint("at ", l.At), fmt.Sprintf("%d touch, least %d %q, proved %v, most %d", len(l.Touches), l.Least.Touches, l.Least.Because, l.Proved(), p.Most()), fmt.Sprintf("evenness %.4f brightness %.4f repeats %.4f wash %.4f", l.Evenness, l.Brightness, l.Repeats, l.Wash)}
			for _, x := range l.Touches {
				lines = append(lines, fmt.Sprintf("%+v", x))
			}
			for _, i := range []int{0, 3, 7} {
				if l.At[i] < 0 {
					continue
				}
				n, better := p.Changes(l.At, i)
				lines = append(lines, fmt.Sprintf("place %d: %d changes, %d better", i, n, better))
				require.Equal(t, n, exchanges(t, p, l.At, i), "seed %d, %s, place %d", seed, look, i)
			}
			lines = append(lines, fmt.Sprintf("same %.4f", p.Same(l.At, append(append([]int(nil), l.At[1:]...), l.At[0]))))
			all[fmt.Sprint(seed, " ", look)] = lines
		}
	}
	testtable.Kept(t, "laid", all, 1e-6)
}

// exchanges counts with how many places a place can change, each tried, without one more touch.
func exchanges(t *testing.T, p Problem, at []int, i int) (n int) {
	suits := func(place, piece int) bool {
		for _, x := range p.Suits[p.Places[place].Class] {
			if x == piece {
				return p.Places[place].Kept < 0 || p.Places[place].Kept == piece
			}
		}
		return false
	}
	now, err := p.Judge(at)
	require.NoError(t, err)
	for j := range at {
		if j == i || at[j] < 0 || at[j] == at[i] || !suits(i, at[j]) || !suits(j, at[i]) || p.Places[i].Kept >= 0 || p.Places[j].Kept >= 0 {
			continue
		}
		other := append([]int(nil), at...)
		other[i], other[j] = at[j], at[i]
		then, err := p.Judge(other)
		require.NoError(t, err)
		if len(then.Touches) <= len(now.Touches) {
			n++
		}
	}
	return n
}

// Touches of a given layout, each pair by hand: a print before a family, that before
// holdings kept apart, and pieces of one holding as one print.
func TestTouchesAreJudgedByHand(t *testing.T) {
	p := grid(1, 2, false, []Piece{
		{Holding: 1, Count: 2, Family: cloth.Red, Print: "a"}, {Holding: 2, Count: 1, Family: cloth.Blue, Print: "a"}, {Holding: 3, Count: 1, Family: cloth.Red, Print: "b"},
		{Holding: 4, Count: 2, Family: cloth.Green}, {Holding: 5, Count: 1, Family: cloth.Teal}, {Holding: 6, Count: 1}, {Holding: 7, Count: 1}, {Holding: 8, Count: 1, Family: cloth.Many}, {Holding: 9, Count: 1, Family: cloth.Many},
	})
	p.Apart = [][2]int64{{5, 4}, {1, 3}}
	for _, c := range []struct {
		a, b int
		why  Cause
	}{{0, 0, SamePrint}, {0, 1, SamePrint}, {0, 2, SameFamily}, {3, 3, SamePrint}, {3, 4, KeptApart}, {4, 3, KeptApart}, {5, 6, ""}, {0, 3, ""}, {2, 1, ""}} {
		l, err := p.Judge([]int{c.a, c.b})
		require.NoError(t, err)
		if c.why == "" {
			require.Empty(t, l.Touches, "%+v", c)
			continue
		}
		require.Equal(t, []Touch{{A: 0, B: 1, Why: c.why}}, l.Touches, "%+v", c)
	}
	l, err := p.Judge([]int{0, -1})
	require.NoError(t, err)
	require.Empty(t, l.Touches)
	require.Equal(t, 1.0, p.Same([]int{0, 1}, []int{1, 0}), "one print")
	require.Equal(t, 0.5, p.Same([]int{0, 3, -1}, []int{1, 4, 0}))
	require.Zero(t, p.Same([]int{-1}, []int{0}))
}

// What is kept where it cannot lie is refused.
func TestWhatCannotBeKeptIsRefused(t *testing.T) {
	p := quiltOf(1, 3, 3, false)
	p.Effort = 0.01
	p.Places[0].Kept = 0 // of class 1, which it does not suit
	_, err := Lay(context.Background(), p)
	require.NotNil(t, fault.Of(err))
	require.ErrorIs(t, err, fault.ErrUsage)
	testtable.Kept(t, "refused", []string{err.Error(), fault.Of(err).Remedy}, 0)
	require.Zero(t, p.Most())
	more, better := p.Changes(make([]int, len(p.Places)), 0)
	require.Equal(t, [2]int{}, [2]int{more, better})
	_, err = p.Judge(make([]int, len(p.Places)))
	require.Error(t, err)
	p.Places[0].Kept = -1
	p.Places[2].Kept, p.Places[3].Kept, p.Places[4].Kept = 1, 1, 1
	p.Pieces[1].Count = 2
	_, err = Lay(context.Background(), p)
	require.Error(t, err, "kept in more places than there are pieces")
}
