package recipe

import (
	"math"

	"piecebag/internal/geom"
)

// PatchKind says what a patch of a quilt is part of.
type PatchKind string

// The kinds of patch.
const (
	InBlock     PatchKind = "block"
	PlainSquare PatchKind = "plain square" // an alternate plain block, or half of one
	Triangle    PatchKind = "setting triangle"
	InSashing   PatchKind = "sashing"
	Cornerstone PatchKind = "cornerstone"
	InBorder    PatchKind = "border"
)

// Patch is one patch as it lies in the sewn top.
type Patch struct {
	Polygon geom.Polygon // finished inches, x right and y down from the top left
	Role    Role
	Kind    PatchKind
	// Block numbers the blocks, plain squares and half blocks of the setting, row
	// by row, on point those between rows last; -1 for what is in none.
	Block int
	// Row and Column are its place, from 0; -1 for what is in none.
	Row, Column int
	// Unit numbers the units of a block; patches of one unit are sewn together.
	Unit int
	// Of is which of Recipe.Blocks it is part of; -1 for what is in none of them.
	Of int
}

// Top is where every patch lies.
type Top struct {
	WidthIn, HeightIn float64 // finished
	Patches           []Patch
	blocks            int // laid so far
}

// BlockLayout is where the patches of r.Blocks[i] lie in one block.
func (r *Recipe) BlockLayout(i int) Top {
	l := Top{WidthIn: r.WidthIn, HeightIn: r.HeightIn}
	l.addBlock(r, i, 0, 0, 0, func(p geom.Point) geom.Point { return p })
	return l
}

// addBlock lays block i, turned by quarters; to takes the block's own inches to
// the quilt's.
func (l *Top) addBlock(r *Recipe, i, row, column, turn int, to func(geom.Point) geom.Point) {
	b := r.Blocks[i]
	cell := r.WidthIn / float64(b.Columns)
	for k, u := range b.Units {
		u = u.turned(turn, b.Columns, b.Rows)
		for _, s := range u.shapes() {
			l.Patches = append(l.Patches, Patch{Polygon: s.polygon.Scale(cell).Map(to), Role: s.role, Kind: InBlock, Block: l.blocks, Row: row, Column: column, Unit: k, Of: i})
		}
	}
	l.blocks++
}

// addSquare lays a block that is one patch.
func (l *Top) addSquare(role Role, row, column int, g geom.Polygon) {
	l.Patches = append(l.Patches, Patch{Polygon: g, Role: role, Kind: PlainSquare, Block: l.blocks, Row: row, Column: column, Of: -1})
	l.blocks++
}

// add lays a patch that is in no block.
func (l *Top) add(k PatchKind, role Role, g geom.Polygon) {
	l.Patches = append(l.Patches, Patch{Polygon: g, Role: role, Kind: k, Block: -1, Row: -1, Column: -1, Of: -1})
}

// at says what stands at a place of the setting: the number of a block, or -1
// for a plain square. between marks the places between rows, on point.
func (s Setting) at(row, column int, between bool) int {
	second := between
	if s.Kind != OnPoint {
		second = (row+column)%2 == 1
	}
	switch {
	case !second || s.Alternate == "":
		return 0
	case s.Alternate == plainName:
		return -1
	}
	return 1
}

func (s Setting) turn(row, column int) int {
	if len(s.Turns) == 0 {
		return 0
	}
	line := s.Turns[row%len(s.Turns)]
	return line[column%len(line)]
}

// TopSize is the finished size of the blocks and sashing of a setting, without
// borders, inches. columns and rows are 1 or more; on point they count the blocks
// whose corners meet the edges.
func (r *Recipe) TopSize(columns, rows int) (width, height float64) {
	if r.Setting.Kind == OnPoint {
		d := r.diagonal()
		return d * float64(columns), d * float64(rows)
	}
	width, height = r.WidthIn*float64(columns), r.HeightIn*float64(rows)
	if r.Sashing.WidthIn > 0 {
		nx, ny := r.sashes(columns, rows)
		width += float64(nx) * r.Sashing.WidthIn
		height += float64(ny) * r.Sashing.WidthIn
	}
	return width, height
}

// diagonal is how far apart, on point, the blocks of a row stand: the diagonal of
// a block with half of the sashing on each side.
func (r *Recipe) diagonal() float64 { return (r.WidthIn + r.Sashing.WidthIn) * math.Sqrt2 }

// sashes counts the lines of sashing: upright, lying.
func (r *Recipe) sashes(columns, rows int) (upright, lying int) {
	if r.Sashing.Edge {
		return columns + 1, rows + 1
	}
	return columns - 1, rows - 1
}

