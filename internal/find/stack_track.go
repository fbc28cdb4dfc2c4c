package find

import (
	"cmp"
	"slices"
)

// track is one long upright line of the grain, followed row by row.
type track struct {
	y0 int       // first grain row
	x  []float32 // place on each row
	e  []float32 // strength on each row
}

// y1 is one past the last grain row.
func (t *track) y1() int { return t.y0 + len(t.x) }

const (
	trackFaint = 0.010 // OKLab units: weaker lines are noise
	trackGap   = 3     // grain rows a track may be lost for
	trackShort = 10    // grain rows
	trackSeam  = 0.05  // OKLab units: fainter lines over the ground are its own grain and joints
	trackWeak  = 0.02  // OKLab units: what a fold's edge shows at least
	trackBend  = 0.7   // columns a straight track may stray
	trackBow   = 0.025 // and columns more for every grain row, as bands are bent
)

// follow links the ridges of the grain into tracks.
func (m *grain) follow() []track {
	var done, live []track
	lost := []int{}
	type peak struct {
		x, e float32
		used bool
	}
	var peaks []peak
	for y := range m.H {
		e := m.e[y*m.W : (y+1)*m.W]
		peaks = peaks[:0]
		for x := 2; x < m.W-2; x++ {
			if e[x] > trackFaint && e[x] >= e[x-1] && e[x] > e[x+1] && e[x] >= e[x-2] && e[x] > e[x+2] {
				peaks = append(peaks, peak{x: float32(x) + parabola(e[x-1], e[x], e[x+1]), e: e[x]})
			}
		}
		// Pair live ends with peaks, nearest first.
		type pair struct {
			d    float32
			i, j int
		}
		var pairs []pair
		for i := range live {
			t := &live[i]
			n := len(t.x)
			last := t.x[n-1]
			k := m.slope[(t.y0+n-1)*m.W+int(last)]
			want := last + float32(k)*grainStep*grainRows*float32(1+lost[i])
			for j := range peaks {
				if d := abs32(peaks[j].x - want); d < 3 {
					pairs = append(pairs, pair{d, i, j})
				}
			}
		}
		slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(a.d, b.d) })
		hit := make([]bool, len(live))
		for _, p := range pairs {
			if hit[p.i] || peaks[p.j].used {
				continue
			}
			hit[p.i], peaks[p.j].used = true, true
			t := &live[p.i]
			last := t.x[len(t.x)-1]
			for k := 1; k <= lost[p.i]; k++ {
				f := float32(k) / float32(lost[p.i]+1)
				x := last + f*(peaks[p.j].x-last)
				t.x = append(t.x, x)
				t.e = append(t.e, m.e[(y-lost[p.i]-1+k)*m.W+int(x)])
			}
			t.x, t.e = append(t.x, peaks[p.j].x), append(t.e, peaks[p.j].e)
			lost[p.i] = 0
		}
		k := 0
		for i := range live {
			if !hit[i] {
				lost[i]++
			}
			if lost[i] > trackGap {
				done = append(done, live[i])
				continue
			}
			live[k], lost[k] = live[i], lost[i]
			k++
		}
		live, lost = live[:k], lost[:k]
		for _, p := range peaks {
			if !p.used {
				live = append(live, track{y0: y, x: []float32{p.x}, e: []float32{p.e}})
				lost = append(lost, 0)
			}
		}
	}
	done = append(done, live...)
	var out []track
	for _, t := range done {
		out = append(out, t.split()...)
	}
	slices.SortStableFunc(out, func(a, b track) int {
		return cmp.Or(cmp.Compare(a.y0, b.y0), cmp.Compare(a.x[0], b.x[0]))
	})
	return out
}

// split cuts the track where it fades: the grain averages along the line, so
// half the strength is where a line ends.
func (t *track) split() []track {
	half := t.strength() / 2
	var out []track
	a := 0
	for i := 0; i <= len(t.e); i++ {
		if i < len(t.e) && t.e[i] >= half {
			continue
		}
		if i-a >= trackShort {
			out = append(out, track{y0: t.y0 + a, x: t.x[a:i], e: t.e[a:i]})
		}
		a = i + 1
	}
	return out
}

// parabola is where, from the middle one, three samples peak: -0.5..0.5.
func parabola(a, b, c float32) float32 {
	d := a - 2*b + c
	if d >= 0 {
		return 0
	}
	return max(-0.5, min(0.5, 0.5*(a-c)/d))
}

// clearTracks keeps the tracks that are straight and strong enough for the
// edge of a fold and do not run over the ground. Those that run beside it come
// second: they may be the container's.
func clearTracks(r *rack, ts []track) (inner, rim []track) {
	for _, t := range ts {
		if t.bend() > trackBend+trackBow*float32(len(t.x)) || t.strength() < trackWeak {
			continue
		}
		one, both := 0, 0
		for k, x := range t.x {
			row := (t.y0 + k) * grainRows * r.W
			a, b := r.ground[row+max(0, int(x)-8)], r.ground[row+min(r.W-1, int(x)+8)]
			if a || b {
				one++
			}
			if a && b {
				both++
			}
		}
		switch {
		case both*3 >= len(t.x) && t.strength() < trackSeam:
		case one*3 >= len(t.x):
			rim = append(rim, t)
		default:
			inner = append(inner, t)
		}
	}
	return inner, rim
}

// bend is the root mean square distance of the track from its best
// line, in columns.
func (t *track) bend() float32 {
	n := float32(len(t.x))
	var sx, sy, sxy, syy float32
	for i, x := range t.x {
		y := float32(i) - (n-1)/2
		sx += x
		sxy += x * y
		syy += y * y
		sy += y
	}
	b := sxy / max(syy, 1)
	a := sx / n
	var r float32
	for i, x := range t.x {
		d := x - a - b*(float32(i)-(n-1)/2)
		r += d * d
	}
	return sqrt32(r / n)
}

func (t *track) strength() float32 {
	s := slices.Clone(t.e)
	slices.Sort(s)
	return s[len(s)/2]
}
