package shelf

import (
	"slices"
	"sort"

	"piecebag/internal/cloth"
)

// Stack is one pile of the sorted table: the pieces of one hue family and
// value.
type Stack struct {
	Family cloth.Family
	Value  cloth.Value
	Stay   []int // items that need not be touched, as they lie
	Bring  []int // items to pick up and lay on this stack, as they lie
}

// Len returns the number of pieces in the stack.
func (s Stack) Len() int { return len(s.Stay) + len(s.Bring) }

// Moves counts the pieces that are picked up to make the stacks.
func Moves(stacks []Stack) int {
	n := 0
	for _, s := range stacks {
		n += len(s.Bring)
	}
	return n
}

// stacks says how items become stacks in the fewest moves.
//
// The pieces are read as one row, in the order given. A move takes one piece
// out of the row and puts it down anywhere in it. The row is done when every
// stack lies together and the stacks follow one another in shelf order (hue
// family, then light to dark); within a stack any order will do.
//
// Pieces that are never picked up keep their order among themselves, so they
// must already be in order; and every other piece needs one move and no more.
// The fewest moves are therefore n minus the length of the longest
// non-decreasing subsequence of the pieces' stack numbers, found by patience
// sorting (Schensted 1961; Fredman 1975) in O(n log n).
//
// Were the order of the stacks left free as well, this would be the longest
// run subsequence problem, which is NP-hard (Schrinner et al. 2020), and the
// same bag would come out in another order every time.
func stacks(items []Item) []Stack {
	var out []Stack
	for _, it := range items {
		if !named(it) {
			continue
		}
		f, v := it.Piece.Family, it.Piece.Value
		if !slices.ContainsFunc(out, func(s Stack) bool { return s.Family == f && s.Value == v }) {
			out = append(out, Stack{Family: f, Value: v})
		}
	}
	slices.SortStableFunc(out, func(a, b Stack) int { return compareCell(a.Family, a.Value, b.Family, b.Value) })
	var row, index []int // stack number of each sortable piece, and which item it is
	for i, it := range items {
		k := slices.IndexFunc(out, func(s Stack) bool { return s.Family == it.Piece.Family && s.Value == it.Piece.Value })
		if k >= 0 {
			row, index = append(row, k), append(index, i)
		}
	}
	for j, stays := range longestInOrder(row) {
		s := &out[row[j]]
		if stays {
			s.Stay = append(s.Stay, index[j])
		} else {
			s.Bring = append(s.Bring, index[j])
		}
	}
	return out
}

// longestInOrder marks one longest non-decreasing subsequence of row.
func longestInOrder(row []int) []bool {
	var tails []int // tails[l]: the index that ends the lowest run of l+1 found so far
	before := make([]int, len(row))
	for i, k := range row {
		l := sort.Search(len(tails), func(j int) bool { return row[tails[j]] > k })
		before[i] = -1
		if l > 0 {
			before[i] = tails[l-1]
		}
		if l == len(tails) {
			tails = append(tails, i)
		} else {
			tails[l] = i
		}
	}
	in := make([]bool, len(row))
	if len(tails) == 0 {
		return in
	}
	for i := tails[len(tails)-1]; i >= 0; i = before[i] {
		in[i] = true
	}
	return in
}
