package shelf

import (
	"slices"

	"piecebag/internal/cloth"
)

// Balance is how the pieces are distributed over hue families and over values. A piece of
// which only one of the two is known counts there.
type Balance struct {
	Families []Portion // that hold something, in shelf order
	Values   []Portion // all five, lightest first
	Sized    int       // pieces of known size and of a known family or value
	Area     float64   // of those pieces, square inches
}

// Portion is what one hue family or one value holds.
type Portion struct {
	Family cloth.Family // of Families
	Value  cloth.Value  // of Values
	Count  int
	Share  float64 // 0..1, of all pieces of a known family, or of a known value
	Area   float64 // square inches, over the pieces of known size
}

func balance(items []Item) Balance {
	sum := newBalance()
	for _, it := range items {
		sum.add(it.Piece.Family, it.Piece.Value, 1, it.Piece.WidthIn*it.Piece.LengthIn)
	}
	return sum.balance()
}

// balanceSum gathers a Balance, of all families; what has neither a family nor a value
// is left out. It knows also what is held of cloth that is not counted in pieces.
type balanceSum struct {
	Balance
	heldFamilies map[cloth.Family]bool
	heldValues   map[cloth.Value]bool
}

func newBalance() balanceSum {
	b := balanceSum{heldFamilies: map[cloth.Family]bool{}, heldValues: map[cloth.Value]bool{}}
	for _, f := range cloth.Families {
		b.Families = append(b.Families, Portion{Family: f})
	}
	for _, v := range cloth.Values {
		b.Values = append(b.Values, Portion{Value: v})
	}
	return b
}

// missing lists the families but Many, then the values, of which nothing is held; none
// where no family is held at all.
func (b balanceSum) missing() (out []Thin) {
	if len(b.heldFamilies) == 0 {
		return nil
	}
	for _, f := range cloth.Families {
		if !b.heldFamilies[f] && f != cloth.Many {
			out = append(out, Thin{Family: f, Reason: Nothing})
		}
	}
	for _, v := range cloth.Values {
		if !b.heldValues[v] {
			out = append(out, Thin{Value: v, Reason: Nothing})
		}
	}
	return out
}

// add counts n pieces with area square inches together, 0 where unknown.
func (b *balanceSum) add(f cloth.Family, v cloth.Value, n int, area float64) {
	if area > 0 && (f != "" || v != "") {
		b.Sized += n
		b.Area += area
	}
	if k := familyRank(f); k < len(b.Families) {
		b.heldFamilies[f] = true
		b.Families[k].Count += n
		b.Families[k].Area += area
	}
	if k := valueRank(v); k >= 0 {
		b.heldValues[v] = true
		b.Values[k].Count += n
		b.Values[k].Area += area
	}
}

func (b balanceSum) balance() Balance {
	for _, parts := range [][]Portion{b.Families, b.Values} {
		all := 0
		for _, p := range parts {
			all += p.Count
		}
		for i := range parts {
			parts[i].Share = float64(parts[i].Count) / float64(max(1, all))
		}
	}
	b.Families = slices.DeleteFunc(b.Families, func(p Portion) bool { return p.Count == 0 })
	return b.Balance
}
