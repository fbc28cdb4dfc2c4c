package recipe

import (
	"fmt"
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// LeastString is the narrowest cut string or crumb that is worth sewing: ½ of it is seam.
const LeastString = 1.0

// BoughtString is how wide strings are cut where they are bought, inches (common
// practice, no source).
const BoughtString = 2.0

// Handful is a handful of scraps, square inches: an ounce of them, at 4.4 ounces to the
// square yard of quilting cotton. What a hand holds is an assumption.
const Handful = 36 * 36 / 4.4

// Handfuls returns how many handfuls an area of cloth is, rounded up.
func Handfuls(in2 float64) int { return int(math.Ceil(in2/Handful - slack)) }

// trimmed is the share of crumbs that is cut away as they are sewn to one another and
// squared (an assumption).
const trimmed = 0.25

// ofScraps reports whether a unit is sewn onto a foundation from pieces as they come.
func (u Unit) ofScraps() bool { return u.Make == Strings || u.Make == Crumbs }

// stringEnds are where the strings of a foundation lie between its middle, 0, and a
// corner, 1: widths that differ a little, as they do in a bag of strings.
var stringEnds = []float64{0.09, 0.28, 0.44, 0.63, 0.79, 1}

// strings returns strips along the diagonal from bottom left to top right, the middle one
// first, then in turn on its upper and lower side.
func (u Unit) strings(whole geom.Polygon) []shape {
	w, h := float64(u.Wide), float64(u.High)
	// The lines x/w + y/h = 1 + at: 0 is the diagonal, -1 and 1 run through corners.
	between := func(least, most float64) geom.Polygon {
		g := whole
		for _, cut := range []struct{ at, side float64 }{{least, 1}, {most, -1}} {
			if math.Abs(cut.at) < 1 {
				g = g.Side(geom.Line{N: geom.Point{X: 1 / w, Y: 1 / h}, C: 1 + cut.at}, cut.side)
			}
		}
		return g
	}
	out := []shape{{between(-stringEnds[0], stringEnds[0]), u.Roles[0]}}
	sides := u.Roles[min(1, len(u.Roles)-1):]
	for i, from := range stringEnds[:len(stringEnds)-1] {
		to, role := stringEnds[i+1], sides[i%len(sides)]
		out = append(out, shape{between(-to, -from), role}, shape{between(from, to), role})
	}
	return out
}

// crumbCuts are where crumbs are parted, as shares of two sides that face each other:
// cuts that run a little aslant, as crumbs do.
var crumbCuts = [][2]float64{{0.42, 0.58}, {0.6, 0.44}, {0.4, 0.52}, {0.57, 0.46}}

// crumbs returns pieces of all shapes with four sides, parted again and again across their
// longer way.
func (u Unit) crumbs(whole geom.Polygon) []shape {
	parts := []geom.Polygon{whole}
	for _, at := range crumbCuts {
		var next []geom.Polygon
		for _, g := range parts {
			if g[0].Dist(g[1]) < g[1].Dist(g[2]) {
				g = geom.Polygon{g[1], g[2], g[3], g[0]}
			}
			top := g[0].Add(g[1].Sub(g[0]).Mul(at[0]))
			low := g[3].Add(g[2].Sub(g[3]).Mul(at[1]))
			next = append(next, geom.Polygon{g[0], top, low, g[3]}, geom.Polygon{top, g[1], g[2], low})
		}
		parts = next
	}
	out := make([]shape, len(parts))
	for i, g := range parts {
		out[i] = shape{g, u.Roles[i%len(u.Roles)]}
	}
	return out
}

// scrapSupplies returns the pieces that the patches of a unit of scraps are drawn as: yours
// may be of any width. Strings are as long as their longer side, and crumbs as large as
// the rectangle round them.
func (u Unit) scrapSupplies(s System, cell float64) (out []supply) {
	for k, shape := range u.upright() {
		g := shape.polygon.Scale(cell)
		lo, hi := g.Bounds()
		w, h := hi.X-lo.X, hi.Y-lo.Y
		if u.Make == Strings {
			w, h = slantedBox(g, geom.Point{X: float64(u.Wide), Y: -float64(u.High)})
		}
		cw, whyW := s.Plain(w)
		ch, whyH := s.Plain(h)
		out = append(out, supply{role: shape.role, w: cw, h: ch, what: string(u.Make), steps: []Why{whyW, whyH}, gives: singly(k)})
	}
	return out
}

// slantedBox returns how long and how wide a polygon is along a direction.
func slantedBox(g geom.Polygon, along geom.Point) (long, wide float64) {
	along = along.Mul(1 / math.Hypot(along.X, along.Y))
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range g {
		x, y := p.Dot(along), along.Cross(p)
		x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
	}
	return x1 - x0, y1 - y0
}

// cutScraps adds the cloth of n units of scraps: an area, from pieces of any width.
func (p *pile) cutScraps(u Unit, cell float64, n int, why Why, c Method) {
	s := c.System
	var roles []Role
	areas, counts := map[Role]float64{}, map[Role]int{}
	for _, it := range u.scrapSupplies(s, cell) {
		if counts[it.role] == 0 {
			roles = append(roles, it.role)
		}
		areas[it.role] += it.w * it.h
		counts[it.role]++
	}
	name := map[Make]string{Strings: "string", Crumbs: "crumb"}[u.Make]
	for _, role := range roles {
		in2 := areas[role]
		steps := []Why{why, {Text: fmt.Sprintf("%s of this cloth a block, about so many, each with its seams: %s", cloth.Count(counts[role], name), s.Area(in2))}}
		if u.Make == Crumbs {
			in2 *= 1 + trimmed
			steps = append(steps, Why{Text: fmt.Sprintf("%g %% more is trimmed away (an assumption): %s", 100*trimmed, s.Area(in2))})
		}
		in2 *= float64(n)
		steps = append(steps,
			Why{Text: fmt.Sprintf("%d × that = %s", n, s.Area(in2))},
			Why{Text: fmt.Sprintf("a handful is taken as %s, an ounce of cotton (an assumption): %s", s.Area(Handful), cloth.Count(Handfuls(in2), "handful"))})
		strips := int(math.Ceil(in2/(BoughtString*c.WOFIn) - slack))
		if n, why := u.boughtStrings(role, cell, n, c); u.Make == Strings && n > 0 {
			strips, steps = n, append(steps, why)
		} else {
			steps = append(steps, Why{Text: fmt.Sprintf("where they are bought, cut %s wide: %s ÷ (%s × %s), so %s", s.Format(BoughtString), s.Area(in2), s.Format(BoughtString), s.Format(c.WOFIn), cloth.Count(strips, "strip"))})
		}
		p.add(Lot{Role: role, WidthIn: BoughtString, Count: strips, AnyIn2: in2, For: []string{string(u.Make)}, Why: []Why{{
			Text:  fmt.Sprintf("%s of %s, of any width from %s up", s.Area(in2), u.Make, s.Format(LeastString)),
			Steps: steps,
		}}})
	}
}

// boughtStrings is how many strips across the width of fabric give the strings of a role for
// n units, each as long as the foundation is at its place. Where the cloth is narrower than
// a string is long, two strips are joined for it.
func (u Unit) boughtStrings(role Role, cell float64, n int, c Method) (strips int, why Why) {
	s := c.System
	f := u.strung(s, cell, n)
	why.Text = fmt.Sprintf("where they are bought, cut %s wide, each as long as a foundation of %s × %s is at its place", s.Format(BoughtString), s.Format(f.WidthIn), s.Format(f.LengthIn))
	sides := u.Roles[min(1, len(u.Roles)-1):]
	for k, off := 0, 0.0; ; k++ {
		each, is := 2, sides[max(0, k-1)%len(sides)]
		if k == 0 {
			each, is = 1, u.Roles[0]
		}
		if is == role {
			long := s.Up(f.ReachIn(off))
			all, per := n*each, int(c.WOFIn/long+slack)
			take := ceilDiv(all, max(1, per))
			if per == 0 {
				take = all * int(math.Ceil(long/c.WOFIn))
			}
			strips += take
			why.Steps = append(why.Steps, Why{Text: fmt.Sprintf("%d of %s, %d a strip of %s: %s", all, s.Format(long), max(1, per), s.Format(c.WOFIn), cloth.Count(take, "strip"))})
		}
		off += BoughtString - straightSeams*s.Seam
		if k == 0 {
			off = BoughtString/2 - straightSeams*s.Seam
		}
		if off+straightSeams*s.Seam >= f.HalfIn()-slack {
			return strips, why
		}
	}
}

// strung is the foundations of n units of strings.
func (u Unit) strung(s System, cell float64, n int) Strung {
	w, _ := s.Plain(cell * float64(u.Wide))
	h, _ := s.Plain(cell * float64(u.High))
	return Strung{w, h, n, u.Roles}
}

// Foundations returns the squares of paper or thin cloth, of a size each, that strings and
// crumbs of a setting are sewn onto; columns and rows as for TopSize.
func (r *Recipe) Foundations(columns, rows int, s System) (out []SizeCount) {
	places := r.Places(columns, rows)
	var all Set
	for i, b := range r.Blocks {
		cell := b.CellIn()
		for _, a := range b.alike() {
			if n := a.count * places.Stands(i); n > 0 && a.unit.ofScraps() {
				w, _ := s.Plain(cell * float64(a.unit.Wide))
				h, _ := s.Plain(cell * float64(a.unit.High))
				all.add(SizeCount{WidthIn: min(w, h), LengthIn: max(w, h), Count: n})
			}
		}
	}
	return all.Pieces
}

// Strung is foundations alike that strings are sewn onto, along their diagonal.
type Strung struct {
	WidthIn, LengthIn float64 // as cut, inches
	Count             int
	Roles             []Role // as a unit of Strings has them
}

// Strung are the foundations of a setting that strings are sewn onto; columns and rows as for
// TopSize.
func (r *Recipe) Strung(columns, rows int, s System) (out []Strung) {
	places := r.Places(columns, rows)
	for i, b := range r.Blocks {
		for _, a := range b.alike() {
			if n := a.count * places.Stands(i); n > 0 && a.unit.Make == Strings {
				out = append(out, a.unit.strung(s, b.CellIn(), n))
			}
		}
	}
	return out
}

// HalfIn is how far the corners beside the diagonal are from it.
func (f Strung) HalfIn() float64 { return f.WidthIn * f.LengthIn / math.Hypot(f.WidthIn, f.LengthIn) }

// ReachIn is how long a string is that reaches across at a distance from the diagonal, its
// longer edge: by similar triangles.
func (f Strung) ReachIn(off float64) float64 {
	return math.Hypot(f.WidthIn, f.LengthIn) * max(0, 1-max(0, off)/f.HalfIn())
}
