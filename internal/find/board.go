package find

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// lattice is a board's grid of squares: node (i, j), column i of 0..cols and
// row j of 0..rows, lies at h.Apply(Point{i, j}) in working pixels.
type lattice struct {
	rows, cols int
	h          geom.Homography
	// clear is how much more often an edge runs along the lattice's lines than
	// elsewhere on the board, 0..1; parted how much more colours differ across
	// them than inside a cell, -1..1.
	clear, parted float64
}

// MostCells is the largest number of rows or columns of a board.
const MostCells = 24

// edgeFull is the OKLab step that counts as a whole edge.
const edgeFull = 0.06

// findBoard finds the squares of a board: the lattice first, then each square's
// own four sides. ok is false where no lattice stands out.
func findBoard(g *grid, r *ground, o Options) ([]cloth.Region, lattice, bool) {
	s := &grid{W: g.W, H: g.H, L: blur(g.L, g.W, g.H, 1), A: blur(g.A, g.W, g.H, 1), B: blur(g.B, g.W, g.H, 1)}
	outlines := []geom.Polygon{o.Outline}
	if o.Outline == nil {
		outlines = append(boardOutlines(r, cover(r)), boardOutlines(r, r.coloured(s))...)
	}
	var lat lattice
	ok := false
	for i, outline := range outlines {
		if slices.ContainsFunc(outlines[:i], func(q geom.Polygon) bool { return sameRing(q, outline) }) {
			continue
		}
		l, fits := fitLattice(s, outline, o.Rows, o.Cols)
		if !fits {
			continue
		}
		for range 3 {
			l = l.settle(s)
		}
		l.clear, l.parted = l.clearness(s), l.partedness(s)
		if !ok || l.weight() > lat.weight() {
			lat, ok = l, true
		}
	}
	if !ok {
		return nil, lat, false
	}
	if o.Outline == nil && o.Rows == 0 && o.Cols == 0 {
		lat = lat.extend(s, r.coloured(s))
	}
	return lat.squares(g, r), lat, true
}

// weight ranks lattices: clear lines that part colours, and many of them.
func (l lattice) weight() float64 {
	return (l.clear + l.parted) * math.Sqrt(float64(l.rows+l.cols-2))
}

// sameRing says whether two rings of four agree to a few pixels.
func sameRing(a, b geom.Polygon) bool {
	for i, p := range a {
		if p.Dist(b[i]) > 3 {
			return false
		}
	}
	return true
}

// boardOutlines lists the four-sided outlines of the largest things on the
// ground, with narrow gaps closed, then with wide ones: a white square on white
// leaves a gap, but a sheet beside the board must not be drawn in.
func boardOutlines(r *ground, lying []uint8) []geom.Polygon {
	var out []geom.Polygon
	for _, k := range []int{max(r.W, r.H) / 250, max(r.W, r.H) / 50} {
		mask := erode(dilate(lying, r.W, r.H, k), r.W, r.H, k)
		mask = open(mask, r.W, r.H, k)
		lab, blobs := labelBlobs(mask, r.W, r.H)
		slices.SortStableFunc(blobs, func(a, b blob) int { return cmp.Compare(b.area, a.area) })
		for _, b := range blobs[:min(2, len(blobs))] {
			if b.area < r.W*r.H/30 {
				continue
			}
			hull := geom.ConvexHull(simplify(traceBlob(lab, r.W, r.H, b), 1))
			if c, fit := fitQuad(hull); fit > 0.8 {
				out = append(out, startTopLeft(c))
			}
		}
	}
	return out
}

// coloured is the mask of what no shadow on the ground looks like: it is lighter
// than the ground, or of another chroma.
func (r *ground) coloured(s *grid) []uint8 {
	mask := make([]uint8, len(r.mask))
	for i := range mask {
		l, gl := max(s.L[i], 0.08), max(r.L[i], 0.08)
		da := float64(s.A[i]/l-r.A[i]/gl) / r.sigma[1]
		db := float64(s.B[i]/l-r.B[i]/gl) / r.sigma[2]
		// A shadow is lit by the sky or the room: its chroma drifts.
		drift := 0.15 / r.sigma[2] * max(0, float64((gl-l)/gl))
		if float64(l-gl) > groundFar*r.sigma[0] || math.Hypot(da, db) > groundFar+drift {
			mask[i] = 255
		}
	}
	return open(mask, r.W, r.H, max(1, max(r.W, r.H)/500))
}

