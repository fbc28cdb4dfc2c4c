package shelf

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
)

func TestStacksOfASortedRowNeedNoMoves(t *testing.T) {
	got := Build([]Item{
		piece(cloth.Red, cloth.Light), piece(cloth.Red, cloth.Light), piece(cloth.Red, cloth.Dark), piece(cloth.Blue, cloth.Light),
	}, Options{}).Stacks
	require.Equal(t, []Stack{
		{cloth.Red, cloth.Light, []int{0, 1}, nil},
		{cloth.Red, cloth.Dark, []int{2}, nil},
		{cloth.Blue, cloth.Light, []int{3}, nil},
	}, got)
	require.Zero(t, Moves(got))
}

// One red square at the far end is the only piece to pick up.
func TestStacksMoveTheStray(t *testing.T) {
	got := Build([]Item{
		piece(cloth.Red, cloth.Dark), piece(cloth.Blue, cloth.Dark), piece(cloth.Blue, cloth.Dark), piece(cloth.Red, cloth.Dark),
	}, Options{}).Stacks
	require.Equal(t, []Stack{
		{cloth.Red, cloth.Dark, []int{0}, []int{3}},
		{cloth.Blue, cloth.Dark, []int{1, 2}, nil},
	}, got)
	require.Equal(t, 1, Moves(got))
	require.Equal(t, 2, got[0].Len())
}

// The number of moves is the least there is, found by trying all of them, and
// making them does sort the row.
func TestStacksTakeTheFewestMoves(t *testing.T) {
	kinds := []Item{
		piece(cloth.Red, cloth.Light), piece(cloth.Red, cloth.Dark), piece(cloth.Teal, cloth.Medium), piece(cloth.Black, cloth.Dark),
	}
	rapid.Check(t, func(t *rapid.T) {
		row := rapid.SliceOfN(rapid.IntRange(0, len(kinds)-1), 0, 6).Draw(t, "row")
		items := make([]Item, len(row))
		for i, k := range row {
			items[i] = kinds[k]
		}
		got := stacks(items)
		require.Equal(t, fewestByTryingAll(row), Moves(got))

		var sorted, untouched []int
		for _, s := range got {
			untouched = append(untouched, s.Stay...)
			for _, i := range slices.Concat(s.Stay, s.Bring) {
				sorted = append(sorted, row[i])
			}
		}
		require.True(t, slices.IsSorted(sorted))
		require.True(t, slices.IsSorted(untouched), "what stays must already lie in order: %v", untouched)
	})
}

// fewestByTryingAll searches breadth first over every row that moves can make.
func fewestByTryingAll(row []int) int {
	seen := map[string]bool{fmt.Sprint(row): true}
	for frontier, moves := [][]int{row}, 0; ; moves++ {
		var next [][]int
		for _, r := range frontier {
			if slices.IsSorted(r) {
				return moves
			}
			for from := range r {
				rest := slices.Delete(slices.Clone(r), from, from+1)
				for to := range r {
					made := slices.Insert(slices.Clone(rest), to, r[from])
					if k := fmt.Sprint(made); !seen[k] {
						seen[k] = true
						next = append(next, made)
					}
				}
			}
		}
		frontier = next
	}
}

func BenchmarkBuild(b *testing.B) {
	items := make([]Item, 2000)
	for i := range items {
		k := i * 7919 % 65
		items[i] = piece(cloth.Families[k/5], cloth.Values[k%5])
	}
	for b.Loop() {
		Build(items, Options{})
	}
}
