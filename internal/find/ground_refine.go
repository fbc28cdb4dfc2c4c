package find

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

const (
	// groundNear is how many sigmas from its own colour bare ground may lie.
	groundNear = 4.5
	// groundFar is beyond what the ground's texture explains.
	groundFar = 7
)

// mostRounds bounds how often the ground's colour is carried on.
const mostRounds = 6

// refine measures every pixel against the surface, moves the surface by what
// the bare ground really shows, and lets soft shadows back in.
func (r *ground) refine(g *grid) {
	s := &grid{W: g.W, H: g.H, L: blur(g.L, g.W, g.H, 1), A: blur(g.A, g.W, g.H, 1), B: blur(g.B, g.W, g.H, 1)}
	r.measure(s)
	// Under two lights the ground's colour may drift further than the surface
	// bends; while the frame is not bare each round carries the estimate on.
	for round := range mostRounds {
		r.flood(s)
		if round >= 2 && r.rimBare() > 0.9 {
			break
		}
		r.follow(s, max(g.W, g.H)/8)
		r.spread(s)
		r.measure(s)
	}
	r.flood(s)
	r.castShadows(s)
	r.reclaim(s)
	r.shade(s)
	r.measure(s)
	r.pockets(s)
	r.trim(g)
	r.ruled()
}

// ruled gives the ground its own lines back: the grid of a cutting mat, the
// joints of planks. They are thin, and run across a good part of the photo.
func (r *ground) ruled() {
	w, h := r.W, r.H
	k := max(2, max(w, h)/300)
	cloth := make([]uint8, len(r.mask))
	for i, m := range r.mask {
		if m == 0 {
			cloth[i] = 255
		}
	}
	bulk := dilate(erode(cloth, w, h, k), w, h, k+1)
	for i := range cloth {
		if bulk[i] != 0 {
			cloth[i] = 0
		}
	}
	lab, blobs := labelBlobs(cloth, w, h)
	for i, l := range lab {
		if l == 0 {
			continue
		}
		b := blobs[l-1].box
		if max(b.w(), b.h())*5 > max(w, h) || b.x0 == 0 || b.y0 == 0 || b.x1 == w || b.y1 == h {
			r.mask[i] = 255
		}
	}
}

// trim moves the edge of the mask to where a pixel is half cloth. The smoothed
// distance passes groundNear a pixel or two outside a piece that stands out; the
// sharp one, set against its own height just inside, does not.
func (r *ground) trim(g *grid) {
	sharp := make([]float32, len(r.dist))
	r.measureInto(g, sharp)
	w, h := r.W, r.H
	for range 2 {
		var off []int32
		for y := 1; y < h-1; y++ {
			for x := 1; x < w-1; x++ {
				i := y*w + x
				if r.mask[i] != 0 || r.mask[i-1]|r.mask[i+1]|r.mask[i-w]|r.mask[i+w] == 0 {
					continue
				}
				top := float32(0)
				for v := max(0, y-2); v <= min(h-1, y+2); v++ {
					for u := max(0, x-2); u <= min(w-1, x+2); u++ {
						top = max(top, sharp[v*w+u])
					}
				}
				if sharp[i] < 0.4*top {
					off = append(off, int32(i))
				}
			}
		}
		for _, i := range off {
			r.mask[i] = 255
		}
	}
}

