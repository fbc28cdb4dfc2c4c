package find

import (
	"math"
	"slices"
)

// tier is one row of bands: the grain rows that its bands span, and the lines
// found between and in them, left to right.
type tier struct {
	y0, y1 int
	lines  []fence
}

// rows is the length of the bands in grain rows.
func (t *tier) rows() int { return t.y1 - t.y0 }

const (
	tierInset = 12   // grain rows a line must go on for, on both sides of the row it passes
	tierBold  = 0.06 // OKLab units: stronger lines count no more
	tierBank  = 0.2  // of the most lines in any row: fewer is between tiers
	tierDip   = 0.85 // of the lower of two peaks: where fewer lines pass, two tiers may meet
	tierCarry = 0.53 // of the colours: where more go on across a dip, it is only a shadow
)

// span is a run of grain rows.
type span struct{ a, b int }

// findTiers splits the rack into rows of bands: few lines pass from one row
// into the next.
func findTiers(r *rack, m *grain, ts []track) []tier {
	through := make([]float32, m.H)
	for i := range ts {
		t := &ts[i]
		for y := t.y0 + tierInset; y < t.y1()-tierInset; y++ {
			through[y] += min(t.e[y-t.y0], tierBold)
		}
	}
	through = smooth(through, 3)
	top := float32(0)
	for _, v := range through {
		top = max(top, v)
	}
	if top == 0 {
		return nil
	}
	var spans []span
	for y := 0; y < m.H; y++ {
		a := y
		for y < m.H && through[y] >= tierBank*top {
			y++
		}
		if y > a {
			spans = append(spans, cutAtDips(r, m, through, span{a, y})...)
		}
	}
	var out []tier
	for i, s := range spans {
		// Bands end within their own row; what runs on into the next is the
		// container's.
		lo, hi := 0, m.H
		if i > 0 {
			lo = (spans[i-1].a + spans[i-1].b) / 2
		}
		if i+1 < len(spans) {
			hi = (spans[i+1].a + spans[i+1].b) / 2
		}
		long := (s.b - s.a + 2*tierInset) * 5 / 4
		var tops, ends []int
		for i := range ts {
			t := &ts[i]
			over := min(t.y1(), s.b) - max(t.y0, s.a)
			if t.y0 >= lo && t.y1() <= hi && len(t.x) <= long && over*3 > s.b-s.a {
				tops, ends = append(tops, t.y0), append(ends, t.y1())
			}
		}
		if len(tops) < 4 {
			continue
		}
		slices.Sort(tops)
		slices.Sort(ends)
		out = append(out, tier{y0: tops[len(tops)/8], y1: ends[len(ends)-1-len(ends)/8]})
	}
	return out
}

// cutAtDips parts s where few of the lines above and below go on through, and
// the colours do not go on either.
func cutAtDips(r *rack, m *grain, through []float32, s span) []span {
	below := make([]float32, s.b+1) // the most lines from a row on
	for y := s.b - 1; y >= s.a; y-- {
		below[y] = max(below[y+1], through[y])
	}
	best, at, above := float32(tierDip), -1, float32(0)
	for y := s.a; y < s.b; y++ {
		above = max(above, through[y])
		lowest := y > s.a && y < s.b-1 && through[y] <= through[y-1] && through[y] <= through[y+1]
		if q := through[y] / min(above, below[y]); lowest && q < best && carry(r, m, y) < tierCarry {
			best, at = q, y
		}
	}
	if at < 0 {
		return []span{s}
	}
	return append(cutAtDips(r, m, through, span{s.a, at}), cutAtDips(r, m, through, span{at, s.b})...)
}

// carry is how much of the colours across the rack stays from a little above
// grain row y to a little below it, where there are lines: 1 where the same
// bands go on, 0 where they are no more alike than bands some way off to the
// side.
func carry(r *rack, m *grain, y int) float64 {
	const (
		reach = 2 * tierInset
		step  = 4 // columns
	)
	a, b := r.chromaRow(y-reach, y-reach/4, step), r.chromaRow(y+reach/4, y+reach, step)
	w := len(a) / 3
	weight := make([]float64, w)
	for v := max(0, y-reach); v < min(m.H, y+reach); v++ {
		for x, e := range m.e[v*m.W : v*m.W+w*step] {
			weight[x/step] += float64(min(e, tierBold))
		}
	}
	diff := func(lag int) float64 {
		sum := 0.0
		for x := range w {
			best := math.MaxFloat64 // bands lean: the nearest of a few columns
			for k := -2; k <= 2; k++ {
				j := clamp(x+lag+k, 0, w-1)
				d := 0.0
				for c := range 3 {
					e := float64(a[3*x+c] - b[3*j+c])
					d += e * e
				}
				best = min(best, d)
			}
			sum += weight[x] * math.Sqrt(best)
		}
		return sum
	}
	aside := 0.0
	lags := [...]int{-30, -22, -15, 15, 22, 30}
	for _, lag := range lags {
		aside += diff(lag) / float64(len(lags))
	}
	if aside == 0 {
		return 0
	}
	return 1 - diff(0)/aside
}

// chromaRow averages grain rows y0 ≤ y < y1 over step columns each: three values
// a place, lightness counting little and chroma freed from it.
func (r *rack) chromaRow(y0, y1, step int) []float32 {
	w := r.W / step
	out := make([]float32, 3*w)
	for v := max(0, y0*grainRows); v < min(r.H, y1*grainRows); v++ {
		for x := range w * step {
			i, o := v*r.W+x, out[3*(x/step):]
			k := 1 / (r.L[i] + chromaSoft)
			o[0] += 0.3 * r.L[i]
			o[1] += r.A[i] * k
			o[2] += r.B[i] * k
		}
	}
	k := 1 / float32(max(1, (min(r.H, y1*grainRows)-max(0, y0*grainRows))*step))
	for i := range out {
		out[i] *= k
	}
	return out
}

// smooth is two box passes of radius r, ends replicated.
func smooth(v []float32, r int) []float32 {
	for range 2 {
		out := make([]float32, len(v))
		for i := range v {
			for j := i - r; j <= i+r; j++ {
				out[i] += v[clamp(j, 0, len(v)-1)] / float32(2*r+1)
			}
		}
		v = out
	}
	return v
}
