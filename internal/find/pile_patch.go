package find

import (
	"math"

	"piecebag/internal/geom"
)

// patch is a part of a cluster that may be one piece's visible area, in the
// cluster's coordinates.
type patch struct {
	region
	ids           []int32 // label numbers it is made of
	hull          geom.Polygon
	sides         []side
	lo, hi        geom.Point
	ringLen       float64
	bare          float64 // share of its hull that is ground
	spare         float64 // share of its hull that is other cloth
	made          float32 // log odds against the merge that made it
	worst         float32 // the greatest of made below and here
	inner, outer  float32 // -log chance that all merges within were right; that none to come is
	shore, shoreN float32 // log odds along the border with the ground, and its length
	rimSum, rimN  float32 // log odds along the borders with other cloth
	next          float32 // log odds against its likeliest merge when it was made
	kids          [2]int  // patches it was made of, -1 for none
}

// side is a straight stretch of outline, walked clockwise: it starts at p, runs
// along the unit vector d for len pixels.
type side struct {
	p, d geom.Point
	len  float64
}

// straightSides finds the straight stretches of a ring.
func straightSides(r geom.Polygon, out []side) []side {
	s := simplify(r, 1.6)
	for i, p := range s {
		q := s[(i+1)%len(s)]
		if l := p.Dist(q); l >= 9 {
			out = append(out, side{p, q.Sub(p).Mul(1 / l), l})
		}
	}
	return out
}

// clusterMap is a label picture being merged.
type clusterMap struct {
	c         *cluster
	label     []int32 // patch number of each pixel, -1 ground
	groundSum []int32 // (w+1)·(h+1) running count of ground along rows: sum over x' < x of row y
}

func newClusterMap(c *cluster, label []int32) *clusterMap {
	m := &clusterMap{c: c, label: label, groundSum: make([]int32, (c.w+1)*c.h)}
	for y := range c.h {
		row := m.groundSum[y*(c.w+1):]
		for x := range c.w {
			v := row[x]
			if label[y*c.w+x] < 0 {
				v++
			}
			row[x+1] = v
		}
	}
	return m
}

// shape fills in what follows from the pixels of patch p, which are those
// labelled k.
func (m *clusterMap) shape(p *patch, k int32, lo, hi geom.Point) {
	p.lo, p.hi = lo, hi
	x0, y0, x1, y1 := int(lo.X), int(lo.Y), int(hi.X), int(hi.Y)
	w, h := x1-x0, y1-y0
	sub := make([]int32, w*h)
	for y := range h {
		for x := range w {
			sub[y*w+x] = -1
			if m.label[(y+y0)*m.c.w+x+x0] == k {
				sub[y*w+x] = 0
			}
		}
	}
	var pts []geom.Point
	p.sides = p.sides[:0]
	p.ringLen = 0
	for _, r := range outlines(sub, w, h, 1)[0] {
		for i := range r {
			r[i].X += lo.X
			r[i].Y += lo.Y
		}
		if r.SignedArea() > 0 {
			pts = append(pts, r...)
		}
		if len(r) > 12 {
			p.sides = straightSides(r, p.sides)
		}
		p.ringLen += r.Perimeter()
	}
	p.hull = geom.ConvexHull(pts)
	p.bare, p.spare = m.within(p.hull, float64(p.area))
}

// within gives the shares of ground and of other cloth in a hull that holds
// area pixels of a patch.
func (m *clusterMap) within(hull geom.Polygon, area float64) (bare, spare float64) {
	n, g := 0, 0
	hull.Fill(m.c.w, m.c.h, func(y, x0, x1 int) {
		n += x1 - x0
		row := m.groundSum[y*(m.c.w+1):]
		g += int(row[x1] - row[x0])
	})
	if n == 0 {
		return 0, 0
	}
	bare = float64(g) / float64(n)
	return bare, max(0, 1-bare-area/float64(n))
}

// aligned measures how far the straight sides of two patches lie on common
// lines: the summed length of the best matches, and of the second best line.
func aligned(a, b *patch) (first, second float64) {
	for i := range a.sides {
		s := &a.sides[i]
		for j := range b.sides {
			t := &b.sides[j]
			if s.d.Dot(t.d) < 0.985 {
				continue
			}
			// offset of t's ends from s's line and the reverse
			v, u := t.p.Sub(s.p), t.p.Add(t.d.Mul(t.len)).Sub(s.p)
			o := math.Max(math.Abs(s.d.Cross(v)), math.Abs(s.d.Cross(u)))
			v, u = s.p.Sub(t.p), s.p.Add(s.d.Mul(s.len)).Sub(t.p)
			o = math.Min(o, math.Max(math.Abs(t.d.Cross(v)), math.Abs(t.d.Cross(u))))
			gap := math.Max(0, math.Max(s.d.Dot(t.p.Sub(s.p))-s.len, -s.d.Dot(t.p.Add(t.d.Mul(t.len)).Sub(s.p))))
			tol := 1.5 + 0.02*gap
			e := math.Min(s.len, t.len) * math.Exp(-o*o/(2*tol*tol))
			if e > first {
				first, second = e, first
			} else if e > second {
				second = e
			}
		}
	}
	return first, second
}

