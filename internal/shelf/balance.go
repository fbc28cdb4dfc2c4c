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
	var b Balance
	families := make([]Part, len(cloth.Families))
	values := make([]Part, len(cloth.Values))
	n := 0
	for _, it := range items {
		if !named(it) {
			continue
		}
		n++
		area := it.Piece.WidthIn * it.Piece.LengthIn
		if area > 0 {
			b.Sized++
			b.Area += area
		}
		for _, p := range []*Part{&families[familyRank(it.Piece.Family)], &values[valueRank(it.Piece.Value)]} {
			p.Count++
			p.Area += area
		}
	}
	shares := func(p Part) Part {
		if n > 0 {
			p.Share = float64(p.Count) / float64(n)
		}
		if b.Area > 0 {
			p.AreaShare = p.Area / b.Area
		}
		return p
	}
	for i, f := range cloth.Families {
		if families[i].Count > 0 {
			b.Families = append(b.Families, FamilyPart{f, shares(families[i])})
		}
	}
	for i, v := range cloth.Values {
		b.Values = append(b.Values, ValuePart{v, shares(values[i])})
	}
	return b
}
