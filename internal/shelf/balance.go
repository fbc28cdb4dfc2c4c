package shelf

import "piecebag/internal/cloth"

// Balance is how the pieces divide over hue and over value.
type Balance struct {
	Families []FamilyPart // that hold something, in shelf order
	Values   []ValuePart  // all five, lightest first
	Sized    int          // named pieces of known size
	Area     float64      // of those, square inches
}

// Part is a share of the whole.
type Part struct {
	Count     int
	Share     float64 // of the named pieces, 0..1
	Area      float64 // square inches, over the pieces of known size
	AreaShare float64 // of Balance.Area, 0..1; 0 where no size is known
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
	var sum balanceSum
	for _, it := range items {
		sum.add(it.Piece.Family, it.Piece.Value, 1, it.Piece.WidthIn*it.Piece.LengthIn)
	}
	return sum.balance()
}

// balanceSum gathers a Balance; what has no family or no value is left out.
type balanceSum struct {
	families [13]Part // as cloth.Families
	values   [5]Part  // as cloth.Values
	sized, n int
	area     float64

	hasFamily [13]bool // also of cloth that is not counted in pieces
	hasValue  [5]bool
}

// held notes that there is cloth of a family and value.
func (b *balanceSum) held(f cloth.Family, v cloth.Value) {
	if fr := familyRank(f); fr < len(cloth.Families) {
		b.hasFamily[fr] = true
	}
	if vr := valueRank(v); vr >= 0 {
		b.hasValue[vr] = true
	}
}

// missing lists the families, then the values, of which nothing is held; none
// where nothing is held at all.
func (b *balanceSum) missing() []Thin {
	if b.hasFamily == [13]bool{} {
		return nil
	}
	return absent(
		func(f cloth.Family) bool { return b.hasFamily[familyRank(f)] },
		func(v cloth.Value) bool { return b.hasValue[valueRank(v)] })
}

// add counts n pieces with area square inches together, 0 where unknown.
func (b *balanceSum) add(f cloth.Family, v cloth.Value, n int, area float64) {
	fr, vr := familyRank(f), valueRank(v)
	if fr == len(cloth.Families) || vr < 0 {
		return
	}
	b.held(f, v)
	b.n += n
	if area > 0 {
		b.sized += n
		b.area += area
	}
	for _, p := range []*Part{&b.families[fr], &b.values[vr]} {
		p.Count += n
		p.Area += area
	}
}

func (b *balanceSum) balance() Balance {
	out := Balance{Sized: b.sized, Area: b.area}
	shares := func(p Part) Part {
		if b.n > 0 {
			p.Share = float64(p.Count) / float64(b.n)
		}
		if b.area > 0 {
			p.AreaShare = p.Area / b.area
		}
		return p
	}
	for i, f := range cloth.Families {
		if b.families[i].Count > 0 {
			out.Families = append(out.Families, FamilyPart{f, shares(b.families[i])})
		}
	}
	for i, v := range cloth.Values {
		out.Values = append(out.Values, ValuePart{v, shares(b.values[i])})
	}
	return out
}
