package scale

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// quad is a piece's four corners, in working pixels, clockwise on screen.
type quad struct {
	region int
	c      [4]geom.Point
	whole  float64 // 0..1: how far its outline fills the rectangle
	weight float64 // the same, and that it is a piece
	// own is the probability that each side, from corner k to the next, is where
	// the piece was cut, and not where another hides it.
	own    [4]float64
	square float64 // weight, and that all four sides are
}

// quadsOf returns the regions that have four corners.
func quadsOf(regions []cloth.Region) []quad {
	var out []quad
	for i, r := range regions {
		if len(r.Corners) != 4 {
			continue
		}
		q := quad{region: i, c: [4]geom.Point(r.Corners), whole: 1, own: [4]float64{1, 1, 1, 1}}
		g := geom.Polygon(q.c[:])
		if g.SignedArea() < 0 {
			q.c[1], q.c[3] = q.c[3], q.c[1]
		}
		if g.Area() < leastArea {
			continue
		}
		// A piece with a corner folded or hidden is no rectangle.
		if a := r.Polygon.Area(); a > 0 {
			q.whole = ramp(math.Abs(math.Log(a/g.Area())), 0.05, 0.2, 1, 0.05)
		}
		q.weight = q.whole * min(1, max(0.05, r.Trust))
		q.square = q.weight
		out = append(out, q)
	}
	return out
}

// upright says that its corners, in the plane, are right angles at least nearly: a
// diamond's are not.
func (q *quad) upright(l *plane) bool {
	for _, a := range anglesOf(geom.Polygon(q.c[:]).Map(l.at)) {
		if math.Abs(a-90) > slant {
			return false
		}
	}
	return true
}

// slant is how far, degrees, the corner of a rectangle may be off a right angle.
const slant = 20

// leastArea is the least piece that has a shape, in square working pixels.
const leastArea = 64

// shape is a rectified piece.
type shape struct {
	region          int
	short, long     float64 // plane units
	shortPx, longPx float64 // as seen in the picture, working pixels
	whole, weight   float64 // as its quad's
	// shortOwn and longOwn are the probabilities that the short and the long side
	// are seen from end to end, with nothing over them.
	shortOwn, longOwn float64
}

// rectify measures four corners, in working pixels, in the plane; turned says
// that the first side is a short one.
func rectify(c [4]geom.Point, l *plane) (s shape, turned bool) {
	var d [4]geom.Point
	for k := range c {
		d[k] = l.at(c[k])
	}
	a, b := sides(d)
	s.longPx, s.shortPx = sides(c)
	if a < b {
		s.short, s.long, s.shortPx, s.longPx = a, b, s.longPx, s.shortPx
		return s, true
	}
	s.short, s.long = b, a
	return s, false
}

// sides returns the mean lengths of the first and third, and of the second and
// fourth side.
func sides(c [4]geom.Point) (a, b float64) {
	return (c[0].Dist(c[1]) + c[2].Dist(c[3])) / 2, (c[1].Dist(c[2]) + c[3].Dist(c[0])) / 2
}

func rectified(quads []quad, l *plane, keep func(*quad) bool) []shape {
	var out []shape
	for i := range quads {
		if q := &quads[i]; keep(q) {
			s, turned := rectify(q.c, l)
			s.region, s.whole, s.weight = q.region, q.whole, q.weight
			// The first side's length is the distance between the second and the fourth.
			s.longOwn, s.shortOwn = q.own[1]*q.own[3], q.own[0]*q.own[2]
			if turned {
				s.longOwn, s.shortOwn = s.shortOwn, s.longOwn
			}
			out = append(out, s)
		}
	}
	return out
}
