package scene

import (
	"math"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// stash lays folded cloth in piles, on a table or a shelf.
func (b *builder) stash() {
	r := b.r
	b.oblique = true
	b.fabrics = b.cloths(30)
	piles := 1 + r.IntN(5)
	w, d := mix(5, 12, r.Float64()), mix(4, 9, r.Float64())
	aisle := mix(0.1, 1.5, r.Float64())
	var bundles []bundle
	tall := 0.0
	for i := range piles {
		z := 0.0
		for range 2 + r.IntN(12) {
			k := b.drawBundle(w, d)
			k.at = vec{(float64(i)-float64(piles-1)/2)*(w+aisle) + 0.1*r.NormFloat64(), 0.15 * r.NormFloat64(), z + k.t/2}
			k.angle = 0.05 * r.NormFloat64()
			k.label = r.IntN(12) == 0
			bundles = append(bundles, k)
			z += k.t * 0.97
		}
		tall = max(tall, z)
	}
	wide := float64(piles) * (w + aisle)
	b.aim(0.95*min(float64(b.w)/wide, float64(b.h)/(d+tall)), tall/2)
	for i := 0; i < 40 && (!b.inside(rect{w: wide, h: d}, 0, 8) || !b.inside(rect{w: wide, h: d}, tall, 8)); i++ {
		b.zoom(0.94)
	}
	b.zoom(pick(r, 1, 1, 1.3, 1.8)) // filled to the edge, or not
	b.cover(nil, false)
	if r.IntN(2) == 0 {
		b.box(wide/2+0.4, d/2+0.4, tall+mix(0.5, 6, r.Float64()), 0, 0.75, false, 1)
	}
	b.fold(bundles)
}

// stack stands folded strips on edge in rows in a basket, a box or a shelf, or on the
// bare table.
func (b *builder) stack() {
	r := b.r
	kind := pick(r, "basket", "basket", "basket", "shelf", "shelf", "box")
	if b.options.Varied && r.IntN(3) == 0 {
		kind = ""
	}
	const deep = 5.0 // of every container, inches
	b.fabrics = b.cloths(30)
	var bands []bundle
	width, q := 0.0, 0.0 // taken so far along a row, and across rows
	for range by(b.level, 1, pick(r, 1, 2, 2), pick(r, 2, 3, 3)) {
		long := mix(4.6, 6.6, r.Float64())
		if b.level == 1 {
			long = mix(5.6, 9.2, r.Float64())
		}
		row, p := b.row(long, q)
		bands, width = append(bands, row...), max(width, p)
		q += long + mix(0.15, 0.7, r.Float64())
	}
	spare := by(b.level, 0.5, 1, 1.6) * r.Float64() // room beside them
	if kind == "shelf" {
		spare = width * mix(0.25, 0.7, r.Float64())
	}
	hp, hq := (width+spare)/2+0.4, q/2+mix(0.2, 0.5, r.Float64())
	turn := pick(r, 0, math.Pi/2) + 0.05*float64(b.level)*r.NormFloat64()
	switch {
	case kind == "shelf": // its floor is at the bottom of the picture
		turn = -math.Pi/2 + 0.03*float64(b.level)*r.NormFloat64()
	case b.options.Varied && r.IntN(3) == 0:
		turn = 2 * math.Pi * r.Float64()
	case (hp > hq) != (b.w > b.h) && r.IntN(4) > 0:
		turn += math.Pi / 2
	}
	s, c := math.Abs(math.Sin(turn)), math.Abs(math.Cos(turn))
	fill := min(float64(b.w)/(2*(hp*c+hq*s)+1.6), float64(b.h)/(2*(hp*s+hq*c)+1.6))
	if kind == "" {
		fill *= pick(r, 0.9, 1.3, 1.7)
	}
	b.aim(mix(0.82, 1.02, r.Float64())*fill, 4.2)
	b.cover([]string{"wood", "wood", "wood", "greymat", "carpet", "linen", "wall", "flannel"}, false)
	b.container = kind
	rim := func() {}
	if kind != "" {
		rim = b.box(hp, hq, deep, turn, map[string]float64{"basket": 0.48, "shelf": 0.75, "box": 0.15}[kind], kind == "basket", 0)
	}
	if b.options.Varied && kind != "" && r.IntN(4) == 0 { // half empty, or quite
		left := pick(r, 0, 0.3, 0.6)
		bands = slices.DeleteFunc(bands, func(bundle) bool { return r.Float64() > left })
	}
	for i := range bands {
		k := &bands[i]
		k.at.x -= width / 2
		k.at.y -= q / 2
		if kind == "shelf" { // they lie on its floor
			k.at.x -= spare / 2
		}
		k.at, k.angle = k.at.turn(turn), k.angle+turn
	}
	b.fold(bands)
	rim()
	b.onTop(hp, hq, deep, turn)
}

// row draws a row of bands about long inches long, side by side along x from 0, their
// near ends at q along y, and how far along x it comes.
func (b *builder) row(long, q float64) (bands []bundle, p float64) {
	r := b.r
	fan := by(b.level, 0.02, 0.07, 0.16) * r.NormFloat64()
	n, thin := by(b.level, 8+r.IntN(6), 7+r.IntN(5), 7+r.IntN(5)), 1.0
	if b.options.Varied {
		n, thin = 4+r.IntN(20), pick(r, 1, 1, mix(0.3, 1, r.Float64()))
	}
	for i := range n {
		k := b.drawBundle(long, mix(2.2, 3.8, r.Float64()))
		k.stands, k.t = true, thin*mix(0.3, 1.15, r.Float64())
		k.lean = fan*(float64(i)/float64(n)-0.3)*2 + by(b.level, 0.01, 0.03, 0.06)*r.NormFloat64()
		k.angle = math.Pi/2 + by(b.level, 0.006, 0.014, 0.03)*r.NormFloat64()
		if r.IntN(5) == 0 {
			k.layers = 1
		}
		k.label = b.options.Varied && r.IntN(9) == 0
		top := min(4.8, 4.2+by(b.level, 0.08, 0.18, 0.3)*r.NormFloat64())
		k.at = vec{p + k.t/2, q + long/2 + 0.2*r.NormFloat64(), top - k.d/2}
		p += k.t + by(b.level, 0.02, 0.03, 0.04)*r.ExpFloat64()
		bands = append(bands, k)
	}
	return bands, p
}

// box stands an open box on the ground: half sides hp and hq, deep inches high, turned
// about z, of wickerwork, or wood, board or paint. open leaves its near side away. It
// returns what adds the rim, once all that the box holds is there.
func (b *builder) box(hp, hq, deep, turn, rim float64, wicker bool, open int) func() {
	r := b.r
	c, seed := pick(r, woods...), r.Uint32()
	weave := func(u, v float64) float64 { return 0 }
	if wicker { // rods that pass over and under uprights
		weave = func(u, v float64) float64 {
			q := 2*wrap(v/0.34, 1) - 1
			return 0.1*math.Sqrt(max(0, 1-q*q)) + 0.07*math.Sin(math.Pi*(u/0.7+math.Floor(v/0.34)))
		}
	}
	put := func(o, a, c2 vec, outline geom.Polygon, wall uint32, light func(v float64) float64) {
		b.addSeen(face{
			o: o.turn(turn), a: a.turn(turn), b: c2.turn(turn), outline: outline, relief: weave,
			colour: func(u, v float64) (colour.Linear, int) {
				if wicker {
					h := unit(hash(int32(math.Floor(u/0.7)), int32(math.Floor(v/0.34)), seed+wall))
					return scaled(c, 0.8+0.3*h+0.12*noise(3*u, 16*v, seed)), 0
				}
				return scaled(c, 1+0.06*fractal(0.3*u, 4*v, 3, 0.6, seed+wall)), 0
			},
			shade: func(u, v float64) float64 { return light(v) },
		})
	}
	full := func(float64) float64 { return 1 }
	if open == 0 {
		put(vec{0, 0, 0.15}, vec{1, 0, 0}, vec{0, 1, 0}, rounded(hp, hq, 0), 9, func(float64) float64 { return 0.3 })
	}
	for side, n := range []vec{{0, -1, 0}, {1, 0, 0}, {-1, 0, 0}, {0, 1, 0}}[:4-open] {
		reach, half := math.Abs(n.x)*hp+math.Abs(n.y)*hq, math.Abs(n.x)*hq+math.Abs(n.y)*hp
		along, down := vec{-n.y, n.x, 0}, vec{0, 0, -1}
		middle := vec{0, 0, deep / 2}
		put(middle.add(n.mul(reach)), along, down, rounded(half, deep/2, 0), uint32(4+side), func(v float64) float64 {
			return 0.25 + 0.75*math.Exp(-(v+deep/2)/max(1.6, deep*float64(open)))
		})
		put(middle.add(n.mul(reach+rim)), along.mul(-1), down, rounded(half+rim, deep/2, 0), uint32(side), full)
	}
	return func() {
		round := 0.0
		if wicker {
			round = 0.9
		}
		put(vec{0, 0, deep}, vec{1, 0, 0}, vec{0, 1, 0}, between(rounded(hp+rim, hq+rim, round), rounded(hp, hq, round)), 10, full)
	}
}
