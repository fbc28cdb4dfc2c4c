package find2

import (
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// lattice is where the squares of a board lie: cell (i, j) is column i of row j,
// its middle at h of (i+½, j+½).
type lattice struct {
	h             geom.Homography // lattice to working pixels
	at            map[[2]int]int  // cell to region
	square        [4]geom.Point   // a usual square within its cell, clockwise from the upper left
	columns, rows [2]int          // first, and one past the last
}

var wholeCell = [4]geom.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}}

const (
	// offCourse is how far, in steps, the next square may lie from where the last
	// step leads; offLattice how far from the lattice fitted to all.
	offCourse, offLattice = 0.4, 0.3
	// leastSquares is the fewest squares that make a lattice.
	leastSquares = 4
	// sameSize is how much a square of the board may be larger or smaller than
	// the usual one, in area.
	sameSize = 2.0
	// gridOverlap is the least overlap of a piece with a square given by hand from
	// which it is that square; straightOverlap the least from which the lattice
	// straightens it. A quilt that is draped bends its lattice: at 0.6 some
	// squares of real ones were moved off their cloth.
	gridOverlap, straightOverlap = 0.6, 0.85
)

// findLattice walks from square to square among the regions.
func findLattice(regions []cloth.Region) (*lattice, bool) {
	var areas []int
	for _, r := range regions {
		if r.Corners != nil {
			areas = append(areas, int(r.Polygon.Area()))
		}
	}
	if len(areas) < leastSquares {
		return nil, false
	}
	usual := float64(median(areas))
	middle := make([]geom.Point, len(regions))
	ok := make([]bool, len(regions))
	seed := -1
	for i, r := range regions {
		a := r.Polygon.Area()
		middle[i], ok[i] = r.Polygon.Centroid(), a < sameSize*usual && usual < sameSize*a
		if r.Corners != nil && (seed < 0 || math.Abs(a-usual) < math.Abs(regions[seed].Polygon.Area()-usual)) {
			seed = i
		}
	}
	c := fromUpperLeft([4]geom.Point(regions[seed].Corners))
	right := c[1].Sub(c[0]).Add(c[2].Sub(c[3])).Mul(0.5)
	down := c[3].Sub(c[0]).Add(c[2].Sub(c[1])).Mul(0.5)
	type place struct {
		cell        [2]int
		region      int
		right, down geom.Point
	}
	l := &lattice{at: map[[2]int]int{{0, 0}: seed}}
	used := make([]bool, len(regions))
	used[seed] = true
	walk := []place{{[2]int{0, 0}, seed, right, down}}
	for k := 0; k < len(walk); k++ {
		p := walk[k]
		for d, step := range [4]geom.Point{p.right, p.down, p.right.Mul(-1), p.down.Mul(-1)} {
			cell := [2]int{p.cell[0] + [4]int{1, 0, -1, 0}[d], p.cell[1] + [4]int{0, 1, 0, -1}[d]}
			if _, taken := l.at[cell]; taken {
				continue
			}
			want := middle[p.region].Add(step)
			best, next := offCourse*step.Len(), -1
			for i, m := range middle {
				if dist := m.Dist(want); ok[i] && !used[i] && dist < best {
					best, next = dist, i
				}
			}
			if next < 0 {
				continue
			}
			// The next step is as this one was: gaps and perspective are learnt on the way.
			q := place{cell, next, p.right, p.down}
			was := middle[next].Sub(middle[p.region])
			switch d {
			case 0:
				q.right = was
			case 1:
				q.down = was
			case 2:
				q.right = was.Mul(-1)
			case 3:
				q.down = was.Mul(-1)
			}
			l.at[cell], used[next] = next, true
			walk = append(walk, q)
		}
	}
	// Fit, and leave out what lies off it.
	for range 3 {
		var src, dst []geom.Point
		for _, cell := range l.cells() {
			src = append(src, geom.Point{X: float64(cell[0]) + 0.5, Y: float64(cell[1]) + 0.5})
			dst = append(dst, middle[l.at[cell]])
		}
		if len(src) < leastSquares {
			return nil, false
		}
		h, err := geom.FitHomography(src, dst)
		if err != nil {
			return nil, false
		}
		l.h = h
		back := h.Inverse()
		for i, cell := range l.cells() {
			if back.Apply(dst[i]).Dist(src[i]) > offLattice {
				delete(l.at, cell)
			}
		}
	}
	l.measure(regions)
	return l, len(l.at) >= leastSquares
}

