package find

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/eye"
	"piecebag/internal/geom"
)

// print is how a piece's cloth looks, over cells that lie whole within it.
type print struct {
	lab  [3]float64 // mean CIELAB
	bins [5 * 12 * 12]float64
}

const (
	// sameColour is the most that the mean colours of two parts of one piece
	// differ, in CIELAB, lightness counted for lightWeight of it since light falls
	// unevenly on a heap; sameBins the least share of their colours in common. They
	// come from trials on made heaps; joining at all lifts F1 at IoU 0.75 on six of
	// them from 0.515 to 0.660.
	sameColour, lightWeight = 9.0, 0.6
	sameBins                = 0.55
	// inLine is how far the edges of two parts may be out of line, as a share of
	// their width: on 10 made piles 9 of 75 pairs of one piece lie between 0.09
	// and this, and none of 670 others of like colour. oneInLine counts a part seen
	// only beside the occluder's end, at least leastBeside as wide.
	inLine, oneInLine, leastBeside = 0.15, 0.0315, 0.2
	// covered is the least share of what lies between two parts that is cloth.
	covered = 0.85
	// leastPart is the least part that can be told to be one, in cells.
	leastPart = 40
	// alongLeast is how closely the way from part to part follows their edges:
	// the cosine of the angle between.
	alongLeast = 0.7
)

// rejoin gives parts of one piece that something lies across one label: they
// look alike, their edges are in line, and cloth lies between. Labels run to n;
// lab holds the colours of cells.
func (l *labelled) rejoin(n int, lab [][3]float64) []int32 {
	prints := l.prints(n, lab)
	cells := make([][]geom.Point, n+1)
	for i, k := range l.lab {
		if k != 0 {
			cells[k] = append(cells[k], geom.Point{X: float64(i % l.w), Y: float64(i / l.w)})
		}
	}
	frames := make([][2]geom.Point, n+1) // the directions of the smallest rectangle round each
	means := make([]geom.Point, n+1)
	for k := 1; k <= n; k++ {
		if len(cells[k]) < leastPart {
			continue
		}
		r := geom.MinAreaRect(cells[k])
		u := r[1].Sub(r[0])
		u = u.Mul(1 / max(u.Len(), 1e-9))
		frames[k] = [2]geom.Point{u, {X: -u.Y, Y: u.X}}
		for _, p := range cells[k] {
			means[k] = means[k].Add(p)
		}
		means[k] = means[k].Mul(1 / float64(len(cells[k])))
	}
	type match struct {
		cost float64
		a, b int
	}
	var found []match
	for i := 1; i <= n; i++ {
		for j := i + 1; j <= n; j++ {
			if min(len(cells[i]), len(cells[j])) < leastPart || !prints[i].same(&prints[j]) {
				continue
			}
			a, b := i, j
			if len(cells[a]) < len(cells[b]) {
				a, b = b, a
			}
			best := math.Inf(1)
			var s strip
			for _, k := range [2]int{a, b} {
				for _, u := range frames[k] {
					if t, cost, ok := align(cells[a], cells[b], means[a], means[b], u); ok && cost < best {
						best, s = cost, t
					}
				}
			}
			if !math.IsInf(best, 1) && l.spans(s) {
				found = append(found, match{best, i, j})
			}
		}
	}
	slices.SortStableFunc(found, func(p, q match) int { return cmp.Compare(p.cost, q.cost) })
	to := make([]int32, n+1)
	for i := range to {
		to[i] = int32(i)
	}
	for _, m := range found {
		a, b := root(to, int32(m.a)), root(to, int32(m.b))
		to[max(a, b)] = min(a, b)
	}
	out := make([]int32, len(l.lab))
	for i, k := range l.lab {
		out[i] = root(to, k)
	}
	return out
}

// colours are the CIELAB of every cell.
func (v *view) colours() [][3]float64 {
	var light [4*255 + 1]float64 // of the sum of four bytes
	for i := range light {
		light[i] = colour.DecodeSRGB(float64(i) / (4 * 255))
	}
	lab := make([][3]float64, v.w*v.h)
	eye.Rows(v.h, func(lo, hi int) {
		for y := lo; y < hi; y++ {
			up, down := v.rgb[12*v.w*y:][:6*v.w], v.rgb[12*v.w*y+6*v.w:][:6*v.w]
			for x := range v.w {
				p, q := up[6*x:6*x+6], down[6*x:6*x+6]
				var c colour.Linear
				for j := range c {
					c[j] = light[int(p[j])+int(p[j+3])+int(q[j])+int(q[j+3])]
				}
				o := c.Lab()
				lab[y*v.w+x] = [3]float64{o.L, o.A, o.B}
			}
		}
	})
	return lab
}

