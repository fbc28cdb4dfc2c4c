package find

import (
	"math"

	"piecebag/internal/geom"
)

// ground is the surface the pieces lie on, as seen in one photo: the colour it
// has, or would have, at every pixel, and how far each pixel is from it.
type ground struct {
	W, H int
	mask []uint8   // 255 where the pixel is ground
	dist []float32 // distance from the local ground colour, in robust sigmas
	// L, A, B are the colour the bare ground has at each pixel (OKLab).
	L, A, B []float32
	// sigma is the spread of the ground's own texture, in L, a and b.
	sigma  [3]float64
	region []uint8 // where the ground may be; nil: anywhere
	lying  []uint8 // what cover found; nil before it was asked
	found  bool    // false where no surface explains the frame of the photo
}

// groundTerms are the monomials of the shading surface up to degree four.
const groundTerms = 15

func groundBasis(x, y float64) [groundTerms]float64 {
	return [groundTerms]float64{1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y,
		x * x * x * x, x * x * x * y, x * x * y * y, x * y * y * y, y * y * y * y}
}

// groundSample is one low-resolution sample of the picture: place in -1..1,
// lightness, and chroma over lightness. Dividing by lightness takes shading
// out: a surface of one albedo under k times the light has its OKLab
// coordinates multiplied by the cube root of k.
type groundSample struct {
	x, y   float64
	v      [3]float64
	border bool
}

// findGround fits the ground from the frame of the photo inwards. Where what
// lies on it is one large board or mat with things on it, that is the ground.
func findGround(g *grid) *ground {
	samples := groundSamples(g)
	r := groundFrom(g, samples, nil)
	if mat := r.mat(); mat != nil {
		inner := groundFrom(g, samples, mat)
		bare := inner.bareWithin(mat)
		if inner.found && inner.even() && bare > 0.2 && bare < 0.98 && inner.hangsTogether(mat) {
			inner.take(r)
			return inner
		}
	}
	return r
}

// groundFrom fits the ground inside region, the whole picture where it is nil.
func groundFrom(g *grid, samples []groundSample, region []uint8) *ground {
	r := &ground{W: g.W, H: g.H, mask: make([]uint8, g.W*g.H), dist: make([]float32, g.W*g.H), region: region}
	if region != nil {
		samples = samplesWithin(samples, region, g.W, g.H)
	}
	fit, ok := fitGround(samples, region != nil)
	r.found, r.sigma = ok, fit.sigma
	r.render(g, fit.terms)
	r.refine(g)
	return r
}

// even says whether the ground is one surface: a sigma wide enough for a board
// of many prints fits them all.
func (r *ground) even() bool {
	return r.sigma[0] < 0.06 && r.sigma[1] < 0.03 && r.sigma[2] < 0.03
}

// take makes r, the ground on a mat, the ground of the whole picture: off the
// mat it is what the mat lies on, and across the mat's edge either will do.
func (r *ground) take(outer *ground) {
	edge := max(r.W, r.H) / 75
	near := dilate(r.region, r.W, r.H, edge)
	for i := range r.mask {
		switch {
		case r.region[i] != 0:
			continue
		case near[i] != 0:
			if r.dist[i] < groundNear {
				r.mask[i] = 255
			}
			r.mask[i] |= outer.mask[i]
			r.dist[i] = min(r.dist[i], outer.dist[i])
		default:
			r.mask[i], r.dist[i] = outer.mask[i], outer.dist[i]
			r.L[i], r.A[i], r.B[i] = outer.L[i], outer.A[i], outer.B[i]
		}
	}
	r.region = nil
}

// mat is the mask of a large four-sided thing that may itself be what the
// pieces lie on; nil where there is none.
func (r *ground) mat() []uint8 {
	mask := make([]uint8, len(r.mask))
	for i, m := range r.mask {
		if m == 0 {
			mask[i] = 255
		}
	}
	mask = open(mask, r.W, r.H, max(r.W, r.H)/120)
	fillHoles(mask, r.W, r.H, r.W*r.H)
	mask = open(mask, r.W, r.H, max(r.W, r.H)/60)
	lab, blobs := labelBlobs(mask, r.W, r.H)
	for _, b := range blobs {
		if b.area*3 < r.W*r.H {
			continue
		}
		// Pieces that lie half off the mat make its outline uneven.
		corners, fit := fitQuad(simplify(traceBlob(lab, r.W, r.H, b), 1))
		if fit < 0.8 {
			return nil
		}
		// All of the quadrilateral is the mat, also where a piece in the colour of
		// what lies round the mat reaches its edge.
		clear(mask)
		geom.Polygon(corners[:]).Fill(r.W, r.H, func(y, x0, x1 int) {
			for i := y*r.W + x0; i < y*r.W+x1; i++ {
				mask[i] = 255
			}
		})
		return erode(mask, r.W, r.H, max(r.W, r.H)/150)
	}
	return nil
}

