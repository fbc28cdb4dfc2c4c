package recipe

import (
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// loose is pieces of a top that are in no block, alike, each cut by itself.
type loose struct {
	kind PatchKind
	role Role
	what string // they are for, as in Lot.For
	cut  cutAs
	// w and h are the finished sides, w across the quilt; of triangles w is the side of
	// the square that they were half, or a quarter, of a corner of.
	w, h   float64
	joined bool               // joined from several strips where cloth is too narrow
	why    func(System) []Why // of their number; nil: none is told
	at     []geom.Polygon
	ranks  []int // of at: the order in which they are laid among the groups; nil: first
}

// cutAs is how loose pieces are cut.
type cutAs int

const (
	asRectangles      cutAs = iota
	asSideTriangles         // four from a square
	asCornerTriangles       // two from a square
	asAslant                // strips whose ends are cut at 45 degrees, h their length with the points
	asStrips                // strips of cloth that are reckoned as borders
)

// size returns how a piece is cut, with the steps to it; of triangles their square.
func (g loose) size(s System) (w, h float64, steps []Why) {
	var why, more Why
	switch g.cut {
	case asSideTriangles:
		w, why = s.SideTriangle(g.w)
		return w, w, []Why{why}
	case asCornerTriangles:
		w, why = s.CornerTriangle(g.w)
		return w, w, []Why{why}
	case asAslant:
		w, why = s.Plain(g.w)
		h, more = s.Quarter(g.h)
		return w, h, []Why{why, more}
	}
	w, why = s.Plain(g.w)
	h, more = s.Plain(g.h)
	if steps = []Why{why}; g.w != g.h {
		steps = append(steps, more)
	}
	return w, h, steps
}

// each returns how many pieces one cut square or strip gives, and how it is divided.
func (g loose) each() (int, Split) {
	switch g.cut {
	case asSideTriangles:
		return 4, Twice
	case asCornerTriangles:
		return 2, Once
	}
	return 1, Whole
}

// putLoose adds the cuts for loose pieces.
func (p *pile) putLoose(g loose, count int, c Method) {
	if g.cut == asStrips || count == 0 {
		return
	}
	s := c.System
	w, h, steps := g.size(s)
	var why []Why
	if g.why != nil {
		why = g.why(s)
	}
	if g.joined && max(w, h) > c.WOFIn {
		p.putJoined(g, count, c)
		return
	}
	each, split := g.each()
	if each > 1 {
		why = append(why, Why{Text: fmt.Sprintf("triangles, %d a square: %s", each, dividedUp(count, each))})
	}
	lot := Lot{Role: g.role, WidthIn: w, LengthIn: h, Count: ceilDiv(count, each), Split: split}
	if w > h {
		lot.Across = count
	}
	p.put(s, lot, g.what, append(why, steps...)...)
}

// putJoined adds strips across the cloth that are joined for pieces longer than it is wide.
func (p *pile) putJoined(g loose, count int, c Method) {
	s := c.System
	w, h, steps := g.size(s)
	whyCut, whyLong := steps[0], steps[1]
	cut, long := w, h
	if w > h {
		cut, long, whyCut, whyLong = h, w, whyLong, whyCut
	}
	n, whyJoin := s.Joined(float64(count)*long, c.WOFIn)
	p.add(Lot{
		Role: g.role, WidthIn: cut, Count: n, For: []string{g.what},
		Why: []Why{{
			Text:  fmt.Sprintf("%s %s wide, joined, for %s", cloth.Count(n, "strip"), s.Format(cut), g.what),
			Steps: []Why{whyLong, {Text: fmt.Sprintf("%d × %s = %s", count, s.Format(long), s.Format(float64(count)*long))}, whyCut, whyJoin},
		}},
	})
}

// counted returns a line of arithmetic about counts, which have no unit.
func counted(format string, numbers ...any) func(System) []Why {
	return func(System) []Why { return []Why{{Text: fmt.Sprintf(format, numbers...)}} }
}

// sashing returns the sashing of blocks set straight.
func (r *Recipe) sashing(columns, rows int) []loose {
	s := r.Sashing.WidthIn
	if s == 0 {
		return nil
	}
	nx, ny := r.sashes(columns, rows)
	first, lead := 0.0, geom.Point{X: r.WidthIn, Y: r.HeightIn} // what stands before the first block, the first line
	if r.Sashing.Edge {
		first, lead = s, geom.Point{}
	}
	lineX := func(i int) float64 { return lead.X + float64(i)*(r.WidthIn+s) }
	lineY := func(i int) float64 { return lead.Y + float64(i)*(r.HeightIn+s) }
	upright := loose{kind: InSashing, role: r.Sashing.Role, what: "sashing", w: s, h: r.HeightIn,
		why: counted("%s × %d between blocks = %d", cloth.Count(rows, "row"), nx, nx*rows)}
	for row := range rows {
		y := first + float64(row)*(r.HeightIn+s)
		for i := range nx {
			upright.at = append(upright.at, box(lineX(i), y, lineX(i)+s, y+r.HeightIn))
		}
	}
	if !r.Sashing.Cornerstones {
		width, _ := r.TopSize(columns, rows)
		lying := loose{kind: InSashing, role: r.Sashing.Role, what: "sashing between rows", w: width, h: s, joined: true}
		for i := range ny {
			lying.at = append(lying.at, box(0, lineY(i), width, lineY(i)+s))
		}
		return []loose{upright, lying}
	}
	lying := loose{kind: InSashing, role: r.Sashing.Role, what: "sashing", w: r.WidthIn, h: s,
		why: counted("%s × %s = %d", cloth.Count(ny, "line"), cloth.Count(columns, "block"), ny*columns)}
	stones := loose{kind: Cornerstone, role: r.Sashing.Cornerstone, what: "cornerstones", w: s, h: s,
		why: counted("%d × %d crossings = %d", nx, ny, nx*ny)}
	for i := range ny {
		for column := range columns {
			x := first + float64(column)*(r.WidthIn+s)
			lying.at = append(lying.at, box(x, lineY(i), x+r.WidthIn, lineY(i)+s))
		}
		for j := range nx {
			stones.at = append(stones.at, box(lineX(j), lineY(i), lineX(j)+s, lineY(i)+s))
		}
	}
	return []loose{upright, lying, stones}
}

// triangles returns the setting triangles of blocks on point. Where those are sashed the
// edges of the top run through the middles of the outer cornerstones, so that the
// triangles are those of the block alone.
func (r *Recipe) triangles(columns, rows int) []loose {
	d := r.diagonal()
	w, h := float64(columns)*d, float64(rows)*d
	half := r.WidthIn / math.Sqrt2 // of the long side of a side triangle
	sides := loose{kind: Triangle, role: r.Setting.Fill, what: "side triangles", cut: asSideTriangles, w: r.WidthIn}
	add := func(a, b, c geom.Point) { sides.at = append(sides.at, geom.Polygon{a, b, c}) }
	for i := range columns - 1 {
		x := float64(i+1) * d
		add(geom.Point{X: x - half}, geom.Point{X: x + half}, geom.Point{X: x, Y: half})
		add(geom.Point{X: x - half, Y: h}, geom.Point{X: x, Y: h - half}, geom.Point{X: x + half, Y: h})
	}
	for i := range rows - 1 {
		y := float64(i+1) * d
		add(geom.Point{Y: y - half}, geom.Point{X: half, Y: y}, geom.Point{Y: y + half})
		add(geom.Point{X: w, Y: y - half}, geom.Point{X: w, Y: y + half}, geom.Point{X: w - half, Y: y})
	}
	corners := loose{kind: Triangle, role: r.Setting.Fill, what: "corner triangles", cut: asCornerTriangles, w: r.WidthIn, at: []geom.Polygon{
		{{}, {X: half}, {Y: half}},
		{{X: w}, {X: w, Y: half}, {X: w - half}},
		{{X: w, Y: h}, {X: w - half, Y: h}, {X: w, Y: h - half}},
		{{Y: h}, {Y: h - half}, {X: half, Y: h}},
	}}
	return []loose{sides, corners}
}

// sashingOnPoint returns the sashing of blocks on point, on all sides of each block. With
// cornerstones every side has its strip; without, every second line runs through from
// edge to edge.
func (r *Recipe) sashingOnPoint(columns, rows int) []loose {
	s, b := r.Sashing.WidthIn, r.WidthIn
	if s == 0 {
		return nil
	}
	sides := []geom.Polygon{box(0, -s, b, 0), box(b, 0, b+s, b), box(0, b, b, b+s), box(-s, 0, 0, b)}
	n := 4
	if !r.Sashing.Cornerstones {
		sides, n = []geom.Polygon{sides[0], sides[2]}, 2
	}
	short := loose{kind: InSashing, role: r.Sashing.Role, what: "sashing", w: s, h: b,
		why: counted("%d sides of %d × %s = %d", n, columns, cloth.Count(rows, "block"), n*columns*rows)}
	for row := range rows { // the sides of blocks between rows are sides of these
		for column := range columns {
			at := r.onPoint(row, column, false)
			for _, g := range sides {
				short.at = append(short.at, g.Map(at.to))
			}
		}
	}
	if r.Sashing.Cornerstones {
		return append([]loose{short}, r.stones(columns, rows)...)
	}
	return append([]loose{short}, r.longSashes(columns, rows)...)
}

// longSashes returns the strips that run at 45 degrees through a top on point, from edge to
// edge, those of one length together.
func (r *Recipe) longSashes(columns, rows int) []loose {
	step, s := r.WidthIn+r.Sashing.WidthIn, r.Sashing.WidthIn
	w, h := r.TopSize(columns, rows)
	// Where a line that falls to the left at 45 degrees, x + y = k, enters and leaves.
	enters := func(k float64) geom.Point { return geom.Point{X: min(k, w), Y: k - min(k, w)} }
	leaves := func(k float64) geom.Point { return geom.Point{X: k - min(k, h), Y: min(k, h)} }
	along := func(p geom.Point) float64 { return (p.Y - p.X) / math.Sqrt2 }
	var out []loose
	for i := range columns + rows {
		near, far := ((float64(i)+0.5)*step-s/2)*math.Sqrt2, ((float64(i)+0.5)*step+s/2)*math.Sqrt2
		g := geom.Polygon{enters(near), enters(far), leaves(far), leaves(near)}
		long := max(along(g[2]), along(g[3])) - min(along(g[0]), along(g[1]))
		k := slices.IndexFunc(out, func(g loose) bool { return alikeIn(g.h, long) })
		if k < 0 {
			k = len(out)
			out = append(out, loose{kind: InSashing, role: r.Sashing.Role, what: "long sashing, its ends cut at 45 degrees", cut: asAslant, w: s, h: long, joined: true})
		}
		out[k].at = append(out[k].at, g)
	}
	return out
}

// stones returns the cornerstones of sashing on point; those at the edges are cut in half by
// them.
func (r *Recipe) stones(columns, rows int) []loose {
	step := r.diagonal() / 2
	out := r.Sashing.WidthIn / math.Sqrt2 // from the middle to a corner
	whole := loose{kind: Cornerstone, role: r.Sashing.Cornerstone, what: "cornerstones", w: r.Sashing.WidthIn, h: r.Sashing.WidthIn,
		why: counted("%d × %d + %d × %d crossings = %d", columns, rows-1, columns-1, rows, columns*(rows-1)+(columns-1)*rows)}
	halves := loose{kind: Cornerstone, role: r.Sashing.Cornerstone, what: "half cornerstones, at the edges", cut: asSideTriangles, w: r.Sashing.WidthIn}
	for j := range 2*rows + 1 {
		for i := range 2*columns + 1 {
			if (i+j)%2 == 0 { // the middle of a block or a triangle
				continue
			}
			at := geom.Point{X: float64(i) * step, Y: float64(j) * step}
			var g geom.Polygon
			for _, p := range []struct {
				cut  bool
				from geom.Point
			}{
				{j == 0, geom.Point{Y: -out}}, {i == 2*columns, geom.Point{X: out}},
				{j == 2*rows, geom.Point{Y: out}}, {i == 0, geom.Point{X: -out}},
			} {
				if !p.cut {
					g = append(g, at.Add(p.from))
				}
			}
			of := &whole
			if len(g) == 3 {
				of = &halves
			}
			of.at, of.ranks = append(of.at, g), append(of.ranks, 1+len(whole.at)+len(halves.at))
		}
	}
	return []loose{whole, halves}
}
