package scene

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// A stack is laid out in the frame of its container: p along the row of bands,
// q along a band, z up out of the container's mouth.

// bandOf is one folded strip standing on edge.
type bandOf struct {
	fabric      int
	p, q, z     float64 // middle of its top
	thick, long float64
	deep        float64 // from top to bottom
	lean, yaw   float64
	layers      int
	bend        float64
	ends        [2][]float64 // how far each layer stands out at each end
	seed        uint32
	offset      []float64 // of the print, by layer
}

// stack stands folded strips on edge in a basket or box, or lays them in a
// shelf.
func (b *builder) stack() {
	r := b.r
	kind := pick(r, "basket", "basket", "basket", "shelf", "shelf", "box")
	if b.options.Varied && r.IntN(3) == 0 {
		kind = "" // on the bare table, some of them filling the picture
	}
	b.fabrics = b.cloths(30)
	var bands []bandOf
	var rows []rowOf
	width, q := 0.0, 0.0 // taken so far along p, along q
	for range by(b.level, 1, pick(r, 1, 2, 2), pick(r, 2, 3, 3)) {
		long := mix(4.6, 6.6, r.Float64())
		if b.level == 1 {
			long = mix(5.6, 9.2, r.Float64())
		}
		some, p := b.row(kind == "shelf", long, q)
		bands = append(bands, some...)
		rows = append(rows, rowOf{n: len(some), width: p})
		width = max(width, p)
		q += long + mix(0.15, 0.7, r.Float64())
	}
	if kind == "" {
		for i := range bands {
			bands[i].deep = bands[i].z
		}
	} else if kind != "shelf" {
		b.slide(bands, rows, width)
	}
	spare := by(b.level, 0.5, 1, 1.6) * r.Float64()
	wide := 0.0 // room beside the stacks
	if kind == "shelf" {
		spare = width * mix(0.25, 0.7, r.Float64())
		wide = pick(r, 0.0, 0, 2, 12) * r.Float64()
	}
	lowQ, highQ := 0.0, q
	for i := range bands {
		lowQ, highQ = min(lowQ, bands[i].q-bands[i].long/2), max(highQ, bands[i].q+bands[i].long/2)
	}
	hp, hq := (width+spare)/2+0.4, (highQ-lowQ)/2+mix(0.2, 0.5, r.Float64())
	for i := range bands {
		bands[i].q -= (lowQ + highQ) / 2
		bands[i].p -= width / 2
		if kind == "shelf" { // they lie on its floor
			bands[i].p -= spare / 2
		}
	}
	turn := pick(r, 0, math.Pi/2) + 0.05*float64(b.level)*r.NormFloat64()
	if b.options.Varied && kind != "shelf" && r.IntN(3) == 0 {
		turn = 2 * math.Pi * r.Float64()
	}
	if (hp > hq) != (b.w > b.h) && r.IntN(4) > 0 {
		turn += math.Pi / 2
	}
	if kind == "shelf" { // its floor is at the bottom of the picture
		turn = -math.Pi/2 + 0.03*float64(b.level)*r.NormFloat64()
	}
	s, c := math.Abs(math.Sin(turn)), math.Abs(math.Cos(turn))
	bw, bh := 2*(hp*c+hq*s)+1.6, 2*(hp*s+hq*c)+1.6
	b.aim(mix(0.82, 1.02, r.Float64())*min(float64(b.w)/bw, float64(b.h)/bh), 4.2)
	b.cover([]string{"wood", "wood", "wood", "greymat", "carpet", "linen", "wall", "flannel"}, false)
	b.container = kind
	var box *container
	if kind == "" {
		b.zoom(pick(r, 0.9, 1.3, 1.7))
		for i := range b.faces {
			b.faces[i] = b.faces[i].placed(b.cam)
		}
	} else {
		box = b.newContainer(kind, hp, hq+wide, turn)
		box.behind()
	}
	if b.options.Varied && kind != "" && r.IntN(4) == 0 { // half empty, or quite
		left := pick(r, 0, 0.3, 0.6)
		bands = slices.DeleteFunc(bands, func(bandOf) bool { return r.Float64() > left })
	}
	eye := b.cam.eye.turn(-turn)
	far := func(k *bandOf) float64 { return math.Hypot(k.p-eye.x, k.q-eye.y) }
	slices.SortStableFunc(bands, func(a, b bandOf) int { return cmp.Compare(far(&b), far(&a)) })
	for i := range bands {
		b.stand(&bands[i], turn)
	}
	if box != nil {
		box.front()
	}
	b.onTop(hp, hq, turn)
}

