package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/geom"
)

// patch is a part of a sewn unit: a convex ring in the unit's square 0..1,
// clockwise, and which of the unit's fabrics it is of.
type patch struct {
	ring []geom.Point
	role int
}

func quad(x0, y0, x1, y1 float64) []geom.Point {
	return []geom.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// units are the usual sewn units (traditional, public).
var units = []func(r *rand.Rand) []patch{
	func(*rand.Rand) []patch { return []patch{{quad(0, 0, 1, 1), 0}} },
	func(*rand.Rand) []patch { // half-square triangles
		return []patch{{[]geom.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 0, Y: 1}}, 0}, {[]geom.Point{{X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}}, 1}}
	},
	func(*rand.Rand) []patch { // quarter-square triangles
		var out []patch
		q, c := quad(0, 0, 1, 1), geom.Point{X: 0.5, Y: 0.5}
		for k := range 4 {
			out = append(out, patch{[]geom.Point{q[k], q[(k+1)%4], c}, k % 2})
		}
		return out
	},
	func(r *rand.Rand) []patch { return checker(2, 2) },
	func(r *rand.Rand) []patch { return checker(3, 3) },
	func(r *rand.Rand) []patch { return checker(1, 2+r.IntN(4)) },
	func(*rand.Rand) []patch { // flying goose
		m := geom.Point{X: 0.5, Y: 0.25}
		return []patch{
			{[]geom.Point{{X: 0, Y: 0.75}, m, {X: 1, Y: 0.75}}, 0},
			{[]geom.Point{{X: 0, Y: 0.25}, m, {X: 0, Y: 0.75}}, 1}, {[]geom.Point{m, {X: 1, Y: 0.25}, {X: 1, Y: 0.75}}, 1},
		}
	},
	func(r *rand.Rand) []patch { // log cabin
		n := 1 + r.IntN(4)
		k := 0.5 / (float64(n) + 0.6)
		var out []patch
		for i := range n {
			a := k * float64(i)
			z := 1 - a
			out = append(out, patch{quad(a, a, z, a+k), 1 + i%2}, patch{quad(z-k, a+k, z, z), 1 + i%2},
				patch{quad(a, z-k, z-k, z), 2 + i%2}, patch{quad(a, a+k, a+k, z-k), 2 + i%2})
		}
		a := k * float64(n)
		return append(out, patch{quad(a, a, 1-a, 1-a), 0})
	},
	func(*rand.Rand) []patch { // square in a square
		q := quad(0, 0, 1, 1)
		m := []geom.Point{{X: 0.5}, {X: 1, Y: 0.5}, {X: 0.5, Y: 1}, {X: 0, Y: 0.5}}
		out := []patch{{m, 0}}
		for k := range 4 {
			out = append(out, patch{[]geom.Point{q[k], m[k], m[(k+3)%4]}, 1})
		}
		return out
	},
}

func checker(rows, cols int) []patch {
	var out []patch
	for j := range rows {
		for i := range cols {
			x, y := float64(i)/float64(cols), float64(j)/float64(rows)
			out = append(out, patch{quad(x, y, x+1/float64(cols), y+1/float64(rows)), (i + j) % 2})
		}
	}
	return out
}

// sew lays a unit, side inches, its middle at x, y, of the given fabrics.
func (b *builder) sew(parts []patch, side, x, y, angle float64, fabrics []int) {
	for _, p := range parts {
		lo, hi := geom.Polygon(p.ring).Bounds()
		mid := lo.Add(hi).Mul(0.5)
		ring := geom.Polygon(p.ring).Map(func(q geom.Point) geom.Point { return q.Sub(mid).Mul(side) })
		at := turned(mid.Sub(geom.Point{X: 0.5, Y: 0.5}).Mul(side), angle)
		b.put(item{
			fabric: fabrics[p.role%len(fabrics)], w: (hi.X - lo.X) * side, h: (hi.Y - lo.Y) * side,
			x: x + at.X, y: y + at.Y, angle: angle, ring: ring, sewn: true, thick: 0.02, stiff: 0.6, wear: 0.3 * b.wear(),
		})
	}
}

