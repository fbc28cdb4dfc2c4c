package scene

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// slab is cloth folded to a flat packet, lying. Its front, towards the
// photographer where angle is 0, shows the folds; its ends the layers.
type slab struct {
	fabric  int
	x, y, z float64 // middle of its underside, inches
	w, d, t float64 // along the front, across it, thickness, inches
	angle   float64
	layers  int
	label   bool // a paper label lies on it
	seed    uint32
}

// drawSlab draws a packet about w × d inches.
func (b *builder) drawSlab(w, d float64) slab {
	r := b.r
	k := slab{
		fabric: r.IntN(len(b.fabrics)), w: w * (1 + 0.04*r.NormFloat64()), d: d * (1 + 0.04*r.NormFloat64()),
		t: mix(0.2, 1.1, r.Float64()), seed: r.Uint32(),
	}
	k.layers = max(1, min(8, int(k.t/mix(0.08, 0.35, r.Float64()))))
	return k
}

// box is the rectangle that a slab covers.
func (k *slab) box() rect { return rect{x: k.x, y: k.y, w: k.w, h: k.d, angle: k.angle} }

// fold lays slabs, the farther and the lower first.
func (b *builder) fold(slabs []slab) {
	far := func(k *slab) float64 { return math.Hypot(k.x-b.cam.eye.x, k.y-b.cam.eye.y) }
	slices.SortStableFunc(slabs, func(p, q slab) int {
		if p.box().gap(q.box()) < 0 { // one lies on the other
			return cmp.Compare(p.z, q.z)
		}
		return cmp.Compare(far(&q), far(&p))
	})
	for i := range slabs {
		b.packet(&slabs[i])
	}
}

// layerAt is the layer of folded cloth, thick inches in all, that lies v inches from its
// middle, and where in that layer, -1..1.
func layerAt(v, thick float64, layers int) (layer, x float64) {
	q := min(float64(layers)-1e-9, max(0, (v/thick+0.5)*float64(layers)))
	layer = math.Floor(q)
	return layer, 2*(q-layer) - 1
}

// packet adds the faces of a slab.
func (b *builder) packet(k *slab) {
	if !b.ahead(k.box()) {
		return
	}
	r := b.r
	fab := b.fabrics[k.fabric]
	id := len(b.pieces) + 1
	tex := b.texture(fab)
	sin, cos := math.Sincos(k.angle)
	right, near, up := vec{cos, sin, 0}, vec{-sin, cos, 0}, vec{0, 0, 1}
	down := up.mul(-1)
	mid := vec{k.x, k.y, k.z}
	add := func(o, a, c vec, outline geom.Polygon, f face) {
		f.o, f.a, f.b, f.piece, f.outline = o, a, c, id, outline
		b.addSeen(f)
	}
	w := k.t / float64(k.layers)
	// Sides are not quite straight, and sag between.
	wavy := func(half, tall float64, salt uint32) geom.Polygon {
		var out geom.Polygon
		const n = 14
		for i := range n {
			u := half * (2*float64(i)/(n-1) - 1)
			out = append(out, geom.Point{X: u, Y: -tall/2 + 0.06*noise(0.6*u, 1, k.seed+salt)})
		}
		for i := range n {
			u := half * (1 - 2*float64(i)/(n-1))
			out = append(out, geom.Point{X: u, Y: tall/2 + 0.03*noise(0.6*u, 2, k.seed+salt)})
		}
		return out
	}
	profile := func(v float64) (layer, x float64) { return layerAt(v, k.t, k.layers) }
	groove := mix(0.2, 0.9, r.Float64())
	height := mid.add(up.mul(k.t / 2))
	folds := func(o, a vec, half float64, salt uint32) { // rolls one over another
		add(o, a, down, wavy(half, k.t, salt), face{
			colour: func(u, v float64) (colour.Linear, int) {
				l, x := profile(v)
				return tex(u+7*l, 3*l+0.5*w*math.Asin(min(1, max(-1, x))))
			},
			relief: func(u, v float64) float64 {
				l, x := profile(v)
				return 0.45*w*(math.Sqrt(max(0.02, 1-x*x))-1) + 0.05*noise(0.5*u, 3*l, k.seed+salt)
			},
			shade: func(u, v float64) float64 {
				_, x := profile(v)
				return (1 - groove*step(0.7, 1, math.Abs(x))) * (0.75 + 0.25*step(0, 0.4, k.t/2-v))
			},
		})
	}
	layers := func(o, a vec, half float64, salt uint32) { // raw or folded edges, many
		add(o, a, down, wavy(half, k.t, salt), face{
			shade: func(u, v float64) float64 {
				q := wrap((v+k.t/2)/w*2, 1)
				return 0.35 + 0.65*step(0, 0.3, min(q, 1-q))
			},
			colour: func(u, v float64) (colour.Linear, int) {
				c, ink := tex(u, v)
				if q := wrap((v+k.t/2)/w, 1); q > 0.5 && !fab.same {
					return fab.back(c), len(fab.inks) + ink
				}
				return c, ink
			},
			relief: func(u, v float64) float64 { return 0.05 * noise(2*u, (v+k.t/2)/w*2, k.seed+salt) },
		})
	}
	folds(height.add(near.mul(k.d/2)), right, k.w/2, 1)
	folds(height.sub(near.mul(k.d/2)), right.mul(-1), k.w/2, 2)
	layers(height.add(right.mul(k.w/2)), near.mul(-1), k.d/2, 3)
	layers(height.sub(right.mul(k.w/2)), near, k.d/2, 4)
	round := 0.5 * min(w, 0.4)
	puff := mix(0.02, 0.1, r.Float64())
	top := mid.add(up.mul(k.t))
	edge := finer(rounded(k.w/2, k.d/2, 0.12), 0.4).Map(func(m geom.Point) geom.Point {
		return m.Mul(1 + 0.05*noise(0.7*m.X, 0.7*m.Y, k.seed+5)/max(1, m.Len()))
	})
	add(top, right, near, edge, face{
		colour: tex,
		relief: func(u, v float64) float64 {
			e := max(0, math.Abs(v)-k.d/2+round) / round // over the roll at the front and back
			return -round*(1-math.Sqrt(max(0.05, 1-e*e))) + puff*fractal(0.35*u, 0.35*v, 3, 0.5, k.seed+6) +
				0.02*zigzag(u/k.w+0.5)
		},
	})
	b.drape.lay(k.outline(), k.t, 0.4)
	if k.label {
		b.label(id, *k)
	}
	b.register(Piece{Shape: "folded", WidthIn: min(k.w, k.d), HeightIn: max(k.w, k.d), Folded: true}, k.fabric)
}

