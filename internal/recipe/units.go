package recipe

import "slices"

// Batch is units alike of a block, which are made before it is sewn.
type Batch struct {
	Unit  Unit  // without its place and its turn
	At    []int // of Block.Units
	Set   int   // how many one set of pieces makes
	Cut   []Lot // the pieces of a set; with Split as many squares as are cut up at once
	Loose bool  // the squares are cut into triangles that are sewn by fours
}

// Batches returns the units of a block by what they are alike in, plain patches last.
func (b Block) Batches(s System) []Batch {
	var out []Batch
	for i, u := range b.Units {
		u, _ := u.anywhere()
		u.Matched = nil
		k := slices.IndexFunc(out, func(m Batch) bool { return m.Unit.same(u) })
		if k < 0 {
			k = len(out)
			out = append(out, Batch{Unit: u})
		}
		out[k].At = append(out[k].At, i)
	}
	for k := range out {
		m := &out[k]
		set, from := m.Unit.supplies(s, b.CellIn())
		m.Set = set
		for _, it := range from {
			lot := Lot{Role: it.role, WidthIn: it.w, LengthIn: it.h, Count: len(it.gives), Split: it.split}
			if it.loose > 0 {
				m.Loose, lot.Split, lot.Count = true, Twice, 1
			}
			m.Cut = append(m.Cut, lot)
		}
	}
	slices.SortStableFunc(out, func(a, b Batch) int { return btoi(a.Unit.Make == Plain) - btoi(b.Unit.Make == Plain) })
	return out
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Shown returns the patches of a unit by itself, inches, unturned, as BlockLayout has those of
// a block.
func (u Unit) Shown(cell float64) Top {
	t := Top{WidthIn: cell * float64(u.Wide), HeightIn: cell * float64(u.High)}
	for _, s := range u.upright() {
		t.Patches = append(t.Patches, Patch{Polygon: s.polygon.Scale(cell), Role: s.role, Kind: InBlock})
	}
	return t
}
