package scale

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// A form is a shape of patch beside the rectangle, by its corners in the plane.
type form struct {
	name   string
	angles []float64 // degrees, ascending
	// by is what the sides, from the widest corner on, are to be multiplied by to give
	// the length that the trade names the form by; one number for all where they are equal.
	by   []float64
	note string // with a side in place of %s
}

// forms are told by their angles and sides (the names and the lengths they go by:
// common practice, no source). Pieces of 60° go by the strip they are cut from, hexagons
// by a side; of right triangles see grain.
var forms = []form{
	{"triangle", []float64{45, 45, 90}, []float64{1, math.Sqrt2 / 2, 1}, ""},
	{"60° triangle", []float64{60, 60, 60}, []float64{math.Sqrt(3) / 2}, "measured from base to tip; each side %s"},
	{"60° diamond", []float64{60, 60, 120, 120}, []float64{math.Sqrt(3) / 2}, "measured across, from side to side; each side %s"},
	{"45° diamond", []float64{45, 45, 135, 135}, []float64{math.Sqrt2 / 2}, "measured across, from side to side; each side %s"},
	{"hexagon", []float64{120, 120, 120, 120, 120, 120}, []float64{1}, "measured along a side"},
}

const (
	// angleWithin is how far, degrees, a corner may be off that of its form, and
	// sideWithin how far, as a share, a side off the mean.
	angleWithin, sideWithin = 7, 0.07
	// fillFrom and fillTo are what an outline may fill of its form: corners are round,
	// and dog ears cut off.
	fillFrom, fillTo = 0.9, 1.05
	// patchTrust is the probability that an outline of such a form is a patch of that
	// form, whole.
	patchTrust = 0.9
	// formRight is how far off, inches, the length of a form may be and count as right.
	formRight = 0.125
)

// patch is a piece that has a form.
type patch struct {
	region int
	form   *form
	size   float64 // the length that the form goes by, inches; of a right triangle that of a leg
	sd     float64 // relative error of a length by one side
	grain  grain
}

// grain is the side of a right triangle along which the straight grain of the cloth
// runs, as far as is known: that decides what the trade calls it.
type grain int

const (
	noGrain   grain = iota // it lies by itself, or is no right triangle
	anyGrain               // it is sewn, and either
	legGrain               // a half-square triangle, known by its leg
	longGrain              // a quarter-square triangle, known by its long side
)

// patches returns the regions of a form other than the rectangle that keep picks.
func (r *Result) patches(regions []cloth.Region, o *owners, keep func(i int) bool) []patch {
	var out []patch
	for i, g := range regions {
		if keep(i) {
			if p, ok := r.patch(g); ok {
				p.region, p.grain = i, r.grainOf(g, i, o)
				out = append(out, p)
			}
		}
	}
	// Triangles sewn in on all sides are what all the others are.
	var met [longGrain + 1]int
	for _, p := range out {
		met[p.grain]++
	}
	for i := range out {
		if p := &out[i]; p.grain == anyGrain && (met[legGrain] == 0) != (met[longGrain] == 0) {
			p.grain = legGrain
			if met[longGrain] > 0 {
				p.grain = longGrain
			}
		}
	}
	for i := range forms {
		oneSize(out, &forms[i])
	}
	return out
}

// patch returns the form of a piece and its length, in the plane of the table; false where it
// has none.
func (r *Result) patch(g cloth.Region) (patch, bool) {
	pts := g.Polygon.Map(r.table.at)
	px := g.Polygon.Perimeter() / max(1e-9, pts.Perimeter()) // working pixels a plane unit
	for _, n := range [...]int{3, 4, 6} {
		ring, ok := cornersOf(g.Polygon, n)
		if !ok {
			continue
		}
		c := ring.Map(r.table.at)
		for i := range forms {
			f := &forms[i]
			if len(f.angles) != n || !f.fits(c) {
				continue
			}
			// The sides lie half the creep outside the cloth: a form shrinks towards the
			// middle of its incircle.
			in := 1 - r.ruler.creep/px/2*c.Perimeter()/(2*c.Area())
			by := f.lengths(sidesFrom(c))
			m := raster.Mean(by)
			off := 0.0
			for _, v := range by {
				off += sq(math.Log(v/m)) / float64(n-1)
			}
			return patch{form: f, size: m * in / r.ruler.unit, sd: math.Max(math.Sqrt(off), errorOf(m*px))}, true
		}
	}
	return patch{}, false
}

// lengths returns the length that the form goes by as each of its sides gives it.
func (f *form) lengths(side []float64) []float64 {
	out := make([]float64, len(side))
	for i, s := range side {
		out[i] = s * f.by[i%len(f.by)]
	}
	return out
}

