package find

import (
	"math"
	"slices"
)

// fragment is the common border of two neighbouring basins.
type fragment struct {
	a, b          int32   // basins, a < b
	n             int32   // cracks between pixels, the length in pixels
	at            []spot  // places along it, one every few pixels
	mx, my        float32 // centre of the cracks
	mxx, mxy, myy float32 // sums
	f             [numFeat]float32
}

const numFeat = 23

// spotEvery is how many pixels of a border one spot of measuring stands for.
const spotEvery = 12

type spot struct{ x, y float32 }

// fragments lists the borders of label, sorted by (a, b).
func fragments(label []int32, w, h, n int) []fragment {
	type crack struct {
		key  int64
		x, y float32
	}
	var cs []crack
	add := func(i, j int32, x, y float32) {
		if i == j || i < 0 || j < 0 {
			return
		}
		if i > j {
			i, j = j, i
		}
		cs = append(cs, crack{int64(i)<<32 | int64(j), x, y})
	}
	for y := range h {
		for x := range w {
			i := y*w + x
			if x+1 < w {
				add(label[i], label[i+1], float32(x)+1, float32(y)+0.5)
			}
			if y+1 < h {
				add(label[i], label[i+w], float32(x)+0.5, float32(y)+1)
			}
		}
	}
	slices.SortStableFunc(cs, func(p, q crack) int {
		if p.key < q.key {
			return -1
		} else if p.key > q.key {
			return 1
		}
		return 0
	})
	var out []fragment
	for i := 0; i < len(cs); {
		j := i
		var sx, sy float32
		for ; j < len(cs) && cs[j].key == cs[i].key; j++ {
			sx += cs[j].x
			sy += cs[j].y
		}
		m := float32(j - i)
		var xx, xy, yy float32
		for k := i; k < j; k++ {
			xx += cs[k].x * cs[k].x
			xy += cs[k].x * cs[k].y
			yy += cs[k].y * cs[k].y
		}
		spots := max(1, (j-i)/spotEvery)
		f := fragment{mx: sx / m, my: sy / m, mxx: xx, mxy: xy, myy: yy, a: int32(cs[i].key >> 32), b: int32(cs[i].key & 0xffffffff), n: int32(j - i)}
		for k := range spots {
			q := cs[i+(2*k+1)*(j-i)/(2*spots)]
			f.at = append(f.at, spot{q.x, q.y})
		}
		out = append(out, f)
		i = j
	}
	return out
}

// smooth tensor and edge vector
type edgeField struct {
	c    *cluster
	t    tensors // fine
	ts   tensors // smoothed
	book *wordBook
}

// measure sets the features of a fragment, the mean over its spots.
func (e *edgeField) measure(f *fragment) {
	var s fragment
	for _, at := range f.at {
		e.measureAt(&s, at)
		for k, v := range s.f {
			f.f[k] += v / float32(len(f.at))
		}
	}
	f.f[18] = float32(f.n)
}

func (e *edgeField) measureAt(f *fragment, at spot) {
	c := e.c
	i := clamp(int(at.y), 0, c.h-1)*c.w + clamp(int(at.x), 0, c.w-1)
	nx, ny, mag := e.ts.normal(i)
	_, _, fine := e.t.normal(i)
	// refine direction and place by line support
	bx, by, bnx, bny, bs := at.x, at.y, nx, ny, float32(-1)
	for k := -3; k <= 3; k++ {
		s, co := math.Sincos(float64(k) * 4 * math.Pi / 180)
		mx, my := nx*float32(co)-ny*float32(s), nx*float32(s)+ny*float32(co)
		for o := float32(-1); o <= 1; o++ {
			x, y := at.x+mx*o, at.y+my*o
			if v, _, _ := e.support(x, y, mx, my, 14, fine); v > bs {
				bx, by, bnx, bny, bs = x, y, mx, my, v
			}
		}
	}
	s14, h14, a14 := e.support(bx, by, bnx, bny, 14, fine)
	s32, h32, a32 := e.support(bx, by, bnx, bny, 32, fine)
	f.f[0] = mag
	f.f[1] = fine
	f.f[2] = s14
	f.f[3] = h14
	f.f[4] = a14
	f.f[5] = s32
	f.f[6] = h32
	f.f[7] = a32
	k := 8
	for _, sc := range [3][2]int{{8, 6}, {14, 14}, {22, 28}} {
		across, within, md := e.strips(bx, by, bnx, bny, sc[0], sc[1])
		f.f[k] = across
		f.f[k+1] = within
		f.f[k+2] = md
		k += 3
	}
	f.f[17] = e.dip(bx, by, bnx, bny)
	f.f[19], f.f[20] = e.step(bx, by, bnx, bny, 12)
	f.f[21], f.f[22] = e.step(bx, by, bnx, bny, 32)
}

// support is the mean, along the line through (x, y) across normal (nx, ny),
// half length t, of the gradient along the normal as a share of ref; the better
// half's; and the mean absolute.
func (e *edgeField) support(x, y, nx, ny float32, t int, ref float32) (both, half, abs float32) {
	c := e.c
	var sum [2]float32
	ref = max(ref, 0.004)
	for k := -t; k <= t; k++ {
		px, py := int(x-ny*float32(k)), int(y+nx*float32(k))
		if px < 0 || py < 0 || px >= c.w || py >= c.h {
			continue
		}
		i := py*c.w + px
		g := sqrt32(max(0, e.t.xx[i]*nx*nx+2*e.t.xy[i]*nx*ny+e.t.yy[i]*ny*ny))
		v := min(1, g/ref)
		abs += g
		if k < 0 {
			sum[0] += v
		} else {
			sum[1] += v
		}
	}
	ft := float32(t)
	return (sum[0] + sum[1]) / (2*ft + 1), max(sum[0], sum[1]) / ft, abs / (2*ft + 1)
}