func (k *slab) outline() geom.Polygon {
	c := k.box().corners()
	return c[:]
}

// label lays a paper label, printed or written on, on a packet of the piece.
func (b *builder) label(id int, k slab) {
	r := b.r
	w, h := mix(0.3, 0.9, r.Float64())*k.w, mix(0.25, 0.8, r.Float64())*k.d
	f := lying(k.x+0.1*k.w*r.NormFloat64(), k.y+0.1*k.d*r.NormFloat64(), k.z+k.t+0.05, k.angle+0.1*r.NormFloat64())
	f.piece, f.paper = id, true
	f.outline = rounded(w/2, h/2, 0)
	f.colour = writing(r.Uint32(), w, h, paperWhite(r), pick(r, 0.0, 1, 2))
	seed := r.Uint32()
	f.relief = func(u, v float64) float64 { return 0.02 + 0.03*noise(0.5*u, 0.5*v, seed) }
	b.add(f)
}

// stash lays folded cloth in piles, on a table or a shelf.
func (b *builder) stash() {
	r := b.r
	b.oblique = true
	b.fabrics = b.cloths(30)
	piles := 1 + r.IntN(5)
	w, d := mix(5, 12, r.Float64()), mix(4, 9, r.Float64())
	aisle := mix(0.1, 1.5, r.Float64())
	var slabs []slab
	tall := 0.0
	for i := range piles {
		z := 0.0
		for range 2 + r.IntN(12) {
			k := b.drawSlab(w, d)
			k.x = (float64(i)-float64(piles-1)/2)*(w+aisle) + 0.1*r.NormFloat64()
			k.y, k.z, k.angle = 0.15*r.NormFloat64(), z, 0.05*r.NormFloat64()
			k.label = r.IntN(12) == 0
			slabs = append(slabs, k)
			z += k.t * 0.97
		}
		tall = max(tall, z)
	}
	wide := float64(piles) * (w + aisle)
	b.aim(0.95*min(float64(b.w)/wide, float64(b.h)/(d+tall)), tall/2)
	zoom := pick(r, 1, 1, 1.3, 1.8) // filled to the edge, or not
	for i := 0; i < 40 && (!b.inside(rect{w: wide, h: d}, 0, 8) || !b.inside(rect{w: wide, h: d}, tall, 8)); i++ {
		b.zoom(0.94)
	}
	b.zoom(zoom)
	b.cover(nil, false)
	if r.IntN(2) == 0 {
		b.shelfBehind(wide, d, tall+mix(0.5, 6, r.Float64()))
	}
	b.fold(slabs)
}