// startTopLeft turns a clockwise ring so that it starts nearest the top left.
func startTopLeft(c [4]geom.Point) geom.Polygon {
	k := 0
	for i, p := range c {
		if p.X+p.Y < c[k].X+c[k].Y {
			k = i
		}
	}
	return geom.Polygon{c[k], c[(k+1)%4], c[(k+2)%4], c[(k+3)%4]}
}

// fitLattice counts the rows and columns inside an outline: the numbers of
// equal squares whose lines best fall on edges. A print has edges of its own,
// but not in line across its neighbours.
func fitLattice(s *grid, outline geom.Polygon, rows, cols int) (lattice, bool) {
	w := (outline[0].Dist(outline[1]) + outline[3].Dist(outline[2])) / 2
	h := (outline[0].Dist(outline[3]) + outline[1].Dist(outline[2])) / 2
	if w < 20 || h < 20 {
		return lattice{}, false
	}
	nu, nv := int(w), int(h)
	unit, err := geom.FitHomography([]geom.Point{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}, outline)
	if err != nil {
		return lattice{}, false
	}
	aspect := math.Log(aspectOf(unit, s.W, s.H))
	across, down := edgeProfiles(s, unit, nu, nv)
	var best lattice
	bestScore := math.Inf(-1)
	var downs [MostCells + 1]comb
	for q := range downs {
		downs[q] = fitComb(down, nv, max(1, q))
	}
	for c := 1; c <= MostCells; c++ {
		if cols > 0 && c != cols {
			continue
		}
		u := fitComb(across, nu, c)
		for q := 1; q <= MostCells; q++ {
			if rows > 0 && q != rows || c*q < 2 {
				continue
			}
			v := downs[q]
			skew := math.Abs(aspect - math.Log(float64(c)/float64(q)))
			if skew > 0.35 && (rows == 0 || cols == 0) {
				continue
			}
			if score := u.score + v.score - 1.5*skew; score > bestScore {
				bestScore = score
				cells := geom.Homography{
					(u.to - u.from) / float64(c), 0, u.from,
					0, (v.to - v.from) / float64(q), v.from,
					0, 0, 1,
				}
				best = lattice{
					rows: q, cols: c, h: unit.After(cells),
					clear: (u.rise*float64(c-1) + v.rise*float64(q-1)) / float64(max(1, c+q-2)),
				}
			}
		}
	}
	return best, best.cols > 0
}

// focalShare is the focal length of a phone's main camera over the long side of
// its picture: about 27 mm on a 36 mm frame. Common practice, no source.
const focalShare = 0.75

// aspectOf is the width over the height, in the plane itself, of the unit
// square that h maps into a w × h picture, for a camera of the usual focal
// length with its axis at the middle: the lengths of h's first two columns as
// rays (Zhang & He, Whiteboard Scanning and Image Enhancement, 2007, eq. 20).
func aspectOf(h geom.Homography, w, ht int) float64 {
	f := focalShare * float64(max(w, ht))
	cx, cy := float64(w)/2, float64(ht)/2
	length := func(k int) float64 {
		z := h[6+k]
		return math.Hypot(math.Hypot((h[k]-cx*z)/f, (h[3+k]-cy*z)/f), z)
	}
	return length(0) / length(1)
}

// margin is how far beyond an outline, as a share of its side, its true edge
// may lie: shadow adds to it, white squares on white take from it.
const margin = 0.08

// edgeProfiles says, for each column and each row of pixels, how much of its
// length an edge runs along it, 0..1: nu columns and nv rows make the outline,
// and margin lies to either side.
func edgeProfiles(s *grid, unit geom.Homography, nu, nv int) (across, down []float64) {
	mu, mv := int(margin*float64(nu)), int(margin*float64(nv))
	across = edgeProfile(s, nu+2*mu, nv, func(t, v float64) geom.Point {
		return unit.Apply(geom.Point{X: (t - float64(mu)) / float64(nu), Y: v})
	})
	down = edgeProfile(s, nv+2*mv, nu, func(t, v float64) geom.Point {
		return unit.Apply(geom.Point{X: v, Y: (t - float64(mv)) / float64(nv)})
	})
	return across, down
}

// edgeProfile averages the edge strength along n steps over lines side by side,
// one for each third of m pixels.
func edgeProfile(s *grid, n, m int, at func(t, v float64) geom.Point) []float64 {
	lines := (m + 2) / 3
	part := make([][]float64, lines)
	parallel(lines, func(lo, hi int) {
		for k := lo; k < hi; k++ {
			v := (float64(k) + 0.5) / float64(lines)
			part[k] = edgeRow(s, n, func(t float64) geom.Point { return at(t, v) })
		}
	})
	out := make([]float64, n)
	for _, p := range part {
		for i, v := range p {
			out[i] += v / float64(lines)
		}
	}
	return out
}