// prints describes the cloth of every label.
func (l *labelled) prints(n int, lab [][3]float64) []print {
	out := make([]print, n+1)
	count := make([]float64, n+1)
	// Cells at a piece's edge are mixed with what lies beside, so only those whose
	// neighbours are of the piece count, where there are enough of them.
	inside := make([]int, n+1)
	within := func(i int) bool {
		x, y := i%l.w, i/l.w
		return x > 0 && y > 0 && x < l.w-1 && y < l.h-1 &&
			l.lab[i-1] == l.lab[i] && l.lab[i+1] == l.lab[i] && l.lab[i-l.w] == l.lab[i] && l.lab[i+l.w] == l.lab[i]
	}
	for i, k := range l.lab {
		if within(i) {
			inside[k]++
		}
	}
	for i, k := range l.lab {
		if k == 0 || inside[k] >= leastPart/2 && !within(i) {
			continue
		}
		p := &out[k]
		count[k]++
		for j, v := range lab[i] {
			p.lab[j] += v
		}
		p.add(lab[i])
	}
	for k := range out {
		if c := count[k]; c > 0 {
			for j := range out[k].lab {
				out[k].lab[j] /= c
			}
			for j := range out[k].bins {
				out[k].bins[j] /= c
			}
		}
	}
	return out
}

// add counts a colour in its bin and, by nearness, in the bins beside it: a
// twentieth of a shade's difference must not part two halves of one print.
func (p *print) add(c [3]float64) {
	var at [3]float64
	size := [3]int{5, 12, 12}
	at[0], at[1], at[2] = c[0]/20, (c[1]+64)*12/128, (c[2]+64)*12/128
	var lo [3]int
	var share [3][2]float64
	for j := range at {
		v := max(0, min(float64(size[j])-1, at[j]-0.5))
		lo[j] = min(int(v), size[j]-2)
		f := v - float64(lo[j])
		share[j] = [2]float64{1 - f, f}
	}
	for i, a := range share[0] {
		for j, b := range share[1] {
			for k, c := range share[2] {
				p.bins[((lo[0]+i)*12+lo[1]+j)*12+lo[2]+k] += a * b * c
			}
		}
	}
}

// same says whether two parts may be of one print.
func (p *print) same(q *print) bool {
	d := math.Sqrt(sq(lightWeight*(p.lab[0]-q.lab[0])) + sq(p.lab[1]-q.lab[1]) + sq(p.lab[2]-q.lab[2]))
	if d >= sameColour {
		return false
	}
	common := 0.0
	for i, v := range p.bins {
		common += min(v, q.bins[i])
	}
	return common > sameBins
}

// strip is what lies between two parts: along u from u0 to u1, across it from
// v0 to v1.
type strip struct {
	u              geom.Point
	u0, u1, v0, v1 float64
}

// align holds two parts against each other along direction u: what it costs,
// how far their edges are out of line, and what lies between.
func align(a, b []geom.Point, ca, cb, u geom.Point) (s strip, cost float64, ok bool) {
	way := cb.Sub(ca)
	if math.Abs(way.Dot(u)) < alongLeast*way.Len() {
		return s, 0, false
	}
	v := geom.Point{X: -u.Y, Y: u.X}
	a0, a1 := span(a, v)
	b0, b1 := span(b, v)
	width := max(a1-a0, b1-b0)
	low, high := math.Abs(a0-b0)/width, math.Abs(a1-b1)/width
	switch {
	case max(low, high) < inLine:
		cost = max(low, high)
	case min(low, high) < oneInLine && min(a1-a0, b1-b0) > leastBeside*width:
		cost = inLine/2 + min(low, high)
	default:
		return s, 0, false
	}
	s.u, s.v0, s.v1 = u, max(a0, b0), min(a1, b1)
	if way.Dot(u) < 0 {
		a, b = b, a
	}
	_, s.u0 = span(a, u)
	s.u1, _ = span(b, u)
	return s, cost, s.v1-s.v0 >= 3
}

// span is where all but a fiftieth of the points at either end lie along d.
func span(pts []geom.Point, d geom.Point) (lo, hi float64) {
	v := make([]float64, len(pts))
	for i, p := range pts {
		v[i] = p.Dot(d)
	}
	slices.Sort(v)
	k := len(v) / 50
	return v[k], v[len(v)-1-k]
}

// spans says whether cloth lies between the ends of a strip, which is not so
// long that its ends have nothing to do with each other.
func (l *labelled) spans(s strip) bool {
	gap, width := s.u1-s.u0, s.v1-s.v0
	if gap <= 0 {
		return true
	}
	if gap > 6*width+60 {
		return false
	}
	const along, across = 12, 8
	v := geom.Point{X: -s.u.Y, Y: s.u.X}
	n := 0
	for i := range along {
		for j := range across {
			t := 0.15 + 0.7*float64(j)/(across-1)
			p := s.u.Mul(s.u0 + gap*float64(i)/(along-1)).Add(v.Mul(s.v0 + width*t))
			x, y := max(0, min(l.w-1, int(math.Round(p.X)))), max(0, min(l.h-1, int(math.Round(p.Y))))
			if l.lab[y*l.w+x] != 0 {
				n++
			}
		}
	}
	return float64(n) >= covered*along*across
}

func sq(x float64) float64 { return x * x }
