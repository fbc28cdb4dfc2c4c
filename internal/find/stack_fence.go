package find

import (
	"cmp"
	"slices"
)

// fence is a long upright line over all rows of a tier, whether a border of a
// bundle, a groove within one or a stripe of its print.
type fence struct {
	x      []float32 // column on each row of the tier
	slope  float32   // columns a row, beyond the tier
	weight float32   // share of the rows on which it was seen, times its strength there
	seen   []bool
}

const (
	fenceJoin = 4    // columns by which a track may miss the line of others it continues
	fenceNear = 4.5  // columns: a weaker fence this near a stronger one is the same
	fenceSeen = 0.3  // of the tier's rows, at least
	grooveMax = 9    // columns: what is wider is no groove
	grooveLit = 0.93 // of the lightness of its neighbours, at most
)

// at is the column of the fence on a row of its tier, or beyond its ends.
func (f *fence) at(y int) float32 {
	n := len(f.x)
	switch {
	case y < 0:
		return f.x[0] + f.slope*float32(y)
	case y >= n:
		return f.x[n-1] + f.slope*float32(y-n+1)
	}
	return f.x[y]
}

// raise builds the fences of a tier from the tracks in it: tracks in one line
// make one fence, and of fences that run together the strongest stays.
func (t *tier) raise(ts []track) {
	n := t.rows()
	var parts []track
	for _, k := range ts {
		a, b := max(k.y0, t.y0), min(k.y1(), t.y1)
		if b-a >= trackShort {
			parts = append(parts, track{y0: a - t.y0, x: k.x[a-k.y0 : b-k.y0], e: k.e[a-k.y0 : b-k.y0]})
		}
	}
	slices.SortStableFunc(parts, func(a, b track) int { return len(b.x) - len(a.x) })
	used := make([]bool, len(parts))
	var all []fence
	for i := range parts {
		if used[i] || len(parts[i].x)*4 < n {
			continue
		}
		f := fence{x: make([]float32, n), seen: make([]bool, n)}
		var strengths []float32
		for j := i; j >= 0; j = f.next(parts, used) {
			used[j] = true
			strengths = append(strengths, parts[j].e...)
			for k, x := range parts[j].x {
				f.x[parts[j].y0+k], f.seen[parts[j].y0+k] = x, true
			}
		}
		if float32(len(strengths)) < fenceSeen*float32(n) {
			continue
		}
		f.extend()
		slices.Sort(strengths)
		f.weight = float32(len(strengths)) / float32(n) * strengths[len(strengths)/2]
		all = append(all, f)
	}
	slices.SortStableFunc(all, func(a, b fence) int { return cmp.Compare(b.weight, a.weight) })
	t.lines = nil
	for _, f := range all {
		if !slices.ContainsFunc(t.lines, f.alongside) {
			t.lines = append(t.lines, f)
		}
	}
	slices.SortStableFunc(t.lines, func(a, b fence) int { return cmp.Compare(a.x[n/2], b.x[n/2]) })
}

// next is the unused part that best continues the fence, or -1.
func (f *fence) next(parts []track, used []bool) int {
	a, b := f.fit()
	best, at := float32(fenceJoin), -1
	for j := range parts {
		p := &parts[j]
		if used[j] {
			continue
		}
		clash, gap := 0, float32(0)
		for k, x := range p.x {
			if f.seen[p.y0+k] {
				clash++
			}
			gap += abs32(x - a - b*float32(p.y0+k))
		}
		if gap /= float32(len(p.x)); clash <= 2 && gap < best {
			best, at = gap, j
		}
	}
	return at
}

// alongside says whether g runs beside f over a third of the tier.
func (f *fence) alongside(g fence) bool {
	near := 0
	for y := range f.x {
		if abs32(f.x[y]-g.x[y]) < fenceNear {
			near++
		}
	}
	return near*3 >= len(f.x)
}

// fit is the least-squares line x = a + b·row through the rows seen.
func (f *fence) fit() (a, b float32) {
	var n, sx, sy, sxy, syy float64
	for y, s := range f.seen {
		if s {
			n++
			sx += float64(f.x[y])
			sy += float64(y)
			sxy += float64(f.x[y]) * float64(y)
			syy += float64(y) * float64(y)
		}
	}
	d := n*syy - sy*sy
	if d < 1 {
		return float32(sx / max(n, 1)), 0
	}
	k := (n*sxy - sx*sy) / d
	return float32((sx - k*sy) / n), float32(k)
}

// extend fills the rows not seen: straight between those seen, along the
// fitted slope beyond them.
func (f *fence) extend() {
	_, f.slope = f.fit()
	last := -1
	for y := range f.x {
		if !f.seen[y] {
			continue
		}
		for k := last + 1; k < y; k++ {
			if last < 0 {
				f.x[k] = f.x[y] - f.slope*float32(y-k)
			} else {
				f.x[k] = f.x[last] + (f.x[y]-f.x[last])*float32(k-last)/float32(y-last)
			}
		}
		last = y
	}
	for k := last + 1; k < len(f.x); k++ {
		f.x[k] = f.x[last] + f.slope*float32(k-last)
	}
}

// weed puts one fence in the middle of every dark groove in place of the two on
// its sides.
func (t *tier) weed(r *rack) {
	for {
		type gap struct{ light, width float32 }
		gaps := make([]gap, max(0, len(t.lines)-1))
		for i := range gaps {
			gaps[i].light, gaps[i].width = t.tone(r, &t.lines[i], &t.lines[i+1])
		}
		var kept []fence
		for i := 0; i < len(t.lines); i++ {
			f := t.lines[i]
			if i > 0 && i+2 < len(t.lines) && gaps[i].width < grooveMax &&
				gaps[i].light < grooveLit*min(gaps[i-1].light, gaps[i+1].light) {
				f = f.halfway(&t.lines[i+1])
				i++
			}
			kept = append(kept, f)
		}
		if len(kept) == len(t.lines) {
			return
		}
		t.lines = kept
	}
}

func (f *fence) halfway(g *fence) fence {
	m := fence{x: make([]float32, len(f.x)), slope: (f.slope + g.slope) / 2, weight: max(f.weight, g.weight)}
	for y := range m.x {
		m.x[y] = (f.x[y] + g.x[y]) / 2
	}
	return m
}

// tone is the mean lightness in the middle third between two fences, over the
// middle of the tier, and how many columns they are apart.
func (t *tier) tone(r *rack, left, right *fence) (light, width float32) {
	n := t.rows()
	var s, c float32
	for y := n / 5; y < n-n/5; y++ {
		w := right.x[y] - left.x[y]
		width += w
		row := ((t.y0+y)*grainRows + grainRows/2) * r.W
		for x := int(left.x[y] + w/3 + 0.5); float32(x) <= left.x[y]+2*w/3+0.5; x++ {
			if x >= 0 && x < r.W {
				s += r.L[row+x]
				c++
			}
		}
	}
	return s / max(c, 1), width / float32(n-2*(n/5))
}