// edgeRow is the edge strength, 0..1, across n steps of a line.
func edgeRow(s *grid, n int, at func(t float64) geom.Point) []float64 {
	c := make([][3]float32, n+4)
	for i := range c {
		c[i] = s.sample(at(float64(i-2) + 0.5))
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = min(1, edgeAt(c[i], c[i+2], c[i+4])/edgeFull)
	}
	return out
}

// edgeAt is the OKLab step from a to b, or the depth of a line m between them.
func edgeAt(a, m, b [3]float32) float64 {
	var step, line float64
	for c := range 3 {
		d := float64(b[c] - a[c])
		e := float64(m[c]) - float64(a[c]+b[c])/2
		step += d * d
		line += e * e
	}
	return math.Sqrt(max(step, 2*line))
}

// sample is the picture's colour at a point, bilinear, edges replicated.
func (g *grid) sample(p geom.Point) [3]float32 {
	x, y := p.X-0.5, p.Y-0.5
	fx, fy := math.Floor(x), math.Floor(y)
	u, v := float32(x-fx), float32(y-fy)
	x0, y0 := clamp(int(fx), 0, g.W-1), clamp(int(fy), 0, g.H-1)
	x1, y1 := clamp(int(fx)+1, 0, g.W-1), clamp(int(fy)+1, 0, g.H-1)
	a, b, c, d := y0*g.W+x0, y0*g.W+x1, y1*g.W+x0, y1*g.W+x1
	mix := func(p []float32) float32 {
		return (p[a]*(1-u)+p[b]*u)*(1-v) + (p[c]*(1-u)+p[d]*u)*v
	}
	return [3]float32{mix(g.L), mix(g.A), mix(g.B)}
}

// comb is a row of equal cells laid on an edge profile: from and to are its
// ends as shares of the outline.
type comb struct {
	from, to float64
	score    float64 // sum over the inner lines of the edge found, less what one must show
	rise     float64 // mean rise of the inner lines over the profile's own middle
}

// fitComb lays n equal cells on a profile of size pixels and a margin to either
// side, trying ends a little within and beyond the outline.
func fitComb(profile []float64, size, n int) comb {
	pitch := float64(size) / float64(n)
	if pitch < 10 {
		return comb{score: math.Inf(-1), to: 1}
	}
	base, top := medianOf(profile), slices.Max(profile)
	need := base + 0.35*(top-base)
	span := max(0.05, top-base)
	tol := int(max(1, 0.04*pitch))
	peak := make([]float64, len(profile))
	for i := range profile {
		for k := max(0, i-tol); k <= min(len(profile)-1, i+tol); k++ {
			peak[i] = max(peak[i], profile[k])
		}
	}
	m := float64(int(margin * float64(size)))
	best := comb{score: math.Inf(-1)}
	// An end moves by less than half a cell, or the count would be another.
	reach := min(margin, 0.45/float64(n))
	const steps = 6
	for a := -steps; a <= steps; a++ {
		for b := -steps; b <= steps; b++ {
			from, to := reach*float64(a)/steps, 1+reach*float64(b)/steps
			c := comb{from: from, to: to}
			for k := 1; k < n; k++ {
				x := m + float64(size)*(from+(to-from)*float64(k)/float64(n))
				v := peak[clamp(int(x), 0, len(peak)-1)]
				c.score += (v - need) / span
				c.rise += (v - base) / float64(n-1)
			}
			// The board's own edges are edges too; a shadow along them or a
			// white square on white hides them.
			for _, end := range [2]float64{from, to} {
				v := peak[clamp(int(m+float64(size)*end), 0, len(peak)-1)]
				c.score += 0.3 * (v - need) / span
			}
			c.score -= 0.15 * (math.Abs(from) + math.Abs(to-1)) / margin
			if c.score > best.score {
				best = c
			}
		}
	}
	return best
}

func medianOf(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}