// strips compares the colours of strips of half length hl and depth d on the
// two sides.
func (e *edgeField) strips(x, y, nx, ny float32, hl, d int) (across, within, mean float32) {
	c := e.c
	var h [4][words]float32
	var n [4]float32
	var m [2][3]float32
	step := max(1, d/10)
	for side := range 2 {
		sg := float32(1 - 2*side)
		for u := 2; u < d+2; u += step {
			part := side * 2
			if u-2 >= d/2 {
				part++
			}
			for v := -hl; v <= hl; v += step {
				px, py := int(x+sg*nx*float32(u)-ny*float32(v)), int(y+sg*ny*float32(u)+nx*float32(v))
				if px < 0 || py < 0 || px >= c.w || py >= c.h {
					continue
				}
				i := py*c.w + px
				wd := c.word[i]
				if wd == noWord {
					continue
				}
				h[part][wd]++
				n[part]++
				m[side][0] += c.l[i]
				m[side][1] += c.a[i]
				m[side][2] += c.b[i]
			}
		}
	}
	var s [2][words]float32
	for side := range 2 {
		for k := range e.book.n {
			s[side][k] = h[2*side][k] + h[2*side+1][k]
		}
	}
	n0, n1 := n[0]+n[1], n[2]+n[3]
	if n0 < 8 || n1 < 8 {
		return 0.5, 0.2, 0.1
	}
	across = e.book.far(&s[0], &s[1], n0, n1)
	for side := range 2 {
		if n[2*side] > 4 && n[2*side+1] > 4 {
			within += 0.5 * e.book.far(&h[2*side], &h[2*side+1], n[2*side], n[2*side+1])
		}
	}
	for k := range 3 {
		q := m[0][k]/n0 - m[1][k]/n1
		mean += q * q
	}
	return across, within, sqrt32(mean)
}

// step compares thin strips of half length t hard by the line: the colour step
// across it, and how that stands out of the change along it.
func (e *edgeField) step(x, y, nx, ny float32, t int) (step, t2 float32) {
	c := e.c
	var m, v [3]float32
	var n float32
	for k := -t; k <= t; k++ {
		px, py := x-ny*float32(k), y+nx*float32(k)
		var d [3]float32
		ok := true
		for u := 1; u <= 3; u++ {
			ax, ay := int(px+nx*float32(u)), int(py+ny*float32(u))
			bx, by := int(px-nx*float32(u)), int(py-ny*float32(u))
			if ax < 0 || ay < 0 || bx < 0 || by < 0 || ax >= c.w || ay >= c.h || bx >= c.w || by >= c.h {
				ok = false
				break
			}
			i, j := ay*c.w+ax, by*c.w+bx
			if !c.seen[i] || !c.seen[j] {
				ok = false
				break
			}
			d[0] += c.l[i] - c.l[j]
			d[1] += c.a[i] - c.a[j]
			d[2] += c.b[i] - c.b[j]
		}
		if !ok {
			continue
		}
		n++
		for q := range 3 {
			m[q] += d[q] / 3
			v[q] += d[q] * d[q] / 9
		}
	}
	if n < 4 {
		return 0, 0
	}
	var s, w float32
	for q := range 3 {
		m[q] /= n
		s += m[q] * m[q]
		w += v[q]/n - m[q]*m[q]
	}
	return sqrt32(s), sqrt32(s / (max(0, w) + 1e-5))
}

// dip is how much darker the line is than the darker of its sides.
func (e *edgeField) dip(x, y, nx, ny float32) float32 {
	c := e.c
	var s [13]float32
	for u := -6; u <= 6; u++ {
		var n float32
		for v := -8; v <= 8; v++ {
			px, py := int(x+nx*float32(u)-ny*float32(v)), int(y+ny*float32(u)+nx*float32(v))
			if px < 0 || py < 0 || px >= c.w || py >= c.h {
				continue
			}
			s[u+6] += c.l[py*c.w+px]
			n++
		}
		s[u+6] /= max(1, n)
	}
	lo := s[4]
	for u := 5; u <= 8; u++ {
		lo = min(lo, s[u])
	}
	return min(s[0]+s[1], s[11]+s[12])/2 - lo
}

// far is the distance (chi squared, 0..1) of two word counts after words are
// blurred by likeness.
func (b *wordBook) far(p, q *[words]float32, np, nq float32) float32 {
	var sp, sq [words]float32
	for i := range b.n {
		x, y := p[i]/np, q[i]/nq
		if x == 0 && y == 0 {
			continue
		}
		for _, j := range b.like[i] {
			k := b.kernel[i][j]
			sp[j] += x * k
			sq[j] += y * k
		}
	}
	d := float32(0)
	for j := range b.n {
		x, y := sp[j], sq[j]
		if m := x + y; m > 1e-6 {
			d += (x - y) * (x - y) / m
		}
	}
	return d / 2
}

func log32(x float32) float32 { return float32(math.Log(float64(x))) }