// someFabrics draws which fabrics a unit is of.
func (b *builder) someFabrics() []int {
	out := make([]int, 4)
	for i := range out {
		out[i] = b.r.IntN(len(b.fabrics))
	}
	return out
}

// loose lays sewn units, triangles and single pieces apart, in rows or at will.
func (b *builder) loose() {
	r := b.r
	side := pick(r, 2, 2.5, 3.5, 4.5, 6, 8)
	cols, rows := 1+r.IntN(6), 1+r.IntN(4)
	b.fabrics = b.cloths(3 + r.IntN(cols*rows+4))
	gap := pick(r, 0.15, 0.5, 1.5)
	b.aim(pick(r, 0.6, 0.85, 1)*min(float64(b.w)/(float64(cols)*(side+gap)), float64(b.h)/(float64(rows)*(side+gap))), 0)
	b.cover(nil, r.IntN(3) == 0)
	one, shared := units[r.IntN(len(units))](r), cutShape(r, side)
	pair := b.someFabrics()
	var taken []rect
	for j := range rows {
		for i := range cols {
			parts, fabrics := one, pair
			if r.IntN(4) == 0 {
				parts = units[r.IntN(len(units))](r)
			}
			if r.IntN(3) == 0 {
				fabrics = b.someFabrics()
			}
			p := inGrid(i, cols, j, rows, side+gap, side+gap)
			q := rect{
				x: p.X + 0.2*gap*r.NormFloat64(), y: p.Y + 0.2*gap*r.NormFloat64(),
				w: side, h: side, angle: pick(r, 0.02, 0.1)*r.NormFloat64() + float64(r.IntN(4))*math.Pi/2,
			}
			taken = append(taken, q)
			if r.IntN(4) == 0 { // a single piece, cut to a shape
				ring := cutShape(r, side)
				if r.IntN(3) > 0 {
					ring = shared
				}
				b.put(item{fabric: fabrics[0], w: side, h: side, x: q.x, y: q.y, angle: q.angle, ring: ring, thick: 0.02, stiff: 0.6, wear: b.wear()})
				continue
			}
			b.sew(parts, side, q.x, q.y, q.angle, fabrics)
		}
	}
	b.reference(&taken, 0.3)
	b.clutter(&taken, r.IntN(6))
}

// cutShape returns a triangle, hexagon, circle, diamond, arc or any convex shape,
// clockwise, about side inches wide.
func cutShape(r *rand.Rand, side float64) []geom.Point {
	h := side / 2
	round := func(n int, out func(k int) float64) []geom.Point {
		ring := make([]geom.Point, n)
		for k := range ring {
			s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			ring[k] = geom.Point{X: h * c, Y: h * s}.Mul(out(k))
		}
		return ring
	}
	same := func(int) float64 { return 1 }
	switch r.IntN(6) {
	case 0:
		return []geom.Point{{X: -h, Y: -h}, {X: h, Y: -h}, {X: -h, Y: h}}
	case 1:
		return round(6, same)
	case 2:
		return round(40, same)
	case 3:
		return []geom.Point{{X: -h}, {Y: -h * mix(0.4, 0.8, r.Float64())}, {X: h}, {Y: h * mix(0.4, 0.8, r.Float64())}}
	case 4: // arc
		inner, span := mix(0.4, 0.8, r.Float64()), mix(0.4, 1.3, r.Float64())
		var ring []geom.Point
		const n = 14
		for k := range 2 * n {
			t, rad := float64(k)/(n-1), 1.0
			if k >= n {
				t, rad = float64(2*n-1-k)/(n-1), inner
			}
			s, c := math.Sincos(span * (2*t - 1))
			ring = append(ring, geom.Point{X: side * rad * s, Y: side * (0.8 - rad*c)})
		}
		return ring
	}
	return round(4+r.IntN(4), func(int) float64 { return mix(0.6, 1, r.Float64()) })
}

