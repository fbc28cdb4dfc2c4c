package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
)

func solid(r *rand.Rand, f *fabric) {
	f.inks, f.same = []colour.Linear{someDye(r)}, true
	if r.IntN(4) == 0 { // woven of two colours of thread
		f.inks[0], f.thread = blend(f.inks[0], lch(90, 2, 90), 0.35), 0.22
	}
}

// mark prints small marks of one ink on a ground.
func (f *fabric) mark(r *rand.Rand, ground, ink colour.Linear) {
	f.inks = []colour.Linear{ground, ink}
	pitch, seed := mix(0.16, 0.7, r.Float64()), f.seed
	is := func(on func(x, y float64) bool) func(x, y float64) int {
		return func(x, y float64) int { return bool01(on(x, y)) }
	}
	switch r.IntN(9) {
	case 0: // contour lines of a smooth field
		k, wide := 0.5/pitch, mix(0.2, 0.45, r.Float64())
		f.ink = is(func(x, y float64) bool { return wrap(3.5*fractal(k*x, k*y, 2, 0.4, seed), 1) < wide })
	case 1: // speckle
		f.ink = is(func(x, y float64) bool { return fractal(3*x/pitch, 3*y/pitch, 2, 0.6, seed) > 0.12 })
	case 2, 3: // dots, square or staggered
		radius, stagger := pitch*mix(0.07, 0.22, r.Float64()), pick(r, 0, 0.5)
		f.ink = is(func(x, y float64) bool {
			j := math.Floor(y / pitch)
			return math.Hypot(wrap(x+stagger*pitch*wrap(j, 2), pitch)-pitch/2, y-(j+0.5)*pitch) < radius
		})
	case 4: // plus signs
		f.ink = is(func(x, y float64) bool {
			u, v := math.Abs(wrap(x, pitch)-pitch/2), math.Abs(wrap(y, pitch)-pitch/2)
			return min(u, v) < 0.06*pitch && max(u, v) < 0.22*pitch
		})
	case 5: // lattice or fine stripe
		wide, both := mix(0.05, 0.2, r.Float64())*pitch, r.IntN(2) == 0
		f.ink = is(func(x, y float64) bool { return wrap(x+y, pitch) < wide || both && wrap(x-y, pitch) < wide })
	case 6: // lines of writing
		f.ink = is(func(x, y float64) bool {
			h := hash(int32(math.Floor(x/0.055)), int32(math.Floor(y/0.16)), seed)
			v := wrap(y, 0.16)
			return h%5 != 0 && v > 0.03 && v < 0.07+0.05*unit(h) && wrap(x, 0.055) < 0.038
		})
	default:
		f.scatter(2*pitch, 0.3, 0.3, 1, []motif{pick(r, ring, leaf, flower)})
	}
}

// inksInTurn draws n inks to lie side by side, each apart from the one before.
func inksInTurn(r *rand.Rand, n int) []colour.Linear {
	inks := []colour.Linear{someDye(r)}
	for len(inks) < n {
		inks = append(inks, dyeApart(r, inks[len(inks)-1], 25))
	}
	return inks
}

// inksOn draws n inks to lie on a ground, each at least gap from it in CIELAB; the
// ground is the first of them.
func inksOn(r *rand.Rand, gap float64, n int, ground colour.Linear) []colour.Linear {
	inks := []colour.Linear{ground}
	for range n {
		inks = append(inks, dyeApart(r, ground, gap))
	}
	return inks
}

// bands are the ends of n widths of ink along a line, lo..hi inches each.
type bands []float64

func drawBands(r *rand.Rand, n int, lo, hi float64) bands {
	ends, at := make(bands, n), 0.0
	for i := range ends {
		at += mix(lo, hi, r.Float64())
		ends[i] = at
	}
	return ends
}

// at returns the index of the band at t; they repeat.
func (b bands) at(t float64) int {
	t = wrap(t, b[len(b)-1])
	for i, e := range b {
		if t < e {
			return i
		}
	}
	return len(b) - 1
}

