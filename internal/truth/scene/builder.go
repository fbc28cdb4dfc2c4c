package scene

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/truth"
)

// builder gathers a scene while it is laid out.
type builder struct {
	r       *rand.Rand
	kind    cloth.Kind
	level   int
	w, h    int // photo, pixels
	options Options
	oblique bool // the camera is to lean well back, to see sides
	pale    bool // much of the cloth is white or nearly

	ppi       float64 // in the middle, at height plane
	plane     float64 // height that the cloth lies at, inches
	cam       *camera
	light     *lighting
	settings  Settings
	ground    string
	container string

	faces    []face
	fabrics  []*fabric
	pieces   []truth.TruePiece
	cutFrom  []int // by piece: its fabric
	refs     []Reference
	drape    *drape
	overlays []overlay
	rows     int
	cols     int
}

// aim sets the camera and the light for a field seen at ppi in the middle, at
// height plane inches.
func (b *builder) aim(ppi, plane float64) {
	b.ppi, b.plane = ppi, plane
	r := b.r
	tilt, azimuth, roll := b.lean()
	barrel := mix(0.001, 0.018, r.Float64())
	b.cam = newCamera(b.w, b.h, ppi, tilt, azimuth, roll, barrel, vec{0, 0, plane})
	b.light = drawLight(r, b.level, b.field())
	b.settings = drawSettings(r, b.level)
	if b.options.Varied {
		b.settings.vary(r)
		if b.pale {
			b.settings.EV += mix(0, 0.5, r.Float64()) // some of it overexposed
		}
	}
	b.settings.TiltDeg, b.settings.RollDeg = tilt*180/math.Pi, roll*180/math.Pi
	b.settings.Barrel = barrel
	b.drape = newDrape(1.6 * b.field())
}

// zoom moves the camera along its view, so that an inch spans so many times the pixels.
func (b *builder) zoom(by float64) {
	b.ppi *= by
	moved := *b.cam
	moved.eye = moved.aim.sub(moved.forward.mul(moved.focal / b.ppi))
	b.cam = &moved
}

// lean draws how the camera is held, radians: see newCamera.
func (b *builder) lean() (tilt, azimuth, roll float64) {
	r := b.r
	if b.options.Varied {
		tilt = pick(r, mix(0, 0.1, r.Float64()), mix(0, 0.45, r.Float64()), mix(0.26, 0.87, r.Float64()))
		azimuth = pick(r, 0.2*r.NormFloat64(), 0.5*r.NormFloat64(), 2*math.Pi*r.Float64())
		if b.oblique {
			tilt, azimuth = mix(0.3, 0.86, r.Float64()), 0.35*r.NormFloat64() // no farther, or the horizon comes into view
		}
		return tilt, azimuth, 0.06 * r.NormFloat64()
	}
	tilt = math.Abs(r.NormFloat64()) * 0.05 * float64(b.level)
	azimuth = 2 * math.Pi * r.Float64()
	if b.level == 3 && r.Float64() < 0.7 {
		tilt, azimuth = mix(0.35, 0.62, r.Float64()), 0.35*r.NormFloat64()
	}
	return min(tilt, 0.62), azimuth, 0.035 * r.NormFloat64() * float64(b.level)
}

// field returns the longer side of what the photo shows, inches.
func (b *builder) field() float64 { return float64(max(b.w, b.h)) / b.ppi }

func (b *builder) add(f face) {
	b.faces = append(b.faces, f.placed(b.cam))
}

// addSeen adds a face of something that stands, if the camera sees its front.
func (b *builder) addSeen(f face) {
	if f.a.cross(f.b).dot(b.cam.eye.sub(f.o)) > 0 {
		b.add(f)
	}
}

// item is a piece of cloth to be laid on the ground.
type item struct {
	fabric      int
	w, h        float64 // inches
	x, y, angle float64
	irregular   bool
	fold        bool
	// ring, where set, is the shape cut, clockwise about the middle, in place of
	// the rectangle. sewn says that its edges are seams, and raise no thread.
	ring  []geom.Point
	sewn  bool
	thick float64 // how much it lifts what comes after, inches
	stiff float64 // inches, see drape.lay
	wear  float64
}

// cloth is the colour of a fabric on a face: the grain runs along an edge.
func (b *builder) texture(f *fabric) func(u, v float64) (colour.Linear, int) {
	ox, oy := 40*b.r.Float64(), 40*b.r.Float64()
	if b.r.IntN(2) == 0 {
		return func(u, v float64) (colour.Linear, int) { return f.colourAt(ox+u, oy+v) }
	}
	return func(u, v float64) (colour.Linear, int) { return f.colourAt(ox+v, oy-u) }
}