// say returns the size of a patch as the trade says it.
func (p *patch) say(u unit) Size {
	long := u.round(math.Sqrt2 * p.size)
	w := u.round(p.size)
	number := func(in float64) string { return u.number(in) + u.suffix }
	out := Size{Width: w, Length: w, Trust: patchTrust * math.Erf(formRight/(math.Sqrt2*p.sd*p.size))}
	switch {
	case len(p.form.by) == 1:
		out.Cut = number(w) + " " + p.form.name
		note := p.form.note
		if strings.Contains(note, "%s") {
			note = fmt.Sprintf(note, number(u.round(p.size/p.form.by[0])))
		}
		out.Notes = []string{note}
	case p.grain == legGrain:
		out.Cut, out.Notes = number(w)+" half-square triangle", []string{"long side " + number(long)}
	case p.grain == longGrain:
		out.Cut, out.Notes = number(long)+" quarter-square triangle", []string{"short sides " + number(w)}
	default:
		out.Cut = u.number(w) + " × " + number(w) + " triangle"
		out.Notes = []string{"long side " + number(long) + ", by which a quarter-square triangle goes"}
	}
	return out
}

// grainOf returns the grain of a sewn right triangle: along the side on which the block ends,
// with nothing beyond it (common practice, no source).
func (r *Result) grainOf(g cloth.Region, region int, o *owners) grain {
	c, ok := cornersOf(g.Polygon, 3)
	if !ok {
		return noGrain
	}
	a := anglesOf(c.Map(r.table.at))
	first, mid := slices.Index(a, slices.Max(a)), c.Centroid()
	var sewn, bare [3]bool
	for k := range sewn {
		from, to := c[(first+k)%3], c[(first+k+1)%3]
		met, open := 0, 0
		for _, t := range [...]float64{0.3, 0.4, 0.5, 0.6, 0.7} {
			p := from.Add(to.Sub(from).Mul(t))
			d := p.Sub(mid)
			p = p.Add(d.Mul(2 * seamGap / max(1, d.Len())))
			if other := o.at(p); other >= 0 && other != region {
				met++
			} else if o.bare(p) {
				open++
			}
		}
		sewn[k], bare[k] = met >= 3, open >= 3
	}
	switch {
	case bare[1] && sewn[0] && sewn[2]:
		return longGrain
	case sewn[1] && (bare[0] || bare[2]):
		return legGrain
	case sewn[0] || sewn[1] || sewn[2]:
		return anyGrain
	}
	return noGrain
}

// fits reports whether corners are those of the form.
func (f *form) fits(c geom.Polygon) bool {
	got := anglesOf(c)
	slices.Sort(got)
	for i, a := range f.angles {
		if math.Abs(got[i]-a) > angleWithin {
			return false
		}
	}
	s := sidesFrom(c)
	m := raster.Mean(s)
	return len(f.by) > 1 || !slices.ContainsFunc(s, func(v float64) bool { return math.Abs(v-m) > sideWithin*m })
}

// oneSize gives patches of one form one size where they differ no more than the sides of
// each do that ought to agree: the likeliest parting of their lengths, in order, where
// each size may be met as often as it is (Symons 1981, Biometrics 37(1)) and costs half
// the logarithm of their number (Schwarz 1978, Ann. Statist. 6(2)).
func oneSize(patches []patch, f *form) {
	var of []*patch
	e := 0.0
	for i := range patches {
		if p := &patches[i]; p.form == f {
			of = append(of, p)
			e += sq(p.sd)
		}
	}
	n := len(of)
	e = math.Sqrt(e / float64(max(1, n)))
	slices.SortStableFunc(of, func(a, b *patch) int { return cmp.Compare(a.size, b.size) })
	sum, squares := make([]float64, n+1), make([]float64, n+1) // of the logarithms of the first so many
	for i, p := range of {
		sum[i+1], squares[i+1] = sum[i]+math.Log(p.size), squares[i]+sq(math.Log(p.size))
	}
	mean := func(from, to int) float64 { return (sum[to] - sum[from]) / float64(to-from) }
	least, from := make([]float64, n+1), make([]int, n+1) // of the first so many, and where their last size begins
	for to := 1; to <= n; to++ {
		least[to] = math.Inf(1)
		for i := range to {
			k := float64(to - i)
			off := squares[to] - squares[i] - sq(mean(i, to))*k
			if cost := least[i] + math.Log(float64(n))/2 - k*math.Log(k/float64(n)) + off/(2*e*e); cost < least[to] {
				least[to], from[to] = cost, i
			}
		}
	}
	for to := n; to > 0; to = from[to] {
		m := math.Exp(mean(from[to], to))
		for _, p := range of[from[to]:to] {
			p.size, p.sd = m, e
		}
	}
}

// anglesOf returns the angles at the corners of a convex ring, degrees.
func anglesOf(c geom.Polygon) []float64 {
	out := make([]float64, len(c))
	for i := range c {
		u, v := c[(i+len(c)-1)%len(c)].Sub(c[i]), c[(i+1)%len(c)].Sub(c[i])
		out[i] = math.Atan2(math.Abs(u.Cross(v)), u.Dot(v)) * 180 / math.Pi
	}
	return out
}

// sidesFrom returns the lengths of the sides, beginning at the widest corner.
func sidesFrom(c geom.Polygon) []float64 {
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

// cornersOf returns the n corners where the straight sides of an outline meet, were they
// drawn on, in working pixels; false where it has no such n sides.
func cornersOf(g geom.Polygon, n int) (geom.Polygon, bool) {
	c := geom.Reduce(geom.ConvexHull(g), n)
	if len(c) < n {
		return nil, false
	}
	c, fit := raster.FitSides(g, c)
	fill := g.Area() / c.Area()
	return c, fit > 0 && fill > fillFrom && fill < fillTo
}
