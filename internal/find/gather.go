package find

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

// mark is a patch of cloth that may be a piece or a part of one.
type mark struct {
	ring   geom.Polygon
	hist   *histogram
	lo, hi geom.Point
	area   float64
	whole  bool // four-sided by itself
}

func markOf(g *grid, ring geom.Polygon, whole bool) mark {
	lo, hi := ring.Bounds()
	return mark{ring, histogramOf(g, ring), lo, hi, ring.Area(), whole}
}

// gather joins loose marks into pieces: marks that lie close, wear the same
// colours and together fill a rectangle are one print whose own background
// looks like the ground, even where some of them are rectangles by themselves.
// Near marks are tried first. What never fits is kept as it is, where it is
// large enough to be cloth.
func gather(g *grid, whole, loose []geom.Polygon, least float64) []geom.Polygon {
	marks := make([]mark, 0, len(whole)+len(loose))
	for _, r := range whole {
		marks = append(marks, markOf(g, r, true))
	}
	for _, r := range loose {
		marks = append(marks, markOf(g, r, false))
	}
	side := float64(max(g.W, g.H))
	for _, reach := range []float64{side / 200, side / 100, side / 50} {
		marks = gatherWithin(g, marks, least, reach)
	}
	var out []geom.Polygon
	for _, m := range marks {
		if m.area >= least {
			out = append(out, m.ring)
		}
	}
	return out
}

func gatherWithin(g *grid, marks []mark, least, reach float64) []mark {
	parent := make([]int, len(marks))
	for i := range parent {
		parent[i] = i
	}
	root := func(i int) int {
		for parent[i] != i {
			i = parent[i]
		}
		return i
	}
	for i := range marks {
		for j := range i {
			a, b := &marks[i], &marks[j]
			if a.whole && b.whole && min(a.area, b.area) > 6*least {
				continue
			}
			if root(i) != root(j) && near(a, b, reach) && alike(a, b) {
				parent[max(root(i), root(j))] = min(root(i), root(j))
			}
		}
	}
	var out []mark
	group := make([][]int, len(marks))
	for i := range marks {
		group[root(i)] = append(group[root(i)], i)
	}
	for _, members := range group {
		if joined, ok := join(g, marks, members, least, reach); ok {
			out = append(out, joined)
			continue
		}
		for _, i := range members {
			out = append(out, marks[i])
		}
	}
	return out
}

// near says whether two rings come within reach of each other.
func near(a, b *mark, reach float64) bool {
	if a.lo.X > b.hi.X+reach || b.lo.X > a.hi.X+reach || a.lo.Y > b.hi.Y+reach || b.lo.Y > a.hi.Y+reach {
		return false
	}
	p, q := resample(a.ring, reach/2), resample(b.ring, reach/2)
	for _, u := range p {
		for _, v := range q {
			if u.Dist(v) <= reach {
				return true
			}
		}
	}
	return false
}

// alike says whether the smaller mark wears colours that the larger one has.
func alike(a, b *mark) bool {
	if a.area > b.area {
		a, b = b, a
	}
	return a.hist.within(b.hist) > 0.6
}

// join closes the gaps between the members; ok where they make one rectangle
// of which they are the better part.
func join(g *grid, marks []mark, members []int, least, reach float64) (mark, bool) {
	if len(members) < 2 {
		return mark{}, false
	}
	lo, hi := marks[members[0]].lo, marks[members[0]].hi
	loose, area := false, 0.0
	for _, i := range members {
		m := &marks[i]
		lo.X, lo.Y = math.Min(lo.X, m.lo.X), math.Min(lo.Y, m.lo.Y)
		hi.X, hi.Y = math.Max(hi.X, m.hi.X), math.Max(hi.Y, m.hi.Y)
		loose = loose || !m.whole
		area += m.area
	}
	if !loose && len(members) < 4 {
		return mark{}, false
	}
	r := int(reach) + 1
	x0, y0 := math.Floor(lo.X)-float64(r)-1, math.Floor(lo.Y)-float64(r)-1
	w, h := int(hi.X-x0)+r+2, int(hi.Y-y0)+r+2
	mask := make([]uint8, w*h)
	for _, i := range members {
		paint(mask, w, h, shiftBy(marks[i].ring, geom.Point{X: -x0, Y: -y0}))
	}
	mask = erode(dilate(mask, w, h, r), w, h, r)
	fillHoles(mask, w, h, w*h)
	mask = open(mask, w, h, 2)
	lab, blobs := labelBlobs(mask, w, h)
	best := -1
	for k, b := range blobs {
		if best < 0 || b.area > blobs[best].area {
			best = k
		}
	}
	if best < 0 {
		return mark{}, false
	}
	ring := simplify(traceBlob(lab, w, h, blobs[best]), 0.75)
	if fills(ring, area, least, 0.3) {
		return markOf(g, shiftBy(ring, geom.Point{X: x0, Y: y0}), true), true
	}
	// Where the ground's colour runs out through the edge of the print the
	// closed outline is ragged, but its hull is not.
	var pts []geom.Point
	for _, i := range members {
		pts = append(pts, marks[i].ring...)
	}
	hull := geom.ConvexHull(pts)
	if !fills(hull, area, least, 0.5) || holdsOther(hull, marks, members) {
		return mark{}, false
	}
	return markOf(g, hull, true), true
}

// fills says whether marks of an area in all make a piece of ring.
func fills(ring geom.Polygon, area, least, share float64) bool {
	full := ring.Area()
	return full >= least && area >= share*full && full >= 0.9*area && squareness(ring) >= squareEnough-0.04
}

// holdsOther says whether a mark that is no member lies in ring.
func holdsOther(ring geom.Polygon, marks []mark, members []int) bool {
	for i := range marks {
		if !slices.Contains(members, i) && ring.Contains(marks[i].ring.Centroid()) {
			return true
		}
	}
	return false
}

func shiftBy(g geom.Polygon, d geom.Point) geom.Polygon {
	out := make(geom.Polygon, len(g))
	for i, p := range g {
		out[i] = p.Add(d)
	}
	return out
}
