package recipe

import "slices"

// CutPiece is one piece of cloth as cut, and the patches of the sewn top that it gives:
// one, or several where units are made at a time from shared squares.
type CutPiece struct {
	Role              Role
	WidthIn, LengthIn float64 // as cut, WidthIn ≤ LengthIn, inches
	Patches           []int   // of the layout
	Set               int     // all of a set come from one print; numbered from 1, 0 for none
	// Scraps is Strings or Crumbs where the patch is sewn from cloth of any width, and
	// WidthIn and LengthIn are what is drawn; empty for all else.
	Scraps Make
}

// Pieces returns the cut pieces of all patches of a layout but plain borders and sashing that
// is longer than cloth is wide, as TopCuts counts them with Method.OneByOne set. What
// is made several at a time is parted so that one piece's patches lie far from one
// another. Patches of leftover cloth, as of a square cut in four for two triangles,
// are not there.
func (r *Recipe) Pieces(l Top, c Method) []CutPiece {
	p := pieces{system: c.System}
	type kind struct{ block, alike, stand int }
	type matched struct{ stand, set int }
	setAt := map[matched]int{}
	units := map[kind][]int{} // the first patch of each
	var order []kind
	var alikes [][]alike
	for _, b := range r.Blocks {
		alikes = append(alikes, b.alike())
	}
	for i, patch := range l.Patches {
		if patch.Of < 0 || i > 0 && patch.Block == l.Patches[i-1].Block && patch.Unit == l.Patches[i-1].Unit {
			continue
		}
		u, _ := r.Blocks[patch.Of].Units[patch.Unit].anywhere()
		k := kind{block: patch.Of, alike: slices.IndexFunc(alikes[patch.Of], func(a alike) bool { return a.unit.same(u) })}
		if u.Matched != nil { // what matches is in one block
			k.stand = patch.Block
		}
		if units[k] == nil {
			order = append(order, k)
		}
		units[k] = append(units[k], i)
	}
	for _, g := range l.loose {
		p.loose(g, c.WOFIn)
	}
	for _, k := range order {
		u := alikes[k.block][k.alike].unit.numbered(0)
		for i := range u.Matched {
			m := matched{k.stand, u.Matched[i].Set}
			if setAt[m] == 0 {
				setAt[m] = len(setAt) + 1
			}
			u.Matched[i].Set = setAt[m]
		}
		p.units(u, units[k], r.Blocks[k.block].CellIn())
	}
	return p.out
}

type pieces struct {
	system System
	out    []CutPiece
}

func (p *pieces) add(role Role, set int, w, h float64, patches ...int) {
	p.out = append(p.out, CutPiece{Role: role, Set: set, WidthIn: min(w, h), LengthIn: max(w, h), Patches: patches})
}

// loose adds pieces that are in no block.
func (p *pieces) loose(g laid, wof float64) {
	w, h, _ := g.size(p.system)
	if g.cut == asStrips || g.joined && max(w, h) > wof {
		return
	}
	each, _ := g.each()
	for _, set := range sets(g.patches, each) {
		p.add(g.role, 0, w, h, set...)
	}
}

// units adds the pieces of units alike, whose first patches are given; cell is the
// finished side of a cell.
func (p *pieces) units(u Unit, first []int, cell float64) {
	set, from := u.supplies(p.system, cell)
	for _, units := range sets(first, set) {
		for _, it := range from {
			if it.loose > 0 {
				continue
			}
			for _, gives := range it.gives {
				var patches []int
				for _, g := range gives {
					if g.unit < len(units) {
						patches = append(patches, units[g.unit]+g.patch)
					}
				}
				if u.ofScraps() {
					p.add(it.role, 0, it.w, it.h, patches...)
					p.out[len(p.out)-1].Scraps = u.Make
					continue
				}
				p.add(it.role, u.setOf(it.role), it.w, it.h, patches...)
			}
		}
	}
	for _, it := range from {
		if it.loose > 0 {
			var triangles []int
			for _, gives := range it.gives {
				for _, one := range first {
					triangles = append(triangles, one+gives[0].patch)
				}
			}
			p.split(it.role, u.setOf(it.role), it.w, triangles, it.loose)
		}
	}
}

// split adds squares of which each gives so many triangles.
func (p *pieces) split(role Role, inSet int, square float64, triangles []int, each int) {
	for _, set := range sets(triangles, each) {
		p.add(role, inSet, square, square, set...)
	}
}

// sets parts a list into as few sets of at most so many as there can be, each spread
// over all of it.
func sets[T any](all []T, each int) [][]T {
	out := make([][]T, ceilDiv(len(all), each))
	for i, u := range all {
		out[i%len(out)] = append(out[i%len(out)], u)
	}
	return out
}
