package scene

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// by picks a value by level.
func by[T any](level int, v1, v2, v3 T) T { return [3]T{v1, v2, v3}[level-1] }

// wear returns how rough the cloth of a level is.
func (b *builder) wear() float64 { return by(b.level, 0.25, 0.6, 1.0) }

// squares are the usual cuts, inches, each as often as it is drawn.
var squares = []float64{1.5, 2, 2.5, 2.5, 2.5, 2.5, 3.5, 3.5, 3.5, 3.5, 4.5, 5, 5, 5, 6.5, 7, 8.5, 10}

// drawSize draws a piece's cut size: square, rectangle or strip.
func drawSize(r *rand.Rand, strips float64) (w, h float64) {
	halfInch := func(x float64) float64 { return math.Round(2*x) / 2 }
	switch t := r.Float64(); {
	case t < strips:
		w = pick(r, 1.5, 1.5, 2, 2.5, 2.5, 2.5, 3.5, 3.5, 5, 7)
		h = halfInch(mix(2.6*w, min(22, 11*w), r.Float64()))
	case t < strips+0.22:
		w = pick(r, 2.5, 3.5, 3.5, 4.5, 5, 5, 6.5, 7)
		h = halfInch(mix(w+0.5, 2.2*w, r.Float64()))
	default:
		w = squares[r.IntN(len(squares))]
		h = w
	}
	return w, h
}

// rect is a turned rectangle in the world, inches.
type rect struct{ x, y, w, h, angle float64 }

func (q rect) corners() [4]geom.Point {
	return [4]geom.Point(moved(rounded(q.w/2, q.h/2, 0), q.x, q.y, q.angle))
}

// turned returns p turned about the origin by an angle, radians.
func turned(p geom.Point, angle float64) geom.Point {
	s, c := math.Sincos(angle)
	return geom.Point{X: p.X*c - p.Y*s, Y: p.X*s + p.Y*c}
}

// gap returns how far two rectangles stand apart along the best of their axes,
// inches; negative where they overlap (separating axes).
func (q rect) gap(o rect) float64 {
	best := math.Inf(-1)
	p, t := q.corners(), o.corners()
	for _, a := range [4]float64{q.angle, q.angle + math.Pi/2, o.angle, o.angle + math.Pi/2} {
		s, c := math.Sincos(a)
		span := func(k [4]geom.Point) (lo, hi float64) {
			lo, hi = math.Inf(1), math.Inf(-1)
			for _, v := range k {
				d := v.X*c + v.Y*s
				lo, hi = min(lo, d), max(hi, d)
			}
			return lo, hi
		}
		lo1, hi1 := span(p)
		lo2, hi2 := span(t)
		best = max(best, lo2-hi1, lo1-hi2)
	}
	return best
}

// inside reports whether the photo shows all of q, z inches over the ground,
// margin pixels clear of its border.
func (b *builder) inside(q rect, z, margin float64) bool {
	for _, p := range q.corners() {
		d := b.cam.distort(b.cam.project(vec{p.X, p.Y, z}))
		if d.X < margin || d.Y < margin || d.X > float64(b.w)-margin || d.Y > float64(b.h)-margin {
			return false
		}
	}
	return true
}

// ahead reports whether all of q lies well before the camera: what is beside or
// behind it has no picture.
func (b *builder) ahead(q rect) bool {
	far := vecLen(b.cam.eye.sub(b.cam.aim))
	for _, p := range q.corners() {
		if (vec{p.X, p.Y, 0}).sub(b.cam.eye).dot(b.cam.forward) < 0.15*far {
			return false
		}
	}
	return true
}

// find looks for a free place for a w × h rectangle, apart inches from all of
// taken (negative lets it overlap).
func (b *builder) find(w, h float64, angle func() float64, apart float64, taken []rect) (rect, bool) {
	fw, fh := float64(b.w)/b.ppi, float64(b.h)/b.ppi
try:
	for range 300 {
		q := rect{x: 1.3 * fw * (b.r.Float64() - 0.5), y: 1.3 * fh * (b.r.Float64() - 0.5), w: w, h: h, angle: angle()}
		if !b.inside(q, 0, 14) {
			continue
		}
		for _, o := range taken {
			if q.gap(o) < apart {
				continue try
			}
		}
		return q, true
	}
	return rect{}, false
}

