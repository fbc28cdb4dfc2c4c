package shelf

import (
	"slices"

	"piecebag/internal/cloth"
)

// Reason says why a bin needs filling.
type Reason string

// The reasons.
const (
	BelowFloor Reason = "below the floor"
	SmallShare Reason = "less than half of the middle share"
	Nothing    Reason = "missing"
)

// Thin is a colour, a value or a bin that wants filling.
type Thin struct {
	Family cloth.Family // empty: the value, in every colour
	Value  cloth.Value  // empty: the colour, in every value
	Count  int
	Share  float64 // of all pieces, 0..1
	Reason Reason
	// Against is what Count was held against: the floor, or the middle count
	// (the median, so it may end in a half); 0 where nothing was.
	Against float64
}

// thin finds what is held but short. A bin (family × value, all cuts together)
// is short below the floor. A colour, a value or a bin is also short when its
// share is less than half of the middle share, the median over those of its
// sort that hold something; halving the median rather than the mean keeps one
// huge bin from making all others look thin. That no published threshold for a
// thin bin exists is why both rules are simple and said aloud.
func thin(bins []Group, floor int) []Thin {
	var families, values, cells gathered[Alike, Thin]
	all := 0
	for _, b := range bins {
		n := len(b.Items)
		all += n
		families.of(Alike{Family: b.Family}, Thin{Family: b.Family}).Count += n
		values.of(Alike{Value: b.Value}, Thin{Value: b.Value}).Count += n
		cells.of(Alike{Family: b.Family, Value: b.Value}, Thin{Family: b.Family, Value: b.Value}).Count += n
	}
	slices.SortStableFunc(values.all, func(a, b Thin) int { return valueRank(a.Value) - valueRank(b.Value) })
	var out []Thin
	for k, group := range [][]Thin{families.all, values.all, cells.all} {
		middle := middleCount(group)
		for _, t := range group {
			t.Share = float64(t.Count) / float64(all)
			switch {
			case k == 2 && t.Count < floor:
				t.Reason, t.Against = BelowFloor, float64(floor)
			case t.smallShare(middle):
				t.Reason, t.Against = SmallShare, middle
			default:
				continue
			}
			out = append(out, t)
		}
	}
	return out
}

// smallShare reports whether t has less than half of the middle count. Many is no
// colour that you could shop for.
func (t Thin) smallShare(middle float64) bool {
	return t.Family != cloth.Many && 2*float64(t.Count) < middle
}

// middleCount returns the median count of the entries, Many left out; 0 with none.
func middleCount(group []Thin) float64 {
	var counts []int
	for _, t := range group {
		if t.Family != cloth.Many {
			counts = append(counts, t.Count)
		}
	}
	slices.Sort(counts)
	return MiddleCount(counts)
}

// MiddleCount returns the middle of counts in order; of an even number the mean of both
// in the middle, and 0 of none.
func MiddleCount(sorted []int) float64 {
	n := len(sorted)
	if n == 0 {
		return 0
	}
	return float64(sorted[(n-1)/2]+sorted[n/2]) / 2
}

// missing lists the colours, then the values, of which no bin holds a piece.
func missing(bins []Group) []Thin {
	sum := newBalance()
	for _, b := range bins {
		sum.add(b.Family, b.Value, 0, 0)
	}
	return sum.missing()
}
