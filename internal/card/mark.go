package card

import (
	"math"

	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// mark is one of the card's marks as seen: its corners in the order of
// Marks[id].Corners, working pixels.
type mark struct {
	id int
	c  [4]geom.Point
}

// marks returns the marks that can be read in the picture, in the order of their
// first rows.
func (l luma) marks() []mark {
	var out []mark
	for _, hull := range l.blobs() {
		c, ok := largestQuad(hull)
		if !ok || math.Abs(geom.Polygon(c[:]).Area()/hull.Area()-1) > mostRound {
			continue
		}
		if c, ok = l.refine(c); !ok {
			continue
		}
		if id, turn, ok := l.decode(c); ok {
			m := mark{id: id}
			for i := range c {
				m.c[i] = c[(i+turn)%4]
			}
			out = append(out, m)
		}
	}
	return out
}

// mostRound is how much of a mark's hull may lie outside the largest
// quadrilateral in it: rounding by blur and pixels takes a tenth of a small one.
const mostRound = 0.18

const (
	// sideSamples profiles are taken across each side, between sideFrom and
	// 1 − sideFrom of its length: blur rounds the corners.
	sideSamples, sideFrom = 24, 0.15
	refineRounds          = 3
	// leastCrossings of them must show an edge.
	leastCrossings = sideSamples / 2
	// mostMoved is how far a corner may go in a round, as a share of its side.
	mostMoved = 0.35
	// strayPixels and strayCells are how far a crossing may lie from its side's line:
	// working pixels, and beside them a share of a cell.
	strayPixels, strayCells = 0.5, 0.12
)

// refine moves the corners of a dark square to where its sides cross: the sides
// are fitted to the places where luminance is half way between the square and
// the paper.
func (l luma) refine(c [4]geom.Point) ([4]geom.Point, bool) {
	for range refineRounds {
		sides := make([]geom.Line, 4)
		for i := range c {
			s, ok := l.side(c[i], c[(i+1)%4])
			if !ok {
				return c, false
			}
			sides[i] = s
		}
		next, ok := raster.Meet(sides)
		if !ok {
			return c, false
		}
		for i, q := range next {
			if q.Dist(c[i]) > mostMoved*c[i].Dist(c[(i+1)%4]) {
				return c, false
			}
		}
		c = [4]geom.Point(next)
	}
	for _, q := range c {
		if !l.Holds(int(math.Floor(q.X)), int(math.Floor(q.Y))) {
			return c, false
		}
	}
	return c, true
}

// side fits a line to the edge near the side from a to b of a square that lies
// to the right of it as one goes (y down).
func (l luma) side(a, b geom.Point) (geom.Line, bool) {
	d := b.Sub(a)
	length := d.Len()
	if length < leastMark/2 {
		return geom.Line{}, false
	}
	u := d.Mul(1 / length)
	in := geom.Point{X: -u.Y, Y: u.X}
	reach := length / markCells * 0.8
	var at []geom.Point
	for k := range sideSamples {
		q := a.Add(d.Mul(sideFrom + (1-2*sideFrom)*(float64(k)+0.5)/sideSamples))
		if t, ok := l.crossing(q, in, reach); ok {
			at = append(at, q.Add(in.Mul(t)))
		}
	}
	if len(at) < leastCrossings {
		return geom.Line{}, false
	}
	s, _ := raster.FitLine(at)
	near := 0
	for _, q := range at {
		if math.Abs(s.Off(q)) <= strayPixels+strayCells*length/markCells {
			near++
		}
	}
	return s, near >= leastCrossings
}

// crossing returns how far along in from q the paper turns dark, within ±reach.
func (l luma) crossing(q, in geom.Point, reach float64) (float64, bool) {
	n := max(6, int(math.Ceil(4*reach)))
	n += n % 2
	v := make([]float64, n+1)
	for i := range v {
		v[i] = l.at(q.Add(in.Mul(reach * (2*float64(i)/float64(n) - 1))))
	}
	paper, dark := 0.0, math.Inf(1)
	for i := range v {
		if i <= n/2 {
			paper = max(paper, v[i])
		}
		if i >= n/2 {
			dark = min(dark, v[i])
		}
	}
	half := (paper + dark) / 2
	if dark > mostDark*paper {
		return 0, false
	}
	best, at := math.Inf(1), 0.0
	for i := range n {
		if v[i] >= half && v[i+1] < half {
			t := reach * (2*(float64(i)+(v[i]-half)/(v[i]-v[i+1]))/float64(n) - 1)
			if math.Abs(t) < best {
				best, at = math.Abs(t), t
			}
		}
	}
	return at, !math.IsInf(best, 1)
}

// mostDark is the most that the ring may show of the paper's luminance.
const mostDark = 0.6

// inMark is a mark's own frame: cells, the origin in its upper left corner.
var inMark = []geom.Point{{X: 0, Y: 0}, {X: markCells, Y: 0}, {X: markCells, Y: markCells}, {X: 0, Y: markCells}}

const (
	// mostRing is the most that the ring's mean may show of the paper's.
	mostRing = 0.45
	// leastClear is how far, as a share of the way from dark to paper, a cell must be
	// from half way.
	leastClear = 0.08
)

// decode reads which mark a dark square is, and which of its corners is the
// mark's upper left.
func (l luma) decode(c [4]geom.Point) (id, turn int, ok bool) {
	h, err := geom.FitHomography(inMark, c[:])
	if err != nil {
		return 0, 0, false
	}
	cell := func(i, j int) float64 {
		sum := 0.0
		for _, s := range [3]float64{0.3, 0.5, 0.7} {
			for _, t := range [3]float64{0.3, 0.5, 0.7} {
				sum += l.at(h.Apply(geom.Point{X: float64(i) + s, Y: float64(j) + t}))
			}
		}
		return sum / 9
	}
	// The paper about the ring and the ring itself; the ring's cells must all
	// be darker than half way, and the paper lighter.
	var ring, paper []float64
	for i := range markCells {
		paper = append(paper, cell(i, -1), cell(i, markCells), cell(-1, i), cell(markCells, i))
		if i > 0 {
			ring = append(ring, cell(i-1, 0), cell(i, markCells-1), cell(0, i), cell(markCells-1, i-1))
		}
	}
	dark, white := raster.Mean(ring), raster.Mean(paper)
	if dark > mostRing*white {
		return 0, 0, false
	}
	half := (dark + white) / 2
	for _, v := range ring {
		if v > half {
			return 0, 0, false
		}
	}
	for _, v := range paper {
		if v < half {
			return 0, 0, false
		}
	}
	word := uint16(0)
	for k := range 9 {
		v := cell(1+k%3, 1+k/3)
		if math.Abs(v-half) < leastClear*(white-dark) {
			return 0, 0, false
		}
		word <<= 1
		if v < half {
			word |= 1
		}
	}
	return named(word)
}

// named returns the mark that a word is of, and by how many quarter turns clockwise
// its upper left corner has moved.
func named(word uint16) (id, turn int, ok bool) {
	for id, w := range codes {
		for turn := range 4 {
			if w == word {
				return id, turn, true
			}
			w = quarterTurn(w)
		}
	}
	return 0, 0, false
}

// quarterTurn returns a word turned clockwise.
func quarterTurn(w uint16) uint16 {
	out := uint16(0)
	for k := range 9 {
		x, y := k%3, k/3
		out = out<<1 | w>>(8-(3*(2-x)+y))&1
	}
	return out
}
