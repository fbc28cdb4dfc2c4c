package find

import (
	"math"

	"piecebag/internal/geom"
)

// box is a half-open range of pixels.
type box struct{ x0, y0, x1, y1 int }

func (b box) w() int { return b.x1 - b.x0 }
func (b box) h() int { return b.y1 - b.y0 }

// blob is one connected set of pixels of a label picture.
type blob struct {
	label int32
	area  int
	box   box
}

// labelBlobs numbers the 4-connected sets of non-zero pixels from 1 in raster
// order; 0 is the rest.
func labelBlobs(mask []uint8, w, h int) ([]int32, []blob) {
	lab := make([]int32, w*h)
	var blobs []blob
	var stack []int32
	for s := range mask {
		if mask[s] == 0 || lab[s] != 0 {
			continue
		}
		id := int32(len(blobs) + 1)
		b := blob{label: id, box: box{w, h, 0, 0}}
		lab[s] = id
		stack = append(stack[:0], int32(s))
		for len(stack) > 0 {
			i := int(stack[len(stack)-1])
			stack = stack[:len(stack)-1]
			x, y := i%w, i/w
			b.area++
			b.box.x0, b.box.y0 = min(b.box.x0, x), min(b.box.y0, y)
			b.box.x1, b.box.y1 = max(b.box.x1, x+1), max(b.box.y1, y+1)
			if x > 0 && mask[i-1] != 0 && lab[i-1] == 0 {
				lab[i-1] = id
				stack = append(stack, int32(i-1))
			}
			if x+1 < w && mask[i+1] != 0 && lab[i+1] == 0 {
				lab[i+1] = id
				stack = append(stack, int32(i+1))
			}
			if y > 0 && mask[i-w] != 0 && lab[i-w] == 0 {
				lab[i-w] = id
				stack = append(stack, int32(i-w))
			}
			if y+1 < h && mask[i+w] != 0 && lab[i+w] == 0 {
				lab[i+w] = id
				stack = append(stack, int32(i+w))
			}
		}
		blobs = append(blobs, b)
	}
	return lab, blobs
}

// traceBlob walks the outer crack boundary of label id, starting at its first
// pixel in raster order, clockwise on screen; points are pixel corners.
func traceBlob(lab []int32, w, h int, b blob) geom.Polygon {
	at := func(x, y int) bool {
		return x >= 0 && y >= 0 && x < w && y < h && lab[y*w+x] == b.label
	}
	sx, sy := -1, b.box.y0
	for x := b.box.x0; x < b.box.x1; x++ {
		if at(x, sy) {
			sx = x
			break
		}
	}
	if sx < 0 {
		return nil
	}
	// Directions: 0 east, 1 south, 2 west, 3 north; the blob is on the right.
	dx, dy := [4]int{1, 0, -1, 0}, [4]int{0, 1, 0, -1}
	// The pixels ahead-left and ahead-right of a corner, by direction.
	lx, ly := [4]int{0, 0, -1, -1}, [4]int{-1, 0, 0, -1}
	rx, ry := [4]int{0, -1, -1, 0}, [4]int{0, 0, -1, -1}
	x, y, d := sx, sy, 0
	var out geom.Polygon
	for {
		out = append(out, geom.Point{X: float64(x), Y: float64(y)})
		x, y = x+dx[d], y+dy[d]
		switch {
		case !at(x+rx[d], y+ry[d]):
			d = (d + 1) & 3
		case at(x+lx[d], y+ly[d]):
			d = (d + 3) & 3
		}
		if x == sx && y == sy && d == 0 {
			return out
		}
	}
}

// simplify is Douglas & Peucker 1973 on a closed ring, split at its two
// farthest-apart points: no dropped point lies more than eps from the result.
func simplify(g geom.Polygon, eps float64) geom.Polygon {
	if len(g) < 4 {
		return g
	}
	a := 0
	b := farthest(g, a)
	a = farthest(g, b)
	if a > b {
		a, b = b, a
	}
	keep := make([]bool, len(g))
	keep[a], keep[b] = true, true
	peucker(g, a, b, eps, keep)
	peucker(g, b, a+len(g), eps, keep)
	var out geom.Polygon
	for i, k := range keep {
		if k {
			out = append(out, g[i])
		}
	}
	return out
}

func farthest(g geom.Polygon, from int) int {
	best, k := -1.0, from
	for i, p := range g {
		if d := p.Dist(g[from]); d > best {
			best, k = d, i
		}
	}
	return k
}

func peucker(g geom.Polygon, lo, hi int, eps float64, keep []bool) {
	n := len(g)
	a, b := g[lo%n], g[hi%n]
	l := a.Dist(b)
	best, k := eps, -1
	for i := lo + 1; i < hi; i++ {
		p := g[i%n]
		d := p.Dist(a)
		if l > 1e-9 {
			d = math.Abs(b.Sub(a).Cross(p.Sub(a))) / l
		}
		if d > best {
			best, k = d, i
		}
	}
	if k >= 0 {
		keep[k%n] = true
		peucker(g, lo, k, eps, keep)
		peucker(g, k, hi, eps, keep)
	}
}

// fillHoles sets every zero pixel that cannot reach the edge of the picture
// through zero pixels, where the hole has at most limit pixels.
func fillHoles(mask []uint8, w, h, limit int) {
	inv := make([]uint8, len(mask))
	for i, m := range mask {
		if m == 0 {
			inv[i] = 1
		}
	}
	lab, blobs := labelBlobs(inv, w, h)
	for i, l := range lab {
		if l == 0 {
			continue
		}
		b := &blobs[l-1]
		if b.box.x0 > 0 && b.box.y0 > 0 && b.box.x1 < w && b.box.y1 < h && b.area <= limit {
			mask[i] = 255
		}
	}
}

// erode and dilate are square of side 2r+1, by separable running extremes.
func erode(m []uint8, w, h, r int) []uint8  { return rank(m, w, h, r, false) }
func dilate(m []uint8, w, h, r int) []uint8 { return rank(m, w, h, r, true) }

func rank(m []uint8, w, h, r int, grow bool) []uint8 {
	row := make([]uint8, len(m))
	out := make([]uint8, len(m))
	full := 2*r + 1
	parallel(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			s, o := m[y*w:(y+1)*w], row[y*w:(y+1)*w]
			n, need := 0, full
			if grow {
				need = 1
			}
			for x := -r; x <= r; x++ {
				n += lit(s[clamp(x, 0, w-1)])
			}
			for x := range w {
				if n >= need {
					o[x] = 255
				}
				n += lit(s[min(x+r+1, w-1)]) - lit(s[max(x-r, 0)])
			}
		}
	})
	parallel(w, func(x0, x1 int) {
		count := make([]int32, x1-x0)
		add := func(y int, by int32) {
			s := row[clamp(y, 0, h-1)*w+x0:]
			s = s[:len(count)]
			for i, v := range s {
				count[i] += by * int32(v&1)
			}
		}
		need := int32(full)
		if grow {
			need = 1
		}
		for y := -r; y <= r; y++ {
			add(y, 1)
		}
		for y := range h {
			o := out[y*w+x0:]
			o = o[:len(count)]
			for i, n := range count {
				if n >= need {
					o[i] = 255
				}
			}
			add(y+r+1, 1)
			add(y-r, -1)
		}
	})
	return out
}

func lit(v uint8) int {
	if v != 0 {
		return 1
	}
	return 0
}