// QuiltSize is TopSize with the borders.
func (r *Recipe) QuiltSize(columns, rows int) (width, height float64) {
	width, height = r.TopSize(columns, rows)
	for _, b := range r.Borders {
		width += 2 * b.WidthIn
		height += 2 * b.WidthIn
	}
	return width, height
}

// QuiltLayout is where every patch of a whole top lies; columns and rows as for
// TopSize.
func (r *Recipe) QuiltLayout(columns, rows int) Top {
	var l Top
	l.WidthIn, l.HeightIn = r.QuiltSize(columns, rows)
	edge := 0.0
	for _, b := range r.Borders {
		edge += b.WidthIn
	}
	origin := geom.Point{X: edge, Y: edge}
	switch r.Setting.Kind {
	case OnPoint:
		l.layOnPoint(r, columns, rows, origin)
	case Shifted:
		l.layShifted(r, columns, rows, origin)
	default:
		l.layStraight(r, columns, rows, origin)
	}
	l.layBorders(r)
	return l
}

func (l *Top) layPlace(r *Recipe, row, column int, between bool, to func(geom.Point) geom.Point) {
	i := r.Setting.at(row, column, between)
	if i >= 0 {
		l.addBlock(r, i, row, column, r.Setting.turn(row, column), to)
		return
	}
	l.addSquare(r.Setting.Fill, row, column, box(0, 0, r.WidthIn, r.HeightIn).Map(to))
}

func (l *Top) layStraight(r *Recipe, columns, rows int, origin geom.Point) {
	s := r.Sashing.WidthIn
	first := geom.Point{}
	if r.Sashing.Edge {
		first = geom.Point{X: s, Y: s}
	}
	corner := func(row, column int) geom.Point { // top left of a block
		return origin.Add(first).Add(geom.Point{X: float64(column) * (r.WidthIn + s), Y: float64(row) * (r.HeightIn + s)})
	}
	r.eachPlace(columns, rows, func(row, column int, between bool) {
		l.layPlace(r, row, column, between, corner(row, column).Add)
	})
	if s == 0 {
		return
	}
	nx, ny := r.sashes(columns, rows)
	role := r.Sashing.Role
	lead := geom.Point{X: r.WidthIn, Y: r.HeightIn} // what stands before the first line
	if r.Sashing.Edge {
		lead = geom.Point{}
	}
	lineX := func(i int) float64 { return origin.X + lead.X + float64(i)*(r.WidthIn+s) }
	lineY := func(i int) float64 { return origin.Y + lead.Y + float64(i)*(r.HeightIn+s) }
	for row := range rows {
		y := corner(row, 0).Y
		for i := range nx {
			l.add(InSashing, role, box(lineX(i), y, lineX(i)+s, y+r.HeightIn))
		}
	}
	width, _ := r.TopSize(columns, rows)
	for i := range ny {
		y := lineY(i)
		if !r.Sashing.Cornerstones {
			l.add(InSashing, role, box(origin.X, y, origin.X+width, y+s))
			continue
		}
		for column := range columns {
			x := corner(0, column).X
			l.add(InSashing, role, box(x, y, x+r.WidthIn, y+s))
		}
		for j := range nx {
			l.add(Cornerstone, r.Sashing.Cornerstone, box(lineX(j), y, lineX(j)+s, y+s))
		}
	}
}

func (l *Top) layShifted(r *Recipe, columns, rows int, origin geom.Point) {
	role := r.Blocks[0].Units[0].Roles[0]
	half := r.WidthIn / 2
	for row := range rows {
		at := origin.Add(geom.Point{Y: float64(row) * r.HeightIn})
		if row%2 == 0 {
			for column := range columns {
				l.layPlace(r, row, column, false, at.Add(geom.Point{X: float64(column) * r.WidthIn}).Add)
			}
			continue
		}
		end := at.X + float64(columns)*r.WidthIn
		l.addSquare(role, row, 0, box(at.X, at.Y, at.X+half, at.Y+r.HeightIn))
		for column := range columns - 1 {
			l.layPlace(r, row, column, false, at.Add(geom.Point{X: half + float64(column)*r.WidthIn}).Add)
		}
		l.addSquare(role, row, columns-1, box(end-half, at.Y, end, at.Y+r.HeightIn))
	}
}