// rowOf is a row of n bands, width inches along p.
type rowOf struct {
	n     int
	width float64
}

// slide moves some rows shorter than width away from the wall they begin at.
func (b *builder) slide(bands []bandOf, rows []rowOf, width float64) {
	for _, w := range rows {
		if b.r.IntN(3) == 0 {
			for i := range bands[:w.n] {
				bands[i].p += mix(0.3, 1, b.r.Float64()) * (width - w.width)
			}
		}
		bands = bands[w.n:]
	}
}

// row draws a row of bands about long inches long, from p = 0, the near ends
// at q, and how far along p it comes.
func (b *builder) row(shelf bool, long, q float64) (bands []bandOf, p float64) {
	r := b.r
	fan := by(b.level, 0.02, 0.07, 0.16) * r.NormFloat64()
	n := by(b.level, 8+r.IntN(6), 7+r.IntN(5), 7+r.IntN(5))
	thin := 1.0
	if b.options.Varied {
		n, thin = 4+r.IntN(20), pick(r, 1, 1, mix(0.3, 1, r.Float64()))
	}
	for i := range n {
		k := bandOf{
			fabric: r.IntN(len(b.fabrics)), thick: thin * mix(0.3, 1.15, r.Float64()),
			long: long + 0.25*r.NormFloat64(), deep: mix(2.2, 3.8, r.Float64()),
			lean: fan*(float64(i)/float64(n)-0.3)*2 + by(b.level, 0.01, 0.03, 0.06)*r.NormFloat64(),
			yaw:  by(b.level, 0.006, 0.014, 0.03) * r.NormFloat64(),
			bend: by(b.level, 0.001, 0.004, 0.006) * r.NormFloat64(), seed: r.Uint32(),
		}
		k.layers = max(1, min(7, int(k.thick/mix(0.12, 0.34, r.Float64()))))
		if r.IntN(5) == 0 {
			k.layers = 1
		} else if b.options.Varied && r.IntN(5) < 3 {
			k.layers = 2 + r.IntN(7)
		}
		k.p, k.z = p+k.thick/2, 4.2+by(b.level, 0.08, 0.18, 0.3)*r.NormFloat64()
		k.q = q + long/2 + 0.12*r.NormFloat64()
		if shelf {
			k.lean *= 0.2
			k.z += 0.25 * r.NormFloat64()
			k.q += 0.35 * r.NormFloat64()
		}
		k.z = min(4.8, k.z)
		p += k.thick + by(b.level, 0.02, 0.03, 0.04)*r.ExpFloat64()
		for range k.layers {
			k.ends[0] = append(k.ends[0], -0.1*r.Float64())
			k.ends[1] = append(k.ends[1], -0.1*r.Float64())
			k.offset = append(k.offset, 9*r.Float64())
		}
		bands = append(bands, k)
	}
	return bands, p
}