// reclaim takes back from the flood what has a piece's shape: a brown print on
// brown wood passes for shadow by its colour, but a shadow has no four straight
// sides with a step of its full depth across each.
func (r *ground) reclaim(s *grid) {
	w, h := r.W, r.H
	apart := make([]uint8, len(r.mask))
	for i, d := range r.dist {
		if r.mask[i] == 0 || d >= groundNear {
			apart[i] = 255
		}
	}
	apart = open(apart, w, h, 2)
	least := float64(leastArea(w, h))
	seam := seamOf(s, 8)
	lab, blobs := labelBlobs(apart, w, h)
	flooded := make([]int, len(blobs))
	for i, l := range lab {
		if l != 0 && r.mask[i] != 0 {
			flooded[l-1]++
		}
	}
	for k, b := range blobs {
		if float64(flooded[k]) < least/2 {
			continue
		}
		for _, part := range cutApart(traceBlob(lab, w, h, b), least, seam) {
			if part.Area() < least || squareness(part) < wholeEnough || !r.steep(s, part) {
				continue
			}
			part.Fill(w, h, func(y, x0, x1 int) {
				for i := y*w + x0; i < y*w+x1; i++ {
					if apart[i] != 0 {
						r.mask[i] = 0
					}
				}
			})
		}
	}
}

// steep says whether a ring has bare ground about it, and whether on each of its
// quarters lightness steps down from there, within a few pixels, by most of the
// depth it has inside.
func (r *ground) steep(s *grid, ring geom.Polygon) bool {
	outline := resample(simplify(ring, 1.5), 2)
	if outline.SignedArea() < 0 {
		slices.Reverse(outline)
	}
	const reach = 3
	var depth, step [4]float32
	n, bare := len(outline), 0
	for i, p := range outline {
		d := outline[(i+1)%n].Sub(outline[(i+n-1)%n])
		l := d.Len()
		if l < 1e-6 {
			continue
		}
		in := geom.Point{X: -d.Y / l, Y: d.X / l}.Mul(reach)
		a, okA := at(s, r, p.Add(in))
		b, okB := at(s, r, p.Sub(in))
		if okA && okB && float64(max(b, -b)) < groundNear*r.sigma[0] {
			bare++
			depth[i*4/n] -= a
			step[i*4/n] += b - a
		}
	}
	if bare*10 < n*7 {
		return false
	}
	for k := range depth {
		if step[k] <= 0 || step[k] < 0.6*depth[k] {
			return false
		}
	}
	return true
}

// at is how much lighter than the bare ground the picture is at p.
func at(s *grid, r *ground, p geom.Point) (float32, bool) {
	x, y := int(math.Floor(p.X)), int(math.Floor(p.Y))
	if x < 0 || y < 0 || x >= r.W || y >= r.H {
		return 0, false
	}
	return s.L[y*r.W+x] - r.L[y*r.W+x], true
}

// shade takes the shadows that the flood let in into the ground's local colour.
func (r *ground) shade(s *grid) {
	r.pull(s, max(r.W, r.H)/15, 0.03, func(i int) float32 {
		if r.mask[i] != 0 {
			return 1
		}
		return 0
	})
}

// spread takes sigma anew from the ground in the frame of the photo, where
// pieces near the ground's colour are rarest: the median of the deviations, or
// a third of their 97th percentile where grain has long tails.
func (r *ground) spread(s *grid) {
	var dev [3][]float64
	rim := r.rim(max(r.W, r.H) / 12)
	for i := 0; i < len(r.dist); i += 5 {
		if r.dist[i] > groundFar || !rim[i] {
			continue
		}
		l, gl := max(s.L[i], 0.08), max(r.L[i], 0.08)
		dev[0] = append(dev[0], math.Abs(float64(l-gl)))
		dev[1] = append(dev[1], math.Abs(float64(s.A[i]/l-r.A[i]/gl)))
		dev[2] = append(dev[2], math.Abs(float64(s.B[i]/l-r.B[i]/gl)))
	}
	floor := [3]float64{0.0025, 0.0015, 0.0015}
	for c, d := range dev {
		if len(d) < 100 {
			return
		}
		slices.Sort(d)
		r.sigma[c] = max(floor[c], 1.4826*d[len(d)/2])
		// Pieces may lie all round the edge of a mat.
		if r.region == nil {
			r.sigma[c] = max(r.sigma[c], d[len(d)*97/100]/3)
		}
	}
}

// measure sets dist: lightness and lightness-free chroma against the local
// ground, in sigmas.
func (r *ground) measure(s *grid) { r.measureInto(s, r.dist) }

