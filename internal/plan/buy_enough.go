package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"piecebag/internal/shelf"
)

// overfull is how many times the middle count (the median over what is held)
// makes a bin overfull: common practice, no source.
const overfull = 2

// enough says what not to buy: what is on no line of the list and is held
// more often than the planned quilt that takes the most of it, or more than twice
// the middle count.
func enough(held []Held, buy []Purchase) []Enough {
	var counts []int
	for _, b := range held {
		if b.Count > 0 {
			counts = append(counts, b.Count)
		}
	}
	slices.Sort(counts)
	middle := shelf.Median(counts)
	var out []Enough
	for _, b := range held {
		if slices.ContainsFunc(buy, func(p Purchase) bool { return p.Sought == b.Sought }) {
			continue
		}
		reason := ""
		if middle > 0 && float64(b.Count) > overfull*middle {
			reason = "more than twice the middle count, " + strconv.FormatFloat(middle, 'f', -1, 64)
		}
		if b.Needed > 0 && b.Count > b.Needed {
			more := fmt.Sprintf("no planned quilt takes more than %d", b.Needed)
			if reason != "" {
				more += "; " + reason
			}
			reason = more
		}
		if reason != "" {
			out = append(out, Enough{b.Name, b.Count, reason})
		}
	}
	slices.SortStableFunc(out, func(a, b Enough) int { return cmp.Compare(b.Count, a.Count) })
	return out
}