const numPair = 35

// pairing describes two patches that might be one piece. n, logit are of their
// common border, n = 0 where they do not touch.
func (m *clusterMap) pairing(a, b *patch, e *border, book *wordBook) (f [numPair]float32) {
	s, l := a, b
	if s.area > l.area {
		s, l = l, s
	}
	var chi, cont, cont2 float32
	for k := range book.n {
		p, q := s.hist[k]/s.area, l.hist[k]/l.area
		if d := p + q; d > 1e-6 {
			chi += (p - q) * (p - q) / d
		}
		cont += min(p, 3*q)
		cont2 += min(q, 3*p)
	}
	root := math.Sqrt(float64(s.area))
	f[0] = -1
	f[1] = 0
	f[2] = -9
	if e != nil {
		f[0] = sqrt32(e.v[0] / e.n)
		f[1] = e.n / float32(root)
		f[2] = e.sum / e.n
	}
	f[3] = sqrt32(chi / 2)
	f[4] = cont
	f[5] = cont2
	f[6] = log32(s.area)
	f[7] = log32(l.area)
	hull := geom.ConvexHull(append(append([]geom.Point(nil), s.hull...), l.hull...))
	bare, spare := m.within(hull, float64(s.area+l.area))
	f[8] = float32(bare)
	f[9] = float32(spare)
	f[10] = float32(s.bare)
	f[11] = float32(l.bare)
	f[12] = float32(s.spare)
	f[13] = float32(l.spare)
	f1, f2 := aligned(s, l)
	f[14] = float32(f1 / root)
	f[15] = float32(f2 / root)
	f[16] = boxiness(s.area, s.x, s.y, s.xx, s.xy, s.yy)
	f[17] = boxiness(l.area, l.x, l.y, l.xx, l.xy, l.yy)
	f[18] = boxiness(s.area+l.area, s.x+l.x, s.y+l.y, s.xx+l.xx, s.xy+l.xy, s.yy+l.yy)
	f[19] = s.open / s.rim
	f[20] = l.open / l.rim
	f[21] = s.l/s.area - l.l/l.area
	f[22] = 0
	if e == nil {
		f[22] = float32(hullGap(s.hull, l.hull) / root)
	}
	f[23] = f[8] - float32(s.bare*float64(s.area)+l.bare*float64(l.area))/(s.area+l.area)
	f[24] = float32(min(s.short(), l.short()) / max(s.short(), l.short()))
	f[29], f[30] = s.tint/s.area, l.tint/l.area
	f[31], f[32] = s.shade/s.area, l.shade/l.area
	f[33] = min(m.backing(s, l, book), m.backing(l, s, book))
	f[34] = f[33] - f[3]
	if e != nil {
		_, hi := e.spread()
		f[25] = e.n / (1 + sqrt32(12*hi))
		f[26], f[27], f[28] = e.v[2]/e.n, e.v[4]/e.n, e.v[6]/e.n
	}
	return f
}

// backing is how far (root of chi squared, 0..1) the colours of a are from those
// the back of b's cloth would show.
func (m *clusterMap) backing(a, b *patch, book *wordBook) float32 {
	var back, blur [words]float32
	for i := range book.n {
		x, y := b.hist[i]/b.area, a.hist[i]/a.area
		for j := range book.n {
			back[j] += x * book.pale[i][j]
		}
		for _, j := range book.like[i] {
			blur[j] += y * book.kernel[i][j]
		}
	}
	d := float32(0)
	for j := range book.n {
		if s := back[j] + blur[j]; s > 1e-6 {
			d += (back[j] - blur[j]) * (back[j] - blur[j]) / s
		}
	}
	return sqrt32(d / 2)
}

// short is the length of the shorter side of the rectangle with the patch's
// second moments, pixels.
func (r *region) short() float64 {
	n := float64(r.area)
	mx, my := r.x/n, r.y/n
	vxx, vxy, vyy := r.xx/n-mx*mx+1.0/12, r.xy/n-mx*my, r.yy/n-my*my+1.0/12
	d := math.Sqrt((vxx-vyy)*(vxx-vyy) + 4*vxy*vxy)
	return math.Sqrt(12 * max(1.0/12, (vxx+vyy-d)/2))
}

// hullGap is the shortest distance between two convex polygons' corners and
// sides.
func hullGap(a, b geom.Polygon) float64 {
	best := math.Inf(1)
	for k := range 2 {
		if k == 1 {
			a, b = b, a
		}
		for _, p := range a {
			for i, q := range b {
				best = math.Min(best, segmentDistance(p, q, b[(i+1)%len(b)]))
			}
		}
	}
	return best
}
