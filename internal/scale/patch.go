package scale

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// A form is a shape of patch beside the rectangle, by its corners in the plane.
type form struct {
	name   string
	angles []float64 // degrees, ascending
	equal  bool      // all sides are as long as one another
	// size is the length that the trade names it by, of sides in inches beginning at
	// the widest corner, and note what else there is to say.
	size func(side []float64) float64
	note func(u unit, side []float64) string
}

// forms are told by their angles and sides (the names and the lengths they go by:
// common practice, no source). A half-square triangle is known by the square of which
// it is a half, a quarter-square triangle, of the same shape, by its long side; pieces
// of 60° by the strip they are cut from, hexagons by a side.
var forms = []form{
	{name: "half-square triangle", angles: []float64{45, 45, 90},
		size: func(s []float64) float64 { return (s[0] + s[2]) / 2 },
		note: func(u unit, s []float64) string {
			return "long side " + u.number(u.round(s[1])) + u.suffix + ", by which a quarter-square triangle goes"
		}},
	{name: "60° triangle", angles: []float64{60, 60, 60}, equal: true,
		size: func(s []float64) float64 { return raster.Mean(s) * math.Sqrt(3) / 2 },
		note: func(u unit, s []float64) string {
			return "measured from base to tip; each side " + u.number(u.round(raster.Mean(s))) + u.suffix
		}},
	{name: "60° diamond", angles: []float64{60, 60, 120, 120}, equal: true,
		size: func(s []float64) float64 { return raster.Mean(s) * math.Sqrt(3) / 2 },
		note: func(u unit, s []float64) string {
			return "measured across, from side to side; each side " + u.number(u.round(raster.Mean(s))) + u.suffix
		}},
	{name: "45° diamond", angles: []float64{45, 45, 135, 135}, equal: true,
		size: func(s []float64) float64 { return raster.Mean(s) * math.Sqrt2 / 2 },
		note: func(u unit, s []float64) string {
			return "measured across, from side to side; each side " + u.number(u.round(raster.Mean(s))) + u.suffix
		}},
	{name: "hexagon", angles: []float64{120, 120, 120, 120, 120, 120}, equal: true,
		size: raster.Mean,
		note: func(unit, []float64) string { return "measured along a side" }},
}

const (
	// angleWithin is how far, degrees, a corner may be off that of its form, and
	// sideWithin how far, as a share, a side off the mean.
	angleWithin, sideWithin = 7, 0.07
	// fillFrom and fillTo are what an outline may fill of its form: corners are round,
	// and dog ears cut off.
	fillFrom, fillTo = 0.9, 1.05
	// sideFrom and sideTo are the part of a side that is straight, and sideOff how far
	// off it an outline may lie there, as a share.
	sideFrom, sideTo, sideOff = 0.15, 0.85, 0.06
	// patchTrust is the probability that an outline of such a form is a patch of that
	// form, whole.
	patchTrust = 0.9
)

// patch is the size of a piece that has a form other than the rectangle, in the plane
// of the table; false where it has none.
func (r *Result) patch(g cloth.Region) (Size, bool) {
	pts := g.Polygon.Map(r.table.at)
	px := g.Polygon.Perimeter() / max(1e-9, pts.Perimeter()) // working pixels a plane unit
	for _, n := range [...]int{3, 4, 6} {
		c, ok := cornersOf(pts, n)
		if !ok {
			continue
		}
		for _, f := range forms {
			if len(f.angles) != n || !f.fits(c) {
				continue
			}
			// The sides lie half the creep outside the cloth: a form shrinks towards the
			// middle of its incircle.
			in := 1 - r.ruler.creep/px/2*geom.Polygon(c).Perimeter()/(2*geom.Polygon(c).Area())
			side := sidesFrom(c)
			for i := range side {
				side[i] *= in / r.ruler.unit
			}
			u := r.ruler.marks()
			w := u.round(f.size(side))
			return Size{Width: w, Length: w, Cut: u.number(w) + u.suffix + " " + f.name, Trust: patchTrust, Notes: []string{f.note(u, side)}}, true
		}
	}
	return Size{}, false
}

// fits reports whether corners are those of the form.
func (f *form) fits(c []geom.Point) bool {
	got := anglesOf(c)
	slices.Sort(got)
	for i, a := range f.angles {
		if math.Abs(got[i]-a) > angleWithin {
			return false
		}
	}
	s := sidesFrom(c)
	m := raster.Mean(s)
	return !f.equal || !slices.ContainsFunc(s, func(v float64) bool { return math.Abs(v-m) > sideWithin*m })
}

// anglesOf are the angles at the corners of a convex ring, degrees.
func anglesOf(c []geom.Point) []float64 {
	out := make([]float64, len(c))
	for i := range c {
		u, v := c[(i+len(c)-1)%len(c)].Sub(c[i]), c[(i+1)%len(c)].Sub(c[i])
		out[i] = math.Atan2(math.Abs(u.Cross(v)), u.Dot(v)) * 180 / math.Pi
	}
	return out
}

// sidesFrom are the lengths of the sides, that from the widest corner first.
func sidesFrom(c []geom.Point) []float64 {
	a := anglesOf(c)
	first := 0
	for i, v := range a {
		if v > a[first] {
			first = i
		}
	}
	out := make([]float64, len(c))
	for i := range c {
		k := (first + i) % len(c)
		out[i] = c[k].Dist(c[(k+1)%len(c)])
	}
	return out
}

// cornersOf are the n corners where the straight sides of an outline meet, were they
// drawn on; false where it has no such n sides.
func cornersOf(pts []geom.Point, n int) ([]geom.Point, bool) {
	c := []geom.Point(geom.ConvexHull(pts))
	for len(c) > n { // the corner that takes least with it goes first (Visvalingam & Whyatt 1993)
		least, at := math.Inf(1), 0
		for i := range c {
			p, q := c[(i+len(c)-1)%len(c)], c[(i+1)%len(c)]
			if a := math.Abs(c[i].Sub(p).Cross(q.Sub(p))); a < least {
				least, at = a, i
			}
		}
		c = slices.Delete(c, at, at+1)
	}
	if len(c) < n {
		return nil, false
	}
	const steps = 200 // points along the outline
	var line []geom.Point
	long := geom.Polygon(pts).Perimeter() / steps
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		for k := range max(1, int(p.Dist(q)/long)) {
			line = append(line, p.Add(q.Sub(p).Mul(float64(k)/max(1, math.Floor(p.Dist(q)/long)))))
		}
	}
	for range 3 {
		sides := make([]geom.Line, n)
		for i := range c {
			a, b := c[i], c[(i+1)%n]
			d := b.Sub(a)
			var on []geom.Point
			for _, p := range line {
				if t := p.Sub(a).Dot(d) / d.Dot(d); t > sideFrom && t < sideTo && math.Abs(p.Sub(a).Cross(d)) < sideOff*d.Dot(d) {
					on = append(on, p)
				}
			}
			if len(on) < 4 {
				return nil, false
			}
			sides[i], _ = geom.FitLine(on, nil)
		}
		for i := range c {
			var ok bool
			if c[i], ok = sides[(i+n-1)%n].Meet(sides[i]); !ok {
				return nil, false
			}
		}
	}
	fill := geom.Polygon(pts).Area() / geom.Polygon(c).Area()
	return c, fill > fillFrom && fill < fillTo
}
