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
	var sum balanceSum
	for _, it := range items {
		sum.add(it.Piece.Family, it.Piece.Value, 1, it.Piece.WidthIn*it.Piece.LengthIn)
	}
	return sum.balance()
}

// balanceSum gathers a Balance; what has neither a family nor a value is left
// out.
type balanceSum struct {
	families [13]Part // as cloth.Families
	values   [5]Part  // as cloth.Values
	sized    int
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
	if fr == len(cloth.Families) && vr < 0 {
		return
	}
	b.held(f, v)
	if area > 0 {
		b.sized += n
		b.area += area
	}
	if fr < len(cloth.Families) {
		b.families[fr].add(n, area)
	}
	if vr >= 0 {
		b.values[vr].add(n, area)
	}
}

func (p *Part) add(n int, area float64) {
	p.Count += n
	p.Area += area
}

func (b *balanceSum) balance() Balance {
	out := Balance{Sized: b.sized, Area: b.area}
	setShares(b.families[:])
	setShares(b.values[:])
	for i, f := range cloth.Families {
		if b.families[i].Count > 0 {
			out.Families = append(out.Families, FamilyPart{f, b.families[i]})
		}
	}
	for i, v := range cloth.Values {
		out.Values = append(out.Values, ValuePart{v, b.values[i]})
	}
	return out
}

// setShares says of each part how much of their sum it is.
func setShares(parts []Part) {
	var all Part
	for _, p := range parts {
		all.add(p.Count, p.Area)
	}
	for i := range parts {
		if all.Count > 0 {
			parts[i].Share = float64(parts[i].Count) / float64(all.Count)
		}
		if all.Area > 0 {
			parts[i].AreaShare = parts[i].Area / all.Area
		}
	}
}