func stripes(r *rand.Rand, f *fabric) {
	n := 2 + r.IntN(4)
	f.inks = inksInTurn(r, n)
	ends := drawBands(r, n, 0.06, pick(r, 0.25, 0.5, 0.9))
	if r.IntN(3) == 0 { // even, often fine
		w := pick(r, 0.07, 0.1, 0.16, 0.25, 0.4)
		ends = drawBands(r, n, w, w)
	}
	s, c := math.Sincos(pick(r, 0, 0, math.Pi/2, math.Pi/4))
	f.ink = func(x, y float64) int { return ends.at(x*s + y*c) }
}

// waves are stripes that run in waves or in zigzags.
func waves(r *rand.Rand, f *fabric) {
	f.inks = inksInTurn(r, 2+r.IntN(3))
	n := float64(len(f.inks))
	w, p, high := mix(0.14, 0.4, r.Float64()), mix(0.5, 1.5, r.Float64()), mix(0.1, 0.5, r.Float64())
	wave := zigzag
	if r.IntN(2) == 0 {
		wave = func(x float64) float64 { return 0.5 + 0.5*math.Sin(2*math.Pi*x) }
	}
	f.ink = func(x, y float64) int { return int(wrap((y+high*p*wave(x/p))/w, n)) }
}

// plaid crosses two sets of coloured bands; where they cross, the threads mix.
// Two even ones, of which one is white, are gingham.
func plaid(r *rand.Rand, f *fabric) {
	n := 2 + r.IntN(4)
	threads := inksInTurn(r, n)
	ends := drawBands(r, n, 0.08, pick(r, 0.5, 0.9, 1.3))
	if n == 2 {
		w := pick(r, 0.1, 0.16, 0.25, 0.4)
		threads, ends = []colour.Linear{lch(93, 1, 90), dyeBetween(r, 18, 75)}, drawBands(r, n, w, w)
	}
	place := map[[2]int]int{} // of the ink where two bands cross
	for i := range n {
		for j := range i + 1 {
			place[[2]int{i, j}], place[[2]int{j, i}] = len(f.inks), len(f.inks)
			f.inks = append(f.inks, blend(threads[i], threads[j], 0.5))
		}
	}
	f.same, f.thread = true, 0.08
	f.ink = func(x, y float64) int { return place[[2]int{ends.at(x), ends.at(y)}] }
}

// check is of squares, upright or on their tips.
func check(r *rand.Rand, f *fabric) {
	f.inks = inksInTurn(r, 2)
	w, tip := pick(r, 0.15, 0.25, 0.4, 0.7), pick(r, 0, 0, 0.7)
	f.ink = func(x, y float64) int { return int(wrap(math.Floor((x+tip*y)/w)+math.Floor((y-tip*x)/w), 2)) }
}

// hexagons tiles the cloth; each has one of the inks, edges the first.
func hexagons(r *rand.Rand, f *fabric) {
	f.inks = inksOn(r, 22, 2+r.IntN(2), someDye(r))
	n := uint32(len(f.inks) - 1)
	p, edge, seed := mix(0.4, 1, r.Float64()), mix(0.02, 0.12, r.Float64()), f.seed
	q := p * math.Sqrt(3)
	f.ink = func(x, y float64) int {
		// Of two interleaved rectangular lattices the nearer point's cell is a hexagon.
		ai, aj := math.Round(x/p), math.Round(y/q)
		bi, bj := math.Round(x/p-0.5)+0.5, math.Round(y/q-0.5)+0.5
		ax, ay, bx, by := x-ai*p, y-aj*q, x-bi*p, y-bj*q
		if bx*bx+by*by < ax*ax+ay*ay {
			ai, aj, ax, ay = bi, bj, bx, by
		}
		if max(math.Abs(ax), math.Abs(ax)/2+math.Abs(ay)*math.Sqrt(3)/2) > p*(0.5-edge) {
			return 0
		}
		return 1 + int(hash(int32(2*ai), int32(2*aj), seed)%n)
	}
}