// settle moves the lattice's lines onto the edges near them: every cell side
// looks for its own edge, and the homography is fitted anew to the nodes where
// found sides cross.
func (l lattice) settle(s *grid) lattice {
	type sum struct {
		d geom.Point
		w float64
	}
	nodes := make([]sum, (l.cols+1)*(l.rows+1))
	note := func(i, j int, d geom.Point, w float64) {
		n := &nodes[j*(l.cols+1)+i]
		n.d = n.d.Add(d.Mul(w))
		n.w += w
	}
	for j := range l.rows + 1 {
		for i := range l.cols + 1 {
			if i < l.cols {
				d, w := l.sideShift(s, i, j, 1, 0)
				note(i, j, d, w)
				note(i+1, j, d, w)
			}
			if j < l.rows {
				d, w := l.sideShift(s, i, j, 0, 1)
				note(i, j, d, w)
				note(i, j+1, d, w)
			}
		}
	}
	var src, dst []geom.Point
	for j := range l.rows + 1 {
		for i := range l.cols + 1 {
			n := nodes[j*(l.cols+1)+i]
			at := geom.Point{X: float64(i), Y: float64(j)}
			p := l.h.Apply(at)
			if n.w > 0 {
				// Each side tells only of the direction across it, so the two
				// pairs of sides at a node add up rather than average.
				p = p.Add(n.d.Mul(2 / max(n.w, 1)))
			}
			src, dst = append(src, at), append(dst, p)
		}
	}
	if h, err := geom.FitHomography(src, dst); err == nil {
		l.h = h
	}
	return l
}

// clearness is how much more often an edge runs along a side that two cells
// share than along the middle of a cell, 0..1.
func (l lattice) clearness(s *grid) float64 {
	sum, n := 0.0, 0
	at := func(x, y, dx, dy float64) float64 {
		a, b := l.h.Apply(geom.Point{X: x, Y: y}), l.h.Apply(geom.Point{X: x + dx, Y: y + dy})
		return edgeAlong(s, a, b, 2)
	}
	for j := range l.rows {
		for i := range l.cols {
			x, y := float64(i), float64(j)
			if i > 0 {
				sum += at(x, y, 0, 1) - at(x+0.5, y, 0, 1)
				n++
			}
			if j > 0 {
				sum += at(x, y, 1, 0) - at(x, y+0.5, 1, 0)
				n++
			}
		}
	}
	return max(0, sum/float64(max(1, n)))
}

// edgeAlong is the strongest mean edge, 0..1, along the segment a–b or one
// beside it by up to reach pixels.
func edgeAlong(s *grid, a, b geom.Point, reach int) float64 {
	return slices.Max(edgeScores(s, a, b, 2*reach+1))
}

// edgeScores is the mean edge, 0..1, along the segment a–b and those parallel to
// it, n in all a pixel apart, from its left to its right.
func edgeScores(s *grid, a, b geom.Point, n int) []float64 {
	score := make([]float64, n)
	l := a.Dist(b)
	if l < 4 {
		return score
	}
	u := b.Sub(a).Mul(1 / l)
	v := geom.Point{X: -u.Y, Y: u.X}
	lines := clamp(int(l*0.8/2), 6, 60)
	for k := range lines {
		p := a.Add(u.Mul(l * (0.1 + 0.8*(float64(k)+0.5)/float64(lines))))
		for i, e := range edgeRow(s, n, func(t float64) geom.Point {
			return p.Add(v.Mul(t - float64(n)/2))
		}) {
			score[i] += e / float64(lines)
		}
	}
	return score
}

// sideShift is how far, and in which direction, the side that starts at node
// (i, j) and runs one cell along (di, dj) must move to lie on its edge, and how
// sure that is, 0..1.
func (l lattice) sideShift(s *grid, i, j, di, dj int) (geom.Point, float64) {
	a := l.h.Apply(geom.Point{X: float64(i), Y: float64(j)})
	b := l.h.Apply(geom.Point{X: float64(i + di), Y: float64(j + dj)})
	k, sure := bestShift(s, a, b, 0.14*a.Dist(b))
	u := b.Sub(a).Mul(1 / a.Dist(b))
	return geom.Point{X: -u.Y, Y: u.X}.Mul(k), sure
}

// bestShift slides the segment a–b sideways by up to reach pixels (to its right
// where positive) and gives the shift at which an edge runs along most of it,
// and how far that stands out.
func bestShift(s *grid, a, b geom.Point, reach float64) (shift, sure float64) {
	n := int(2*reach+0.5) | 1
	if n < 3 {
		return 0, 0
	}
	score := edgeScores(s, a, b, n)
	best, total := 0, 0.0
	for i := range score {
		off := (float64(i) - float64(n/2)) / float64(n/2)
		score[i] -= 0.12 * off * off
		total += score[i]
		if score[i] > score[best] {
			best = i
		}
	}
	return float64(best - n/2), max(0, min(1, 1.5*(score[best]-total/float64(n))))
}

