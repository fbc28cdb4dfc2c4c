package contrast

import (
	"cmp"
	"math"
	"slices"
)

// Weighed is one background weighed for a pull.
type Weighed struct {
	Background int // index into the list
	// Pieces of the pull by what they count as, see Verdict.Counts.
	Sinking, Soft, Clear int
	Least                float64 // the smallest gap to any print, Munsell value steps
	Spread               float64 // of the background itself
}

// Rank weighs every background for a pull, best first: fewest pieces sink, then
// fewest are soft, then the calmest (a background that is itself mixed comes
// after one that is not), then the widest least gap, then as listed. A print of
// the pull that has the background's own name is left out: it would not be used
// on itself.
func Rank(backgrounds, pull []Print) []Weighed {
	choices := make([]Weighed, len(backgrounds))
	for i, b := range backgrounds {
		c := Weighed{Background: i, Least: math.Inf(1), Spread: b.Spread()}
		for _, p := range Without(pull, b.Name) {
			v := Against(b, p)
			switch v.Counts {
			case Sinks:
				c.Sinking += p.Pieces
			case Soft:
				c.Soft += p.Pieces
			default:
				c.Clear += p.Pieces
			}
			c.Least = min(c.Least, math.Abs(v.Steps))
		}
		if math.IsInf(c.Least, 1) {
			c.Least = 0
		}
		choices[i] = c
	}
	slices.SortStableFunc(choices, func(a, b Weighed) int {
		return cmp.Or(
			cmp.Compare(a.Sinking, b.Sinking),
			cmp.Compare(a.Soft, b.Soft),
			cmp.Compare(mixedRank(a.Spread), mixedRank(b.Spread)),
			cmp.Compare(b.Least, a.Least),
		)
	})
	return choices
}

func mixedRank(spread float64) int {
	if spread >= sinksBelow {
		return 1
	}
	return 0
}
