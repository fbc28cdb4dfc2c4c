package scale

import (
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// unread is a white thing that looks like a card or sheet and gives no scale.
type unread struct {
	region int
	why    string
}

const (
	// straight is how rough, in working pixels, the edges of paper may be.
	straight = 0.35
	// plainMottle and plainGrain are those of paper with nothing on it: the
	// middles of paperOdds' ramps.
	plainMottle, plainGrain = 0.0075, 0.01
	// sameCut is how near, as a share, the sides of two pieces are that are cut
	// to one size: such a white piece is cloth.
	sameCut = 0.04
	// edgeReach is how near to the photo's edge, in working pixels, what runs
	// out of it ends.
	edgeReach = 3
	// squarePaper is the aspect up to which paper is square.
	squarePaper = 1.07
	// coveredShare of a quadrilateral, or of an edge, is missing where something
	// lies on it.
	coveredShare = 0.04
)

// unreadIn finds the white thing that is likeliest a card or sheet, where none was
// taken for one, and says why it was not.
func unreadIn(p *lit, regions []cloth.Region, quads []quad, l *plane) (unread, bool) {
	if p.W < smallest || p.H < smallest {
		return unread{}, false
	}
	shapes := rectified(quads, l, func(*quad) bool { return true })
	var out unread
	most := math.Inf(-1)
	for i, q := range quads {
		s := shapes[i]
		if !whitish(p.Picture, q.c, p.white()) || slices.ContainsFunc(shapes, func(o shape) bool { return o.region != s.region && s.like(o) }) {
			continue
		}
		c := candidate{region: q.region, edges: edges{c: q.c, share: 1}, shape: s}
		if e, ok := p.luma().trace(q.c, traceReach); ok {
			c.edges = e
			c.shape, c.turned = rectify(e.c, l)
		}
		c.look = look(p.Picture, p.luma(), c.edges.c)
		if why, ok := c.why(p.Picture, regions[q.region], p.white()); ok && c.shape.longPx > most {
			most, out = c.shape.longPx, unread{q.region, why}
		}
	}
	return out, !math.IsInf(most, -1)
}

// like reports whether two pieces are cut to one size.
func (s shape) like(o shape) bool {
	near := func(a, b float64) bool { return math.Abs(math.Log(a/b)) < sameCut }
	return near(s.short, o.short) && near(s.long, o.long)
}

// why says what is wrong with a candidate for a card or sheet; false where it looks
// like cloth.
func (c *candidate) why(p *cloth.Picture, r cloth.Region, white float64) (string, bool) {
	bright := c.look.y/white > 0.6
	plain := c.look.mottle < plainMottle && c.look.grain < plainGrain
	if !bright || c.edges.rough > straight+0.005/max(c.edges.contrast, 1e-3) {
		return "", false
	}
	name, off := c.nearest()
	fits := math.Abs(off) < 3*aspectSD
	switch {
	case plain && cutOff(p, r):
		return "it runs out of the photo", true
	case plain && (c.edges.share < 1-4*coveredShare || covered(r)):
		return "something lies over it", true
	case plain && !fits && c.shape.long < squarePaper*c.shape.short:
		return "it is square, which no card or sheet of known size is", true
	case plain && !fits:
		return fmt.Sprintf("it is %.3g times as long as wide, which no card or sheet of known size is", c.shape.long/c.shape.short), true
	case plain:
		return "its size does not agree with the widths of the pieces, or its edges are not clear", true
	case fits && c.edges.rough < straight:
		return "it has the shape of a " + name + ", but is not plain", true
	}
	return "", false
}

// nearest returns the known whose sides are most sameCut, and how far off they are, as
// ln(long/short).
func (c *candidate) nearest() (name string, off float64) {
	off = math.Inf(1)
	for _, k := range knowns {
		if d := math.Log(c.shape.long/c.shape.short) - k.aspect(); math.Abs(d) < math.Abs(off) {
			name, off = k.name, d
		}
	}
	return name, off
}

// cutOff reports whether a region reaches the photo's edge.
func cutOff(p *cloth.Picture, r cloth.Region) bool {
	lo, hi := r.Polygon.Bounds()
	return lo.X < edgeReach || lo.Y < edgeReach || hi.X > float64(p.W)-edgeReach || hi.Y > float64(p.H)-edgeReach
}

// covered reports whether a region lacks a part of the rectangle that its corners make.
func covered(r cloth.Region) bool {
	quad := geom.Polygon(r.Corners).Area()
	return r.Polygon.Area() < (1-coveredShare)*quad
}