func (r *ground) measureInto(s *grid, dist []float32) {
	k := [3]float32{float32(1 / r.sigma[0]), float32(1 / r.sigma[1]), float32(1 / r.sigma[2])}
	parallel(r.H, func(y0, y1 int) {
		for i := y0 * r.W; i < y1*r.W; i++ {
			l, gl := max(s.L[i], 0.08), max(r.L[i], 0.08)
			dl := (l - gl) * k[0]
			da := (s.A[i]/l - r.A[i]/gl) * k[1]
			db := (s.B[i]/l - r.B[i]/gl) * k[2]
			dist[i] = sqrt32(dl*dl + da*da + db*db)
		}
	})
}

// follow moves the local ground colour to the mean of the mask's pixels within
// radius, leaning on the old estimate where few are in reach. Pixels far from
// the old estimate count little.
func (r *ground) follow(s *grid, radius int) {
	r.pull(s, radius, 0.1, func(i int) float32 {
		u := r.dist[i] / groundNear
		if r.mask[i] == 0 || u >= 1 {
			return 0
		}
		return (1 - u*u) * (1 - u*u)
	})
}

// pull adds to the local ground colour the weighted mean, within radius, of
// what the picture shows beyond it (normalised convolution, Knutsson & Westin
// 1993; ridge is the weight of "no change"). The means are smooth, so they are
// taken over cells of pullCell pixels and interpolated.
func (r *ground) pull(s *grid, radius int, ridge float32, weight func(i int) float32) {
	cw, ch := (r.W+pullCell-1)/pullCell, (r.H+pullCell-1)/pullCell
	den := make([]float32, cw*ch)
	var num [3][]float32
	for c := range num {
		num[c] = make([]float32, cw*ch)
	}
	local := [3][]float32{r.L, r.A, r.B}
	parallel(ch, func(c0, c1 int) {
		for y := c0 * pullCell; y < min(c1*pullCell, r.H); y++ {
			for x := range r.W {
				i := y*r.W + x
				k := weight(i)
				if k == 0 {
					continue
				}
				j := y/pullCell*cw + x/pullCell
				den[j] += k
				for c := range num {
					num[c][j] += k * (s.plane(c)[i] - local[c][i])
				}
			}
		}
	})
	reach := max(1, radius/(2*pullCell))
	den = blur(den, cw, ch, reach)
	for c := range num {
		num[c] = blur(num[c], cw, ch, reach)
		for j := range den {
			num[c][j] /= den[j] + ridge*pullCell*pullCell
		}
	}
	parallel(r.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			v := (float32(y)+0.5)/pullCell - 0.5
			j0 := clamp(int(v), 0, ch-1)
			j1, fv := min(j0+1, ch-1), max(0, v-float32(j0))
			for x := range r.W {
				u := (float32(x)+0.5)/pullCell - 0.5
				i0 := clamp(int(u), 0, cw-1)
				i1, fu := min(i0+1, cw-1), max(0, u-float32(i0))
				i := y*r.W + x
				for c := range num {
					n := num[c]
					top := n[j0*cw+i0]*(1-fu) + n[j0*cw+i1]*fu
					low := n[j1*cw+i0]*(1-fu) + n[j1*cw+i1]*fu
					local[c][i] += top*(1-fv) + low*fv
				}
			}
		}
	})
}

const pullCell = 4