// sizes draws the sizes of n pieces, inches, and what they come to, square inches;
// either way up where turned.
func (b *builder) sizes(n int, strips float64, turned bool) (sizes []rect, area float64) {
	for range n {
		w, h := drawSize(b.r, strips)
		if turned && b.r.IntN(2) == 0 {
			w, h = h, w
		}
		sizes = append(sizes, rect{w: w, h: h})
		area += w * h
	}
	return sizes, area
}

// spread lays pieces apart.
func (b *builder) spread() {
	r := b.r
	n := by(b.level, 8+r.IntN(9), 15+r.IntN(14), 26+r.IntN(26))
	b.fabrics = b.cloths(2 + n*9/10)
	sizes, area := b.sizes(n, 0.25, true)
	share := mix(0.32, 0.47, r.Float64())
	ppi := math.Sqrt(share * float64(b.w*b.h) / area)
	b.aim(min(ppi, float64(max(b.w, b.h))/24), 0)
	b.cover([]string{"wood", "wood", "wood", "greymat", "greymat", "greymat", "flannel", "carpet", "greenmat", "greenmat", "linen", "wall"}, r.Float64() < 0.15)
	var taken []rect
	b.reference(&taken, 0.6)
	// Large ones first, or they find no room.
	slices.SortStableFunc(sizes, func(p, q rect) int { return cmp.Compare(q.w*q.h, p.w*p.h) })
	angle := func() float64 {
		return by(b.level, 0.08*r.NormFloat64(), 0.35*r.NormFloat64(), 2*math.Pi*r.Float64())
	}
	refs := len(taken)
	for _, s := range sizes {
		apart := by(b.level, 0.45, 0.25, 0.1)
		if b.level > 1 && r.IntN(3) == 0 {
			apart = by(b.level, 0, -0.08, -0.35) // touching or a little over
		}
		// Never onto the reference.
		clear := append([]rect(nil), taken...)
		for i := range refs {
			clear[i].w += 2 * max(0, 0.2-apart)
			clear[i].h += 2 * max(0, 0.2-apart)
		}
		q, ok := b.find(s.w, s.h, angle, apart, clear)
		if !ok {
			continue
		}
		taken = append(taken, q)
		b.put(item{fabric: r.IntN(len(b.fabrics)), w: s.w, h: s.h, x: q.x, y: q.y, angle: q.angle, fold: b.options.Varied && r.IntN(7) == 0, thick: 0.02, stiff: 0.6, wear: b.wear()})
	}
	if b.level > 1 {
		b.clutter(&taken, r.IntN(by(b.level, 1, 3, 5)))
	}
}

// inGrid returns the middle of the i-th of cols columns and the j-th of rows, about the origin.
func inGrid(i, cols, j, rows int, across, down float64) geom.Point {
	return geom.Point{X: (float64(i) - float64(cols-1)/2) * across, Y: (float64(j) - float64(rows-1)/2) * down}
}

