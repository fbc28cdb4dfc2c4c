package find

import "math"

// The direction of the bands is read at a quarter of the working size: long
// edges survive that, weave and small prints do not.
const (
	leanShrink = 4
	leanTurns  = 36  // directions tried over half a turn
	leanReach  = 12  // half the length of the averaging line, in shrunken pixels
	leanBlock  = 8   // side of the blocks the energies are kept for
	busyShare  = 0.2 // of the greatest energy along the bands: what a block in the stack has at least
)

// lean is the direction of the bands over the photo: at (x, y) their long
// edges run at angle a + b·x' + c·y' (radians from the x axis towards y), where
// x' and y' are measured from the middle of the photo in half diagonals.
type lean struct {
	a, b, c float64
	cx, cy  float64
	half    float64 // half the diagonal, working pixels
}

func (l lean) at(x, y float64) float64 {
	return l.a + l.b*(x-l.cx)/l.half + l.c*(y-l.cy)/l.half
}

// lineEnergies is how much long straight edge lies in each block of the
// shrunken photo at each of leanTurns directions.
type lineEnergies struct {
	bw, bh int
	e      []float32 // bw*bh*leanTurns, direction fastest
}

// measureLines averages the derivative across each direction along a line of
// 2*leanReach pixels, so that only edges as long as that stay, and sums the
// magnitude over the pixels where use is set.
func measureLines(p [3][]float32, w, h int, use []uint8) lineEnergies {
	out := lineEnergies{bw: (w + leanBlock - 1) / leanBlock, bh: (h + leanBlock - 1) / leanBlock}
	out.e = make([]float32, out.bw*out.bh*leanTurns)
	var t [3][]float32
	for c := range p {
		t[c] = transpose(p[c], w, h)
	}
	parallel(leanTurns, func(k0, k1 int) {
		for k := k0; k < k1; k++ {
			a := math.Pi * float64(k) / leanTurns
			if s, c := math.Sincos(a); math.Abs(s) >= math.Abs(c) {
				slantedLines(p, w, h, c/s, func(x, y int, e float32) {
					if use[y*w+x] != 0 {
						out.e[((y/leanBlock)*out.bw+x/leanBlock)*leanTurns+k] += e
					}
				})
			} else {
				slantedLines(t, h, w, s/c, func(y, x int, e float32) {
					if use[y*w+x] != 0 {
						out.e[((y/leanBlock)*out.bw+x/leanBlock)*leanTurns+k] += e
					}
				})
			}
		}
	})
	return out
}

func transpose(v []float32, w, h int) []float32 {
	out := make([]float32, len(v))
	for y := range h {
		for x := range w {
			out[x*h+y] = v[y*w+x]
		}
	}
	return out
}

// slantedLines visits every pixel with the magnitude of the mean derivative
// along the line x = x0 + slope·y through it, |slope| ≤ 1.
func slantedLines(p [3][]float32, w, h int, slope float64, visit func(x, y int, e float32)) {
	cos := 1 / math.Hypot(1, slope)
	reach := max(1, int(leanReach*cos+0.5))
	wide := w + int(math.Abs(slope)*float64(h-1)) + 2
	base := func(y int) float64 { // column i of sheared row y is x = i + base(y)
		return slope*float64(y) - math.Max(0, slope*float64(h-1))
	}
	n := 2*reach + 1
	ring := make([]float32, n*3*wide)
	sum := make([]float32, 3*wide)
	row := func(y int, dst []float32) {
		clear(dst)
		if y < 0 || y >= h {
			return
		}
		o := base(y)
		x0 := int(math.Floor(o))
		f := float32(o - float64(x0))
		for c := range 3 {
			src := p[c][y*w : (y+1)*w]
			d := dst[c*wide : (c+1)*wide]
			for i := max(0, 1-x0); i < min(wide, w-2-x0); i++ {
				x := i + x0
				d0 := src[x+1] - src[x-1]
				d1 := src[x+2] - src[x]
				d[i] = d0 + f*(d1-d0)
			}
		}
	}
	for y := -reach; y < h+reach; y++ {
		slot := ring[((y+2*n)%n)*3*wide:][:3*wide]
		for i, v := range slot {
			sum[i] -= v
		}
		row(y, slot)
		for i, v := range slot {
			sum[i] += v
		}
		yc := y - reach
		if yc < 0 {
			continue
		}
		x0 := int(math.Floor(base(yc) + 0.5))
		k := float32(0.5 / (float64(n) * cos))
		for i := max(0, -x0); i < min(wide, w-x0); i++ {
			e := abs32(sum[i]) + abs32(sum[wide+i]) + abs32(sum[2*wide+i])
			visit(i+x0, yc, e*k)
		}
	}
}