// stand adds the faces of a band.
func (b *builder) stand(k *bandOf, turn float64) {
	fab := b.fabrics[k.fabric]
	id := len(b.pieces) + 1
	sl, cl := math.Sincos(k.lean)
	// Along the band, across it, and down its side.
	along := vec{0, -1, 0}.turn(k.yaw)
	across := vec{cl, 0, -sl}.turn(k.yaw)
	down := vec{-sl, 0, -cl}.turn(k.yaw)
	top := vec{k.p, k.q, k.z}
	world := func(v vec) vec { return v.turn(turn) }
	tex := b.texture(fab)
	w := k.thick / float64(k.layers)
	dark := func(u, v float64) float64 { return 0.25 + 0.75*math.Exp(-max(0, v+k.deep/2)/0.9) }
	add := func(o, a, c vec, outline geom.Polygon, f face) {
		f.o, f.a, f.b, f.piece, f.outline = world(o), world(a), world(c), id, outline
		b.addSeen(f)
	}
	flank := func(side float64) {
		o := top.add(across.mul(side * k.thick / 2)).add(down.mul(k.deep/2 + 0.15*w))
		add(o, along.mul(side), down, rounded(k.long/2-0.06, k.deep/2, 0), face{
			shade:  dark,
			colour: func(u, v float64) (colour.Linear, int) { return tex(side*u, v+3) },
			relief: func(u, v float64) float64 { return 0.02 * fractal(0.6*u, 0.6*v, 2, 0.5, k.seed) },
		})
	}
	end := func(side float64) {
		o := top.sub(along.mul(side * (k.long/2 - 0.07))).add(down.mul(k.deep/2 + 0.2*w))
		gap := func(u float64) float64 { // 0 between layers, 1 on cloth
			q := wrap((u+k.thick/2)/w, 1)
			return step(0, 0.22, min(q, 1-q))
		}
		add(o, across.mul(side), down, rounded(k.thick/2-0.02, k.deep/2, 0), face{
			shade: func(u, v float64) float64 { return dark(u, v) * (0.3 + 0.7*gap(u)) },
			colour: func(u, v float64) (colour.Linear, int) {
				c, ink := tex(u, v)
				if fold := wrap((u+k.thick/2)/w*2, 1); fold > 0.3 && fold < 0.7 {
					return fab.back(c), len(fab.inks) + ink
				}
				return c, ink
			},
			relief: func(u, v float64) float64 { return 0.3 * w * gap(u) },
		})
	}
	if b.options.Varied { // sides and top do not quite meet: cloth, not what is behind, shows between
		add(top.add(down.mul(0.15*w)), along, across, rounded(k.long/2-0.06, k.thick/2, 0), face{
			bend:   0.5 * k.bend,
			colour: tex,
			shade:  func(u, v float64) float64 { return 0.35 },
		})
	}
	end(-1)
	end(1)
	flank(-1)
	flank(1)
	profile := func(v float64) (layer int, x float64) {
		l, x := layerAt(v, k.thick, k.layers)
		return int(l), x
	}
	steep, groove := 0.4, 0.55
	if b.options.Varied {
		groove = mix(0.2, 0.95, b.r.Float64())
	}
	if k.layers == 1 {
		steep = 0.5
	}
	add(top, along, across, k.mouth(w), face{
		bend: k.bend,
		colour: func(u, v float64) (colour.Linear, int) {
			l, x := profile(v)
			return tex(u+0.15*k.offset[l], k.offset[l]+0.5*w*math.Asin(min(1, max(-1, x))))
		},
		relief: func(u, v float64) float64 {
			l, x := profile(v)
			return steep*w*(math.Sqrt(max(0.02, 1-x*x))-1) + 0.03*noise(0.5*u, float64(l), k.seed) - 0.35*k.ends[0][l]*w
		},
		shade: func(u, v float64) float64 {
			_, x := profile(v)
			return 1 - groove*step(0.72, 1, math.Abs(x))
		},
	})
	if b.options.Varied {
		if b.r.IntN(4) == 0 {
			b.fray(&b.faces[len(b.faces)-1], fab)
		}
		if b.r.IntN(9) == 0 {
			q := world(top)
			w := mix(0.6, 1, b.r.Float64()) * k.thick
			b.label(id, slab{x: q.x, y: q.y, z: q.z, w: max(1, w), d: w, angle: turn + b.r.NormFloat64()})
		}
	}
	b.register(Piece{Shape: "folded", WidthIn: pick(b.r, 1.5, 2.5, 2.5, 3.5, 5, 7), HeightIn: math.Round(mix(12, 44, b.r.Float64())) / 2, Folded: true}, k.fabric)
}

// mouth is the outline of a band's top: its layers end unevenly, in rounds.
func (k *bandOf) mouth(w float64) geom.Polygon {
	var out geom.Polygon
	for e, dir := range [2]float64{-1, 1} {
		for i := range k.layers {
			l := i
			if e == 1 {
				l = k.layers - 1 - i
			}
			mid := -k.thick/2 + (float64(l)+0.5)*w
			u := k.long/2 + k.ends[e][l]
			for _, x := range [5]float64{-1, -0.7, 0, 0.7, 1} {
				round := 0.16 * w * (1 - math.Sqrt(1-0.98*x*x))
				out = append(out, geom.Point{X: dir * (u - round), Y: mid - dir*x*w/2})
			}
		}
	}
	// Points along the sides, so that a bent band has bent sides.
	return finer(out, 0.25).Map(func(m geom.Point) geom.Point {
		return geom.Point{X: m.X, Y: m.Y + k.bend*m.X*m.X + 0.02*noise(0.8*m.X, 3, k.seed+1)}
	})
}