// cells are the cells of a lattice that hold a region, in reading order.
func (l *lattice) cells() [][2]int {
	out := make([][2]int, 0, len(l.at))
	for c := range l.at {
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b [2]int) int {
		if a[1] != b[1] {
			return a[1] - b[1]
		}
		return a[0] - b[0]
	})
	return out
}

// measure finds how far the lattice reaches, and where in a cell its squares
// usually lie.
func (l *lattice) measure(regions []cloth.Region) {
	l.square = wholeCell
	back := l.h.Inverse()
	var off [4][2][]float64
	for i, cell := range l.cells() {
		if i == 0 {
			l.columns, l.rows = [2]int{cell[0], cell[0] + 1}, [2]int{cell[1], cell[1] + 1}
		}
		l.columns = [2]int{min(l.columns[0], cell[0]), max(l.columns[1], cell[0]+1)}
		l.rows = [2]int{min(l.rows[0], cell[1]), max(l.rows[1], cell[1]+1)}
		r := regions[l.at[cell]]
		if r.Corners == nil {
			continue
		}
		var q [4]geom.Point
		for k, c := range r.Corners {
			q[k] = back.Apply(c).Sub(geom.Point{X: float64(cell[0]), Y: float64(cell[1])})
		}
		for k, c := range fromUpperLeft(q) {
			off[k][0] = append(off[k][0], c.X)
			off[k][1] = append(off[k][1], c.Y)
		}
	}
	for k := range off {
		for _, v := range off[k] {
			slices.Sort(v)
		}
		if n := len(off[k][0]); n > 0 {
			l.square[k] = geom.Point{X: off[k][0][n/2], Y: off[k][1][n/2]}
		}
	}
}

// place is the usual square of a cell, working pixels.
func (l *lattice) place(cell [2]int) geom.Polygon {
	out := make(geom.Polygon, 4)
	for k, c := range l.square {
		out[k] = l.h.Apply(c.Add(geom.Point{X: float64(cell[0]), Y: float64(cell[1])}))
	}
	return out
}

// fromUpperLeft turns a ring of four, clockwise on screen, so that it starts at
// the upper left.
func fromUpperLeft(c [4]geom.Point) [4]geom.Point {
	if geom.Polygon(c[:]).SignedArea() < 0 {
		c[1], c[3] = c[3], c[1]
	}
	first := 0
	for i, p := range c {
		if p.X+p.Y < c[first].X+c[first].Y {
			first = i
		}
	}
	return [4]geom.Point{c[first], c[(first+1)%4], c[(first+2)%4], c[(first+3)%4]}
}

// straightenBoard gives squares of a board that have no four clean sides of
// their own those of their place in the lattice. It adds none.
func straightenBoard(regions []cloth.Region) {
	l, ok := findLattice(regions)
	if !ok {
		return
	}
	for _, cell := range l.cells() {
		r := &regions[l.at[cell]]
		if place := l.place(cell); len(r.Polygon) != 4 && overlap(r.Polygon, place) > straightOverlap {
			r.Polygon, r.Corners = place, slices.Clone(place)
		}
	}
}

const giveCorners = "count rows and columns again, or give the board's four corners with --outline"

// onGrid makes the result exactly rows × columns squares, or says why it cannot.
// v is what the eye saw where cloth lies, nil where it saw none.
func (r *Result) onGrid(v *view, o Options) error {
	want := fmt.Sprintf("%d rows of %d squares", o.Rows, o.Cols)
	if v == nil {
		return &Refusal{"no cloth shows, so there are no " + want, "take the photo closer, or leave --grid off"}
	}
	var l *lattice
	if o.Outline != nil {
		if l = within(o.Outline, r.Regions, o.Rows, o.Cols); l == nil {
			return &Refusal{"the four corners given enclose no board", "give the corners in order, clockwise from the upper left"}
		}
	} else {
		l, _ = findLattice(r.Regions)
		if l != nil {
			l.window(v, o.Rows, o.Cols)
		}
		if all := within(outlineOf(r.Regions), r.Regions, o.Rows, o.Cols); all != nil && (l == nil || all.off(r.Regions) < l.off(r.Regions)) {
			l = all
		}
		if l == nil || l.off(r.Regions) > mostOff {
			return &Refusal{"what shows does not lie in " + want, giveCorners}
		}
	}
	var regions []cloth.Region
	var signs [][]float64
	seen := 0
	for j := l.rows[0]; j < l.rows[1]; j++ {
		for i := l.columns[0]; i < l.columns[1]; i++ {
			cell := [2]int{i, j}
			place := l.place(cell)
			if k, ok := l.at[cell]; ok && overlap(r.Regions[k].Polygon, place) > gridOverlap {
				seen++
				regions, signs = append(regions, r.Regions[k]), append(signs, r.Signs[k])
				continue
			}
			share := v.clothIn(place)
			if share < 0.5 {
				return &Refusal{fmt.Sprintf("square %d of row %d would lie where no cloth shows, so there are no %s", i-l.columns[0]+1, j-l.rows[0]+1, want), giveCorners}
			}
			regions = append(regions, cloth.Region{Polygon: place, Corners: slices.Clone(place), Trust: share})
			signs = append(signs, nil)
		}
	}
	if n := len(r.Regions) - seen; n > 0 {
		r.Notes = append(r.Notes, cloth.Count(n, "piece")+" off the grid left out")
	}
	r.Regions, r.Signs = regions, signs
	return nil
}

