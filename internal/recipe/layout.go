package recipe

import (
	"cmp"
	"math"
	"slices"

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
	InKeys      PatchKind = "border key" // a strip of a border of piano keys
	Spacer      PatchKind = "spacer"     // what makes a row as wide as the others
)

// Patch is one patch as it lies in the sewn top.
type Patch struct {
	Polygon geom.Polygon // finished inches, x right and y down from the top left
	Role    Role
	Kind    PatchKind
	// Block numbers the blocks, plain squares and half blocks of the setting, row
	// by row, on point those between rows last, then the blocks of pieced borders; -1
	// for what is in none.
	Block int
	// Row and Column are its place in the setting, from 0; -1 for what is in none.
	Row, Column int
	// Unit numbers the units of a block; patches of one unit are sewn together.
	Unit int
	// Of is which of Recipe.Blocks it is part of; -1 for what is in none of them.
	Of int
	// Set numbers the sets of a block, from 1: its patches come from one print; 0: none.
	Set int
}

// Top is where every patch lies.
type Top struct {
	WidthIn, HeightIn float64 // finished
	Patches           []Patch
	blocks            int    // laid so far
	loose             []laid // in the order they were laid
}

// laid is pieces in no block, and the patches that they are.
type laid struct {
	loose
	patches []int
}

// BlockLayout returns where the patches of r.Blocks[i] lie in one block.
func (r *Recipe) BlockLayout(i int) Top {
	l := Top{WidthIn: r.Blocks[i].WidthIn, HeightIn: r.Blocks[i].HeightIn}
	l.addStand(r, stand{of: i}, geom.Point{})
	return l
}

// stand is a block, or a plain square, where it stands.
type stand struct {
	of          int     // of Recipe.Blocks; -1: a plain square or half of one
	turn        int     // quarters clockwise
	row, column int     // -1 in a border
	x, y        float64 // its top left corner; on point its top
	onPoint     bool
	w, h        float64 // finished, of a plain square
	role        Role    // of a plain square
}

// to takes a block's own inches to those that it stands in.
func (s stand) to(p geom.Point) geom.Point {
	if s.onPoint { // turned by 45 degrees clockwise
		p = geom.Point{X: (p.X - p.Y) / math.Sqrt2, Y: (p.X + p.Y) / math.Sqrt2}
	}
	return p.Add(geom.Point{X: s.x, Y: s.y})
}

// addStand lays a block or a plain square.
func (l *Top) addStand(r *Recipe, s stand, origin geom.Point) {
	to := func(p geom.Point) geom.Point { return origin.Add(s.to(p)) }
	add := func(role Role, kind PatchKind, unit int, g geom.Polygon) {
		p := Patch{Polygon: g.Map(to), Role: role, Kind: kind, Block: l.blocks, Row: s.row, Column: s.column, Unit: unit, Of: s.of}
		if s.of >= 0 {
			p.Set = r.Blocks[s.of].Units[unit].setOf(role)
		}
		l.Patches = append(l.Patches, p)
	}
	if s.of < 0 {
		add(s.role, PlainSquare, 0, box(0, 0, s.w, s.h))
		l.loose = append(l.loose, laid{loose{role: s.role, w: s.w, h: s.h}, []int{len(l.Patches) - 1}})
	} else {
		b := r.Blocks[s.of]
		for k, u := range b.Units {
			for _, sh := range u.turned(s.turn, b.Columns, b.Rows).shapes() {
				add(sh.role, InBlock, k, sh.polygon.Scale(b.CellIn()))
			}
		}
	}
	l.blocks++
}

// addLoose lays pieces that are in no block, group by group, or as their places are ranked.
func (l *Top) addLoose(groups []loose, origin geom.Point) {
	type place struct{ group, k, rank int }
	var places []place
	first := len(l.loose)
	for i, g := range groups {
		l.loose = append(l.loose, laid{g, make([]int, len(g.at))})
		for k := range g.at {
			rank := 0
			if g.ranks != nil {
				rank = g.ranks[k]
			}
			places = append(places, place{i, k, rank})
		}
	}
	slices.SortStableFunc(places, func(a, b place) int { return cmp.Compare(a.rank, b.rank) })
	for _, p := range places {
		g := groups[p.group]
		l.loose[first+p.group].patches[p.k] = len(l.Patches)
		l.Patches = append(l.Patches, Patch{Polygon: g.at[p.k].Map(origin.Add), Role: g.role, Kind: g.kind, Block: -1, Row: -1, Column: -1, Of: -1})
	}
}

// QuiltLayout returns where every patch of a whole top lies; columns and rows as for
// TopSize.
func (r *Recipe) QuiltLayout(columns, rows int) Top {
	var l Top
	rounds := r.Rounds(columns, rows)
	var origin geom.Point // of the blocks, then of each round
	for _, x := range rounds {
		origin = origin.Add(geom.Point{X: x.SideIn, Y: x.TopIn})
	}
	l.WidthIn, l.HeightIn = r.QuiltSize(columns, rows)
	r.field(columns, rows, func(s stand) { l.addStand(r, s, origin) })
	l.addLoose(r.between(columns, rows), origin)
	for _, x := range rounds {
		x.blocks(func(s stand) { l.addStand(r, s, x.origin(rounds)) })
	}
	for _, x := range slices.Backward(rounds) { // borders are numbered from the outside in
		l.addLoose(x.loose(), x.origin(rounds))
	}
	return l
}

// TopSize returns the finished size of the blocks and sashing of a setting, without
// borders, inches. columns and rows are 1 or more; on point they count the blocks
// whose corners meet the edges; of a row quilt columns count widths of its block, as
// Recipe.WidthIn has it.
func (r *Recipe) TopSize(columns, rows int) (width, height float64) {
	switch r.Setting.Kind {
	case OnPoint:
		d := r.diagonal()
		return d * float64(columns), d * float64(rows)
	case InRows:
		for row := range rows {
			height += r.row(row).HeightIn
		}
		return r.WidthIn * float64(columns), height
	}
	width, height = r.WidthIn*float64(columns), r.HeightIn*float64(rows)
	if r.Sashing.WidthIn > 0 {
		nx, ny := r.sashes(columns, rows)
		width += float64(nx) * r.Sashing.WidthIn
		height += float64(ny) * r.Sashing.WidthIn
	}
	return width, height
}

// diagonal returns how far apart, on point, the blocks of a row stand: the diagonal of
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
	for _, x := range r.RoundsAbout(width, height) {
		width += 2 * x.SideIn
		height += 2 * x.TopIn
	}
	return width, height
}
