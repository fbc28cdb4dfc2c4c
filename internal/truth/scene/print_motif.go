package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
)

// scatter prints one motif in each cell of a jittered brick lattice: of those that
// reach a place, the first that gives an ink above 0. motif is told the
// place relative to its middle and the motif's own bits. A motif that
// reaches at most cell·(0.5-jitter/2) from its middle is never cut.
func (f *fabric) scatter(cell, jitter float64, motif func(dx, dy float64, bits uint32) int) {
	f.ink = func(x, y float64) int {
		y0 := math.Floor(y/cell - 0.5)
		for j := y0; j <= y0+1; j++ {
			shift := 0.5 * wrap(j, 2)
			x0 := math.Floor(x/cell - shift - 0.5)
			for i := x0; i <= x0+1; i++ {
				h := hash(int32(i), int32(j), f.seed)
				g := rehash(h)
				cx := cell * (i + shift + 0.5 + jitter*(unit(h)-0.5))
				cy := cell * (j + 0.5 + jitter*(unit(g)-0.5))
				if k := motif(x-cx, y-cy, g); k > 0 {
					return k
				}
			}
		}
		return 0
	}
}

// dots reports whether (x, y) is in a dot of a regular lattice, square or
// staggered.
func dots(x, y, pitch, radius float64, staggered bool) bool {
	j := math.Floor(y / pitch)
	if staggered {
		x += 0.5 * pitch * wrap(j, 2)
	}
	return math.Hypot(wrap(x, pitch)-pitch/2, y-(j+0.5)*pitch) < radius
}

// leaf reports whether (dx, dy) is in a pointed oval of the given half length and
// half width.
func leaf(dx, dy, angle, length, width float64) bool {
	s, c := math.Sincos(angle)
	u, v := (dx*c+dy*s)/length, (dy*c-dx*s)/width
	return math.Abs(u) < 1 && math.Abs(v) < 1-u*u
}

func pinDots(r *rand.Rand, f *fabric) {
	ground := someDye(r)
	f.inks = []colour.Linear{ground, dyeApart(r, ground, 30)}
	pitch := mix(0.16, 0.34, r.Float64())
	radius := pitch * mix(0.13, 0.22, r.Float64())
	staggered := r.IntN(2) == 0
	f.ink = func(x, y float64) int { return bool01(dots(x, y, pitch, radius, staggered)) }
}

func largeDots(r *rand.Rand, f *fabric) {
	ground := pick(r, lch(93, 1, 90), lch(90, 9, 90), lch(21, 2, 280), someDye(r))
	f.inks = inksOn(r, 35, 1+r.IntN(4), ground)
	n := uint32(len(f.inks) - 1)
	cell := mix(0.5, 1.5, r.Float64())
	size := mix(0.24, 0.36, r.Float64())
	jitter, vary := 0.0, 0.0
	if r.IntN(2) == 0 {
		jitter, vary = 0.25, 0.25
	}
	f.scatter(cell, jitter, func(dx, dy float64, h uint32) int {
		if math.Hypot(dx, dy) < cell*size*(1-vary*unit(rehash(h))) {
			return 1 + int(h%n)
		}
		return 0
	})
}

func floral(r *rand.Rand, f *fabric) {
	ground := pick(r, lch(91, 8, 88), lch(93, 1, 90), lch(22, 20, 275), lch(21, 2, 280), someDye(r), someDye(r), dyeBetween(r, 60, 95))
	// inks: ground, leaf, heart, then petals.
	f.inks = []colour.Linear{ground, lch(mix(35, 62, r.Float64()), mix(18, 36, r.Float64()), mix(125, 165, r.Float64())), lch(82, 55, 85)}
	f.inks = append(f.inks, inksOn(r, 35, 1+r.IntN(3), ground)[1:]...)
	n := uint32(len(f.inks) - 3)
	cell := pick(r, mix(0.4, 0.65, r.Float64()), mix(0.75, 1.3, r.Float64()), mix(1.3, 2.5, r.Float64()))
	petals := float64(4 + r.IntN(4))
	scale := mix(0.2, 0.3, r.Float64())
	f.scatter(cell, 0.25, func(dx, dy float64, h uint32) int {
		turn := 2 * math.Pi * unit(rehash(h))
		rho := math.Hypot(dx, dy) / (cell * scale)
		if rho > 1.7 {
			return 0
		}
		if rho < 0.27 {
			return 2
		}
		phi := math.Atan2(dy, dx) - turn
		if rho < 0.66+0.34*math.Cos(petals*phi) {
			return 3 + int(h%n)
		}
		for _, side := range [2]float64{0.4, 2.3} {
			s, c := math.Sincos(turn + side)
			if leaf(dx-c*cell*scale*1.05, dy-s*cell*scale*1.05, turn+side, cell*scale*0.55, cell*scale*0.24) {
				return 1
			}
		}
		return 0
	})
}

func stars(r *rand.Rand, f *fabric) {
	ground := pick(r, lch(21, 2, 280), lch(23, 24, 276), lch(93, 1, 90), someDye(r))
	f.inks = inksOn(r, 40, 1+r.IntN(4), ground)
	n := uint32(len(f.inks) - 1)
	cell := mix(0.35, 0.9, r.Float64())
	jitter := pick(r, 0, 0.25)
	f.scatter(cell, jitter, func(dx, dy float64, h uint32) int {
		if star(dx, dy, 2*math.Pi*unit(rehash(h)), 0.36*cell) {
			return 1 + int(h%n)
		}
		return 0
	})
}

