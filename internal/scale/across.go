package scale

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

const (
	// Two edges of an outline are the sides of a strip where they run the same way
	// within alongside (a sine), face each other along faceShare of the shorter,
	// and each is at least leastEdge working pixels long.
	alongside = 0.035
	faceShare = 0.6
	leastEdge = 24
	// acrossTrust is the probability that what lies across such a strip is a width
	// that was cut, beside what its edges say; asLong the same again where it is
	// wider than the strip is seen to be long (counted in made piles).
	acrossTrust, asLong = 0.85, 0.85
)

// across are the widths of pieces of which no four corners are seen: between two
// edges that face each other. What is seen of a strip's length tells nothing.
func across(regions []cloth.Region, l *plane, o *owners, kind cloth.Kind) []shape {
	var out []shape
	for i, r := range regions {
		if len(r.Corners) != 4 {
			if s, ok := acrossOne(r.Polygon, i, l, o, kind); ok {
				lo, hi := r.Polygon.Bounds()
				s.tilt = tiltOf([4]geom.Point{lo, {X: hi.X, Y: lo.Y}, hi, {X: lo.X, Y: hi.Y}}, l)
				s.weight = math.Sqrt(acrossTrust) * r.Trust
				out = append(out, s)
			}
		}
	}
	return out
}

func acrossOne(g geom.Polygon, region int, l *plane, o *owners, kind cloth.Kind) (shape, bool) {
	if g.SignedArea() < 0 {
		return shape{}, false
	}
	best, found := 0.0, shape{region: region}
	for i := range g {
		a, b := g[i], g[(i+1)%len(g)]
		if a.Dist(b) < leastEdge {
			continue
		}
		for j := range i {
			c, d := g[j], g[(j+1)%len(g)]
			if c.Dist(d) < leastEdge {
				continue
			}
			// In the plane: p from q runs one way, r to s the other.
			p, q, r, s := l.at(a), l.at(b), l.at(d), l.at(c)
			u, v := q.Sub(p), s.Sub(r)
			if u.Dot(v) <= 0 || math.Abs(u.Cross(v)) > alongside*u.Len()*v.Len() {
				continue
			}
			way := u.Mul(1 / u.Len()).Add(v.Mul(1 / v.Len()))
			way = way.Mul(1 / way.Len())
			from := max(p.Dot(way), r.Dot(way))
			to := min(q.Dot(way), s.Dot(way))
			facing := to - from
			if facing < faceShare*min(u.Len(), v.Len()) || facing <= best {
				continue
			}
			mid := p.Add(q).Mul(0.5).Sub(r.Add(s).Mul(0.5))
			wide := math.Abs(way.Cross(mid))
			if wide <= 0 {
				continue
			}
			best = facing
			found.short = wide
			found.shortPx = wide * (a.Dist(b) + c.Dist(d)) / (u.Len() + v.Len())
			found.shortOwn = o.own(a, b, region, kind) * o.own(c, d, region, kind)
			if facing < wide {
				found.shortOwn *= asLong
			}
		}
	}
	return found, best > 0
}
