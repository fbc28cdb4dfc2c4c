package scale

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// lying is a thing on the table: a rectangle in inches about a centre.
type lying struct {
	x, y, w, h, turn float64 // inches, radians
	round            float64 // corner radius, inches
	fray             float64 // sd of the edge, inches
	grey             float64 // albedo
	print            float64 // depth of a print of half-inch dots
}

// local is where a point of the table is in the thing's own frame.
func (t *lying) local(x, y float64) (u, v float64) {
	c, s := math.Cos(t.turn), math.Sin(t.turn)
	return c*(x-t.x) + s*(y-t.y), -s*(x-t.x) + c*(y-t.y)
}

func (t *lying) corners() [4]geom.Point {
	var out [4]geom.Point
	c, s := math.Cos(t.turn), math.Sin(t.turn)
	for i, k := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		u, v := k[0]*t.w/2, k[1]*t.h/2
		out[i] = geom.Point{X: t.x + c*u - s*v, Y: t.y + s*u + c*v}
	}
	return out
}

// albedo is the thing's albedo at a point of the table, or false beside it.
func (t *lying) albedo(x, y float64) (float64, bool) {
	if dx, dy := x-t.x, y-t.y; dx*dx+dy*dy > 0.3*(t.w*t.w+t.h*t.h)+0.1 {
		return 0, false
	}
	u, v := t.local(x, y)
	du, dv := t.w/2-math.Abs(u), t.h/2-math.Abs(v)
	if t.fray > 0 {
		du += t.fray * ragged(v, 1)
		dv += t.fray * ragged(u, 2)
	}
	if du < 0 || dv < 0 || du < t.round && dv < t.round && math.Hypot(t.round-du, t.round-dv) > t.round {
		return 0, false
	}
	a := t.grey
	if t.print > 0 && math.Hypot(math.Mod(u+50, 0.5)-0.25, math.Mod(v+50, 0.5)-0.25) < 0.12 {
		a -= t.print
	}
	return a, true
}

// ragged is a rough line, sd about 1.
func ragged(s, seed float64) float64 {
	return math.Sin(9*s+seed) + 0.6*math.Sin(23*s+3*seed) + 0.5*math.Sin(51*s+7*seed)
}

// shot is a photo of a table.
type shot struct {
	pic    *cloth.Picture
	plane  *plane
	perIn  float64 // plane units an inch
	things []lying
}

// plainTable is a grey table top.
func plainTable(_, _ float64) float64 { return 0.2 }

// matTable has a line every inch both ways, and a fainter one every half.
func matTable(x, y float64) float64 {
	off := func(v, step float64) float64 { return math.Abs(v - step*math.Round(v/step)) }
	switch {
	case min(off(x, 1), off(y, 1)) < 0.03:
		return 0.4
	case min(off(x, 0.5), off(y, 0.5)) < 0.02:
		return 0.3
	}
	return 0.2
}

// plankTable has a dark joint every three inches, one way only.
func plankTable(x, _ float64) float64 {
	if math.Abs(x-3*math.Round(x/3)) < 0.06 {
		return 0.1
	}
	return 0.22
}

// shoot renders things on a table, seen with tangents of tilt p and q, at
// scale working pixels an inch in the middle; the table's origin is there.
func shoot(w, h int, p, q, scale float64, table func(x, y float64) float64, things []lying, noise float64, seed uint64) *shot {
	s := &shot{things: things, plane: newPlane(w, h, usualFocal/filmDiagonal*math.Hypot(float64(w), float64(h)), p, q, 0)}
	s.perIn = scale / s.plane.middle()
	s.pic = &cloth.Picture{W: w, H: h, FullW: w, FullH: h, Shrink: 1, Pix: make([]float32, 3*w*h)}
	toTable := s.table()
	r := rand.New(rand.NewPCG(seed, 7))
	const sub = 2
	for y := range h {
		for x := range w {
			sum := 0.0
			for k := range sub * sub {
				at := toTable.Apply(geom.Point{X: float64(x) + (float64(k%sub)+0.5)/sub, Y: float64(y) + (float64(k/sub)+0.5)/sub})
				a := table(at.X, at.Y)
				for i := range things {
					if v, ok := things[i].albedo(at.X, at.Y); ok {
						a = v
					}
				}
				sum += a / (sub * sub)
			}
			v := float32(sum * (1 + noise*r.NormFloat64()))
			i := 3 * (y*w + x)
			s.pic.Pix[i], s.pic.Pix[i+1], s.pic.Pix[i+2] = v, v, 0.98*v
		}
	}
	return s
}

// table takes working pixels to inches from the middle.
func (s *shot) table() geom.Homography {
	k, m := 1/s.perIn, s.plane.at(geom.Point{X: s.plane.cx, Y: s.plane.cy})
	return geom.Homography{k, 0, -k * m.X, 0, k, -k * m.Y, 0, 0, 1}.After(s.plane.flat)
}

// regions are the things as a finder gives them, corners off by sd pixels.
func (s *shot) regions(sd float64, seed uint64) []cloth.Region {
	r := rand.New(rand.NewPCG(seed, 8))
	back := s.table().Inverse()
	var out []cloth.Region
	for i := range s.things {
		var g geom.Polygon
		for _, c := range s.things[i].corners() {
			q := back.Apply(c)
			g = append(g, geom.Point{X: q.X + sd*r.NormFloat64(), Y: q.Y + sd*r.NormFloat64()})
		}
		out = append(out, cloth.Region{Polygon: g, Corners: g, Trust: 0.95})
	}
	return out
}

// squares are pieces of the given widths laid out on the table, at odd turns.
func squares(widths []float64, pitch float64, seed uint64) []lying {
	r := rand.New(rand.NewPCG(seed, 9))
	cols := int(math.Ceil(math.Sqrt(float64(len(widths)))))
	var out []lying
	for i, w := range widths {
		out = append(out, lying{
			x: pitch * (float64(i%cols) - float64(cols-1)/2), y: pitch * (float64(i/cols) - float64(cols-1)/2),
			w: w, h: w, turn: 0.3 * r.NormFloat64(), fray: 0.02, grey: 0.3 + 0.5*r.Float64(), print: 0.15,
		})
	}
	return out
}