// bareWithin is the share of a region that shows ground, 0..1.
func (r *ground) bareWithin(region []uint8) float64 {
	in, n := 0, 0
	for i, m := range region {
		if m != 0 {
			n++
			if r.mask[i] != 0 {
				in++
			}
		}
	}
	return float64(in) / float64(max(1, n))
}

// hangsTogether says whether most of the bare ground in a region is one piece:
// a mat is bare between the things on it, while the squares of one print on a
// board lie apart.
func (r *ground) hangsTogether(region []uint8) bool {
	in := make([]uint8, len(region))
	total := 0
	for i, m := range region {
		if m != 0 && r.mask[i] != 0 {
			in[i] = 1
			total++
		}
	}
	_, blobs := labelBlobs(in, r.W, r.H)
	largest := 0
	for _, b := range blobs {
		largest = max(largest, b.area)
	}
	return largest*10 > total*6
}

// samplesWithin keeps the samples inside region; the fit starts from all of
// them, since pieces may lie all round the edge of a mat.
func samplesWithin(samples []groundSample, region []uint8, w, h int) []groundSample {
	var out []groundSample
	for _, s := range samples {
		i := clamp(int((s.y+1)/2*float64(h)), 0, h-1)*w + clamp(int((s.x+1)/2*float64(w)), 0, w-1)
		if region[i] != 0 {
			s.border = true
			out = append(out, s)
		}
	}
	return out
}

// groundStep is the side, in working pixels, of the cell that makes one sample.
const groundStep = 8

func groundSamples(g *grid) []groundSample {
	w, h := g.W/groundStep, g.H/groundStep
	out := make([]groundSample, 0, w*h)
	band := max(2, min(w, h)/14)
	for y := range h {
		for x := range w {
			var s [3]float64
			for v := y * groundStep; v < (y+1)*groundStep; v++ {
				for u := x * groundStep; u < (x+1)*groundStep; u++ {
					i := v*g.W + u
					s[0] += float64(g.L[i])
					s[1] += float64(g.A[i])
					s[2] += float64(g.B[i])
				}
			}
			const n = groundStep * groundStep
			l := max(s[0]/n, 0.05)
			out = append(out, groundSample{
				x: 2*(float64(x)+0.5)/float64(w) - 1, y: 2*(float64(y)+0.5)/float64(h) - 1,
				v:      [3]float64{l, s[1] / n / l, s[2] / n / l},
				border: x < band || y < band || x >= w-band || y >= h-band,
			})
		}
	}
	return out
}

// fitGround fits the three shading surfaces by iteratively reweighted least
// squares, first on the frame of the photo with a wide scale that narrows
// (graduated non-convexity, Blake & Zisserman 1987), then on all that agrees. A
// crowded ground has little bare frame to hold on to: it starts narrower and
// bends less, lest it follow large pieces.
func fitGround(samples []groundSample, crowded bool) (groundFit, bool) {
	frame := make([]groundSample, 0, len(samples)/3)
	for _, s := range samples {
		if s.border {
			frame = append(frame, s)
		}
	}
	if len(frame) < 40 {
		return groundFit{sigma: [3]float64{0.05, 0.02, 0.02}}, false
	}
	most := groundTerms
	if crowded {
		most = 6
	}
	f := groundFit{sigma: [3]float64{0.12, 0.05, 0.05}}
	if crowded {
		f.sigma[0] = 0.04
	}
	for c, v := range commonest(frame) {
		f.terms[c][0] = v
	}
	f.narrow(frame, 3, 6, 0.7)
	f.narrow(frame, 6, 4, 0.7)
	f.settle(samples, most)
	if !crowded {
		if o, ok := fitGrown(samples, frame); ok {
			f = betterOn(frame, f, o)
		}
	}
	return f, f.holds(frame, f.sigma)*4 > len(frame)
}

// groundFit is three shading surfaces and the spread of the ground about them.
type groundFit struct {
	terms [3][groundTerms]float64
	sigma [3]float64
}

