package scale

import (
	"math"
	"slices"
	"sync"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// luma is a picture's luminance, clipped to 0..1, to the power 1/3, so that an
// edge is as strong in shade as in light.
type luma struct {
	w, h int
	v    []float32
	// rising says that it rises inwards at the edges looked for; else it may fall.
	rising bool
}

func lumaOf(p *cloth.Picture) *luma {
	l := &luma{w: p.W, h: p.H, v: make([]float32, p.W*p.H)}
	for i := range l.v {
		y := min(1, max(0, float32(luminance(p.Pix[3*i], p.Pix[3*i+1], p.Pix[3*i+2])))) * rootSteps
		k := int(y)
		l.v[i] = roots[k] + (y-float32(k))*(roots[k+1]-roots[k])
	}
	return l
}

// lit is a picture with what several read of its light, made when it is first asked
// for.
type lit struct {
	*cloth.Picture
	luma  func() *luma
	white func() float64 // see brightest
}

func newLit(p *cloth.Picture) *lit {
	return &lit{p, sync.OnceValue(func() *luma { return lumaOf(p) }), sync.OnceValue(func() float64 { return brightest(p) })}
}

// byTint is the picture around a quadrilateral, projected on the line from the mean
// colour outside of it to that inside, reach working pixels from its sides, as cube
// roots of linear RGB: white on white is told by its tint.
func byTint(p *cloth.Picture, c [4]geom.Point, reach float64) *luma {
	g := geom.Polygon(c[:])
	lo, hi := g.Bounds()
	x0, y0 := max(0, int(lo.X-2*reach)), max(0, int(lo.Y-2*reach))
	x1, y1 := min(p.W, int(hi.X+2*reach)), min(p.H, int(hi.Y+2*reach))
	root := func(k int) (v [3]float64) {
		for i := range v {
			y := min(1, max(0, p.Pix[3*k+i])) * rootSteps
			j := int(y)
			v[i] = float64(roots[j] + (y-float32(j))*(roots[j+1]-roots[j]))
		}
		return v
	}
	mid := g.Centroid()
	grown := func(by float64) geom.Polygon {
		out := make(geom.Polygon, len(g))
		for i, q := range g {
			d := q.Sub(mid)
			out[i] = q.Add(d.Mul(by / max(1, d.Len())))
		}
		return out
	}
	mean := func(q geom.Polygon, not geom.Polygon) (m [3]float64) {
		n := 0.0
		q.Fill(p.W, p.H, func(y, a, b int) {
			for x := a; x < b; x++ {
				if not != nil && not.Contains(geom.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}) {
					continue
				}
				for i, v := range root(y*p.W + x) {
					m[i] += v
				}
				n++
			}
		})
		for i := range m {
			m[i] /= max(1, n)
		}
		return m
	}
	in, out := mean(grown(-reach), nil), mean(grown(2*reach), grown(reach))
	way, length := [3]float64{}, 0.0
	for i := range way {
		way[i] = in[i] - out[i]
		length += sq(way[i])
	}
	length = math.Sqrt(length)
	l := &luma{w: p.W, h: p.H, v: make([]float32, p.W*p.H), rising: true}
	if length == 0 {
		return l
	}
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			v := root(y*p.W + x)
			l.v[y*p.W+x] = float32((v[0]*way[0] + v[1]*way[1] + v[2]*way[2]) / length)
		}
	}
	return l
}

const rootSteps = 4096

// roots is the cube root on a regular grid over 0..1, for interpolation.
var roots = func() (t [rootSteps + 2]float32) {
	for i := range t {
		t[i] = float32(math.Cbrt(float64(i) / rootSteps))
	}
	return t
}()

// at interpolates at (x, y); outside, the edge pixel is repeated.
func (l *luma) at(x, y float64) float64 {
	x, y = min(max(x-0.5, 0), float64(l.w)-1.001), min(max(y-0.5, 0), float64(l.h)-1.001)
	i, j := int(x), int(y)
	u, v := x-float64(i), y-float64(j)
	k := j*l.w + i
	a, b, c, d := float64(l.v[k]), float64(l.v[k+1]), float64(l.v[k+l.w]), float64(l.v[k+l.w+1])
	return (1-v)*((1-u)*a+u*b) + v*((1-u)*c+u*d)
}

// side is one straight edge found in the picture.
type side struct {
	a, b     geom.Point // on the line, where the given side began and ended
	contrast float64    // step of luma across it, inside minus outside
	rough    float64    // robust sd of the edge about the line, working pixels
	share    float64    // of the side along which the edge was seen
}

const (
	profileStep = 0.5 // working pixels
	ends        = 0.1 // of a side left out at each end: corners may be round
)

