package find

import (
	"math"

	"piecebag/internal/geom"
)

// The squares of a board are cut to one size, but each lies a little off its
// cell and a little turned. So the size is found from them all, and then each
// square's own place and turn: an edge of its neighbour across a gap lies as
// near, but not at the right distance from the square's other side.

const (
	// sideReach is how far, in cells, from the cell's own side an edge is looked
	// for: half of the widest gap, the farthest offset and what the turn adds.
	sideReach = 0.28
	// edgeHalf is the OKLab step that counts as half an edge: a strong edge
	// counts more than a faint one, but not much.
	edgeHalf = 0.04
	// sideLines is how many lines cross a side.
	sideLines = 20
	// leastSize and mostSize bound the size of a square, in cells: gaps may show,
	// and squares may overlap a little.
	leastSize, mostSize = 0.78, 1.03
	// farOff is the farthest a square lies off its cell, in cells; farTurned the
	// most it is turned, in radians.
	farOff, farTurned = 0.12, 0.07
	turnSteps         = 9 // to either side
)

// sideEdges is what edges cross the lines over one side of a cell: for each turn
// of the side, how much of an edge lies at each place, 0..1.
type sideEdges struct {
	n    int // places over 2*sideReach cells
	turn [2*turnSteps + 1][]float64
	gap  []float64 // see gapWorth: summed from the first place on, in cells
}

// What a gap is worth where it shows bare ground, a cell of width, and what it
// costs where it does not: lines inside a print may agree on a smaller size, so
// gaps must earn it.
const bareWorth, hiddenCost = 3, 0.25

// gapTo is what the gap from the side out to a place, in cells, is worth; it is
// negative on the far side of it.
func (e *sideEdges) gapTo(off float64) float64 {
	sum := func(off float64) float64 {
		x := min(max((off+sideReach)/(2*sideReach)*float64(e.n-1), 0), float64(e.n-1))
		i := min(int(x), e.n-2)
		return e.gap[i] + (x-float64(i))*(e.gap[i+1]-e.gap[i])
	}
	return sum(off) - sum(0)
}

// at is the edge at a place off the side, in cells, for a turn.
func (e *sideEdges) at(turn int, off float64) float64 {
	x := (off + sideReach) / (2 * sideReach) * float64(e.n-1)
	i := int(x)
	if x < 0 || i+1 >= e.n {
		return 0
	}
	f := x - float64(i)
	v := e.turn[turn]
	return v[i]*(1-f) + v[i+1]*f
}

// edgesOf looks across one side of cell (i, j): axis 0 is across columns, 1
// across rows; far is 1 for the right or lower side.
func (l lattice) edgesOf(g *grid, r *ground, i, j, axis, far int) *sideEdges {
	place := func(off, along float64) geom.Point {
		if axis == 0 {
			return l.h.Apply(geom.Point{X: float64(i+far) + off, Y: float64(j) + 0.5 + along})
		}
		return l.h.Apply(geom.Point{X: float64(i) + 0.5 + along, Y: float64(j+far) + off})
	}
	wide := place(-sideReach, 0).Dist(place(sideReach, 0))
	e := &sideEdges{n: max(8, 2*int(wide)+1)}
	step := 2 * sideReach / float64(e.n-1)
	hop := wide / float64(e.n-1) // pixels
	reach := max(1, int(1/hop+0.5))
	var line [sideLines][]float64
	bare := make([]float64, e.n)
	for k := range line {
		along := 0.84 * ((float64(k)+0.5)/sideLines - 0.5)
		c := make([][3]float32, e.n+2*reach)
		for t := range c {
			c[t] = g.sample(place(float64(t-reach)*step-sideReach, along))
		}
		line[k] = make([]float64, e.n)
		for t := range line[k] {
			if r.isBare(place(float64(t)*step-sideReach, along)) {
				bare[t] += 1.0 / sideLines
			}
			a, b := c[t], c[t+2*reach]
			d := 0.0
			for ch := range 3 {
				d += float64(b[ch]-a[ch]) * float64(b[ch]-a[ch])
			}
			d = math.Sqrt(d)
			line[k][t] = d / (d + edgeHalf)
		}
	}
	e.gap = make([]float64, e.n)
	inside := 0.0 // of what lies within reach in the square, next to its side
	for t := 1; t < e.n; t++ {
		b := (bare[t-1] + bare[t]) / 2
		e.gap[t] = e.gap[t-1] + step*(bareWorth*b-hiddenCost*(1-b))
	}
	for t := range e.n / 5 {
		if far == 0 {
			t = e.n - 1 - t
		}
		inside += bare[t] / float64(e.n/5)
	}
	if inside > 0.3 { // cloth in the ground's colour tells no gap
		for t := range e.gap {
			e.gap[t] = -hiddenCost * float64(t) * step
		}
	}
	for q := range e.turn {
		angle := turnOf(q)
		if axis == 0 {
			angle = -angle
		}
		v := make([]float64, e.n)
		for k := range line {
			along := 0.84 * ((float64(k)+0.5)/sideLines - 0.5)
			shift := int(math.Round(angle * along / step))
			for t := range v {
				if u := t + shift; u >= 0 && u < e.n {
					v[t] += line[k][u] / sideLines
				}
			}
		}
		e.turn[q] = v
	}
	return e
}

