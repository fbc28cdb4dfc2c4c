package recipe

import (
	"slices"

	"piecebag/internal/geom"
)

// CutPiece is one piece of cloth as cut, and the patches of the sewn top that it gives:
// one, or several where units are made at a time from shared squares.
type CutPiece struct {
	Role              Role
	WidthIn, LengthIn float64 // as cut, WidthIn ≤ LengthIn, inches
	Patches           []int   // of the layout
	Set               int     // all of a set come from one print; numbered from 1, 0 for none
}

// Pieces are the cut pieces of all patches of a layout but borders and sashing that
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
		if patch.Of < 0 {
			p.single(r, l, i, c.WOFIn)
			continue
		}
		if i > 0 && patch.Block == l.Patches[i-1].Block && patch.Unit == l.Patches[i-1].Unit {
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
	for _, k := range order {
		cell := r.WidthIn / float64(r.Blocks[k.block].Columns)
		u := alikes[k.block][k.alike].unit.numbered(0)
		for i := range u.Matched {
			m := matched{k.stand, u.Matched[i].Set}
			if setAt[m] == 0 {
				setAt[m] = len(setAt) + 1
			}
			u.Matched[i].Set = setAt[m]
		}
		p.units(u, units[k], cell)
	}
	side, _ := p.system.SideTriangle(r.WidthIn)
	p.split(r.Setting.Fill, 0, side, p.sides, 4)
	corner, _ := p.system.CornerTriangle(r.WidthIn)
	p.split(r.Setting.Fill, 0, corner, p.corners, 2)
	half, _ := p.system.SideTriangle(r.Sashing.WidthIn)
	p.split(r.Sashing.Cornerstone, 0, half, p.halfStones, 4)
	return p.out
}

type pieces struct {
	system                     System
	out                        []CutPiece
	sides, corners, halfStones []int
}

func (p *pieces) add(role Role, set int, w, h float64, patches ...int) {
	p.out = append(p.out, CutPiece{Role: role, Set: set, WidthIn: min(w, h), LengthIn: max(w, h), Patches: patches})
}

// plain is a side as cut for a finished one.
func (p *pieces) plain(finished float64) float64 {
	cut, _ := p.system.Plain(finished)
	return cut
}

// single adds a patch that is in none of the blocks.
func (p *pieces) single(r *Recipe, l Top, i int, wof float64) {
	patch := l.Patches[i]
	switch patch.Kind {
	case Triangle: // at a corner one of its corners is the quilt's
		edges := 0
		for _, q := range patch.Polygon {
			if l.onEdge(q, r) {
				edges++
			}
		}
		if edges == 3 {
			p.corners = append(p.corners, i)
		} else {
			p.sides = append(p.sides, i)
		}
	case Cornerstone:
		if len(patch.Polygon) == 3 {
			p.halfStones = append(p.halfStones, i)
			return
		}
		p.add(patch.Role, 0, p.plain(r.Sashing.WidthIn), p.plain(r.Sashing.WidthIn), i)
	case PlainSquare, InSashing:
		a, b := patch.Polygon[0], patch.Polygon[1]
		w, h := p.plain(a.Dist(b)), p.plain(b.Dist(patch.Polygon[2]))
		if max(w, h) <= wof {
			p.add(patch.Role, 0, w, h, i)
		}
	}
}

// onEdge reports whether a point lies on the edge of the top within its borders.
func (l Top) onEdge(q geom.Point, r *Recipe) bool {
	in := 0.0
	for _, b := range r.Borders {
		in += b.WidthIn
	}
	return q.X-in < touch || q.Y-in < touch || l.WidthIn-in-q.X < touch || l.HeightIn-in-q.Y < touch
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