// flood sets mask: what can be reached from the frame of the photo through
// ground colour and soft shadow. A shadow keeps the ground's chroma, is darker,
// and comes on gradually.
func (r *ground) flood(s *grid) {
	grad := gradient(s.L, r.W, r.H)
	clear(r.mask)
	stack := make([]int32, 0, r.W*r.H/8)
	rim := r.rim(max(r.W, r.H) / 24)
	for i, d := range r.dist {
		if d < groundNear && rim[i] {
			r.mask[i] = 255
			stack = append(stack, int32(i))
		}
	}
	passes := func(i int32) bool {
		if r.region != nil && r.region[i] == 0 {
			return false
		}
		if r.dist[i] < groundNear {
			return true
		}
		l, gl := max(s.L[i], 0.08), max(r.L[i], 0.08)
		if l > gl || l < 0.45*gl {
			return false
		}
		da := float64(s.A[i]/l-r.A[i]/gl) / r.sigma[1]
		db := float64(s.B[i]/l-r.B[i]/gl) / r.sigma[2]
		drop := float64((gl - l) / gl)
		return math.Hypot(da, db) < groundNear+40*drop && float64(grad[i]) < 0.2*float64(gl-l)+0.6*r.sigma[0]
	}
	r.soak(stack, passes)
}

// soak lets the mask run on from the pixels of stack to every neighbour that
// passes.
func (r *ground) soak(stack []int32, passes func(i int32) bool) {
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		x, y := int(i)%r.W, int(i)/r.W
		for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			u, v := x+d[0], y+d[1]
			if u < 0 || v < 0 || u >= r.W || v >= r.H {
				continue
			}
			j := int32(v*r.W + u)
			if r.mask[j] == 0 && passes(j) {
				r.mask[j] = 255
				stack = append(stack, j)
			}
		}
	}
}

// rim marks the pixels within depth of the edge of the region.
func (r *ground) rim(depth int) []bool {
	out := make([]bool, r.W*r.H)
	var inner []uint8
	if r.region != nil {
		inner = erode(r.region, r.W, r.H, depth)
	}
	for i := range out {
		if r.region != nil {
			out[i] = r.region[i] != 0 && inner[i] == 0
			continue
		}
		x, y := i%r.W, i/r.W
		out[i] = x < depth || y < depth || x >= r.W-depth || y >= r.H-depth
	}
	return out
}

// rimBare is the share of the region's edge that the mask holds, 0..1.
func (r *ground) rimBare() float64 {
	n, bare := 0, 0
	for i, in := range r.rim(max(r.W, r.H) / 24) {
		if in {
			n++
			bare += lit(r.mask[i])
		}
	}
	return float64(bare) / float64(max(1, n))
}

// pockets adds the ground that pieces close in: patches of ground colour whose
// mean, not only each pixel, is the ground's. A white print on white flannel
// passes pixel by pixel but its mean stands apart.
func (r *ground) pockets(s *grid) {
	in := make([]uint8, len(r.mask))
	for i, d := range r.dist {
		if d < groundNear && r.mask[i] == 0 {
			in[i] = 1
		}
	}
	lab, blobs := labelBlobs(in, r.W, r.H)
	sum := make([][3]float64, len(blobs))
	for i, l := range lab {
		if l == 0 {
			continue
		}
		m := &sum[l-1]
		sl, gl := max(s.L[i], 0.08), max(r.L[i], 0.08)
		m[0] += float64(sl-gl) / r.sigma[0]
		m[1] += float64(s.A[i]/sl-r.A[i]/gl) / r.sigma[1]
		m[2] += float64(s.B[i]/sl-r.B[i]/gl) / r.sigma[2]
	}
	for i, l := range lab {
		if l == 0 {
			continue
		}
		m, n := sum[l-1], float64(blobs[l-1].area)
		if n >= 40 && m[0]*m[0]+m[1]*m[1]+m[2]*m[2] < n*n {
			r.mask[i] = 255
		}
	}
}

// gradient is the central-difference gradient magnitude a pixel.
func gradient(v []float32, w, h int) []float32 {
	out := make([]float32, len(v))
	parallel(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			up, dn := max(y-1, 0)*w, min(y+1, h-1)*w
			for x := range w {
				gx := v[y*w+min(x+1, w-1)] - v[y*w+max(x-1, 0)]
				gy := v[dn+x] - v[up+x]
				out[y*w+x] = 0.5 * sqrt32(gx*gx+gy*gy)
			}
		}
	})
	return out
}