// mostOff is how far, in squares, the corners of what the eye sees may lie from
// those of a grid given by hand, in the mean; by chance it is 0.38.
const mostOff = 0.2

// off is the mean distance, in squares, of the corners of the regions from the
// nearest corner of the lattice.
func (l *lattice) off(regions []cloth.Region) float64 {
	back := l.h.Inverse()
	sum, n := 0.0, 0
	for _, r := range regions {
		for _, c := range r.Corners {
			p := back.Apply(c)
			sum += math.Hypot(p.X-math.Round(p.X), p.Y-math.Round(p.Y))
			n++
		}
	}
	if n == 0 {
		return math.Inf(1)
	}
	return sum / float64(n)
}

// within is the lattice of rows × columns squares that fill four corners; nil
// where these enclose nothing.
func within(corners geom.Polygon, regions []cloth.Region, rows, columns int) *lattice {
	if len(corners) != 4 {
		return nil
	}
	x, y := float64(columns), float64(rows)
	h, err := geom.FitHomography([]geom.Point{{X: 0, Y: 0}, {X: x, Y: 0}, {X: x, Y: y}, {X: 0, Y: y}}, corners)
	if err != nil {
		return nil
	}
	l := &lattice{h: h, at: map[[2]int]int{}, square: wholeCell, columns: [2]int{0, columns}, rows: [2]int{0, rows}}
	for i, g := range regions {
		c := h.Inverse().Apply(g.Polygon.Centroid())
		cell := [2]int{int(math.Floor(c.X)), int(math.Floor(c.Y))}
		if before, taken := l.at[cell]; !taken || g.Polygon.Area() > regions[before].Polygon.Area() {
			l.at[cell] = i
		}
	}
	return l
}

// outlineOf is the quadrilateral that all regions fill together, from the upper
// left; nil where they fill none.
func outlineOf(regions []cloth.Region) geom.Polygon {
	var pts []geom.Point
	for _, r := range regions {
		pts = append(pts, r.Polygon...)
	}
	c, fit := fitQuad(geom.ConvexHull(pts))
	if fit < quadEnough {
		return nil
	}
	c = fromUpperLeft(c)
	return c[:]
}

// window moves the lattice's reach to rows × columns where most squares lie and
// most cloth shows.
func (l *lattice) window(v *view, rows, columns int) {
	span := func(have [2]int, want int) (lo, hi int) {
		return min(have[0], have[1]-want), max(have[0], have[1]-want)
	}
	i0, i1 := span(l.columns, columns)
	j0, j1 := span(l.rows, rows)
	worth := func(cell [2]int) float64 {
		s := v.clothIn(l.place(cell))
		if _, ok := l.at[cell]; ok {
			s++
		}
		return s
	}
	best, bi, bj := -1.0, i0, j0
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			sum := 0.0
			for y := j; y < j+rows; y++ {
				for x := i; x < i+columns; x++ {
					sum += worth([2]int{x, y})
				}
			}
			if sum > best {
				best, bi, bj = sum, i, j
			}
		}
	}
	l.columns, l.rows = [2]int{bi, bi + columns}, [2]int{bj, bj + rows}
}

// clothIn is the mean probability of cloth within a polygon of working pixels;
// 0 where it lies outside of what was looked at.
func (v *view) clothIn(g geom.Polygon) float64 {
	cells := make(geom.Polygon, len(g))
	for i, p := range g {
		cells[i] = geom.Point{X: (p.X - v.x0) / v.sx, Y: (p.Y - v.y0) / v.sy}
	}
	sum := 0
	cells.Fill(v.w, v.h, func(y, x0, x1 int) {
		for _, c := range v.cloth[y*v.w+x0 : y*v.w+x1] {
			sum += int(c) + half
		}
	})
	return float64(sum) / unit / max(1, cells.Area())
}