func abs32(v float32) float32 {
	if v < 0 {
		return -v
	}
	return v
}

// findLean fits the direction field to the line energies by a coarse search
// and a refinement, each maximising the energy that lies along the field. The
// share is how much of all energy lies within a tenth of a turn of the field.
func findLean(g *grid, gr *ground) (l lean, share float64, m lineEnergies) {
	w, h := g.W/leanShrink, g.H/leanShrink
	var p [3][]float32
	for c := range p {
		p[c] = shrink(g.plane(c), g.W, g.H, leanShrink)
	}
	use := make([]uint8, w*h)
	for y := range h {
		for x := range w {
			if gr.mask[(y*leanShrink+leanShrink/2)*g.W+x*leanShrink+leanShrink/2] == 0 {
				use[y*w+x] = 1
			}
		}
	}
	m = measureLines(p, w, h, use)
	l = lean{cx: float64(g.W) / 2, cy: float64(g.H) / 2, half: math.Hypot(float64(g.W), float64(g.H)) / 2}
	score := func(l lean) float64 {
		s := 0.0
		for by := range m.bh {
			for bx := range m.bw {
				a := l.at((float64(bx)+0.5)*leanBlock*leanShrink, (float64(by)+0.5)*leanBlock*leanShrink)
				s += m.along(by*m.bw+bx, a)
			}
		}
		return s
	}
	best := -1.0
	for k := range leanTurns {
		for ib := -3; ib <= 3; ib++ {
			for ic := -3; ic <= 3; ic++ {
				t := l
				t.a, t.b, t.c = math.Pi*float64(k)/leanTurns, float64(ib)*0.12, float64(ic)*0.12
				if s := score(t); s > best {
					best, l = s, t
				}
			}
		}
	}
	for step := 0.06; step > 0.005; step /= 2 {
		for range 4 {
			from := best
			for _, d := range [6][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
				t := l
				t.a, t.b, t.c = l.a+d[0]*step, l.b+d[1]*step, l.c+d[2]*step
				if s := score(t); s > best {
					best, l = s, t
				}
			}
			if best == from {
				break
			}
		}
	}
	total := 0.0
	for _, e := range m.e {
		total += float64(e)
	}
	if total == 0 {
		return l, 0, m
	}
	return l, best * leanTurns / total, m
}

// busy is the blocks, in working pixels, of the largest part of the photo that
// is full of lines along l; parts up to two blocks apart are one.
func (m lineEnergies) busy(l lean) []box {
	const side = leanBlock * leanShrink
	e := make([]float32, m.bw*m.bh)
	top := float32(0)
	for i := range e {
		mean := float32(0)
		for _, v := range m.e[i*leanTurns : (i+1)*leanTurns] {
			mean += v / leanTurns
		}
		x, y := (float64(i%m.bw)+0.5)*side, (float64(i/m.bw)+0.5)*side
		e[i] = float32(m.along(i, l.at(x, y))) - mean
		top = max(top, e[i])
	}
	mask := make([]uint8, len(e))
	for i, v := range e {
		if v > busyShare*top {
			mask[i] = 255
		}
	}
	lab, blobs := labelBlobs(dilate(mask, m.bw, m.bh, 1), m.bw, m.bh)
	sum := make([]float32, len(blobs)+1)
	best := int32(0)
	for i, v := range e {
		if mask[i] != 0 {
			sum[lab[i]] += v
		}
	}
	for k := range sum {
		if sum[k] > sum[best] {
			best = int32(k)
		}
	}
	var out []box
	for i := range e {
		if mask[i] != 0 && lab[i] == best {
			x, y := i%m.bw*side, i/m.bw*side
			out = append(out, box{x, y, x + side, y + side})
		}
	}
	return out
}

// along interpolates block i's energy at angle a.
func (m lineEnergies) along(i int, a float64) float64 {
	t := a / math.Pi * leanTurns
	k := math.Floor(t)
	f := t - k
	k0 := ((int(k) % leanTurns) + leanTurns) % leanTurns
	e := m.e[i*leanTurns : (i+1)*leanTurns]
	return float64(e[k0])*(1-f) + float64(e[(k0+1)%leanTurns])*f
}

// shrink averages k × k pixels into one.
func shrink(v []float32, w, h, k int) []float32 {
	sw, sh := w/k, h/k
	out := make([]float32, sw*sh)
	for y := range sh {
		for x := range sw {
			var s float32
			for j := y * k; j < (y+1)*k; j++ {
				for i := x * k; i < (x+1)*k; i++ {
					s += v[j*w+i]
				}
			}
			out[y*sw+x] = s / float32(k*k)
		}
	}
	return out
}