// put lays an item on what lies there already.
func (b *builder) put(it item) {
	if !b.ahead(rect{x: it.x, y: it.y, w: it.w, h: it.h, angle: it.angle}) {
		return
	}
	r := b.r
	fab := b.fabrics[it.fabric]
	s := newShape(r, it.w, it.h, it.wear)
	ring := s.corners[:]
	if it.ring != nil {
		ring = it.ring
		s.curl, s.pinked = [4]float64{}, false
	}
	if it.sewn {
		s.seams()
	} else if b.options.Varied && min(it.w, it.h) > 4 {
		s.crosses = r.IntN(3) == 0
	}
	if it.irregular {
		ring = s.spoil(r)
	}
	if it.fold {
		s.crease, s.curl = 0, [4]float64{}
	}
	base := lying(it.x, it.y, 0, it.angle)
	base.piece = len(b.pieces) + 1
	tex := b.texture(fab)
	if b.options.Varied && !it.sewn && r.IntN(12) == 0 {
		tex = selvedge(r, tex, it.w, it.h)
	}
	lay := func(f face, ring []geom.Point, mirror *crease, lift float64) face {
		f.outline = s.edgeOf(ring)
		under := b.drape.lay(moved(f.outline, it.x, it.y, it.angle), it.thick, it.stiff)
		f.relief = func(u, v float64) float64 {
			q := turned(geom.Point{X: u, Y: v}, it.angle)
			h := under.at(it.x+q.X, it.y+q.Y) + it.thick + s.relief(u, v) + lift
			if it.sewn {
				h -= seam(ring, u, v)
			}
			if mirror != nil { // the roll of the fold
				d := mirror.over(u, v)
				h += 0.12 * math.Exp(-d*d/0.3)
			}
			return h
		}
		f.colour = tex
		if mirror != nil {
			f.colour = func(u, v float64) (colour.Linear, int) {
				p := mirror.flip(geom.Point{X: u, Y: v})
				c, k := tex(p.X, p.Y)
				return fab.back(c), len(fab.inks) + k
			}
		}
		return f
	}
	corners := slices.Clone(s.corners[:])
	if it.ring != nil {
		if corners = nil; len(ring) == 4 {
			corners = slices.Clone(ring)
		}
	}
	var parts []face
	if it.fold {
		cr := s.foldLine(r)
		front, flap := cr.split(ring)
		if len(flap) >= 3 && len(front) >= 3 {
			for i, p := range flap {
				flap[i] = cr.flip(p)
			}
			for i, p := range corners {
				if cr.over(p.X, p.Y) > 0 {
					corners[i] = cr.flip(p)
				}
			}
			parts = []face{lay(base, front, nil, 0), lay(base, flap, cr, 0.03)}
		}
	}
	if parts == nil {
		it.fold = false
		parts = []face{lay(base, ring, nil, 0)}
	}
	for _, f := range parts {
		b.add(f)
	}
	f := &b.faces[len(b.faces)-1]
	for i, p := range corners {
		if !it.fold {
			p = s.pulled(p)
		}
		corners[i] = f.picture(b.cam, p)
	}
	b.register(truth.TruePiece{
		WidthIn: min(it.w, it.h), HeightIn: max(it.w, it.h), Corners: corners,
		Made: truth.Made{Shape: shapeName(it.w, it.h), Irregular: it.irregular || it.ring != nil, Folded: it.fold},
	}, it.fabric)
}

// selvedge prints the woven edge of the bolt along one side of a piece: a pale
// border with dots of colour.
func selvedge(r *rand.Rand, tex func(u, v float64) (colour.Linear, int), w, h float64) func(u, v float64) (colour.Linear, int) {
	wide, pale, dot := mix(0.25, 0.6, r.Float64()), paperWhite(r), someDye(r)
	across := r.IntN(2) == 0
	return func(u, v float64) (colour.Linear, int) {
		c, ink := tex(u, v)
		d, along := u+w/2, wrap(v, 3)
		if across {
			d, along = v+h/2, wrap(u, 3)
		}
		switch {
		case d > wide:
			return c, ink
		case along < 1.2 && math.Hypot(wrap(along, 0.3)-0.15, d-0.5*wide) < 0.09:
			return dot, ink
		}
		return pale, ink
	}
}

func (b *builder) register(p truth.TruePiece, fabric int) {
	p.ID = len(b.pieces) + 1
	p.Print = fmt.Sprintf("p%03d", fabric)
	p.PrintName, p.Cloth = b.fabrics[fabric].name, b.fabrics[fabric].id
	b.pieces = append(b.pieces, p)
	b.cutFrom = append(b.cutFrom, fabric)
}

func shapeName(w, h float64) string {
	switch long, short := max(w, h), min(w, h); {
	case long == short:
		return "square"
	case long > 2.4*short:
		return "strip"
	}
	return "rectangle"
}