// findSide looks for a straight edge within reach of the side from a to b, the
// inside to the right of it as on screen a clockwise ring has it.
func (l *luma) findSide(a, b geom.Point, reach float64) (side, bool) {
	d := b.Sub(a)
	length := d.Len()
	if length < 8 {
		return side{}, false
	}
	u := d.Mul(1 / length)
	in := geom.Point{X: -u.Y, Y: u.X} // clockwise on screen, y down
	n := min(80, max(12, int(length/3)))
	m := 2*int(reach/profileStep) + 1
	// step[i][k] is the rise of luma inwards at sample i, offset k.
	step := make([]float64, n*m)
	place := make([]float64, n)
	for i := range n {
		t := ends + (1-2*ends)*(float64(i)+0.5)/float64(n)
		place[i] = t - 0.5
		c := a.Add(d.Mul(t))
		for k := range m {
			o := (float64(k) - float64(m-1)/2) * profileStep
			p, q := c.Add(in.Mul(o-1)), c.Add(in.Mul(o+1))
			step[i*m+k] = l.at(q.X, q.Y) - l.at(p.X, p.Y)
		}
	}
	// The line along which the mean step is largest, of either sign: offset at
	// the middle and tilt, both within reach.
	sum := func(mid, tilt float64) float64 {
		s := 0.0
		for i := range n {
			k := (mid+tilt*place[i])/profileStep + float64(m-1)/2
			if k < 0 || k > float64(m-1) {
				continue
			}
			j := min(m-2, int(k))
			f := k - float64(j)
			s += (1-f)*step[i*m+j] + f*step[i*m+j+1]
		}
		return s / float64(n)
	}
	best, mid, tilt := 0.0, 0.0, 0.0
	for o := -reach; o <= reach; o += profileStep {
		for t := -reach; t <= reach; t += 2 * profileStep {
			if math.Abs(o)+math.Abs(t)/2 > reach {
				continue
			}
			if s := sum(o, t); math.Abs(s) > math.Abs(best) && (s > 0 || !l.rising) {
				best, mid, tilt = s, o, t
			}
		}
	}
	if best == 0 {
		return side{}, false
	}
	sign := math.Copysign(1, best)
	// Each sample's own edge near the line, to a fraction of a step.
	var at, off []float64
	for i := range n {
		k0 := (mid+tilt*place[i])/profileStep + float64(m-1)/2
		top, arg := 0.0, -1
		for k := max(1, int(k0)-4); k <= min(m-2, int(k0)+5); k++ {
			if v := sign * step[i*m+k]; v > top {
				top, arg = v, k
			}
		}
		if arg < 0 || top < 0.35*math.Abs(best) {
			continue
		}
		y0, y1, y2 := sign*step[i*m+arg-1], top, sign*step[i*m+arg+1]
		f := 0.0
		if c := y0 - 2*y1 + y2; c < 0 {
			f = min(0.5, max(-0.5, 0.5*(y0-y2)/c))
		}
		at = append(at, place[i])
		off = append(off, (float64(arg)+f-float64(m-1)/2)*profileStep)
	}
	s := side{contrast: best}
	if len(at) >= n/3 {
		mid, tilt, s.rough = robustLine(at, off)
		near := 0
		for i := range at {
			if math.Abs(off[i]-mid-tilt*at[i]) < max(1, 3*s.rough) {
				near++
			}
		}
		s.share = float64(near) / float64(n)
	}
	s.a = a.Add(in.Mul(mid - tilt/2))
	s.b = b.Add(in.Mul(mid + tilt/2))
	return s, true
}

// robustLine fits y = mid + tilt·x by Tukey's biweight and gives the residuals'
// robust sd.
func robustLine(x, y []float64) (mid, tilt, sd float64) {
	w := make([]float64, len(x))
	res := make([]float64, len(x))
	for i := range w {
		w[i] = 1
	}
	for range 6 {
		var s0, s1, s2, t0, t1 float64
		for i := range x {
			s0 += w[i]
			s1 += w[i] * x[i]
			s2 += w[i] * x[i] * x[i]
			t0 += w[i] * y[i]
			t1 += w[i] * x[i] * y[i]
		}
		det := s0*s2 - s1*s1
		if det < 1e-9 {
			break
		}
		mid, tilt = (s2*t0-s1*t1)/det, (s0*t1-s1*t0)/det
		for i := range x {
			res[i] = math.Abs(y[i] - mid - tilt*x[i])
		}
		r := slices.Clone(res)
		slices.Sort(r)
		sd = max(0.05, 1.4826*r[len(r)/2])
		for i := range w {
			w[i] = sq(max(0, 1-sq(res[i]/(4.685*sd))))
		}
	}
	return mid, tilt, sd
}

// edges is a quadrilateral drawn to the edges seen in the picture.
type edges struct {
	c        [4]geom.Point
	sides    [4]side
	contrast float64 // least of the sides, absolute
	rough    float64 // worst of the sides, working pixels
	share    float64 // least of the sides
}

// clear says whether all four edges are seen for what they are.
func (e *edges) clear() bool { return e.contrast > 0.01 && e.share > 0.85 && e.rough < 0.5 }

// trace moves the sides of a clockwise quadrilateral to the straight edges
// within reach of them.
func (l *luma) trace(c [4]geom.Point, reach float64) (edges, bool) {
	var o edges
	o.contrast, o.share = math.Inf(1), 1
	for i := range 4 {
		s, ok := l.findSide(c[i], c[(i+1)%4], reach)
		if !ok {
			return o, false
		}
		o.sides[i] = s
		o.contrast = min(o.contrast, math.Abs(s.contrast))
		o.rough = max(o.rough, s.rough)
		o.share = min(o.share, s.share)
	}
	for i := range 4 {
		p, ok := meet(o.sides[(i+3)%4], o.sides[i])
		if !ok {
			return o, false
		}
		o.c[i] = p
	}
	return o, true
}

// meet is where two sides' lines cross.
func meet(s, t side) (geom.Point, bool) {
	d, e := s.b.Sub(s.a), t.b.Sub(t.a)
	k := d.Cross(e)
	if math.Abs(k) < 1e-6*d.Len()*e.Len() {
		return geom.Point{}, false
	}
	return s.a.Add(d.Mul(t.a.Sub(s.a).Cross(e) / k)), true
}
