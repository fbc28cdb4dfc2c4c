package find

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/geom"
)

// crossing returns where, from the middle of a cell of a piece (0) to the middle of
// the cell beside it (1), the piece ends: where cloth is as likely as not, or at
// the seam with another piece. Pulls are those of cells beside each other that way.
func (l *labelled) crossing(in, out int, pulls []int16) float64 {
	if l.lab[out] != 0 {
		return 0.5 + l.seam(in, out, pulls)
	}
	a, b := float64(l.cloth[in]), float64(l.cloth[out])
	if a <= 0 || b >= 0 {
		return 0.5
	}
	return a / (a - b)
}

// seamReach is how far, in cells either way, the pulls tell where a seam lies.
// With none corners of boards lie 5 % farther from the truth; 2 is as good.
const seamReach = 3

// seam returns how far beyond the middle between two cells of two pieces their seam
// lies, in cells: the middle of where pulls speak against one piece, on the way
// from the one into the other.
func (l *labelled) seam(in, out int, pulls []int16) float64 {
	var sum, moment float64
	d := out - in
	for k := -seamReach; k <= seamReach; k++ {
		a, b := in+k*d, out+k*d
		if min(a, b) < 0 || max(a, b) >= len(pulls) {
			continue
		}
		if m, n := l.lab[a], l.lab[b]; (m == l.lab[in] || m == l.lab[out]) && (n == l.lab[in] || n == l.lab[out]) {
			against := max(0, -float64(pulls[min(a, b)]))
			sum, moment = sum+against, moment+float64(k)*against
		}
	}
	if sum == 0 {
		return 0
	}
	return moment / sum
}

// beside returns the pulls between each cell and the one at (dx, dy) from it; nil
// where the eye has none.
func (f *field) beside(dx, dy int) []int16 {
	for _, k := range f.pulls {
		if k.dx == dx && k.dy == dy {
			return k.p
		}
	}
	return nil
}

// holeShare is the largest hole with nothing in it that is taken for cloth, as a
// share of the piece: through a larger one something else is seen.
const holeShare = 0.1

// rings returns the outlines of a piece in working pixels: outer ones clockwise on
// screen, holes counterclockwise, one point for each side of a cell they pass.
func (l *labelled) rings(p *piece) []geom.Polygon {
	at := func(x, y int) bool { return x >= 0 && y >= 0 && x < l.w && y < l.h && l.lab[y*l.w+x] == p.label }
	// Directions: 0 east, 1 south, 2 west, 3 north; the piece is on the right.
	// From a corner of the grid: the cells ahead to the left and to the right.
	dx, dy := [4]int{1, 0, -1, 0}, [4]int{0, 1, 0, -1}
	lx, ly := [4]int{0, 0, -1, -1}, [4]int{-1, 0, 0, -1}
	rx, ry := [4]int{0, -1, -1, 0}, [4]int{0, 0, -1, -1}
	seen := make([]bool, p.box.Dx()*p.box.Dy())         // cells whose left side has been passed
	pulls := [2][]int16{l.beside(0, 1), l.beside(1, 0)} // met going east or west, south or north
	var out []geom.Polygon
	for sy := p.box.Min.Y; sy < p.box.Max.Y; sy++ {
		for sx := p.box.Min.X; sx < p.box.Max.X; sx++ {
			if !at(sx, sy) || at(sx-1, sy) || seen[(sy-p.box.Min.Y)*p.box.Dx()+sx-p.box.Min.X] {
				continue
			}
			var ring geom.Polygon
			empty := true          // beside it
			x, y, d := sx, sy+1, 3 // up along the left side
			for {
				cx, cy := x+rx[d], y+ry[d] // the cell of the piece beside this step
				ox, oy := x+lx[d], y+ly[d]
				if d == 3 {
					seen[(cy-p.box.Min.Y)*p.box.Dx()+cx-p.box.Min.X] = true
				}
				t := 0.5
				if ox >= 0 && oy >= 0 && ox < l.w && oy < l.h {
					t = l.crossing(cy*l.w+cx, oy*l.w+ox, pulls[d&1])
					empty = empty && l.lab[oy*l.w+ox] == 0
				}
				ring = append(ring, geom.Point{
					X: l.x0 + (float64(cx)+0.5+t*float64(ox-cx))*l.sx,
					Y: l.y0 + (float64(cy)+0.5+t*float64(oy-cy))*l.sy,
				})
				x, y = x+dx[d], y+dy[d]
				switch {
				case !at(x+rx[d], y+ry[d]):
					d = (d + 1) & 3
				case at(x+lx[d], y+ly[d]):
					d = (d + 3) & 3
				}
				if x == sx && y == sy+1 && d == 3 {
					break
				}
			}
			if hole := -ring.SignedArea() / (l.sx * l.sy); hole < 0 || !empty || hole > holeShare*float64(p.area) {
				out = append(out, ring)
			}
		}
	}
	return out
}

// bend is how far, in cells, an outline may leave a straight side: a slanting side of
// cells steps by about half of one either way.
const bend = 0.75

// soft takes the steps of the cells off a ring: every point goes half way to the
// middle of its neighbours.
func soft(ring geom.Polygon) geom.Polygon {
	n := len(ring)
	out := make(geom.Polygon, n)
	for i, p := range ring {
		out[i] = p.Add(ring[(i+1)%n].Add(ring[(i+n-1)%n]).Mul(0.5)).Mul(0.5)
	}
	return out
}

// holeLeast is the least hole, as a share of its piece, that the outline goes
// round: less is not worth a line through the piece.
const holeLeast = 0.02

// oneRing makes one ring of the outlines of a piece: the largest, with bridges
// of no width to the others at the nearest points, there and back. What it
// encloses by the even-odd rule is the piece.
func oneRing(rings []geom.Polygon) geom.Polygon {
	if len(rings) == 0 {
		return nil
	}
	rings = slices.Clone(rings)
	slices.SortStableFunc(rings, func(a, b geom.Polygon) int { return cmp.Compare(b.Area(), a.Area()) })
	out := rings[0]
	for _, r := range rings[1:] {
		if len(r) < 3 || r.Area() < holeLeast*rings[0].Area() {
			continue
		}
		best, i, j := math.Inf(1), 0, 0
		for a, p := range out {
			for b, q := range r {
				if d := p.Dist(q); d < best {
					best, i, j = d, a, b
				}
			}
		}
		out = slices.Concat(out[:i+1], r[j:], r[:j+1], out[i:])
	}
	return out
}
