package scene

import (
	"math"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// rounded is a 2w × 2h rectangle with round corners.
func rounded(w, h, radius float64) geom.Polygon {
	if radius == 0 {
		return geom.Polygon{{X: -w, Y: -h}, {X: w, Y: -h}, {X: w, Y: h}, {X: -w, Y: h}}
	}
	var out geom.Polygon
	for k, c := range [4]geom.Point{{X: w - radius, Y: h - radius}, {X: radius - w, Y: h - radius}, {X: radius - w, Y: radius - h}, {X: w - radius, Y: radius - h}} {
		for i := range 7 {
			s, co := math.Sincos(math.Pi / 2 * (float64(k) + float64(i)/6))
			out = append(out, c.Add(geom.Point{X: radius * co, Y: radius * s}))
		}
	}
	return out
}

// finer is a ring with points between its own, at most step inches apart or little
// more.
func finer(ring geom.Polygon, step float64) geom.Polygon {
	var out geom.Polygon
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		n := max(1, int(p.Dist(q)/step))
		for j := range n {
			out = append(out, p.Add(q.Sub(p).Mul(float64(j)/float64(n))))
		}
	}
	return out
}

func disc(radius float64) geom.Polygon {
	out := make(geom.Polygon, 36)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 36)
		out[i] = geom.Point{X: radius * c, Y: radius * s}
	}
	return out
}

// clutter strews n things that are not cloth; some lie on the cloth.
func (b *builder) clutter(taken *[]rect, n int) {
	for range n {
		if b.options.Varied && b.r.IntN(4) > 0 {
			b.layTool(taken)
			continue
		}
		b.oneThing(taken)
	}
}

// oneThing lays a button, a pin, a pencil or a reel of thread.
func (b *builder) oneThing(taken *[]rect) {
	r := b.r
	what := r.IntN(4)
	size := [4]struct{ w, h float64 }{{0.6, 0.6}, {1.6, 0.14}, {6.5, 0.3}, {0.9, 1.5}}[what]
	apart := 0.15
	if what < 2 && r.IntN(2) == 0 {
		apart = -1e3 // small things may lie on cloth
	}
	q, ok := b.find(size.w, size.h, func() float64 { return 2 * math.Pi * r.Float64() }, apart, *taken)
	if !ok {
		return
	}
	*taken = append(*taken, q)
	c := someDye(r)
	steel, wood := colour.Linear{0.55, 0.55, 0.54}, colour.Linear{0.7, 0.6, 0.45}
	switch what {
	case 0: // button
		radius := mix(0.2, 0.42, r.Float64())
		parts := []part{{disc(radius), c, 0.15, 0.4 * radius, plain}}
		for k := range 4 {
			hole := turned(geom.Point{X: 0.1}, math.Pi/4+float64(k)*math.Pi/2)
			parts = append(parts, part{moved(disc(0.035), hole.X, hole.Y, 0), scaled(c, 0.3), 0.1, 0, plain})
		}
		b.lay(q, parts)
	case 1: // pin
		b.lay(q, []part{{rounded(0.7, 0.012, 0), steel, 0.05, 0, plain}, {moved(disc(0.075), 0.72, 0, 0), c, 0.15, 0.075, plain}})
	case 2: // pencil
		b.lay(q, []part{
			{moved(rounded(2.9, 0.14, 0), -0.3, 0, 0), c, 0.28, 0.14, plain},
			{moved(rounded(0.15, 0.14, 0), -3.05, 0, 0), colour.Linear{0.6, 0.3, 0.3}, 0.28, 0.14, plain},
			{geom.Polygon{{X: 2.6, Y: -0.14}, {X: 3.2, Y: 0}, {X: 2.6, Y: 0.14}}, colour.Linear{0.62, 0.44, 0.27}, 0.28, 0.14, plain},
			{geom.Polygon{{X: 3.05, Y: -0.035}, {X: 3.2, Y: 0}, {X: 3.05, Y: 0.035}}, colour.Linear{0.06, 0.06, 0.06}, 0.2, 0, plain},
		})
	default: // reel of thread
		b.lay(q, []part{
			{rounded(0.45, 0.75, 0.05), wood, 0.65, 0.45, plain}, {rounded(0.36, 0.62, 0), c, 0.56, 0.36, plain},
		})
	}
}
