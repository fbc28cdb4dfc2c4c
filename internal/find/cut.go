package find

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/geom"
)

// cutApart splits the outline of pieces that touch. At a notch (a corner of the
// outline that turns inwards) one piece ends against another, so a cut starts
// there and runs on along one of the two sides that meet, or to another notch.
// The cut that leaves the most rectangular parts wins, and the parts are looked
// at again.
func cutApart(ring geom.Polygon, least float64, seam seamCost) []geom.Polygon {
	return cutDeep(simplify(ring, 0.75), least, seam, 12)
}

// seamCost tells, for a straight cut, how little the picture changes across it:
// 0 where two different cloths meet, 1 where one cloth runs on.
type seamCost func(a, b geom.Point) float64

func cutDeep(ring geom.Polygon, least float64, seam seamCost, depth int) []geom.Polygon {
	whole := squareness(ring)
	if depth == 0 || whole > 0.94 || ring.Area() < 2*least {
		return []geom.Polygon{ring}
	}
	cuts := cutsOf(ring, least, seam, mostNotches)
	// A first cut often leaves a part that is only made square by the next, so
	// the best few are judged by what their parts can become.
	for i := range min(len(cuts), lookAhead) {
		c := &cuts[i]
		c.score += mean(c.a, c.b, promise(c.a, least, seam), promise(c.b, least, seam)) - mean(c.a, c.b, c.qa, c.qb)
	}
	cuts = cuts[:min(len(cuts), lookAhead)]
	if len(cuts) == 0 {
		return []geom.Polygon{ring}
	}
	best := slices.MaxFunc(cuts, func(x, y cut) int { return cmp.Compare(x.score, y.score) })
	if best.score <= whole {
		return []geom.Polygon{ring}
	}
	return append(cutDeep(best.a, least, seam, depth-1), cutDeep(best.b, least, seam, depth-1)...)
}

const (
	mostNotches = 12
	lookAhead   = 6
)

// promise is how square a part is or can be made by one more cut, a little
// discounted.
func promise(ring geom.Polygon, least float64, seam seamCost) float64 {
	q := squareness(ring)
	if q > 0.9 || ring.Area() < 2*least {
		return q
	}
	if cuts := cutsOf(ring, least, seam, 4); len(cuts) > 0 {
		q = max(q, cuts[0].score-0.02)
	}
	return q
}

// cut is one way to part a ring.
type cut struct {
	a, b   geom.Polygon
	qa, qb float64 // squareness
	score  float64 // the parts' mean squareness, less what the cut costs
}

// mean weighs two figures by the parts' areas and by number alike: a small
// piece counts too.
func mean(a, b geom.Polygon, qa, qb float64) float64 {
	aa, ab := a.Area(), b.Area()
	return 0.5*(qa*aa+qb*ab)/(aa+ab) + 0.25*(qa+qb)
}

// cutsOf lists the cuts from the deepest notches of a ring, best first.
func cutsOf(ring geom.Polygon, least float64, seam seamCost, most int) []cut {
	outline := simplify(ring, 2)
	if len(outline) < 5 {
		return nil
	}
	if outline.SignedArea() < 0 {
		slices.Reverse(outline)
	}
	type ray struct{ from, to geom.Point }
	var rays []ray
	notches := notchesOf(outline, most)
	for k, v := range notches {
		p := outline[v]
		for _, q := range [2]geom.Point{sideBefore(outline, v), sideAfter(outline, v)} {
			d := p.Sub(q)
			if l := d.Len(); l > 1 {
				if hit, ok := firstHit(outline, v, d.Mul(1/l)); ok {
					rays = append(rays, ray{p, hit})
				}
			}
		}
		for _, u := range notches[k+1:] {
			if inside(outline, p, outline[u]) {
				rays = append(rays, ray{p, outline[u]})
			}
		}
	}
	thin := 0.6 * math.Sqrt(least)
	side := math.Sqrt(ring.Area())
	var cuts []cut
	for _, r := range rays {
		a, b, ok := splitRing(ring, r.from, r.to)
		if !ok || a.Area() < least || b.Area() < least || thickness(a) < thin || thickness(b) < thin {
			continue
		}
		c := cut{a: a, b: b, qa: squareness(a), qb: squareness(b)}
		c.score = mean(a, b, c.qa, c.qb) - 0.25*max(0, 2*seam(r.from, r.to)-1) - 0.05*r.from.Dist(r.to)/side
		cuts = append(cuts, c)
	}
	slices.SortStableFunc(cuts, func(x, y cut) int { return cmp.Compare(y.score, x.score) })
	return cuts
}

// squareness says how well four sides at about right angles hold a ring: the
// share of its smallest enclosing quadrilateral that it fills, less a penalty
// for corners more than 25 degrees off square (a table seen from the side
// skews a square by no more). 0..1.
func squareness(g geom.Polygon) float64 {
	q := enclosingQuad(geom.ConvexHull(g))
	if len(q) != 4 {
		return 0
	}
	a := q.Area()
	if a <= 0 {
		return 0
	}
	off := 0.0
	for i, p := range q {
		u, v := q[(i+3)%4].Sub(p), q[(i+1)%4].Sub(p)
		off = max(off, math.Abs(math.Atan2(math.Abs(u.Cross(v)), u.Dot(v))*180/math.Pi-90))
	}
	return g.Area() / a * (1 - min(1, max(0, off-25)/50))
}