// scraps strews offcuts of any shape over the whole picture or heaps them up.
func (b *builder) scraps() {
	r := b.r
	n := 15 + r.IntN(55)
	b.fabrics = b.cloths(3 + r.IntN(n))
	b.aim(float64(max(b.w, b.h))/mix(12, 36, r.Float64()), 0)
	b.cover(nil, r.IntN(4) == 0)
	fw, fh := float64(b.w)/b.ppi, float64(b.h)/b.ppi
	wide := pick(r, 0.15, 0.25, 0.5)
	strings := r.IntN(3) == 0
	var taken []rect
	for range n {
		side := mix(1, 5, r.Float64()*r.Float64())
		it := item{
			fabric: r.IntN(len(b.fabrics)), w: side, h: side, x: wide * fw * r.NormFloat64(), y: wide * fh * r.NormFloat64(),
			angle: 2 * math.Pi * r.Float64(), fold: r.IntN(3) == 0,
			thick: mix(0.02, 0.1, r.Float64()), stiff: mix(0.4, 1.5, r.Float64()), wear: 0.5 + 1.5*b.wear(),
		}
		switch {
		case strings:
			it.w, it.h = mix(5, 18, r.Float64()), mix(0.6, 2.2, r.Float64())
		case r.IntN(3) == 0:
			it.h = side * mix(0.4, 1, r.Float64())
			it.irregular = r.IntN(2) == 0
		default:
			it.ring, it.fold = cutShape(r, side), false
		}
		taken = append(taken, rect{x: it.x, y: it.y, w: it.w, h: it.h, angle: it.angle})
		b.put(it)
	}
	b.reference(&taken, 0.2)
	b.clutter(&taken, r.IntN(5))
}

// bare is a table without cloth.
func (b *builder) bare() {
	r := b.r
	b.aim(float64(max(b.w, b.h))/mix(10, 40, r.Float64()), 0)
	b.cover(nil, r.IntN(2) == 0)
	var taken []rect
	b.reference(&taken, 0.4)
	b.clutter(&taken, r.IntN(9))
}

// top lays blocks sewn to one another, some as large as the picture.
func (b *builder) top() {
	r := b.r
	side := pick(r, 3.0, 4.5, 6, 9, 12)
	b.rows, b.cols = 1+r.IntN(6), 1+r.IntN(6)
	b.fabrics = b.cloths(3 + r.IntN(20))
	b.aim(pick(r, 0.7, 0.9, 1.2, 1.6)*min(float64(b.w)/(float64(b.cols)*side), float64(b.h)/(float64(b.rows)*side)), 0)
	b.cover(nil, false)
	b.drape.wave(mix(0, 0.5, r.Float64()), r.Uint32()) // it does not lie quite flat
	angle := 0.06 * r.NormFloat64()
	sash := pick(r, 0, 0, mix(0.1, 0.3, r.Float64())) * side
	one, other := units[1+r.IntN(len(units)-1)](r), units[r.IntN(len(units))](r)
	fabrics := b.someFabrics()
	turns := pick(r, 0, 1, 2)
	pitch := side + sash
	if sash > 0 { // strips between, and a border
		bar := func(u, v, w, h float64) {
			p := turned(geom.Point{X: u, Y: v}, angle)
			b.put(item{fabric: fabrics[3], w: w, h: h, x: p.X, y: p.Y, angle: angle, ring: rounded(w/2, h/2, 0), sewn: true, thick: 0.02, stiff: 0.6, wear: 0.3})
		}
		wide, tall := float64(b.cols)*pitch+sash, float64(b.rows)*pitch+sash
		for j := range b.rows + 1 {
			bar(0, float64(j)*pitch-tall/2+sash/2, wide, sash)
		}
		for j := range b.rows {
			for i := range b.cols + 1 {
				bar(float64(i)*pitch-wide/2+sash/2, float64(j)*pitch-tall/2+sash+side/2, sash, side)
			}
		}
	}
	for j := range b.rows {
		for i := range b.cols {
			parts, of := one, fabrics
			if (i+j)%2 == 1 {
				parts = other
			}
			if r.IntN(2) == 0 {
				of = b.someFabrics()
			}
			p := turned(inGrid(i, b.cols, j, b.rows, pitch, pitch), angle)
			quarter := [3]int{0, (i + j) % 4, r.IntN(4)}[turns]
			b.sew(parts, side, p.X, p.Y, angle+float64(quarter)*math.Pi/2, of)
		}
	}
	var taken []rect
	b.clutter(&taken, pick(r, 0, 0, 2))
}