func star(dx, dy, turn, radius float64) bool {
	rho := math.Hypot(dx, dy) / radius
	return rho < 1 && rho < mix(0.42, 1, math.Pow(zigzag((math.Atan2(dy, dx)+turn)*5/(2*math.Pi)), 1.3))
}

// novelty strews small pictures: hearts, stars, drops, houses, fruit.
func novelty(r *rand.Rand, f *fabric) {
	ground := pick(r, lch(93, 1, 90), lch(72, 24, 220), lch(84, 55, 88), lch(23, 24, 276), lch(21, 2, 280), lch(82, 14, 115), someDye(r))
	f.inks = inksOn(r, 30, 4+r.IntN(3), ground)
	n := uint32(len(f.inks) - 1)
	cell := mix(0.9, 1.7, r.Float64())
	big := mix(0.2, 0.3, r.Float64())
	f.scatter(cell, 0.35, func(dx, dy float64, h uint32) int {
		turn := 2 * math.Pi * unit(rehash(h))
		s, c := math.Sincos(turn)
		q := cell * big
		u, v := (dx*c+dy*s)/q, (dy*c-dx*s)/q
		first, second := 1+int(h%n), 1+int((h/7)%n)
		switch (h >> 20) % 5 {
		case 0: // heart
			a := math.Abs(u)
			if (a-0.45)*(a-0.45)+(v+0.3)*(v+0.3) < 0.26 || (v > -0.25 && v < 0.95 && a < 0.95*(0.95-v)/1.1) {
				return first
			}
		case 1:
			if star(dx, dy, turn, q) {
				return first
			}
		case 2: // fruit and leaf
			if u*u+v*v < 0.55 {
				return first
			}
			if leaf(u-0.3, v+0.85, 0.5, 0.45, 0.22) {
				return second
			}
		case 3: // house
			if math.Abs(u) < 0.6 && v > -0.1 && v < 0.7 {
				return first
			}
			if v <= -0.1 && v > -0.85 && math.Abs(u) < 0.8*(v+0.85)/0.75 {
				return second
			}
		default: // fish
			if leaf(u, v, 0, 0.85, 0.45) {
				return first
			}
			if u > 0.7 && u < 1.15 && math.Abs(v) < 0.9*(u-0.65) {
				return second
			}
		}
		return 0
	})
}

// lowVolume prints little on near-white.
func lowVolume(r *rand.Rand, f *fabric) {
	ground := pick(r, lch(93.5, 1, 95), lch(92, 3, 85), lch(91, 7, 90))
	mark := pick(r, lch(80, 4, 250), lch(60, 2, 260), lch(83, 16, 5), lch(84, 12, 250), lch(86, 8, 85), lch(84, 14, 150))
	f.inks = []colour.Linear{ground, mark}
	seed := f.seed
	switch r.IntN(7) {
	case 0:
		p := mix(0.3, 0.7, r.Float64())
		f.ink = func(x, y float64) int { return bool01(dots(x, y, p, 0.14*p, true)) }
	case 1: // lines of writing
		f.ink = func(x, y float64) int {
			line := math.Floor(y / 0.16)
			h := hash(int32(math.Floor(x/0.055)), int32(line), seed)
			v := wrap(y, 0.16)
			return bool01(h%5 != 0 && v > 0.03 && v < 0.03+0.04+0.05*unit(h) && wrap(x, 0.055) < 0.038)
		}
	case 2: // plus signs
		p := mix(0.3, 0.6, r.Float64())
		f.ink = func(x, y float64) int {
			u, v := math.Abs(wrap(x, p)-p/2), math.Abs(wrap(y, p)-p/2)
			return bool01((u < 0.06*p && v < 0.22*p) || (v < 0.06*p && u < 0.22*p))
		}
	case 3: // lattice
		p := mix(0.3, 0.7, r.Float64())
		f.ink = func(x, y float64) int {
			return bool01(math.Abs(wrap(x+y, p)-p/2) < 0.03 || math.Abs(wrap(x-y, p)-p/2) < 0.03)
		}
	case 4: // fine stripe
		p, w := mix(0.2, 0.6, r.Float64()), mix(0.1, 0.25, r.Float64())
		f.ink = func(x, y float64) int { return bool01(wrap(y, p) < w*p) }
	case 5: // pale flowers
		f.inks = []colour.Linear{ground, lch(85, 10, 150), lch(88, 16, 90), lch(84, 14, 0), lch(84, 12, 250)}
		cell := mix(0.5, 1, r.Float64())
		f.scatter(cell, 0.25, func(dx, dy float64, h uint32) int {
			rho := math.Hypot(dx, dy) / (0.26 * cell)
			switch {
			case rho > 1.2:
				return 0
			case rho < 0.25:
				return 2
			case rho < 0.66+0.34*math.Cos(5*math.Atan2(dy, dx)+6*unit(h)):
				return 3 + int(h%2)
			case leaf(dx-0.2*cell, dy, 0.4, 0.13*cell, 0.06*cell):
				return 1
			}
			return 0
		})
	default: // scrolls
		f.ink = func(x, y float64) int {
			return bool01(wrap(4*fractal(0.9*x, 0.9*y, 2, 0.4, seed), 1) < 0.22)
		}
	}
}