// batik runs a ramp of colours along a fractal field.
func batik(r *rand.Rand, f *fabric) {
	n := 3 + r.IntN(2)
	f.inks = inksInTurn(r, n)
	if r.IntN(4) > 0 {
		d := dyes[r.IntN(len(dyes))]
		d.l = min(72, max(32, d.l))
		span, turn := mix(20, 46, r.Float64()), 25*r.NormFloat64()
		for i := range f.inks {
			t := float64(i)/float64(n-1) - 0.5
			f.inks[i] = lch(d.l+span*t, d.c*(1-0.3*math.Abs(t)), d.h+turn*t)
		}
	}
	k, sharp := mix(0.35, 0.9, r.Float64()), mix(1.3, 2.2, r.Float64())
	seed, inks := f.seed, f.inks
	at := func(x, y float64) float64 {
		return clamp01(0.5+sharp*fractal(x*k, y*k, 6, 0.62, seed)) * float64(n-1)
	}
	f.blend = func(x, y float64) colour.Linear {
		t := at(x, y)
		i := min(n-2, int(t))
		return blend(inks[i], inks[i+1], t-float64(i))
	}
	f.ink = func(x, y float64) int { return int(at(x, y) + 0.5) }
}

// A motif is a small picture of radius 1: 0 beside it, 1 on it, 2 on its second part.
type motif func(u, v float64) int

func dot(u, v float64) int  { return bool01(math.Hypot(u, v) < 1) }
func ring(u, v float64) int { return bool01(math.Abs(math.Hypot(u, v)-0.85) < 0.1) }
func leaf(u, v float64) int { return bool01(math.Abs(u) < 1 && math.Abs(v) < 0.4*(1-u*u)) }

func star(u, v float64) int {
	return bool01(math.Hypot(u, v) < mix(0.42, 1, math.Pow(zigzag(math.Atan2(v, u)*5/(2*math.Pi)), 1.3)))
}

func flower(u, v float64) int {
	rho := math.Hypot(u, v)
	if rho < 0.27 {
		return 2
	}
	return bool01(rho < 0.66+0.34*math.Cos(5*math.Atan2(v, u)))
}

func heart(u, v float64) int {
	a := math.Abs(u)
	return bool01(math.Hypot(a-0.45, v+0.3) < 0.51 || v > -0.25 && a < 0.86*(0.95-v))
}

func fruit(u, v float64) int { return max(dot(1.35*u, 1.35*v), 2*leaf(2.2*(u-0.3), 2.2*(v+0.85))) }

func house(u, v float64) int {
	return max(bool01(math.Abs(u) < 0.6 && v > -0.1 && v < 0.7), 2*bool01(v <= -0.1 && math.Abs(u) < 1.07*(v+0.85)))
}

func fish(u, v float64) int {
	return max(leaf(u/0.85, v), 2*bool01(u > 0.7 && u < 1.15 && math.Abs(v) < 0.9*(u-0.65)))
}

// motifs returns a design of one or more motifs, of the given size in cells of lo..hi
// inches, in inks at least gap from their ground.
func motifs(gap, size, lo, hi float64, of ...motif) func(r *rand.Rand, f *fabric) {
	return func(r *rand.Rand, f *fabric) {
		ground := pick(r, lch(93, 1, 90), lch(91, 8, 88), lch(21, 2, 280), lch(22, 20, 275), someDye(r), someDye(r), dyeBetween(r, 60, 95))
		n := 1 + r.IntN(4)
		f.inks = inksOn(r, gap, n, ground)
		f.scatter(mix(lo, hi, math.Pow(r.Float64(), 1.5)), pick(r, 0, 0.25), size, n, of)
	}
}

// scatter prints a motif in each cell of a jittered brick lattice, turned at will, in one
// of the first n inks after the ground's: of those that reach a place, the first. The
// radius is in cells; motifs of at most 0.5-jitter/2 are never cut.
func (f *fabric) scatter(cell, jitter, radius float64, n int, of []motif) {
	f.ink = func(x, y float64) int {
		y0 := math.Floor(y/cell - 0.5)
		for j := y0; j <= y0+1; j++ {
			shift := 0.5 * wrap(j, 2)
			x0 := math.Floor(x/cell - shift - 0.5)
			for i := x0; i <= x0+1; i++ {
				h := hash(int32(i), int32(j), f.seed)
				g := rehash(h)
				dx := x/cell - (i + shift + 0.5 + jitter*(unit(h)-0.5))
				dy := y/cell - (j + 0.5 + jitter*(unit(g)-0.5))
				s, c := math.Sincos(2 * math.Pi * unit(rehash(g)))
				if k := of[int(g>>20)%len(of)]((dx*c+dy*s)/radius, (dy*c-dx*s)/radius); k > 0 {
					return 1 + (int(h>>8)+k-1)%n
				}
			}
		}
		return 0
	}
}
