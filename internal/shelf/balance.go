package shelf

import "piecebag/internal/cloth"

// Balance is how the pieces divide over hue and over value. A piece of which only
// one of the two is known counts there.
type Balance struct {
	Families []FamilyPart // that hold something, in shelf order
	Values   []ValuePart  // all five, lightest first
	Sized    int          // pieces of known size and of a known family or value
	Area     float64      // of those, square inches
}

// Part is a share of the whole: of all pieces of a known family, or of a known
// value.
type Part struct {
	Count     int
	Share     float64 // 0..1
	Area      float64 // square inches, over the pieces of known size
	AreaShare float64 // 0..1; 0 where no size is known
}

// FamilyPart is what one hue family holds.
type FamilyPart struct {
	Family cloth.Family
	Part
}

// ValuePart is what one value holds.
type ValuePart struct {
	Value cloth.Value
	Part
}

func balance(items []Item) Balance {
	sum := newBalance()
	for _, it := range items {
		sum.add(it.Piece.Family, it.Piece.Value, 1, it.Piece.WidthIn*it.Piece.LengthIn)
	}
	return sum.balance()
}

// balanceSum gathers a Balance; what has neither a family nor a value is left
// out. Its maps know also what is held of cloth that is not counted in pieces.
type balanceSum struct {
	families map[cloth.Family]Part
	values   map[cloth.Value]Part
	sized    int
	area     float64
}

func newBalance() balanceSum {
	return balanceSum{families: map[cloth.Family]Part{}, values: map[cloth.Value]Part{}}
}

// missing lists the families but Many, then the values, of which nothing is held; none
// where nothing is held at all.
func (b balanceSum) missing() (out []Thin) {
	if len(b.families) == 0 {
		return nil
	}
	for _, f := range cloth.Families {
		if _, held := b.families[f]; !held && f != cloth.Many {
			out = append(out, Thin{Family: f, Reason: Nothing})
		}
	}
	for _, v := range cloth.Values {
		if _, held := b.values[v]; !held {
			out = append(out, Thin{Value: v, Reason: Nothing})
		}
	}
	return out
}

// add counts n pieces with area square inches together, 0 where unknown.
func (b *balanceSum) add(f cloth.Family, v cloth.Value, n int, area float64) {
	if area > 0 && (f != "" || v != "") {
		b.sized += n
		b.area += area
	}
	more := Part{Count: n, Area: area}
	if f != "" {
		b.families[f] = b.families[f].plus(more)
	}
	if v != "" {
		b.values[v] = b.values[v].plus(more)
	}
}

func (p Part) plus(q Part) Part { return Part{Count: p.Count + q.Count, Area: p.Area + q.Area} }

func (b balanceSum) balance() Balance {
	out := Balance{Sized: b.sized, Area: b.area}
	for i, p := range shared(cloth.Families, b.families) {
		if p.Count > 0 {
			out.Families = append(out.Families, FamilyPart{cloth.Families[i], p})
		}
	}
	for i, p := range shared(cloth.Values, b.values) {
		out.Values = append(out.Values, ValuePart{cloth.Values[i], p})
	}
	return out
}

// shared are the parts in order, each with how much of their sum it is.
func shared[K comparable](order []K, parts map[K]Part) []Part {
	var all Part
	for _, k := range order {
		all = all.plus(parts[k])
	}
	out := make([]Part, len(order))
	for i, k := range order {
		p := parts[k]
		if all.Count > 0 {
			p.Share = float64(p.Count) / float64(all.Count)
		}
		if all.Area > 0 {
			p.AreaShare = p.Area / all.Area
		}
		out[i] = p
	}
	return out
}