func turnOf(q int) float64 { return farTurned * float64(q-turnSteps) / turnSteps }

// bestOff is the offset from its cell, in cells, at which a square of a size and
// turn has edges on both of two opposite sides, and how much edge there is, 0..2.
// The fainter side counts for more: one side alone may lie on a neighbour's edge.
// Offsets beyond wide, in cells, are held against it.
func bestOff(near, far *sideEdges, turn int, size, wide float64) (off, score float64) {
	score = math.Inf(-1)
	in := (1 - size) / 2
	steps := near.n / 2
	for k := -steps; k <= steps; k++ {
		o := farOff * float64(k) / float64(steps)
		a, b := near.at(turn, in+o), far.at(turn, o-in)
		v := 1.5*min(a, b) + 0.5*max(a, b) - 0.1*(o/wide)*(o/wide) + near.gapTo(in+o) - far.gapTo(o-in)
		if v > score {
			off, score = o, v
		}
	}
	return off, score
}

// looseSquare is the square in cell (i, j).
type looseSquare struct {
	i, j  int
	sides [2][2]*sideEdges // by axis: near, far
	lie   lie
}

// commonSize is the size across an axis, in cells, that fits most squares.
func commonSize(squares []looseSquare, axis int) float64 {
	const steps = 50
	total := make([][]float64, len(squares))
	parallel(len(squares), func(lo, hi int) {
		for k := lo; k < hi; k++ {
			total[k] = make([]float64, steps+1)
			s := squares[k].sides[axis]
			for z := range total[k] {
				best := math.Inf(-1)
				for q := 0; q <= 2*turnSteps; q += 3 {
					_, v := bestOff(s[0], s[1], q, leastSize+(mostSize-leastSize)*float64(z)/steps, farOff)
					best = max(best, v-turnCost(q, farTurned))
				}
				total[k][z] = best
			}
		}
	})
	size, top := 1.0, math.Inf(-1)
	for z := range steps + 1 {
		sum := 0.0
		for k := range total {
			sum += total[k][z]
		}
		if sum > top {
			size, top = leastSize+(mostSize-leastSize)*float64(z)/steps, sum
		}
	}
	return size
}

// turnCost keeps a square straight where its edges do not say: turns beyond
// wide, in radians, are held against it.
func turnCost(q int, wide float64) float64 {
	t := turnOf(q) / wide
	return 0.08 * t * t
}

// lie is where a square lies in its cell.
type lie struct {
	off  [2]float64 // off its middle, in cells, by axis
	turn int
	edge [2]float64 // how much edge its two sides across an axis show, 0..2
}

// play is how far the squares of a board lie off their cells, by axis, and how
// far they are turned, before it is held against them.
type play struct {
	off  [2]float64 // cells
	turn float64    // radians
}

// playOf takes the play from how the squares with clear edges lie.
func playOf(squares []looseSquare) play {
	var off [2][]float64
	var turn []float64
	for _, s := range squares {
		for axis, e := range s.lie.edge {
			if e >= sureEdge {
				off[axis] = append(off[axis], math.Abs(s.lie.off[axis]))
				turn = append(turn, math.Abs(turnOf(s.lie.turn)))
			}
		}
	}
	usual := func(v []float64, least, most float64) float64 {
		if len(v) < 6 {
			return most
		}
		return min(most, max(least, 3*medianOf(v)))
	}
	return play{
		[2]float64{usual(off[0], 0.015, farOff), usual(off[1], 0.015, farOff)},
		usual(turn, 0.012, farTurned),
	}
}

