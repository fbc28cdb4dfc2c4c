package scene

import (
	"math"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// part is one flat bit of a thing in the thing's own u, v, inches.
type part struct {
	outline geom.Polygon
	colour  colour.Linear
	high    float64 // over what it lies on, inches
	round   float64 // half width over which it is rounded, inches; 0 flat
	glossy  bool
	paper   bool // white
}

// thing draws something of the sewing table that is no cloth, of a box's size about: one
// to four parts in a row, discs, bars, rings and blades, of steel, wood, skin or any
// colour, flat or domed, matt or glossy; or a sheet of paper cut to a shape.
func (b *builder) thing(size float64) (parts []part) {
	r := b.r
	if b.options.Varied && r.IntN(6) == 0 {
		return []part{{outline: cutShape(r, size), colour: paperWhite(r), high: 0.03, paper: true}}
	}
	u := -size / 2
	for range 1 + r.IntN(4) {
		half := size * mix(0.1, 0.5, r.Float64())
		wide := half * pick(r, 1, 1, mix(0.1, 0.6, r.Float64()))
		p := part{colour: someDye(r), high: min(3, half) * mix(0.1, 1, r.Float64()), glossy: r.IntN(2) == 0}
		switch r.IntN(4) {
		case 0:
			p.colour = scaled(colour.Linear{0.6, 0.6, 0.61}, mix(0.4, 1.2, r.Float64()))
		case 1:
			p.colour = scaled(pick(r, woods...), mix(0.4, 1.2, r.Float64()))
		}
		switch r.IntN(6) {
		case 0, 1:
			p.outline = rounded(half, wide, wide*pick(r, 0.1, 0.95))
		case 2: // a ring
			p.outline = between(oval(half, wide), oval(0.75*half, 0.65*wide))
		case 3: // a blade
			p.outline = geom.Polygon{{X: -half, Y: -wide / 4}, {X: half, Y: 0}, {X: -half, Y: wide / 4}}
		default:
			p.outline = oval(half, wide)
		}
		if r.IntN(2) == 0 {
			p.round = wide
		}
		p.outline = moved(p.outline, u+half, size*0.05*r.NormFloat64(), pick(r, 0, 0, 0.5*r.NormFloat64()))
		parts = append(parts, p)
		u += half * mix(0.3, 2, r.Float64())
	}
	return parts
}

// clutter strews n things that are not cloth; some lie on the cloth.
func (b *builder) clutter(taken *[]rect, n int) {
	r := b.r
	for range n {
		// A button, a reel, shears, a rule or a sewing machine.
		size := mix(0.4, 1.5, r.Float64())
		if b.options.Varied {
			size = pick(r, size, mix(1, 4, r.Float64()), mix(3, 10, r.Float64()))
		}
		parts := b.thing(size)
		lo, hi := parts[0].outline.Bounds()
		for _, p := range parts {
			l, h := p.outline.Bounds()
			lo, hi = geom.Point{X: min(lo.X, l.X), Y: min(lo.Y, l.Y)}, geom.Point{X: max(hi.X, h.X), Y: max(hi.Y, h.Y)}
		}
		w, h := 2*max(hi.X, -lo.X), 2*max(hi.Y, -lo.Y)
		turn := func() float64 { return 2 * math.Pi * r.Float64() }
		q, ok := b.find(w, h, turn, pick(r, 0.15, math.Inf(-1)), *taken)
		if !ok {
			if !b.options.Varied {
				continue
			}
			fw, fh := float64(b.w)/b.ppi, float64(b.h)/b.ppi // half out of the picture
			q = rect{x: fw * (r.Float64() - 0.5), y: pick(r, -0.5, 0.5) * fh, w: w, h: h, angle: turn()}
		}
		if !b.ahead(q) {
			continue
		}
		*taken = append(*taken, q)
		if b.options.Varied && r.IntN(9) == 0 {
			b.glass(q)
		} else {
			b.lay(q, parts)
		}
	}
}

// lay puts the parts of a thing at q on what lies there.
func (b *builder) lay(q rect, parts []part) {
	z := b.drape.height(q.x, q.y)
	for _, p := range parts {
		f := lying(q.x, q.y, z, q.angle)
		f.outline, f.paper = p.outline, p.paper
		seed := b.r.Uint32()
		f.colour = func(u, v float64) (colour.Linear, int) {
			if p.glossy { // what it mirrors
				return scaled(p.colour, 0.6+0.8*clamp01(0.5+0.7*noise(0.5*u, 0.9*v, seed))), 0
			}
			return scaled(p.colour, 1+0.05*noise(3*u, 3*v, seed)), 0
		}
		lo, hi := p.outline.Bounds()
		mid, half := lo.Add(hi).Mul(0.5), hi.Sub(lo).Mul(0.5)
		f.relief = func(u, v float64) float64 {
			if p.round == 0 {
				return p.high
			}
			// Domed towards its rim.
			x, y := max(0, math.Abs(u-mid.X)-half.X+p.round)/p.round, max(0, math.Abs(v-mid.Y)-half.Y+p.round)/p.round
			return p.high * (0.2 + 0.8*math.Sqrt(max(0, 1-min(1, x*x+y*y))))
		}
		b.add(f)
	}
}

// overlay is something clear that lies over all: colour is its own albedo at u, v
// and how much it hides, 0..1.
type overlay struct {
	face   face
	colour func(u, v float64) (colour.Linear, float64)
}

// glass lays a clear rule at q: lines and figures, and a breath of white.
func (b *builder) glass(q rect) {
	r := b.r
	w, h := pick(r, 6.0, 12, 24, 12.5), pick(r, 2.5, 4.5, 6, 12.5)
	tone := pick(r, colour.Linear{0.6, 0.6, 0.6}, someDye(r), colour.Linear{0.55, 0.75, 0.6})
	line := pick(r, colour.Linear{0.03, 0.03, 0.03}, colour.Linear{0.03, 0.03, 0.03}, colour.Linear{0.7, 0.6, 0.05}, colour.Linear{0.5, 0.05, 0.05})
	veil, finer := mix(0.03, 0.25, r.Float64()), pick(r, 1.0, 2, 4, 8)
	seed := r.Uint32()
	f := lying(q.x, q.y, b.drape.height(q.x, q.y)+0.1, q.angle)
	f.outline = rounded(w/2, h/2, 0.05)
	b.overlays = append(b.overlays, overlay{f.placed(b.cam), func(u, v float64) (colour.Linear, float64) {
		x, y := u+w/2, v+h/2
		edge := min(x, y, w-x, h-y)
		switch i, j := math.Floor(x), math.Floor(y); {
		case edge < 0.05:
			return colour.Linear{0.8, 0.85, 0.82}, 0.5
		case onLine(x, 1, 0.015) || onLine(y, 1, 0.015), (onLine(x, 1/finer, 0.01) || onLine(y, 1/finer, 0.01)) && (wrap(x, 1) < 0.15 || wrap(y, 1) < 0.15):
			return line, 0.85
		case figure(int(i), x-i-0.08, y-0.1, 0.22) || figure(int(j), x-0.1, y-j-0.08, 0.22):
			return line, 0.9
		}
		return tone, veil * (0.7 + 0.6*clamp01(0.5+noise(0.3*x, 0.3*y, seed)))
	}})
}

// cover lays an overlay over the albedo of the photo's pixels.
func (cv *canvas) cover(c *camera, o *overlay) {
	o.face.onPicture(c).Fill(c.w, c.h, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			var col colour.Linear
			hides := 0.0
			for k := range super * super {
				u, v := o.face.at(c.sample(super*x+k%super, super*y+k/super))
				q, a := o.colour(u, v)
				for j := range col {
					col[j] += a * q[j] / (super * super)
				}
				hides += a / (super * super)
			}
			p := cv.albedo[3*(y*c.w+x):][:3]
			for j := range p {
				p[j] = float32(col[j] + (1-hides)*float64(p[j]))
			}
		}
	})
}