// settle narrows the fit on all that agrees with it, bending more and more.
func (f *groundFit) settle(samples []groundSample, most int) {
	f.narrow(samples, 6, 6, 0.7)
	f.narrow(samples, min(10, most), 2, 0.8)
	f.narrow(samples, most, 2, 0.8)
}

// narrow refits the first n terms so many times, each time with a scale that
// shrinks by no more than a factor.
func (f *groundFit) narrow(set []groundSample, n, times int, shrink float64) {
	floor := [3]float64{0.003, 0.002, 0.002}
	w := make([]float64, len(set))
	for range times {
		for i := range set {
			d := groundResidual(&set[i], &f.terms, &f.sigma)
			w[i] = 1 / ((1 + d/4) * (1 + d/4))
			if d > 16 {
				w[i] = 0
			}
		}
		for c := range 3 {
			if t, good := solveSurface(set, w, c, n); good {
				f.terms[c] = t
			}
		}
		var res [3][]float64
		for i := range set {
			if w[i] < 0.15 {
				continue
			}
			b := groundBasis(set[i].x, set[i].y)
			for c := range 3 {
				res[c] = append(res[c], math.Abs(set[i].v[c]-dot(&b, &f.terms[c])))
			}
		}
		for c := range 3 {
			if len(res[c]) > 0 {
				f.sigma[c] = max(floor[c], 1.4826*medianOf(res[c]), f.sigma[c]*shrink)
			}
		}
	}
}

// holds is how many samples lie within three sigmas of the surfaces.
func (f *groundFit) holds(set []groundSample, sigma [3]float64) int {
	n := 0
	for i := range set {
		if groundResidual(&set[i], &f.terms, &sigma) < 9 {
			n++
		}
	}
	return n
}

// betterOn picks the fit that holds clearly more of the frame, measured by the
// wider of their sigmas; the first where neither does.
func betterOn(frame []groundSample, f, o groundFit) groundFit {
	sigma := f.sigma
	for c := range sigma {
		sigma[c] = max(sigma[c], o.sigma[c])
	}
	if o.holds(frame, sigma) > f.holds(frame, sigma)+len(frame)/10 {
		return o
	}
	return f
}

// fitGrown fits the ground that hangs together: from the commonest colour of the
// frame on to every neighbour that differs by no more than light does over so
// short a way. Under two lights the ground's colour may run further than a
// narrowing scale follows, but it runs without a step.
func fitGrown(samples, frame []groundSample) (groundFit, bool) {
	w := 1
	for w < len(samples) && samples[w].y == samples[0].y {
		w++
	}
	start := commonest(frame)
	grown := make([]bool, len(samples))
	var next []int
	for i := range samples {
		s := &samples[i]
		if s.border && stepOf(s.v, start) < 4 {
			grown[i] = true
			next = append(next, i)
		}
	}
	for len(next) > 0 {
		i := next[len(next)-1]
		next = next[:len(next)-1]
		for _, j := range [4]int{i - w, i + w, i - 1, i + 1} {
			if j < 0 || j >= len(samples) || grown[j] || (j == i-1 || j == i+1) && j/w != i/w {
				continue
			}
			if stepOf(samples[i].v, samples[j].v) < 1 {
				grown[j] = true
				next = append(next, j)
			}
		}
	}
	weight := make([]float64, len(samples))
	in := 0
	for i, g := range grown {
		if g {
			weight[i] = 1
			if samples[i].border {
				in++
			}
		}
	}
	f := groundFit{sigma: [3]float64{0.04, 0.02, 0.02}}
	if in*2 < len(frame) {
		return f, false
	}
	for c := range 3 {
		t, ok := solveSurface(samples, weight, c, 10)
		if !ok {
			return f, false
		}
		f.terms[c] = t
	}
	f.narrow(samples, 10, 4, 0.7)
	f.narrow(samples, groundTerms, 4, 0.7)
	return f, true
}

// stepOf is the difference of two samples, 1 being the most that light alone
// makes between neighbours.
func stepOf(a, b [3]float64) float64 {
	d := 0.0
	for c, most := range [3]float64{0.012, 0.006, 0.006} {
		d = max(d, math.Abs(a[c]-b[c])/most)
	}
	return d
}