// layOnPoint lays blocks on point. Where they are sashed the edges of the top run
// through the middles of the outer cornerstones, so that the setting triangles are
// those of the block alone.
func (l *Top) layOnPoint(r *Recipe, columns, rows int, origin geom.Point) {
	d := r.diagonal()
	// A block turned by 45 degrees clockwise about its middle.
	stood := func(row, column int, between bool) func(geom.Point) geom.Point {
		off := 0.5
		if between {
			off = 1
		}
		cx, cy := (float64(column)+off)*d, (float64(row)+off)*d
		return func(p geom.Point) geom.Point {
			x, y := p.X-r.WidthIn/2, p.Y-r.WidthIn/2
			return origin.Add(geom.Point{X: cx + (x-y)/math.Sqrt2, Y: cy + (x+y)/math.Sqrt2})
		}
	}
	r.eachPlace(columns, rows, func(row, column int, between bool) {
		l.layPlace(r, row, column, between, stood(row, column, between))
	})
	triangle := func(a, b, c geom.Point) {
		l.add(Triangle, r.Setting.Fill, geom.Polygon{origin.Add(a), origin.Add(b), origin.Add(c)})
	}
	w, h := float64(columns)*d, float64(rows)*d
	half := r.WidthIn / math.Sqrt2 // of the long side of a side triangle
	for i := range columns - 1 {
		x := float64(i+1) * d
		triangle(geom.Point{X: x - half}, geom.Point{X: x + half}, geom.Point{X: x, Y: half})
		triangle(geom.Point{X: x - half, Y: h}, geom.Point{X: x, Y: h - half}, geom.Point{X: x + half, Y: h})
	}
	for i := range rows - 1 {
		y := float64(i+1) * d
		triangle(geom.Point{Y: y - half}, geom.Point{X: half, Y: y}, geom.Point{Y: y + half})
		triangle(geom.Point{X: w, Y: y - half}, geom.Point{X: w, Y: y + half}, geom.Point{X: w - half, Y: y})
	}
	triangle(geom.Point{}, geom.Point{X: half}, geom.Point{Y: half})
	triangle(geom.Point{X: w}, geom.Point{X: w, Y: half}, geom.Point{X: w - half})
	triangle(geom.Point{X: w, Y: h}, geom.Point{X: w - half, Y: h}, geom.Point{X: w, Y: h - half})
	triangle(geom.Point{Y: h}, geom.Point{Y: h - half}, geom.Point{X: half, Y: h})
	s := r.Sashing.WidthIn
	if s == 0 {
		return
	}
	b := r.WidthIn
	for row := range rows { // the sides of blocks between rows are sides of these
		for column := range columns {
			to := stood(row, column, false)
			for _, g := range []geom.Polygon{box(0, -s, b, 0), box(b, 0, b+s, b), box(0, b, b, b+s), box(-s, 0, 0, b)} {
				l.add(InSashing, r.Sashing.Role, g.Map(to))
			}
		}
	}
	l.layStones(r, columns, rows, origin)
}

// layStones lays the cornerstones of sashing on point, those at the edges cut in
// half by them.
func (l *Top) layStones(r *Recipe, columns, rows int, origin geom.Point) {
	step := r.diagonal() / 2
	out := r.Sashing.WidthIn / math.Sqrt2 // from the middle to a corner
	for j := range 2*rows + 1 {
		for i := range 2*columns + 1 {
			if (i+j)%2 == 0 { // the middle of a block or a triangle
				continue
			}
			at := origin.Add(geom.Point{X: float64(i) * step, Y: float64(j) * step})
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
			l.add(Cornerstone, r.Sashing.Cornerstone, g)
		}
	}
}

// layBorders lays the borders from the outside in.
func (l *Top) layBorders(r *Recipe) {
	x0, y0, x1, y1 := 0.0, 0.0, l.WidthIn, l.HeightIn
	for i := len(r.Borders) - 1; i >= 0; i-- {
		b := r.Borders[i]
		u0, v0, u1, v1 := x0+b.WidthIn, y0+b.WidthIn, x1-b.WidthIn, y1-b.WidthIn
		lay := func(g geom.Polygon) { l.add(InBorder, b.Role, g) }
		if b.Mitred {
			lay(geom.Polygon{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: u1, Y: v0}, {X: u0, Y: v0}})
			lay(geom.Polygon{{X: x1, Y: y0}, {X: x1, Y: y1}, {X: u1, Y: v1}, {X: u1, Y: v0}})
			lay(geom.Polygon{{X: x1, Y: y1}, {X: x0, Y: y1}, {X: u0, Y: v1}, {X: u1, Y: v1}})
			lay(geom.Polygon{{X: x0, Y: y1}, {X: x0, Y: y0}, {X: u0, Y: v0}, {X: u0, Y: v1}})
		} else {
			lay(box(x0, y0, x1, v0))
			lay(box(x0, v1, x1, y1))
			lay(box(x0, v0, u0, v1))
			lay(box(u1, v0, x1, v1))
		}
		x0, y0, x1, y1 = u0, v0, u1, v1
	}
}
