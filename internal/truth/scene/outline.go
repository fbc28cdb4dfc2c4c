package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/geom"
)

// shape is a piece of cloth lying flat: w × h inches about the middle of its
// own (u, v).
type shape struct {
	w, h    float64
	corners [4]geom.Point // as cut, clockwise
	curl    [4]float64    // lift of each corner, inches
	fray    float64       // height of the frayed fringe, inches
	sway    float64       // how far the edges stray, inches
	wrinkle float64       // height of wrinkles, inches
	crease  float64       // inches between fold creases across a strip; 0 none
	crosses bool          // creases of folding both ways, through the middle
	pinked  bool          // cut with zigzag shears
	seed    uint32
}

// newShape cuts a w × h piece, inches; wear says how rough it is, 0 new, 1
// much handled, more in a heap.
func newShape(r *rand.Rand, w, h, wear float64) *shape {
	s := &shape{
		w: w, h: h,
		fray:    mix(0.008, 0.03, r.Float64()) * (0.6 + wear),
		sway:    mix(0.01, 0.045, r.Float64()) * (0.4 + wear),
		wrinkle: mix(0.004, 0.035, r.Float64()) * (0.3 + wear),
		seed:    r.Uint32(),
	}
	slip := func() float64 { return 0.02 * (0.5 + wear) * r.NormFloat64() } // of the cutter
	s.corners = [4]geom.Point{
		{X: -w/2 + slip(), Y: -h/2 + slip()}, {X: w/2 + slip(), Y: -h/2 + slip()},
		{X: w/2 + slip(), Y: h/2 + slip()}, {X: -w/2 + slip(), Y: h/2 + slip()},
	}
	for i := range s.curl {
		if r.Float64() < 0.15+0.3*wear {
			s.curl[i] = mix(0.03, 0.22, r.Float64()) * (0.5 + wear) * min(1, min(w, h)/2.5)
		}
	}
	s.pinked = r.IntN(14) == 0
	if max(w, h) > 7 && r.IntN(3) == 0 {
		s.crease = mix(2.5, 5, r.Float64())
	}
	return s
}

// edgeOf roughens a ring of corners into a cloth edge, about 16 points an inch.
func (s *shape) edgeOf(ring []geom.Point) geom.Polygon {
	var out geom.Polygon
	run := 0.0
	for k, p := range ring {
		q := ring[(k+1)%len(ring)]
		l := p.Dist(q)
		n := max(2, int(16*l))
		d := q.Sub(p).Mul(1 / l)
		inward := geom.Point{X: -d.Y, Y: d.X}
		for i := range n {
			t := float64(i) / float64(n)
			x := run + t*l
			in := s.fray*(0.5+0.5*noise(9*x, 0, s.seed+11)) + 0.6*s.fray*noise(31*x, 0, s.seed+12)
			if s.pinked {
				in += 0.07 * zigzag(x/0.19)
			}
			in += s.sway * noise(0.5*x, 0, s.seed+13) * math.Min(1, 4*t*(1-t)+0.2)
			out = append(out, s.pulled(p.Add(q.Sub(p).Mul(t)).Add(inward.Mul(in))))
		}
		run += l
	}
	return out
}

// pulled moves a place near a curled corner inwards, as its lift shortens it.
func (s *shape) pulled(p geom.Point) geom.Point {
	for k, c := range s.corners {
		t := s.near(k, p.X, p.Y)
		p = p.Sub(c.Mul(0.45 * s.curl[k] * t * t / c.Len()))
	}
	return p
}

// near returns 1 at corner k, falling to 0 where its curl ends.
func (s *shape) near(k int, u, v float64) float64 {
	reach := 0.45 * math.Min(s.w, s.h)
	return clamp01(1 - math.Hypot(u-s.corners[k].X, v-s.corners[k].Y)/reach)
}

// relief returns the height of the cloth over where it lies flat, inches.
func (s *shape) relief(u, v float64) float64 {
	h := s.wrinkle * (1 + fractal(0.45*u, 0.45*v, 3, 0.45, s.seed+21))
	for k := range s.curl {
		if s.curl[k] > 0 {
			t := s.near(k, u, v)
			h += s.curl[k] * t * t
		}
	}
	if s.crease > 0 {
		along := u
		if s.h > s.w {
			along = v
		}
		h += 0.035 * zigzag(along/(2*s.crease)+0.3)
	}
	if s.crosses {
		h += 0.09*math.Abs(zigzag(u/s.w+0.5)-0.5) + 0.09*math.Abs(zigzag(v/s.h+0.5)-0.5)
	}
	return h
}

// seams makes the shape's edges those of a sewn patch: straight, without curl.
func (s *shape) seams() {
	s.fray, s.sway, s.crease, s.curl, s.pinked = 0, 0, 0, [4]float64{}, false
}

// seam returns how far cloth dips to the seams along a convex ring, inches.
func seam(ring []geom.Point, u, v float64) float64 {
	d := math.Inf(1)
	for k, p := range ring {
		e := ring[(k+1)%len(ring)].Sub(p)
		d = min(d, math.Abs(e.Cross(geom.Point{X: u, Y: v}.Sub(p)))/e.Len())
	}
	return 0.05 * math.Exp(-d/0.07)
}