// settle finds where a square of a size lies by its edges.
func (s *looseSquare) settle(size [2]float64, p play) {
	best := math.Inf(-1)
	for q := range 2*turnSteps + 1 {
		x, sx := bestOff(s.sides[0][0], s.sides[0][1], q, size[0], p.off[0])
		y, sy := bestOff(s.sides[1][0], s.sides[1][1], q, size[1], p.off[1])
		if v := sx + sy - 2*turnCost(q, p.turn); v > best {
			best, s.lie = v, lie{[2]float64{x, y}, q, [2]float64{sx, sy}}
		}
	}
}

// sureEdge is the edge on two opposite sides from which on they are sure.
const sureEdge = 0.9

// settleAll lets the squares whose edges are clear lie down first, then the
// faint ones between them, which must not take the others' edges across a gap
// for their own.
func settleAll(squares []looseSquare, cols int, size [2]float64) {
	each := func(do func(k int)) {
		parallel(len(squares), func(lo, hi int) {
			for k := lo; k < hi; k++ {
				do(k)
			}
		})
	}
	p := play{[2]float64{farOff, farOff}, farTurned}
	each(func(k int) { squares[k].settle(size, p) })
	p = playOf(squares)
	each(func(k int) { squares[k].settle(size, p) })
	at := make(map[int]int, len(squares))
	for k, s := range squares {
		at[s.j*cols+s.i] = k
	}
	first := make([]lie, len(squares))
	for k := range squares {
		first[k] = squares[k].lie
	}
	each(func(k int) {
		s := &squares[k]
		again := false
		for axis, hop := range [2]int{1, cols} {
			gap := 1 - size[axis]
			if s.lie.edge[axis] >= sureEdge || gap*float64(s.sides[axis][0].n) < 2 {
				continue
			}
			for far, next := range [2]int{-hop, hop} {
				if axis == 0 && (s.i+next < 0 || s.i+next >= cols) {
					continue
				}
				n, ok := at[s.j*cols+s.i+next]
				if !ok || first[n].edge[axis] < sureEdge {
					continue
				}
				// The neighbour's side, seen from the side that the two share.
				s.sides[axis][far].mute(first[n].off[axis]+gap/2*float64(2*far-1), 0.4*gap, far == 1)
				again = true
			}
		}
		if again {
			s.settle(size, p)
		}
		s.lie.humble()
	})
}

// humble brings a square whose edges are faint back to the middle of its cell.
func (l *lie) humble() {
	least := 1.0
	for axis, e := range l.edge {
		k := max(0, min(1, (e-sureEdge/2)/(sureEdge/2)))
		l.off[axis] *= k
		least = min(least, k)
	}
	l.turn = turnSteps + int(math.Round(least*float64(l.turn-turnSteps)))
}

// mute takes away the edges that lie as far out as a neighbour's side at off, or
// nearer to it than by.
func (e *sideEdges) mute(off, by float64, outwards bool) {
	for q := range e.turn {
		for t := range e.turn[q] {
			x := 2*sideReach*float64(t)/float64(e.n-1) - sideReach
			if outwards && x > off-by || !outwards && x < off+by {
				e.turn[q][t] *= 0.15
			}
		}
	}
}

// corners are a square's corners in the picture.
func (l lattice) corners(s *looseSquare, size [2]float64) geom.Polygon {
	sin, cos := math.Sincos(turnOf(s.lie.turn))
	ring := make(geom.Polygon, 4)
	for k, c := range [4][2]float64{{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}} {
		u, v := c[0]*size[0], c[1]*size[1]
		ring[k] = l.h.Apply(geom.Point{
			X: float64(s.i) + 0.5 + s.lie.off[0] + cos*u - sin*v,
			Y: float64(s.j) + 0.5 + s.lie.off[1] + sin*u + cos*v,
		})
	}
	return ring
}

// isBare says whether bare ground shows at a place in the picture.
func (r *ground) isBare(p geom.Point) bool {
	x, y := int(math.Floor(p.X)), int(math.Floor(p.Y))
	return x >= 0 && y >= 0 && x < r.W && y < r.H && r.dist[y*r.W+x] < groundNear
}
