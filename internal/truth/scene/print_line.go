package scene

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
)

// bands repeats widths of ink along a line; it is the index of the band at t.
func bands(t float64, ends []float64) int {
	t = wrap(t, ends[len(ends)-1])
	for i, e := range ends {
		if t < e {
			return i
		}
	}
	return len(ends) - 1
}

// drawBands draws n band widths, each lo..hi inches, as running ends.
func drawBands(r *rand.Rand, n int, lo, hi float64) []float64 {
	ends := make([]float64, n)
	at := 0.0
	for i := range ends {
		at += mix(lo, hi, r.Float64())
		ends[i] = at
	}
	return ends
}

// inksInTurn draws n inks to lie side by side, two or more.
func inksInTurn(r *rand.Rand, n int) []colour.Linear {
	a := someDye(r)
	inks := []colour.Linear{a, dyeApart(r, a, 28)}
	for len(inks) < n {
		inks = append(inks, dyeApart(r, inks[len(inks)-1], 20))
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

func stripes(r *rand.Rand, f *fabric) {
	n := 2 + r.IntN(4)
	f.inks = inksInTurn(r, n)
	var ends []float64
	if n == 2 && r.IntN(2) == 0 { // even, often fine
		w := pick(r, 0.07, 0.1, 0.16, 0.25, 0.4)
		ends = []float64{w, 2 * w}
	} else {
		ends = drawBands(r, n, 0.06, pick(r, 0.25, 0.5, 0.9))
	}
	s, c := math.Sincos(pick(r, 0, 0, math.Pi/2, math.Pi/4))
	f.ink = func(x, y float64) int { return bands(x*s+y*c, ends) }
}

func gingham(r *rand.Rand, f *fabric) {
	c := dyeBetween(r, 18, 75)
	white := lch(93, 1, 90)
	f.inks = []colour.Linear{white, blend(c, white, 0.5), c}
	w := pick(r, 0.1, 0.16, 0.25, 0.4)
	f.same = true
	f.ink = func(x, y float64) int {
		return bool01(wrap(x, 2*w) < w) + bool01(wrap(y, 2*w) < w)
	}
}

func check(r *rand.Rand, f *fabric) {
	a := someDye(r)
	f.inks = []colour.Linear{a, dyeApart(r, a, 35)}
	w := pick(r, 0.15, 0.25, 0.4, 0.7)
	f.ink = func(x, y float64) int {
		return int(wrap(math.Floor(x/w)+math.Floor(y/w), 2))
	}
}

// plaid crosses two sets of coloured bands; where they cross, the threads mix.
func plaid(r *rand.Rand, f *fabric) {
	n := 3 + r.IntN(3)
	threads := make([]colour.Linear, n)
	for i := range threads {
		threads[i] = someDye(r)
	}
	threads[n-1] = dyeApart(r, threads[0], 40)
	ends := drawBands(r, n, 0.08, pick(r, 0.5, 0.9, 1.3))
	for i := range n {
		for j := range n {
			f.inks = append(f.inks, blend(threads[i], threads[j], 0.5))
		}
	}
	f.same = true
	f.thread = 0.08
	f.ink = func(x, y float64) int { return bands(x, ends)*n + bands(y, ends) }
}

func chevron(r *rand.Rand, f *fabric) {
	n := 2 + r.IntN(2)
	a := someDye(r)
	f.inks = []colour.Linear{a, dyeApart(r, a, 28)}
	for len(f.inks) < n {
		f.inks = append(f.inks, dyeApart(r, f.inks[1], 25))
	}
	w, p := pick(r, 0.14, 0.25, 0.4), pick(r, 0.5, 0.8, 1.2)
	f.ink = func(x, y float64) int {
		return int(wrap((y+0.5*p*zigzag(x/p))/w, float64(n)))
	}
}

func waves(r *rand.Rand, f *fabric) {
	n := 2 + r.IntN(3)
	f.inks = inksInTurn(r, n)
	w, p := mix(0.15, 0.35, r.Float64()), mix(0.8, 1.6, r.Float64())
	f.ink = func(x, y float64) int {
		return int(wrap((x+0.12*p*math.Sin(2*math.Pi*y/p))/w, float64(n)))
	}
}

// hexagons tiles the cloth; each has one of the inks, edges the first.
func hexagons(r *rand.Rand, f *fabric) {
	ground := someDye(r)
	f.inks = inksOn(r, 22, 2+r.IntN(2), ground)
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
		d := max(math.Abs(ax), math.Abs(ax)/2+math.Abs(ay)*math.Sqrt(3)/2)
		if d > p*(0.5-edge) {
			return 0
		}
		return 1 + int(hash(int32(2*ai), int32(2*aj), seed)%n)
	}
}

func scallops(r *rand.Rand, f *fabric) {
	a := someDye(r)
	f.inks = []colour.Linear{dyeApart(r, a, 30), a, tint(a, 14, 0.9)}
	d, seed := mix(0.5, 1.1, r.Float64()), f.seed
	f.ink = func(x, y float64) int {
		// Each row of discs lies over the row below it.
		top := math.Floor(y / (d / 2))
		for k := 1.0; k >= -1; k-- {
			j := top + k
			sx := x - 0.5*d*wrap(j, 2)
			i := math.Floor(sx / d)
			rho := math.Hypot(sx-(i+0.5)*d, y-j*d/2) / (d / 2)
			if rho < 1 {
				if rho > 0.88 {
					return 0
				}
				return 1 + int(hash(int32(i), int32(j), seed)%2)
			}
		}
		return 0
	}
}

func diamonds(r *rand.Rand, f *fabric) {
	a := someDye(r)
	f.inks = inksOn(r, 30, 2, a)
	p, seed := mix(0.35, 0.9, r.Float64()), f.seed
	f.ink = func(x, y float64) int {
		u, v := (x+0.7*y)/p, (x-0.7*y)/p
		if wrap(u, 1) < 0.22 || wrap(v, 1) < 0.22 {
			return 0
		}
		return 1 + int(hash(int32(math.Floor(u)), int32(math.Floor(v)), seed)%2)
	}
}

func nestedSquares(r *rand.Rand, f *fabric) {
	a := someDye(r)
	f.inks = []colour.Linear{a, dyeApart(r, a, 30), someDye(r), dyeApart(r, a, 25)}
	p, seed := mix(0.5, 1.1, r.Float64()), f.seed
	f.ink = func(x, y float64) int {
		d := max(math.Abs(wrap(x, p)-p/2), math.Abs(wrap(y, p)-p/2)) / p
		swap := int(hash(int32(math.Floor(x/p)), int32(math.Floor(y/p)), seed) % 2)
		switch {
		case d > 0.42:
			return 0
		case d > 0.28:
			return 1 + swap
		case d > 0.15:
			return 3
		}
		return 2 - swap
	}
}
