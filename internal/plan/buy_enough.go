package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/shelf"
)

// overfull is from how many times the median count of the boxes that hold something a bin
// is called overfull: common practice, no source.
const overfull = 2

// meets reports whether what is sought may lie in a bin, of which the value is empty where
// it holds all of them.
func (s Sought) meets(bin Sought) bool {
	return s == bin || s.One == "" && s.Bin == bin.Bin && s.Family == bin.Family && s.Family != "" && (s.Value == "" || bin.Value == "")
}

// enough lists what not to buy: cloth that nothing wants, that is on no line of the list,
// and of which more is held than planned quilts take, or more than twice the median count
// and twice the least that is wanted.
func enough(held []Held, buy []Purchase) []Enough {
	var counts []int
	for _, b := range held {
		if b.Count > 0 {
			counts = append(counts, b.Count)
		}
	}
	slices.Sort(counts)
	middle := shelf.MiddleCount(counts)
	var out []Enough
	for _, b := range held {
		if b.Wanted || slices.ContainsFunc(buy, func(p Purchase) bool { return p.meets(b.Sought) }) {
			continue
		}
		var reasons []string
		if b.Needed > 0 && b.Count > b.Least {
			reasons = append(reasons, fmt.Sprintf("planned quilts take %d of them", b.Needed))
		}
		switch n := float64(b.Count); {
		case middle == 0 || n <= overfull*max(middle, float64(b.Least)):
		case float64(b.Least) >= middle:
			reasons = append(reasons, fmt.Sprintf("more than twice the %d wanted", b.Least))
		default:
			reasons = append(reasons, fmt.Sprintf("half of your bins hold %.0f or fewer", math.Floor(middle)))
		}
		if reasons != nil {
			out = append(out, Enough{b.Name, b.Count, strings.Join(reasons, "; ")})
		}
	}
	slices.SortStableFunc(out, func(a, b Enough) int { return cmp.Compare(b.Count, a.Count) })
	return out
}
