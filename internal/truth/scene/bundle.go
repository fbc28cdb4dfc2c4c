package scene

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/truth"
)

// bundle is cloth folded to a flat packet, lying or standing on edge. Its front shows
// the folds, its ends the layers.
type bundle struct {
	fabric int
	at     vec     // its middle, inches
	w, d   float64 // along the front, from front to back, inches
	t      float64 // thickness, inches
	layers int
	angle  float64 // about z; where 0, the front of one that lies is towards the photographer
	// stands says that its front is up and its thickness lies; lean is how far from upright.
	stands bool
	lean   float64
	label  bool // a paper label lies on it
	seed   uint32
}

// drawBundle draws a packet about w × d inches.
func (b *builder) drawBundle(w, d float64) bundle {
	r := b.r
	k := bundle{
		fabric: r.IntN(len(b.fabrics)), w: w * (1 + 0.04*r.NormFloat64()), d: d * (1 + 0.04*r.NormFloat64()),
		t: mix(0.2, 1.1, r.Float64()), seed: r.Uint32(),
	}
	k.layers = max(1, min(8, int(k.t/mix(0.08, 0.35, r.Float64()))))
	return k
}

// box returns the rectangle on the ground that it covers.
func (k *bundle) box() rect {
	if k.stands {
		return rect{x: k.at.x, y: k.at.y, w: k.w, h: k.t, angle: k.angle}
	}
	return rect{x: k.at.x, y: k.at.y, w: k.w, h: k.d, angle: k.angle}
}

// top returns how high it reaches, inches.
func (k *bundle) top() float64 {
	if k.stands {
		return k.at.z + k.d/2
	}
	return k.at.z + k.t/2
}

// fold lays bundles, the farther and the lower first.
func (b *builder) fold(bundles []bundle) {
	far := func(k *bundle) float64 { return math.Hypot(k.at.x-b.cam.eye.x, k.at.y-b.cam.eye.y) }
	slices.SortStableFunc(bundles, func(p, q bundle) int {
		if !p.stands && p.box().gap(q.box()) < 0 { // one lies on the other
			return cmp.Compare(p.at.z, q.at.z)
		}
		return cmp.Compare(far(&q), far(&p))
	})
	for i := range bundles {
		b.packet(&bundles[i])
	}
}

// packet adds the faces of a bundle.
func (b *builder) packet(k *bundle) {
	if !b.ahead(k.box()) {
		return
	}
	r := b.r
	fab := b.fabrics[k.fabric]
	id := len(b.pieces) + 1
	tex := b.texture(fab)
	// Along the front, out of the front, and across the layers.
	right, front := vec{1, 0, 0}, vec{0, 1, 0}
	if k.stands {
		s, c := math.Sincos(k.lean)
		front = vec{0, s, c}
	}
	right, front = right.turn(k.angle), front.turn(k.angle)
	across := right.cross(front)
	top := k.top()
	add := func(o, a, c vec, outline geom.Polygon, f face) {
		f.o, f.a, f.b, f.piece, f.outline = o, a, c, id, outline
		if shade := f.shade; k.stands { // between its neighbours it is dark
			f.shade = func(u, v float64) float64 {
				p := o.add(a.mul(u)).add(c.mul(v))
				return shade(u, v) * (0.25 + 0.75*math.Exp(-max(0, top-p.z)/0.9))
			}
		}
		b.addSeen(f)
	}
	w := k.t / float64(k.layers)
	// Sides are not quite straight, and reach over their edges, or what lies behind would show between.
	wavy := func(half float64, salt uint32) geom.Polygon {
		return finer(rounded(half+0.02, k.t/2+0.03, 0), 0.3).Map(func(p geom.Point) geom.Point {
			return geom.Point{X: p.X, Y: p.Y - 0.045*noise(0.6*p.X, p.Y, k.seed+salt)}
		})
	}
	// The layer v inches from the middle, and where in it, -1..1.
	profile := func(v float64) (layer, x float64) {
		q := min(float64(k.layers)-1e-9, max(0, (v/k.t+0.5)*float64(k.layers)))
		layer = math.Floor(q)
		return layer, 2*(q-layer) - 1
	}
	groove := mix(0.2, 0.9, r.Float64())
	for side, sign := range [2]float64{1, -1} { // of the folds: rolls one over another
		salt := uint32(side)
		add(k.at.add(front.mul(sign*k.d/2)), right.mul(sign), across.mul(-1), wavy(k.w/2, salt), face{
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
				return 1 - groove*step(0.7, 1, math.Abs(x))
			},
		})
	}
	for side, sign := range [2]float64{1, -1} { // of raw or folded edges, many
		salt := uint32(2 + side)
		add(k.at.add(right.mul(sign*k.w/2)), front.mul(-sign), across.mul(-1), wavy(k.d/2, salt), face{
			colour: func(u, v float64) (colour.Linear, int) {
				c, ink := tex(u, v)
				if wrap((v+k.t/2)/w, 1) > 0.5 && !fab.same {
					return fab.back(c), len(fab.inks) + ink
				}
				return c, ink
			},
			relief: func(u, v float64) float64 { return 0.05 * noise(2*u, 2*(v+k.t/2)/w, k.seed+salt) },
			shade: func(u, v float64) float64 {
				q := wrap(2*(v+k.t/2)/w, 1)
				return 0.35 + 0.65*step(0, 0.3, min(q, 1-q))
			},
		})
	}
	round, puff := 0.5*min(w, 0.4), mix(0.02, 0.1, r.Float64())
	if k.stands {
		round = 0.1 * w
	}
	for _, sign := range [2]float64{-1, 1} {
		add(k.at.add(across.mul(sign*k.t/2)), right.mul(sign), front, rounded(k.w/2, k.d/2, 0.12), face{
			colour: tex,
			shade:  func(u, v float64) float64 { return 1 },
			relief: func(u, v float64) float64 {
				e := max(0, math.Abs(v)-k.d/2+round) / round // over the roll at the front and back
				return -round*(1-math.Sqrt(max(0.05, 1-e*e))) + puff*fractal(0.35*u, 0.35*v, 3, 0.5, k.seed+6)
			},
		})
	}
	box := k.box()
	corners := box.corners()
	b.drape.lay(corners[:], top-b.drape.height(k.at.x, k.at.y), 0.4)
	if k.label {
		b.label(id, box, top)
	}
	b.register(truth.TruePiece{WidthIn: min(k.w, k.d), HeightIn: max(k.w, k.d), Made: truth.Made{Shape: "folded", Folded: true}}, k.fabric)
}