// commonest is the mean of the samples in and round the cell of a coarse colour
// grid that turns up in the most parts of the picture: one large piece may have
// more pixels than the ground, but the ground is between them all.
func commonest(set []groundSample) [3]float64 {
	const nl, nc = 12, 16
	cell := func(s *groundSample) [3]int {
		return [3]int{
			clamp(int(s.v[0]*nl), 0, nl-1),
			clamp(int((s.v[1]+0.4)*nc/0.8), 0, nc-1),
			clamp(int((s.v[2]+0.4)*nc/0.8), 0, nc-1),
		}
	}
	const tiles = 16
	var seen [nl * nc * nc][tiles * tiles / 8]uint8
	var count [nl * nc * nc]int
	best := 0
	for i := range set {
		s := &set[i]
		c := cell(s)
		k := (c[0]*nc+c[1])*nc + c[2]
		t := clamp(int((s.y+1)/2*tiles), 0, tiles-1)*tiles + clamp(int((s.x+1)/2*tiles), 0, tiles-1)
		if bit := uint8(1) << (t & 7); seen[k][t>>3]&bit == 0 {
			seen[k][t>>3] |= bit
			count[k]++
		}
		if count[k] > count[best] {
			best = k
		}
	}
	home := [3]int{best / nc / nc, best / nc % nc, best % nc}
	var sum [3]float64
	n := 0.0
	for i := range set {
		c := cell(&set[i])
		if max(c[0]-home[0], home[0]-c[0], c[1]-home[1], home[1]-c[1], c[2]-home[2], home[2]-c[2]) > 1 {
			continue
		}
		for k := range 3 {
			sum[k] += set[i].v[k]
		}
		n++
	}
	for k := range 3 {
		sum[k] /= max(n, 1)
	}
	return sum
}

func dot(a, b *[groundTerms]float64) float64 {
	s := 0.0
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

func groundResidual(s *groundSample, fit *[3][groundTerms]float64, sigma *[3]float64) float64 {
	b := groundBasis(s.x, s.y)
	d := 0.0
	for c := range 3 {
		e := (s.v[c] - dot(&b, &fit[c])) / sigma[c]
		d += e * e
	}
	return d
}

// solveSurface is the weighted least-squares surface of channel c over the
// first n monomials, with a little ridge so that empty corners stay calm.
func solveSurface(set []groundSample, w []float64, c, n int) (out [groundTerms]float64, ok bool) {
	var m [groundTerms][groundTerms + 1]float64
	total := 0.0
	for i := range set {
		if w[i] == 0 {
			continue
		}
		total += w[i]
		b := groundBasis(set[i].x, set[i].y)
		for p := range n {
			k := w[i] * b[p]
			for q := p; q < n; q++ {
				m[p][q] += k * b[q]
			}
			m[p][groundTerms] += k * set[i].v[c]
		}
	}
	if total < float64(3*n) {
		return out, false
	}
	for p := range n {
		for q := range p {
			m[p][q] = m[q][p]
		}
		if p > 0 {
			m[p][p] += 1e-3 * total
		}
	}
	for i := range n {
		if math.Abs(m[i][i]) < 1e-12 {
			return out, false
		}
		for r := range n {
			if r == i {
				continue
			}
			f := m[r][i] / m[i][i]
			for q := i; q < n; q++ {
				m[r][q] -= f * m[i][q]
			}
			m[r][groundTerms] -= f * m[i][groundTerms]
		}
	}
	for i := range n {
		out[i] = m[i][groundTerms] / m[i][i]
	}
	return out, true
}

// render evaluates the surfaces at every renderStep-th pixel of a row and
// interpolates between: they bend far less than that.
func (r *ground) render(g *grid, fit [3][groundTerms]float64) {
	n := g.W * g.H
	r.L, r.A, r.B = make([]float32, n), make([]float32, n), make([]float32, n)
	at := func(x, fy float64) (l, a, b float32) {
		m := groundBasis(2*(x+0.5)/float64(g.W)-1, fy)
		v := dot(&m, &fit[0])
		return float32(v), float32(dot(&m, &fit[1]) * v), float32(dot(&m, &fit[2]) * v)
	}
	parallel(g.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			fy := 2*(float64(y)+0.5)/float64(g.H) - 1
			l, a, b := at(0, fy)
			for x := 0; x < g.W; x += renderStep {
				l1, a1, b1 := at(float64(x+renderStep), fy)
				for k := range min(renderStep, g.W-x) {
					i, t := y*g.W+x+k, float32(k)/renderStep
					r.L[i], r.A[i], r.B[i] = l+t*(l1-l), a+t*(a1-a), b+t*(b1-b)
				}
				l, a, b = l1, a1, b1
			}
		}
	})
}

const renderStep = 8
