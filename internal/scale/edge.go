package scale

import (
	"math"
	"sync"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// luma is a picture's luminance, clipped to 0..1, to the power 1/3, so that an
// edge is as strong in shade as in light.
type luma struct {
	*raster.Plane
	rising bool // it rises inwards at the edges looked for; else it may fall
}

func lumaOf(p *cloth.Picture) *luma {
	l := &luma{Plane: raster.Luma(p.W, p.H, p.Pix)}
	for i, y := range l.V {
		l.V[i] = root(y)
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

// root returns the cube root of a number, clipped to 0..1.
func root(y float32) float32 {
	y = min(1, max(0, y)) * rootSteps
	k := int(y)
	return roots[k] + (y-float32(k))*(roots[k+1]-roots[k])
}

const rootSteps = 4096

// roots is the cube root on a regular grid over 0..1, for interpolation.
var roots = func() (t [rootSteps + 2]float32) {
	for i := range t {
		t[i] = float32(math.Cbrt(float64(i) / rootSteps))
	}
	return t
}()

// side is one straight edge found in the picture.
type side struct {
	line     geom.Line
	contrast float64 // step of luma across it, inside minus outside
	rough    float64 // robust sd of the edge about the line, working pixels
	share    float64 // of the side along which the edge was seen
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
			step[i*m+k] = l.At(q.X, q.Y) - l.At(p.X, p.Y)
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
	var pts []geom.Point
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
		pts = append(pts, a.Add(d.Mul(place[i]+0.5)).Add(in.Mul((float64(arg)+f-float64(m-1)/2)*profileStep)))
	}
	s := side{contrast: best, line: geom.LineThrough(a.Add(in.Mul(mid-tilt/2)), b.Add(in.Mul(mid+tilt/2)))}
	if len(pts) >= n/3 {
		s.line, s.rough = raster.FitLine(pts)
		for _, p := range pts {
			if math.Abs(s.line.Off(p)) < max(1, 3*s.rough) {
				s.share += 1 / float64(n)
			}
		}
	}
	return s, true
}

// edges is a quadrilateral drawn to the edges seen in the picture.
type edges struct {
	c        [4]geom.Point
	contrast float64 // least of the sides, absolute
	rough    float64 // worst of the sides, working pixels
	share    float64 // least of the sides
}

// clear reports whether all four edges are seen for what they are.
func (e *edges) clear() bool { return e.contrast > 0.01 && e.share > 0.85 && e.rough-e.noise() < 0.5 }

// noise returns how rough, in working pixels, an edge of little contrast is seen though it is
// straight.
func (e *edges) noise() float64 { return min(0.5, 0.005/max(e.contrast, 1e-3)) }

// trace moves the sides of a clockwise quadrilateral to the straight edges
// within reach of them.
func (l *luma) trace(c [4]geom.Point, reach float64) (edges, bool) {
	var o edges
	o.contrast, o.share = math.Inf(1), 1
	lines := make([]geom.Line, 4)
	for i := range 4 {
		s, ok := l.findSide(c[i], c[(i+1)%4], reach)
		if !ok {
			return o, false
		}
		lines[i] = s.line
		o.contrast = min(o.contrast, math.Abs(s.contrast))
		o.rough = max(o.rough, s.rough)
		o.share = min(o.share, s.share)
	}
	c4, ok := raster.Meet(lines)
	if ok {
		o.c = [4]geom.Point(c4)
	}
	return o, ok
}
