package scene

import (
	"math"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// container is an open box standing on the ground, mouth up: half sides hp and
// hq at the mouth, turned about z.
type container struct {
	b            *builder
	kind         string
	hp, hq, deep float64
	turn         float64
	c            colour.Linear
	seed         uint32
	flare        float64 // how much narrower the bottom is, inches a side
	rim          float64 // width of the rim
}

// containerDeep is the height of every container, inches.
const containerDeep = 5.0

func (b *builder) newContainer(kind string, hp, hq, turn float64) *container {
	r := b.r
	k := &container{b: b, kind: kind, hp: hp, hq: hq, deep: containerDeep, turn: turn, seed: r.Uint32()}
	switch kind {
	case "basket":
		k.c = pick(r, colour.Linear{0.36, 0.16, 0.06}, colour.Linear{0.46, 0.27, 0.13}, colour.Linear{0.17, 0.08, 0.04}, colour.Linear{0.62, 0.55, 0.45})
		k.flare, k.rim = 0.45, 0.48
	case "shelf":
		k.c = pick(r, colour.Linear{0.55, 0.38, 0.22}, colour.Linear{0.78, 0.77, 0.74}, colour.Linear{0.25, 0.13, 0.07}, colour.Linear{0.33, 0.34, 0.36})
		k.rim = 0.75
	default:
		k.c = pick(r, colour.Linear{0.47, 0.32, 0.19}, colour.Linear{0.75, 0.74, 0.71}, colour.Linear{0.30, 0.31, 0.34}, colour.Linear{0.18, 0.30, 0.36})
		k.rim = mix(0.1, 0.25, r.Float64())
	}
	return k
}

// colour is the material at u along a wall and v from its rim; wall numbers
// keep the walls from looking alike.
func (k *container) colour(u, v float64, wall uint32) colour.Linear {
	switch k.kind {
	case "basket":
		h := unit(hash(int32(math.Floor(u/0.7)), int32(math.Floor(v/0.34)), k.seed+wall))
		return scaled(k.c, 0.8+0.3*h+0.12*noise(3*u, 16*v, k.seed))
	case "shelf":
		return scaled(k.c, 1+0.06*fractal(0.3*u, 5*v, 3, 0.6, k.seed+wall))
	}
	return scaled(k.c, 1+0.04*fractal(2*u, 2*v, 2, 0.5, k.seed+wall))
}

// weave is the relief of wickerwork: rods that pass over and under uprights.
func (k *container) weave(u, v float64) float64 {
	if k.kind != "basket" {
		return 0
	}
	row := math.Floor(v / 0.34)
	over := math.Sin(math.Pi * (u/0.7 + row))
	q := 2*wrap(v/0.34, 1) - 1
	return 0.1*math.Sqrt(max(0, 1-q*q)) + 0.07*over
}

// put adds a face in the container's own frame, if its front can be seen.
func (k *container) put(o, a, c vec, outline geom.Polygon, f face) {
	f.o, f.a, f.b, f.outline = o.turn(k.turn), a.turn(k.turn), c.turn(k.turn), outline
	k.b.addSeen(f)
}

// walls are the outward normals of the four sides.
var walls = [4]vec{{1, 0, 0}, {0, 1, 0}, {-1, 0, 0}, {0, -1, 0}}

// behind adds what the bands stand in front of: outer walls, floor and inner
// walls.
func (k *container) behind() {
	grow, inset := k.rim, 0.0
	if k.kind == "basket" { // the rim's corners are round
		grow, inset = 0, 0.5
	}
	for side, inner := range [2]bool{false, true} {
		if inner {
			k.put(vec{0, 0, 0.15}, vec{1, 0, 0}, vec{0, 1, 0}, rounded(k.hp-k.flare, k.hq-k.flare, 0), face{
				coarse: true,
				shade:  func(u, v float64) float64 { return 0.3 },
				colour: func(u, v float64) (colour.Linear, int) { return scaled(k.colour(u, v, 9), 0.9), 0 },
			})
		}
		for i, n := range walls {
			reach, half := k.hp, k.hq
			if i%2 == 1 {
				reach, half = k.hq, k.hp
			}
			along := vec{-n.y, n.x, 0}
			if !inner { // along × down points into the container, or out of it
				reach, half, along = reach+grow, half+grow-inset, along.mul(-1)
			}
			l := math.Hypot(k.deep, k.flare)
			down := n.mul(-k.flare / l).add(vec{0, 0, -k.deep / l})
			o := n.mul(reach).add(vec{0, 0, k.deep})
			ring := geom.Polygon{{X: -half, Y: 0}, {X: half, Y: 0}, {X: half - k.flare, Y: l}, {X: k.flare - half, Y: l}}
			wall := uint32(4*side + i)
			f := face{
				coarse: true,
				colour: func(u, v float64) (colour.Linear, int) { return k.colour(u, v, wall), 0 },
				relief: k.weave,
			}
			if inner {
				f.shade = func(u, v float64) float64 {
					return (0.25 + 0.75*math.Exp(-v/1.6)) * (0.55 + 0.45*step(-0.02, 0.12, k.weave(u, v)+float64(bool01(k.kind != "basket"))))
				}
			}
			k.put(o, along, down, ring, f)
		}
	}
}

// front adds the rim.
func (k *container) front() {
	corner := 0.0
	in := 0.0
	if k.kind == "basket" {
		corner, in = 0.9, -0.22
	}
	edge := func(grow float64) geom.Polygon {
		ring := finer(rounded(k.hp+grow, k.hq+grow, max(0, corner+grow*min(1, corner))), 0.12)
		if k.kind != "basket" {
			return ring
		}
		return ring.Map(func(t geom.Point) geom.Point {
			return t.Mul(1 + 0.07*noise(0.9*(t.X+t.Y), 0.9*(t.X-t.Y), k.seed+2)/t.Len())
		})
	}
	outer, inner := edge(in+k.rim), edge(in)
	ring := between(outer, inner)
	mid, half := in+k.rim/2, k.rim/2
	f := face{
		coarse: true,
		colour: func(u, v float64) (colour.Linear, int) { return k.colour(0.5*(u+v), 0.5*(u-v), 20), 0 },
	}
	if k.kind == "basket" {
		f.relief = func(u, v float64) float64 {
			d := boxDistance(u, v, k.hp+mid, k.hq+mid, corner) / half
			// About 8 strands a foot of rim, twisted.
			around := math.Round((k.hp+k.hq)*2/0.8) * math.Atan2(v*k.hp, u*k.hq) / (2 * math.Pi)
			return 0.75*half*math.Sqrt(max(0.03, 1-d*d)) + 0.035*math.Sin(2*math.Pi*(around+0.3*d))
		}
	}
	k.put(vec{0, 0, k.deep}, vec{1, 0, 0}, vec{0, 1, 0}, ring, f)
}

// boxDistance is how far (u, v) is outside a 2p × 2q rectangle with round
// corners; negative inside.
func boxDistance(u, v, p, q, radius float64) float64 {
	x, y := math.Abs(u)-p+radius, math.Abs(v)-q+radius
	return math.Hypot(max(0, x), max(0, y)) + min(0, max(x, y)) - radius
}