// board lays squares edge to edge.
func (b *builder) board() {
	r := b.r
	cut := pick(r, 2.5, 2.5, 3.5, 3.5, 3.5, 4.5, 5, 5, 5, 6.5, 10)
	b.rows = by(b.level, 3+r.IntN(4), 5+r.IntN(4), 7+r.IntN(6))
	b.cols = by(b.level, 3+r.IntN(4), 5+r.IntN(5), 7+r.IntN(6))
	if b.h > b.w {
		b.rows, b.cols = b.cols, b.rows
	}
	pitch := cut + mix(-0.03, 0.09, r.Float64())
	if r.IntN(4) == 0 {
		pitch = cut + mix(0.1, 0.5, r.Float64()) // gaps that show
	}
	bw, bh := pitch*float64(b.cols), pitch*float64(b.rows)
	fill := mix(0.62, 0.9, r.Float64())
	angle := 0.05 * float64(b.level) * r.NormFloat64()
	b.aim(fill*min(float64(b.w)/bw, float64(b.h)/bh), 0)
	whole := rect{w: bw + 0.3, h: bh + 0.3, angle: angle}
	for !b.inside(whole, 0, 8) { // seen aslant or turned it needs more room
		b.zoom(0.94)
	}
	b.cover([]string{"flannel", "flannel", "flannel", "flannel", "wall", "greymat", "wood", "carpet", "linen", "greenmat"}, r.Float64() < 0.1)
	b.fabrics = b.cloths(3 + b.rows*b.cols*8/10)
	if b.level > 1 && b.options.Real < 1 { // whites, which flannel hides
		white := &fabric{name: "solid", thread: 0.05, seed: r.Uint32(), same: true, inks: []colour.Linear{lch(94, 1, 95)}}
		b.fabrics[0] = white
	}
	room := func(have, need float64) float64 { return max(0, have-need) * 0.4 * (2*r.Float64() - 1) }
	cx, cy := room(float64(b.w)/b.ppi, bw*1.12), room(float64(b.h)/b.ppi, bh*1.12)
	for whole.x, whole.y = cx, cy; !b.inside(whole, 0, 8); whole.x, whole.y = cx, cy {
		cx, cy = 0.8*cx, 0.8*cy
	}
	fabric := make([]int, b.rows*b.cols)
	var order []int
	for i := range fabric {
		fabric[i] = r.IntN(len(b.fabrics))
		switch {
		case i%b.cols > 0 && r.Float64() < 0.15:
			fabric[i] = fabric[i-1]
		case i >= b.cols && r.Float64() < 0.08:
			fabric[i] = fabric[i-b.cols]
		}
		if b.level < 2 || r.Float64() > 0.03 { // else a square is missing
			order = append(order, i)
		}
	}
	r.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
	off := by(b.level, 0.02, 0.04, 0.06)
	var taken []rect
	for _, i := range order {
		p := turned(inGrid(i%b.cols, b.cols, i/b.cols, b.rows, pitch, pitch).Add(geom.Point{X: off * r.NormFloat64(), Y: off * r.NormFloat64()}), angle)
		b.put(item{
			fabric: fabric[i], w: cut, h: cut, x: cx + p.X, y: cy + p.Y,
			angle: angle + by(b.level, 0.006, 0.016, 0.026)*r.NormFloat64(), thick: 0.02, stiff: 0.4, wear: b.wear(),
		})
	}
	taken = append(taken, whole)
	b.reference(&taken, 0.6)
}

// pile heaps loose pieces up.
func (b *builder) pile() {
	r := b.r
	n := by(b.level, 8+r.IntN(6), 14+r.IntN(9), 20+r.IntN(13))
	b.fabrics = b.cloths(2 + n)
	sizes, area := b.sizes(n, 0.4, false)
	share := mix(0.55, 0.85, r.Float64())
	b.aim(min(math.Sqrt(share*float64(b.w*b.h)/area), float64(max(b.w, b.h))/26), 0)
	b.cover([]string{"wood", "wood", "greymat", "greymat", "flannel", "carpet", "greenmat", "linen"}, r.Float64() < 0.15)
	fw, fh := float64(b.w)/b.ppi, float64(b.h)/b.ppi
	sewn := 0.0
	if b.options.Varied {
		sewn = pick(r, 0, 0.15, 0.6)
	}
	var taken []rect
	for _, s := range sizes {
		wide := 0.12
		if r.IntN(5) == 0 {
			wide = 0.26
		}
		q := s
		for range 60 {
			q.x, q.y, q.angle = wide*fw*r.NormFloat64(), wide*fh*r.NormFloat64(), 2*math.Pi*r.Float64()
			if b.inside(q, 0, 10) {
				break
			}
		}
		if !b.inside(q, 0, 10) {
			continue
		}
		taken = append(taken, q)
		folds := by(b.level, 0.03, 0.14, 0.32)
		if b.options.Varied {
			folds = 0.4
			if r.Float64() < sewn {
				b.sew(units[r.IntN(len(units))](r), min(s.w, s.h), q.x, q.y, q.angle, b.someFabrics())
				continue
			}
		}
		b.put(item{
			fabric: r.IntN(len(b.fabrics)), w: s.w, h: s.h, x: q.x, y: q.y, angle: q.angle,
			irregular: b.level > 1 && r.Float64() < 0.28,
			fold:      r.Float64() < folds,
			thick:     mix(0.05, 0.14, r.Float64()), stiff: mix(0.6, 2.2, r.Float64()), wear: 0.4 + 1.4*b.wear(),
		})
	}
	b.reference(&taken, 0.3)
	b.clutter(&taken, r.IntN(by(b.level, 2, 4, 7)))
}