// thickness is the width of the strip of a ring's area and perimeter.
func thickness(g geom.Polygon) float64 {
	p := g.Perimeter() / 2
	return 2 * g.Area() / (p + math.Sqrt(max(0, p*p-4*g.Area())))
}

// enclosingQuad takes sides off a convex ring, each time the one whose
// neighbours, prolonged until they meet, add the least area, until four are
// left.
func enclosingQuad(h geom.Polygon) geom.Polygon {
	h = append(geom.Polygon(nil), h...)
	for len(h) > 4 {
		n := len(h)
		best, k := math.Inf(1), -1
		var at geom.Point
		for i := range n {
			a, b, c, d := h[(i+n-1)%n], h[i], h[(i+1)%n], h[(i+2)%n]
			u, v := b.Sub(a), c.Sub(d)
			den := u.Cross(v)
			if den <= 1e-9 && den >= -1e-9 {
				continue
			}
			t := c.Sub(b).Cross(v) / den
			p := b.Add(u.Mul(t))
			if t < 0 || p.Sub(c).Dot(v) < 0 {
				continue
			}
			if add := math.Abs(p.Sub(b).Cross(c.Sub(b))) / 2; add < best {
				best, k, at = add, i, p
			}
		}
		if k < 0 {
			return nil
		}
		h[k] = at
		h = slices.Delete(h, (k+1)%n, (k+1)%n+1)
	}
	return h
}

// notchesOf lists the vertices of a clockwise outline that turn inwards by more
// than 25 degrees and lie deep inside its hull, deepest first, at most so many:
// fray and curl make shallow ones.
func notchesOf(g geom.Polygon, most int) []int {
	hull := geom.ConvexHull(g)
	deep := max(2.5, 0.03*math.Sqrt(g.Area()))
	depth := make([]float64, len(g))
	var out []int
	n := len(g)
	for i, p := range g {
		a, b := p.Sub(g[(i+n-1)%n]), g[(i+1)%n].Sub(p)
		if math.Atan2(a.Cross(b), a.Dot(b)) >= -25*math.Pi/180 {
			continue
		}
		d := math.Inf(1)
		for k, q := range hull {
			d = min(d, segmentDistance(p, q, hull[(k+1)%len(hull)]))
		}
		if depth[i] = d; d >= deep {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(i, j int) int { return cmp.Compare(depth[j], depth[i]) })
	return out[:min(len(out), most)]
}

// sideBefore and sideAfter are the far ends of the straight sides that meet at
// vertex v, walking on over bends of less than 8 degrees.
func sideBefore(g geom.Polygon, v int) geom.Point { return sideEnd(g, v, len(g)-1) }
func sideAfter(g geom.Polygon, v int) geom.Point  { return sideEnd(g, v, 1) }

func sideEnd(g geom.Polygon, v, step int) geom.Point {
	n := len(g)
	p, i := g[v], (v+step)%n
	for range n {
		j := (i + step) % n
		a, b := g[i].Sub(p), g[j].Sub(g[i])
		if math.Abs(math.Atan2(a.Cross(b), a.Dot(b))) > 8*math.Pi/180 {
			break
		}
		i = j
	}
	return g[i]
}

// firstHit is where a ray from vertex v in direction d leaves the outline; ok
// is false where it starts outwards.
func firstHit(g geom.Polygon, v int, d geom.Point) (geom.Point, bool) {
	p := g[v]
	if !g.Contains(p.Add(d.Mul(1.5))) {
		return geom.Point{}, false
	}
	best := math.Inf(1)
	for i, a := range g {
		j := (i + 1) % len(g)
		if i == v || j == v {
			continue
		}
		e := g[j].Sub(a)
		den := d.Cross(e)
		if math.Abs(den) < 1e-9 {
			continue
		}
		t, u := a.Sub(p).Cross(e)/den, a.Sub(p).Cross(d)/den
		if t > 1 && u >= 0 && u <= 1 && t < best {
			best = t
		}
	}
	return p.Add(d.Mul(best)), !math.IsInf(best, 1)
}

// inside says whether the open segment from a to b runs inside the outline.
func inside(g geom.Polygon, a, b geom.Point) bool {
	if a.Dist(b) < 3 {
		return false
	}
	for k := 1; k < 8; k++ {
		if !g.Contains(a.Add(b.Sub(a).Mul(float64(k) / 8))) {
			return false
		}
	}
	return true
}

// splitRing cuts a ring from its vertex a to point b on it.
func splitRing(g geom.Polygon, a, b geom.Point) (geom.Polygon, geom.Polygon, bool) {
	i := nearestVertex(g, a)
	best, j := math.Inf(1), 0
	for k, p := range g {
		if d := segmentDistance(b, p, g[(k+1)%len(g)]); d < best {
			best, j = d, k
		}
	}
	// b lies on the side from vertex j to vertex j+1.
	n := len(g)
	walk := func(from, to int) geom.Polygon {
		var out geom.Polygon
		for k := from; ; k = (k + 1) % n {
			out = append(out, g[k])
			if k == to {
				return out
			}
		}
	}
	first := append(walk(i, j), b)
	second := append(walk((j+1)%n, i), b)
	return first, second, len(first) > 2 && len(second) > 2
}

func nearestVertex(g geom.Polygon, p geom.Point) int {
	best, k := math.Inf(1), 0
	for i, q := range g {
		if d := p.Dist(q); d < best {
			best, k = d, i
		}
	}
	return k
}
