package scene

import (
	"math"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

type finish int

const (
	plain finish = iota
	matt
	glossy
	paper // white
)

// part is one flat bit of a tool in the tool's own u, v, inches.
type part struct {
	outline geom.Polygon
	colour  colour.Linear
	high    float64 // over what it lies on, inches
	round   float64 // half width over which it is rounded, inches; 0 flat
	finish  finish
}

func moved(g geom.Polygon, u, v, angle float64) geom.Polygon {
	return g.Map(func(p geom.Point) geom.Point { return geom.Point{X: u, Y: v}.Add(turned(p, angle)) })
}

func stretched(g geom.Polygon, x, y float64) geom.Polygon {
	return g.Map(func(p geom.Point) geom.Point { return geom.Point{X: p.X * x, Y: p.Y * y} })
}

// hoop is a ring of inner radius 1 - wide around a disc of radius 1, stretched.
func hoop(x, y, wide float64) geom.Polygon {
	return between(stretched(disc(1), x, y), stretched(disc(1), x-wide, y-wide))
}

// between is the ring between two outlines, one inside the other.
func between(outer, inner geom.Polygon) geom.Polygon {
	return slices.Concat(outer, outer[:1], inner, inner[:1])
}

// tool draws something of the sewing table that is no cloth: its parts, and
// how far it reaches.
func (b *builder) tool() (parts []part, w, h float64) {
	r := b.r
	steel := scaled(colour.Linear{0.6, 0.6, 0.61}, mix(0.4, 1.2, r.Float64()))
	bright := someDye(r)
	switch r.IntN(12) {
	case 0: // scissors
		open := mix(0.04, 0.35, r.Float64())
		for side, sign := range [2]float64{-1, 1} {
			blade := geom.Polygon{{X: -0.6, Y: -0.18}, {X: 3.6, Y: -0.04}, {X: 3.8, Y: 0.03}, {X: -0.6, Y: 0.22}}
			parts = append(parts, part{moved(blade, 0, 0, sign*open), scaled(steel, 1-0.1*float64(side)), 0.12, 0, glossy},
				part{moved(hoop(1.25, 0.75, 0.26), -1.7*math.Cos(sign*open), -1.7*math.Sin(sign*open)+sign*0.6, sign*(open+0.25)), bright, 0.25, 0.12, matt})
		}
		return append(parts, part{disc(0.12), scaled(steel, 0.6), 0.3, 0, glossy}), 8, 3.4
	case 1: // rotary cutter
		return []part{
			{moved(disc(0.9), 2.6, 0, 0), steel, 0.15, 0, glossy},
			{rounded(2.6, 0.42, 0.4), bright, 0.35, 0.4, matt},
			{moved(rounded(0.8, 0.3, 0.28), -1.2, 0, 0), colour.Linear{0.05, 0.05, 0.055}, 0.45, 0.3, matt},
			{moved(disc(0.22), 2.5, 0, 0), colour.Linear{0.7, 0.6, 0.1}, 0.45, 0, matt},
		}, 7, 2.2
	case 2: // cup, seen into
		rad := mix(1.2, 1.9, r.Float64())
		in := scaled(bright, 0.8)
		return []part{
			{disc(rad), bright, 3, 0, matt}, {disc(0.88 * rad), in, 2.4, 0, matt}, {disc(0.84 * rad), colour.Linear{0.09, 0.04, 0.02}, 2.2, 0, glossy},
			{moved(rounded(0.5, 0.22, 0.2), rad+0.3, 0, 0), bright, 2.2, 0.2, matt},
		}, 2*rad + 1.4, 2 * rad
	case 3: // rule of wood or metal
		c := pick(r, colour.Linear{0.62, 0.45, 0.22}, steel, colour.Linear{0.7, 0.6, 0.1})
		l := pick(r, 3.0, 6, 9)
		parts = append(parts, part{rounded(l, 0.5, 0), c, 0.1, 0, matt})
		for i := 1; i < int(8*l); i++ {
			tall := 0.12
			if i%4 == 0 {
				tall = 0.28
			}
			parts = append(parts, part{moved(rounded(0.012, tall/2, 0), -l+0.25*float64(i), tall/2-0.5, 0), colour.Linear{0.05, 0.05, 0.05}, 0.1, 0, matt})
		}
		return parts, 2 * l, 1
	case 4: // pattern piece of paper or card
		c, kind := paperWhite(r), paper
		if r.IntN(3) == 0 {
			c, kind = colour.Linear{0.55, 0.42, 0.26}, matt
		}
		var g geom.Polygon
		n := 3 + r.IntN(6)
		rad := mix(0.8, 3, r.Float64())
		for k := range n {
			s, co := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			g = append(g, geom.Point{X: rad * co, Y: rad * s * mix(0.6, 1, r.Float64())})
		}
		return []part{{g, c, 0.03, 0, kind}}, 2 * rad, 2 * rad
	case 5: // hand and arm
		skin := scaled(pick(r, colour.Linear{0.55, 0.35, 0.26}, colour.Linear{0.35, 0.19, 0.12}, colour.Linear{0.13, 0.06, 0.04}), mix(0.7, 1.2, r.Float64()))
		sleeve := someDye(r)
		for k := range 4 {
			u := 2.1 + [4]float64{0.5, 0.9, 0.8, 0.3}[k]
			parts = append(parts, part{moved(rounded(1.4, 0.33, 0.32), u, 0.75*float64(k)-1.1, 0.08*(float64(k)-1.5)), skin, 0.5, 0.33, matt})
		}
		parts = append(parts, part{moved(rounded(1.1, 0.36, 0.34), 0.6, 1.9, 0.7), skin, 0.5, 0.36, matt},
			part{moved(rounded(1.9, 1.65, 1), 0.2, 0, 0), skin, 0.8, 1.2, matt}, part{moved(rounded(3, 1.1, 0.3), -3.4, 0, 0), skin, 1.2, 1.1, matt})
		return append(parts, part{moved(rounded(3, 1.5, 0.3), -6.5, 0, 0), sleeve, 1.5, 1.5, matt}), 12, 4.5
	case 6: // pincushion, tape, fruit: something round
		rad := mix(0.7, 2.2, r.Float64())
		return []part{{disc(rad), bright, rad, rad, matt}, {disc(0.25 * rad), scaled(someDye(r), 0.8), 1.1 * rad, 0, matt}}, 2 * rad, 2 * rad
	case 7: // telephone, box, tin
		x, y := mix(1.3, 3, r.Float64()), mix(0.8, 2, r.Float64())
		parts = []part{{rounded(x, y, mix(0.02, 0.5, r.Float64())), bright, mix(0.3, 1.5, r.Float64()), 0, pick(r, matt, glossy)}}
		if r.IntN(2) == 0 {
			parts = append(parts, part{rounded(x-0.2, y-0.2, 0.1), someDye(r), parts[0].high, 0, glossy})
		}
		return parts, 2 * x, 2 * y
	case 8: // iron, seen from above
		body := moved(stretched(disc(1), 3.6, 1.7), 0, 0, 0)
		for i, p := range body { // pointed in front
			if p.X > 0 {
				body[i].Y *= 1 - 0.55*p.X/3.6
			}
		}
		return []part{
			{body, steel, 0.4, 0, glossy}, {stretched(body, 0.9, 0.85), bright, 1.6, 1.2, matt},
			{moved(rounded(1.9, 0.4, 0.38), -0.6, 0, 0), scaled(bright, 0.4), 3.2, 0.4, matt},
		}, 7.4, 3.6
	case 9: // bed of a sewing machine, its plate and foot
		c := pick(r, colour.Linear{0.75, 0.75, 0.73}, colour.Linear{0.08, 0.08, 0.09}, bright)
		return []part{
			{rounded(5, 3.2, 0.3), c, 2.5, 0.4, matt}, {moved(rounded(1.2, 0.9, 0.1), -2, 0, 0), steel, 2.55, 0, glossy},
			{moved(rounded(0.5, 0.2, 0.1), -2, 0.1, 0), scaled(steel, 0.7), 3.4, 0, glossy}, {moved(rounded(2, 0.9, 0.5), 1.5, -0.4, 0), scaled(c, 0.9), 6, 0.9, matt},
		}, 10.5, 6.6
	case 10: // foot in a sock or shoe
		return []part{
			{moved(rounded(4.2, 1.6, 1.5), 0, 0, 0), bright, 2.2, 1.5, matt}, {moved(rounded(1.6, 1.3, 1.2), -2.8, 0, 0), scaled(someDye(r), 0.8), 4, 1.3, matt},
		}, 8.6, 3.4
	default: // clips
		return []part{{rounded(0.5, 0.2, 0.08), bright, 0.3, 0.2, matt}, {moved(rounded(0.12, 0.24, 0), -0.42, 0, 0), steel, 0.34, 0, glossy}}, 1, 0.5
	}
}

// layTool lays a tool, on cloth or beside it.
func (b *builder) layTool(taken *[]rect) {
	r := b.r
	parts, w, h := b.tool()
	apart := pick(r, 0.15, math.Inf(-1))
	turn := func() float64 { return 2 * math.Pi * r.Float64() }
	q, ok := b.find(w, h, turn, apart, *taken)
	if !ok {
		fw, fh := float64(b.w)/b.ppi, float64(b.h)/b.ppi // half out of the picture
		q = rect{x: fw * (r.Float64() - 0.5), y: pick(r, -0.5, 0.5) * fh, w: w, h: h, angle: turn()}
	}
	if !b.ahead(q) {
		return
	}
	*taken = append(*taken, q)
	if r.IntN(7) == 0 {
		b.glass(q)
		return
	}
	b.lay(q, parts)
}

// lay puts the parts of a thing at q on what lies there.
func (b *builder) lay(q rect, parts []part) {
	z := b.drape.height(q.x, q.y)
	for _, p := range parts {
		f := lying(q.x, q.y, z, q.angle)
		f.outline, f.paper = p.outline, p.finish == paper
		seed := uint32(0)
		if p.finish != plain {
			seed = b.r.Uint32()
		}
		f.colour = func(u, v float64) (colour.Linear, int) {
			switch p.finish {
			case plain:
				return p.colour, 0
			case glossy: // what it mirrors
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