// shelfBehind stands a back wall and two sides of a shelf behind what lies on
// the ground.
func (b *builder) shelfBehind(wide, deep, tall float64) {
	b.container = "shelf"
	c := someWood(b.r)
	seed := b.r.Uint32()
	board := func(o, a, c2 vec, w, h, dark float64) {
		b.addSeen(face{
			o: o, a: a, b: c2, outline: rounded(w/2, h/2, 0), coarse: true,
			shade: func(u, v float64) float64 { return dark },
			colour: func(u, v float64) (colour.Linear, int) {
				return scaled(c, 1+0.08*fractal(0.3*u, 4*v, 3, 0.6, seed)), 0
			},
		})
	}
	down := vec{0, 0, -1}
	board(vec{0, -deep/2 - 0.5, tall / 2}, vec{1, 0, 0}, down, 3*wide, tall, 0.6)
	for _, side := range [2]float64{-1, 1} {
		x := side * (wide/2 + 0.4)
		board(vec{x, 0, tall / 2}, vec{0, side, 0}, down, deep+1, tall, 0.8)
		board(vec{x, deep/2 + 0.5, tall / 2}, vec{1, 0, 0}, down, 0.75, tall, 1)
	}
}

// packets lays small folded packets or bundles of strips in rows, often each
// with its label.
func (b *builder) packets() {
	r := b.r
	w, d := mix(1.5, 6, r.Float64()), mix(1.5, 6, r.Float64())
	cols, rows := 2+r.IntN(7), 1+r.IntN(5)
	labels := pick(r, 0, 0.2, 0.9)
	b.fabrics = b.cloths(2 + cols*rows)
	gap := pick(r, 0.05, 0.4, 1.2) * (0.5 + r.Float64())
	b.aim(pick(r, 0.75, 0.95)*min(float64(b.w)/(float64(cols)*(w+gap)), float64(b.h)/(float64(rows)*(d+gap))), 0)
	b.cover(nil, r.IntN(3) == 0)
	var slabs []slab
	for j := range rows {
		for i := range cols {
			if r.IntN(12) == 0 {
				continue
			}
			k := b.drawSlab(w, d)
			p := inGrid(i, cols, j, rows, w+gap, d+gap)
			k.x, k.y = p.X+0.3*gap*r.NormFloat64(), p.Y+0.3*gap*r.NormFloat64()
			k.angle = pick(r, 0.03, 0.03, 0.12)*r.NormFloat64() + pick(r, 0, 0, math.Pi)
			k.label = r.Float64() < labels
			slabs = append(slabs, k)
		}
	}
	b.fold(slabs)
	var taken []rect
	for i := range slabs {
		taken = append(taken, slabs[i].box())
	}
	b.reference(&taken, 0.2)
	b.clutter(&taken, r.IntN(4))
}

// fan lays folded or flat cloth one on another, turned about one end or drawn
// along a line, as a pull of prints is shown.
func (b *builder) fan() {
	r := b.r
	n := 4 + r.IntN(12)
	b.fabrics = b.cloths(n + 4)
	w, d := mix(3, 10, r.Float64()), mix(6, 14, r.Float64())
	folded := r.IntN(3) > 0
	spanned := mix(0.2, 2.2, r.Float64()) // radians over the whole fan
	pull := r.IntN(2) == 0
	stride := mix(0.5, 0.35*w+0.6, r.Float64())
	reach := 1.3 * d
	if pull {
		reach = float64(n) * stride
	}
	b.aim(pick(r, 0.7, 0.9, 1.4)*float64(min(b.w, b.h))/max(d, reach), 0)
	b.cover(nil, false)
	turn := 2 * math.Pi * r.Float64()
	var slabs []slab
	z := 0.0
	for i := range n {
		k := b.drawSlab(w, d)
		k.t *= 0.5
		t := float64(i)/float64(n-1) - 0.5
		var p geom.Point
		if pull {
			p, k.angle = geom.Point{X: t * float64(n) * stride, Y: 0.2 * r.NormFloat64()}, 0.04*r.NormFloat64()
		} else {
			k.angle = spanned*t + 0.03*r.NormFloat64()
			q, o := math.Sincos(k.angle)
			p = geom.Point{X: 0.45 * d * q, Y: 0.3*d - 0.45*d*o}
		}
		p = turned(p, turn)
		k.x, k.y, k.angle = p.X, p.Y, k.angle+turn
		k.z = z
		z += 0.35 * k.t
		slabs = append(slabs, k)
		if !folded {
			b.put(item{fabric: k.fabric, w: w, h: d, x: k.x, y: k.y, angle: k.angle, thick: 0.03, stiff: 1.5, wear: b.wear()})
		}
	}
	if folded {
		for i := range slabs {
			b.packet(&slabs[i])
		}
	}
	var taken []rect
	for i := range slabs {
		taken = append(taken, slabs[i].box())
	}
	b.clutter(&taken, r.IntN(5))
}