// label lays a paper label, printed or written on, on a piece's top at height z.
func (b *builder) label(id int, on rect, z float64) {
	r := b.r
	w, h := mix(0.3, 0.9, r.Float64())*on.w, mix(0.3, 0.8, r.Float64())*max(0.6, on.h)
	f := lying(on.x+0.1*on.w*r.NormFloat64(), on.y+0.1*on.h*r.NormFloat64(), z+0.05, on.angle+0.1*r.NormFloat64())
	f.piece, f.paper = id, true
	f.outline = rounded(w/2, h/2, 0)
	f.colour = writing(r.Uint32(), w, h, paperWhite(r), pick(r, 0.0, 1, 2))
	seed := r.Uint32()
	f.relief = func(u, v float64) float64 { return 0.02 + 0.03*noise(0.5*u, 0.5*v, seed) }
	b.add(f)
}

// placesOf returns the places of bundles, for what else is laid.
func placesOf(bundles []bundle) (taken []rect) {
	for i := range bundles {
		taken = append(taken, bundles[i].box())
	}
	return taken
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
	b.cover(nil, false)
	var bundles []bundle
	for j := range rows {
		for i := range cols {
			if r.IntN(12) == 0 {
				continue
			}
			k := b.drawBundle(w, d)
			p := inGrid(i, cols, j, rows, w+gap, d+gap)
			k.at = vec{p.X + 0.3*gap*r.NormFloat64(), p.Y + 0.3*gap*r.NormFloat64(), k.t / 2}
			k.angle = pick(r, 0.03, 0.03, 0.12)*r.NormFloat64() + pick(r, 0, 0, math.Pi)
			k.label = r.Float64() < labels
			bundles = append(bundles, k)
		}
	}
	b.fold(bundles)
	taken := placesOf(bundles)
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
	long, reach := 0.0, 1.3*d             // of a pull along a line
	if r.IntN(2) == 0 {
		spanned = 0
		long = float64(n) * mix(0.5, 0.35*w+0.6, r.Float64())
		reach = long
	}
	b.aim(pick(r, 0.7, 0.9, 1.4)*float64(min(b.w, b.h))/max(d, reach), 0)
	b.cover(nil, false)
	turn := 2 * math.Pi * r.Float64()
	var bundles []bundle
	z := 0.0
	for i := range n {
		k := b.drawBundle(w, d)
		k.t *= 0.5
		t := float64(i)/float64(n-1) - 0.5
		k.angle = spanned*t + 0.04*r.NormFloat64()
		s, c := math.Sincos(k.angle)
		p := turned(geom.Point{X: t*long + 0.45*d*s, Y: 0.3*d - 0.45*d*c}, turn)
		k.at, k.angle = vec{p.X, p.Y, z + k.t/2}, k.angle+turn
		z += 0.35 * k.t
		bundles = append(bundles, k)
		if !folded {
			b.put(item{fabric: k.fabric, w: w, h: d, x: p.X, y: p.Y, angle: k.angle, thick: 0.03, stiff: 1.5, wear: b.wear()})
		}
	}
	if folded {
		b.fold(bundles)
	}
	taken := placesOf(bundles)
	b.clutter(&taken, r.IntN(5))
}
