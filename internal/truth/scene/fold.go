package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/geom"
)

// crease is a line across a piece: the cloth beyond it (the side that dir
// points to) is folded over onto the rest.
type crease struct {
	at, dir geom.Point // dir is a unit normal of the line
}

// over returns how far u, v lies beyond the line, inches.
func (c *crease) over(u, v float64) float64 {
	return geom.Point{X: u, Y: v}.Sub(c.at).Dot(c.dir)
}

// flip mirrors p in the line.
func (c *crease) flip(p geom.Point) geom.Point {
	return p.Sub(c.dir.Mul(2 * c.over(p.X, p.Y)))
}

// split cuts a convex ring by the line into what stays and what folds over.
func (c *crease) split(ring []geom.Point) (stay, fold []geom.Point) {
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		a, b := c.over(p.X, p.Y), c.over(q.X, q.Y)
		if a <= 0 {
			stay = append(stay, p)
		} else {
			fold = append(fold, p)
		}
		if (a <= 0) != (b <= 0) {
			m := p.Add(q.Sub(p).Mul(a / (a - b)))
			stay, fold = append(stay, m), append(fold, m)
		}
	}
	return stay, fold
}

// foldLine draws where a piece is folded: across it, near a corner or far from it.
func (s *shape) foldLine(r *rand.Rand) *crease {
	k := s.corners[r.IntN(4)]
	at := k.Mul(mix(0.1, 0.6, r.Float64()))
	sin, cos := math.Sincos(math.Atan2(k.Y, k.X) + 0.3*r.NormFloat64())
	return &crease{at: at, dir: geom.Point{X: cos, Y: sin}}
}

// spoil makes an offcut of the shape: a slanted end or a corner cut away. The
// ring stays convex; corners that are gone move to where the cut is.
func (s *shape) spoil(r *rand.Rand) []geom.Point {
	k := r.IntN(4)
	next, prev := (k+1)%4, (k+3)%4
	c := s.corners[k]
	t := mix(0.12, 0.4, r.Float64())
	along := s.corners[next].Sub(c)
	across := s.corners[prev].Sub(c)
	short := min(along.Len(), across.Len())
	if r.IntN(2) == 0 { // slanted end
		if along.Len() < across.Len() {
			along = across
		}
		s.corners[k] = c.Add(along.Mul(t * short / along.Len()))
		return s.corners[:]
	}
	p := c.Add(across.Mul(t * short / across.Len()))
	q := c.Add(along.Mul(mix(0.12, 0.4, r.Float64()) * short / along.Len()))
	s.corners[k] = p.Add(q).Mul(0.5)
	return []geom.Point{p, q, s.corners[next], s.corners[(k+2)%4], s.corners[prev]}
}
