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
}

// Pieces are the cut pieces of all patches of a layout but borders and sashing that
// is longer than cloth is wide, as TopCuts counts them with Method.OneByOne set. What
// is made several at a time is parted so that one piece's patches lie far from one
// another. Patches of leftover cloth, as of a square cut in four for two triangles,
// are not there.
func (r *Recipe) Pieces(l Layout, c Method) []CutPiece {
	p := pieces{system: c.System}
	type kind struct{ block, alike int }
	units := map[kind][]unitAt{}
	var order []kind
	var alikes [][]alike
	for _, b := range r.Blocks {
		alikes = append(alikes, b.alike())
	}
	for i := 0; i < len(l.Patches); {
		first := l.Patches[i]
		j := i + 1
		for j < len(l.Patches) && first.Of >= 0 && l.Patches[j].Block == first.Block && l.Patches[j].Unit == first.Unit {
			j++
		}
		if first.Of < 0 {
			p.single(r, l, i, c.WOFIn)
			i = j
			continue
		}
		u := r.Blocks[first.Of].Units[first.Unit]
		k := kind{first.Of, whichAlike(alikes[first.Of], u)}
		if units[k] == nil {
			order = append(order, k)
		}
		units[k] = append(units[k], unitAt{first: i, count: j - i})
		i = j
	}
	for _, k := range order {
		b := r.Blocks[k.block]
		p.units(alikes[k.block][k.alike].unit, units[k], r.WidthIn/float64(b.Columns))
	}
	side, _ := p.system.SideTriangle(r.WidthIn)
	p.split(r.Setting.Fill, side, p.sides, 4)
	corner, _ := p.system.CornerTriangle(r.WidthIn)
	p.split(r.Setting.Fill, corner, p.corners, 2)
	half, _ := p.system.SideTriangle(r.Sashing.WidthIn)
	p.split(r.Sashing.Cornerstone, half, p.halfStones, 4)
	return p.out
}

// unitAt is where the patches of a unit stand in a layout.
type unitAt struct{ first, count int }

func whichAlike(all []alike, u Unit) int {
	for i, a := range all {
		b := Block{Units: []Unit{a.unit, u}}
		if len(b.alike()) == 1 {
			return i
		}
	}
	return -1
}

type pieces struct {
	system                     System
	out                        []CutPiece
	sides, corners, halfStones []int
}

func (p *pieces) add(role Role, w, h float64, patches ...int) {
	p.out = append(p.out, CutPiece{Role: role, WidthIn: min(w, h), LengthIn: max(w, h), Patches: patches})
}

// plain is a side as cut for a finished one.
func (p *pieces) plain(finished float64) float64 {
	cut, _ := p.system.Plain(finished)
	return cut
}

// single adds a patch that is in none of the blocks.
func (p *pieces) single(r *Recipe, l Layout, i int, wof float64) {
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
		p.add(patch.Role, p.plain(r.Sashing.WidthIn), p.plain(r.Sashing.WidthIn), i)
	case PlainSquare, InSashing:
		a, b := patch.Polygon[0], patch.Polygon[1]
		w, h := p.plain(a.Dist(b)), p.plain(b.Dist(patch.Polygon[2]))
		if max(w, h) <= wof {
			p.add(patch.Role, w, h, i)
		}
	}
}

// onEdge reports whether a point lies on the edge of the top within its borders.
func (l Layout) onEdge(q geom.Point, r *Recipe) bool {
	in := 0.0
	for _, b := range r.Borders {
		in += b.WidthIn
	}
	return q.X-in < touch || q.Y-in < touch || l.WidthIn-in-q.X < touch || l.HeightIn-in-q.Y < touch
}

// units adds the pieces of units alike; cell is the finished side of a cell.
func (p *pieces) units(u Unit, at []unitAt, cell float64) {
	w, h := cell*float64(u.Wide), cell*float64(u.High)
	switch u.Make {
	case HalfSquare:
		square, _ := p.system.Half(w)
		if u.AtATime == 8 {
			square, _ = p.system.eightHalves(w)
		}
		for _, set := range sets(at, u.AtATime) {
			p.add(u.Roles[0], square, square, patchesOf(set, 0)...)
			p.add(u.Roles[1], square, square, patchesOf(set, 1)...)
		}
	case Hourglass:
		square, _ := p.system.Quarter(w)
		for _, set := range sets(at, 2) {
			p.add(u.Roles[0], square, square, patchesOf(set, 0, 2)...)
			p.add(u.Roles[1], square, square, patchesOf(set, 1, 3)...)
		}
	case QuarterSquare:
		square, _ := p.system.Quarter(w)
		for i, role := range u.Roles {
			if i > 0 && slices.Contains(u.Roles[:i], role) {
				continue
			}
			var all []int
			for k, other := range u.Roles {
				if other == role {
					all = append(all, patchesOf(at, k)...)
				}
			}
			p.split(role, square, all, 4)
		}
	case FlyingGeese:
		if u.AtATime == 4 {
			p.geese(u, at, w, h)
			return
		}
		for _, one := range at {
			p.add(u.Roles[0], p.plain(w), p.plain(h), one.first)
			p.add(u.Roles[1], p.plain(h), p.plain(h), one.first+1)
			p.add(u.Roles[1], p.plain(h), p.plain(h), one.first+2)
		}
	case FlipCorners:
		for _, one := range at {
			p.add(u.Roles[0], p.plain(w), p.plain(h), one.first)
			k := one.first
			for _, c := range u.Corners {
				if c.Side > 0 {
					k++
					side := p.plain(cell * float64(c.Side))
					p.add(c.Role, side, side, k)
				}
			}
		}
	default: // every patch is cut by itself
		for _, one := range at {
			for k, s := range u.upright() {
				lo, hi := s.polygon.Bounds()
				p.add(s.role, p.plain(cell*(hi.X-lo.X)), p.plain(cell*(hi.Y-lo.Y)), one.first+k)
			}
		}
	}
}

// geese adds those of flying geese made four at a time: of the first two small squares
// half goes to either half of the large one, of the others half to either goose of a half.
func (p *pieces) geese(u Unit, at []unitAt, w, h float64) {
	large, _ := p.system.Quarter(w)
	small, _ := p.system.Half(h)
	for _, set := range sets(at, 4) {
		p.add(u.Roles[0], large, large, patchesOf(set, 0)...)
		for _, two := range [4][2]struct{ goose, sky int }{
			{{0, 1}, {2, 2}}, {{1, 2}, {3, 1}}, {{0, 2}, {1, 1}}, {{2, 1}, {3, 2}},
		} {
			var patches []int
			for _, t := range two {
				if t.goose < len(set) {
					patches = append(patches, set[t.goose].first+t.sky)
				}
			}
			p.add(u.Roles[1], small, small, patches...)
		}
	}
}

// split adds squares of which each gives so many triangles.
func (p *pieces) split(role Role, square float64, triangles []int, each int) {
	at := make([]unitAt, len(triangles))
	for i, t := range triangles {
		at[i] = unitAt{t, 1}
	}
	for _, set := range sets(at, each) {
		p.add(role, square, square, patchesOf(set, 0)...)
	}
}

// sets parts units into as few sets of at most so many as there can be, each spread
// over all.
func sets(at []unitAt, each int) [][]unitAt {
	out := make([][]unitAt, ceilDiv(len(at), each))
	for i, u := range at {
		out[i%len(out)] = append(out[i%len(out)], u)
	}
	return out
}

func patchesOf(set []unitAt, which ...int) (out []int) {
	for _, u := range set {
		for _, k := range which {
			out = append(out, u.first+k)
		}
	}
	return out
}