// oneCloth is the likeness from which on two neighbouring cells may be one cloth.
const oneCloth = 0.85

// extend adds rows or columns of squares that the outline missed, such as white
// ones on white, where a quarter of the new row is cloth that no shadow looks
// like. A sheet of paper beside the board would fill a row too, but nothing parts
// its cells.
func (l lattice) extend(s *grid, cloth []uint8) lattice {
	for range 2 {
		for _, side := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
			n, full, pairs, unlike := l.rows, 0, 0, 0
			var last *histogram
			if side[0] == 0 {
				n = l.cols
			}
			for k := range n {
				i, j := k, k
				switch {
				case side[0] < 0:
					i = -1
				case side[0] > 0:
					i = l.cols
				case side[1] < 0:
					j = -1
				default:
					j = l.rows
				}
				if shareOf(cloth, s.W, s.H, l.cell(i, j)) <= 0.5 {
					last = nil
					continue
				}
				full++
				h := histogramOf(s, middleOf(l.cell(i, j)))
				if last != nil {
					pairs++
					if h.likeness(last) < oneCloth {
						unlike++
					}
				}
				last = h
			}
			if full*4 < n || full < 2 || pairs > 0 && unlike == 0 {
				continue
			}
			shift := geom.Homography{1, 0, float64(min(0, side[0])), 0, 1, float64(min(0, side[1])), 0, 0, 1}
			l.h = l.h.After(shift)
			if side[0] != 0 {
				l.cols++
			} else {
				l.rows++
			}
		}
	}
	return l
}

func (l lattice) cell(i, j int) geom.Polygon {
	x, y := float64(i), float64(j)
	return l.within(x, y, x+1, y+1)
}

// middleOf is a cell drawn in by a tenth on every side.
func middleOf(cell geom.Polygon) geom.Polygon {
	c := cell.Centroid()
	in := make(geom.Polygon, len(cell))
	for i, p := range cell {
		in[i] = c.Add(p.Sub(c).Mul(0.8))
	}
	return in
}

// shareOf is the part of a cell's middle that is set in a mask, 0..1.
func shareOf(mask []uint8, w, h int, cell geom.Polygon) float64 {
	n, set := 0, 0
	middleOf(cell).Fill(w, h, func(y, x0, x1 int) {
		for _, m := range mask[y*w+x0 : y*w+x1] {
			n++
			if m != 0 {
				set++
			}
		}
	})
	return float64(set) / float64(max(1, n))
}

// squares are the pieces in the cells that are not bare, row by row.
func (l lattice) squares(g *grid, r *ground) []cloth.Region {
	var loose []looseSquare
	for j := range l.rows {
		for i := range l.cols {
			if l.covered(r, l.cell(i, j)) {
				loose = append(loose, looseSquare{i: i, j: j})
			}
		}
	}
	parallel(len(loose), func(lo, hi int) {
		for k := lo; k < hi; k++ {
			for side := range 4 {
				loose[k].sides[side/2][side%2] = l.edgesOf(g, r, loose[k].i, loose[k].j, side/2, side%2)
			}
		}
	})
	size := [2]float64{commonSize(loose, 0), commonSize(loose, 1)}
	settleAll(loose, l.cols, size)
	out := make([]cloth.Region, len(loose))
	for k := range loose {
		ring := l.corners(&loose[k], size)
		edge := (loose[k].lie.edge[0] + loose[k].lie.edge[1]) / 4
		out[k] = cloth.Region{Polygon: ring, Corners: slices.Clone(ring), Trust: max(0.5, min(0.99, 0.6+0.6*edge))}
	}
	return out
}

// covered says whether cloth lies in a cell: a share of it differs from the
// ground and is more than the ground's own lines, or, where a white print lies on
// white, its middle value does.
func (l lattice) covered(r *ground, cell geom.Polygon) bool {
	var d []float32
	middleOf(cell).Fill(r.W, r.H, func(y, x0, x1 int) {
		d = append(d, r.dist[y*r.W+x0:y*r.W+x1]...)
	})
	if len(d) == 0 {
		return false
	}
	slices.Sort(d)
	return d[len(d)*85/100] > groundNear && r.bareShare(middleOf(cell)) < 0.9 || d[len(d)/2] > 2.2
}
