package palette

import "math"

// Signature is what tells one print from another, whatever way the piece lies
// and under whatever light: its inks, and statistics of its colours and texture with
// their errors, in coordinates in which light and shade are sums; and, apart from
// these, its mean light. The
// errors come from the piece itself: it is cut in four, and how far the
// quarters differ says how far another piece of the print may. So pieces of a
// large flower print are compared loosely, and solids closely.
type Signature struct {
	light [lightCount]stat
	stats [statCount]stat
	inks  []signatureInk // most area first
	area  int            // working pixels
	at    [2]float64     // its middle, in longer sides of the photo
	scale float64        // working pixels that span an inch; 0 where that is not known
	// lightSD is how far off the light of the whole photo may be: the standard
	// deviation of light[lightLevel].
	lightSD float64
}

// SeenIn notes what is known of the photo: the working pixels that span an inch, 0
// where that is not known, and the standard deviation, in CIE L* at middle values, of
// the error that all its pieces share.
func (s *Signature) SeenIn(pxPerInch, lightnessSD float64) {
	s.scale = pxPerInch
	s.lightSD = lightnessSD * levelPerLightness
}

// LieAt notes where in the photo the middle of the piece lies, in longer sides of it.
func (s *Signature) LieAt(x, y float64) { s.at = [2]float64{x, y} }

// levelPerLightness is how much the logarithm of Y grows with L* where that is 50:
// the derivative of 3 ln (L* + 16).
const levelPerLightness = 3. / (50 + 16)

type signatureInk struct {
	lab   [3]float32 // OKLab of the piece divided by its mean light
	share float64
}

// stat is a mean over the piece and the variance of that mean; known is false
// where the piece is too small to tell.
type stat struct {
	mean, variance float64
	known          bool
}

// The mean light of a piece: natural logarithms of its mean cone responses, which
// no blur changes, and on which another light acts as a sum.
const (
	lightLevel  = iota // of L and M
	lightRed           // of L over M
	lightYellow        // of L and M over S
	lightCount

	// lightFloor is added to cone responses, so that noise in black cloth does not
	// look like colour.
	lightFloor = 0.004
)

// The statistics, in the coordinates of evenOut, l, u and v. Each floor keeps a
// logarithm of flat cloth above noise and weave.
const (
	statSlices   = 0                                         // quantiles along each of sliceAxes, companded
	statContrast = statSlices + sliceCount*sliceQuantiles    // logarithms of the variances of l, u, v
	statTogether = statContrast + 3                          // correlations of l and u, l and v, u and v
	statStripes  = statTogether + 3                          // how far edges run one way, 0..1: fine, then coarse
	statChecks   = statStripes + 2                           // how far edges run one way or square to it, 0..1
	statTextureL = statChecks + 2                            // logarithm of the variogram of l
	statTextureC = statTextureL + offsetCount                // that of u and v together
	statTwofold  = statTextureC + offsetCount                // how far the variogram differs by direction
	statFourfold = statTwofold + offsetCount - firstDirected // the same, square directions taken as one
	statCount    = statFourfold + offsetCount - firstDirected

	togetherFloor = 4e-5
	edgeFloor     = 2e-4
	textureFloorL = 4e-5
	textureFloorC = 2e-5
	directedFloor = 2e-4
	darkFloor     = 0.1 // of L at the mean light, so that noise in dark motifs is not colour
)

var contrastFloors = [3]float64{4e-5, 1e-5, 1e-5}

// sliceAxes are the directions in l, u, v along which colours are spread out.
var sliceAxes = [sliceCount][3]float32{
	{1, 0, 0}, {0, 1, 0}, {0, 0, 1},
	{rootHalf, rootHalf, 0}, {rootHalf, -rootHalf, 0}, {rootHalf, 0, rootHalf},
	{rootHalf, 0, -rootHalf}, {0, rootHalf, rootHalf}, {0, rootHalf, -rootHalf},
}

var quantiles = [sliceQuantiles]float64{0.05, 0.5, 0.95}

const (
	sliceCount     = 9
	sliceQuantiles = 3
	rootHalf       = math.Sqrt2 / 2

	// Places along a slice are companded: steps are even near the mean and grow
	// beyond sliceUnit, as differences between far colours matter less.
	sliceUnit   = 0.01
	sliceStep   = 1. / 24
	sliceBins   = 256
	sliceMiddle = sliceBins / 2
)

// textureOffsets are the distances in working pixels at which texture is
// measured; from firstDirected on its directions are told apart, which steps of
// whole pixels blur below.
var textureOffsets = [...]int{1, 2, 3, 4, 6, 8, 12, 17, 24, 34}

const (
	offsetCount    = len(textureOffsets)
	firstDirected  = 2
	directionCount = 8
)

// directions are eight directions at each offset.
var directions = func() (d [offsetCount][directionCount][2]int) {
	for i, r := range textureOffsets {
		for k := range d[i] {
			s, c := math.Sincos(float64(k) * math.Pi / directionCount)
			d[i][k] = [2]int{int(math.Round(float64(r) * c)), int(math.Round(float64(r) * s))}
		}
	}
	return d
}()

const quarters = 4

// tally gathers the pixels of one quarter of a piece.
type tally struct {
	n        float64
	lms      [3]float64 // sums of cone responses
	sampled  float64
	products [6]float64 // sums of ll, uu, vv, lu, lv, uv about the piece's mean
	slices   [sliceCount][sliceBins]uint16
	edges    [2]edges // fine, coarse
	texture  [offsetCount]texture
}

// texture gathers the squared differences of pixels from those at one offset, in
// each direction.
type texture struct {
	pairs, l, c [directionCount]float64
}

// sums returns the sums over all directions.
func (t *texture) sums() (pairs, l, c float64) {
	for k := range directionCount {
		pairs += t.pairs[k]
		l += t.l[k]
		c += t.c[k]
	}
	return pairs, l, c
}

// directed returns how far the variogram differs by direction: the share of the
// wave that goes round times with half a turn, 0..1; weight is 0 where too few
// pixels were compared in one of the directions.
func (t *texture) directed(times int) (share, weight float64) {
	var re, im, total float64
	for k, n := range t.pairs {
		if n < leastPairs/4 {
			return 0, 0
		}
		v := (t.l[k] + t.c[k]) / n
		s, c := math.Sincos(2 * math.Pi * float64(times*k) / directionCount)
		re += v * c
		im += v * s
		total += v
		weight += n
	}
	return math.Hypot(re, im) / (total + directionCount*directedFloor), weight
}

// edges gathers how edges run. Doubling the angle of an edge makes opposite
// directions one, and doubling it again makes square ones one, so the length of
// the mean vector tells stripes, then checks, from what runs every way (the
// structure tensor of Bigün & Granlund 1987, over all channels at once).
type edges struct {
	n, strength            float64
	twiceX, twiceY         float64
	fourTimesX, fourTimesY float64
}

// add takes in the gradient at one pixel: the sums over the channels of the
// squares of its parts along x and y, and of their product.
func (e *edges) add(xx, yy, xy float64) {
	e.n++
	if xx+yy == 0 {
		return
	}
	e.strength += xx + yy
	x, y := xx-yy, 2*xy
	e.twiceX += x
	e.twiceY += y
	e.fourTimesX += (x*x - y*y) / (xx + yy)
	e.fourTimesY += 2 * x * y / (xx + yy)
}

func (e *edges) stripes() float64 {
	return math.Hypot(e.twiceX, e.twiceY) / (e.strength + e.n*edgeFloor)
}

func (e *edges) checks() float64 {
	return math.Hypot(e.fourTimesX, e.fourTimesY) / (e.strength + e.n*edgeFloor)
}

const (
	// texturePixels is about how many pixels of a piece are looked at closely.
	texturePixels = 2000
	// leastPairs is how many pixels must be compared at an offset.
	leastPairs = 20
	// coarseDepth is how deep in the piece a pixel must lie to have coarse edges.
	coarseDepth = 3
)

// sign measures the signature of a loaded patch.
func (a *patch) sign(rim uint8, inks []ink) Signature {
	f := a.survey(rim)
	a.evenOut(&f, rim)
	s := Signature{area: a.area, at: [2]float64{(float64(a.x0) + f.cx) / a.long, (float64(a.y0) + f.cy) / a.long}}
	for _, k := range inks {
		c := k.lab
		for i := range c {
			c[i] *= f.gain
		}
		s.inks = append(s.inks, signatureInk{c, k.share})
	}
	t := a.tallyQuarters(rim, &f)
	logOf := func(p *tally, c int) float64 { return math.Log(max(0, p.lms[c]/p.n) + lightFloor) }
	s.light[lightLevel] = pool(t, func(p *tally) (float64, float64) { return (logOf(p, 0) + logOf(p, 1)) / 2, p.n })
	s.light[lightRed] = pool(t, func(p *tally) (float64, float64) { return logOf(p, 0) - logOf(p, 1), p.n })
	s.light[lightYellow] = pool(t, func(p *tally) (float64, float64) { return (logOf(p, 0)+logOf(p, 1))/2 - logOf(p, 2), p.n })
	for i := range sliceCount {
		for j, q := range quantiles {
			s.stats[statSlices+i*sliceQuantiles+j] = pool(t, func(p *tally) (float64, float64) {
				return (quantile(p.slices[i][:], p.sampled, q) - 0.5 - sliceMiddle) * sliceStep, p.sampled
			})
		}
	}
	for c := range 3 {
		s.stats[statContrast+c] = pool(t, func(p *tally) (float64, float64) {
			return math.Log(p.products[c]/p.sampled + contrastFloors[c]), p.sampled
		})
		i, j := [3]int{0, 0, 1}[c], [3]int{1, 2, 2}[c]
		s.stats[statTogether+c] = pool(t, func(p *tally) (float64, float64) {
			floor := p.sampled * togetherFloor
			return p.products[3+c] / math.Sqrt((p.products[i]+floor)*(p.products[j]+floor)), p.sampled
		})
	}
	for k := range 2 {
		s.stats[statStripes+k] = pool(t, func(p *tally) (float64, float64) { return p.edges[k].stripes(), p.edges[k].n })
		s.stats[statChecks+k] = pool(t, func(p *tally) (float64, float64) { return p.edges[k].checks(), p.edges[k].n })
	}
	for o := range offsetCount {
		s.stats[statTextureL+o] = pool(t, func(p *tally) (float64, float64) {
			n, l, _ := p.texture[o].sums()
			return math.Log(l/n + textureFloorL), enough(n)
		})
		s.stats[statTextureC+o] = pool(t, func(p *tally) (float64, float64) {
			n, _, c := p.texture[o].sums()
			return math.Log(c/n + textureFloorC), enough(n)
		})
		if k := o - firstDirected; k >= 0 {
			s.stats[statTwofold+k] = pool(t, func(p *tally) (float64, float64) { return p.texture[o].directed(1) })
			s.stats[statFourfold+k] = pool(t, func(p *tally) (float64, float64) { return p.texture[o].directed(2) })
		}
	}
	return s
}

// enough returns how many pixels were compared, or 0 where too few were.
func enough(pairs float64) float64 {
	if pairs < leastPairs {
		return 0
	}
	return pairs
}

// tallyQuarters gathers the pixels deeper than rim.
func (a *patch) tallyQuarters(rim uint8, f *frame) *[quarters]tally {
	var t [quarters]tally
	// Which pixels are looked at closely is scattered by Knuth's multiplicative
	// hash: regular steps would beat with a pattern.
	chosen := uint32(min(1, texturePixels/float64(a.area)) * math.MaxUint32)
	for y := range a.h {
		u, v := f.axes(0, y)
		for x := range a.w {
			q := f.quarter(u, v)
			u += f.ux
			v -= f.uy
			i := y*a.w + x
			if a.depth[i] <= rim {
				continue
			}
			p := &t[q]
			p.n++
			for c := range 3 {
				p.lms[c] += float64(a.lms[3*i+c])
			}
			if h := uint32(i) * 2654435761; h <= chosen {
				p.look(a, f, x, y, rim, int(h>>8&1))
			}
		}
	}
	return &t
}

// look takes in pixel (x, y), compared with its surroundings at every offset in
// every other direction.
func (p *tally) look(a *patch, f *frame, x, y int, rim uint8, parity int) {
	at := y*a.w + x
	here := (*[3]float32)(a.lab[3*at:])
	d := [3]float32{here[0] - f.mean[0], here[1] - f.mean[1], here[2] - f.mean[2]}
	p.sampled++
	for k := range sliceAxes {
		s := &sliceAxes[k]
		p.slices[k][sliceBin(d[0]*s[0]+d[1]*s[1]+d[2]*s[2])]++
	}
	for k, v := range [6]float32{d[0] * d[0], d[1] * d[1], d[2] * d[2], d[0] * d[1], d[0] * d[2], d[1] * d[2]} {
		p.products[k] += float64(v)
	}
	if a.depth[at] > 1 {
		p.edges[0].add(a.gradient(at))
	}
	if parity == 0 && a.depth[at] > coarseDepth {
		p.edges[1].add(a.coarseGradient(at))
	}
	for o := range offsetCount {
		t := &p.texture[o]
		for k := parity; k < directionCount; k += 2 {
			step := &directions[o][k]
			xx, yy := x+step[0], y+step[1]
			if uint(xx) >= uint(a.w) || uint(yy) >= uint(a.h) || a.depth[yy*a.w+xx] <= rim {
				continue
			}
			there := (*[3]float32)(a.lab[3*(yy*a.w+xx):])
			dl, du, dv := there[0]-here[0], there[1]-here[1], there[2]-here[2]
			t.l[k] += float64(dl * dl)
			t.c[k] += float64(du*du + dv*dv)
			t.pairs[k]++
		}
	}
}

// sliceBin returns the bin of a place along a slice.
func sliceBin(z float32) uint8 {
	return uint8(min(sliceBins-1, max(0, sliceMiddle+math.Round(math.Asinh(float64(z)/sliceUnit)/sliceStep))))
}

// gradient returns the colour gradient at pixel i, which has four neighbours: see
// edges.add.
func (a *patch) gradient(i int) (xx, yy, xy float64) {
	left, right, up, down := 3*(i-1), 3*(i+1), 3*(i-a.w), 3*(i+a.w)
	for c := range 3 {
		x, y := float64(a.lab[right+c]-a.lab[left+c])/2, float64(a.lab[down+c]-a.lab[up+c])/2
		xx += x * x
		yy += y * y
		xy += x * y
	}
	return xx, yy, xy
}

// coarseGradient is that between the means of 3 × 3 pixels two to either side
// of pixel i, which lies deeper than coarseDepth.
func (a *patch) coarseGradient(i int) (xx, yy, xy float64) {
	left, right, up, down := a.around(i-2), a.around(i+2), a.around(i-2*a.w), a.around(i+2*a.w)
	for c := range 3 {
		x, y := float64(right[c]-left[c])/2, float64(down[c]-up[c])/2
		xx += x * x
		yy += y * y
		xy += x * y
	}
	return xx, yy, xy
}

// around returns the mean of the 3 × 3 pixels about pixel i.
func (a *patch) around(i int) (mean [3]float32) {
	for row := i - a.w; row <= i+a.w; row += a.w {
		for k := 3 * (row - 1); k < 3*(row+2); k += 3 {
			for c := range 3 {
				mean[c] += a.lab[k+c] / 9
			}
		}
	}
	return mean
}

// quantile returns the place of a quantile among the bins of n samples.
func quantile(bins []uint16, n, q float64) float64 {
	left := q * n
	for k, c := range bins {
		if c := float64(c); left < c {
			return float64(k) + left/c
		} else {
			left -= c
		}
	}
	return float64(len(bins))
}

// pool returns the weighted mean of f over the quarters, and the variance of that
// mean as their differences give it.
func pool(t *[quarters]tally, f func(*tally) (value, weight float64)) stat {
	var values, weights [quarters]float64
	var s stat
	total, n := 0.0, 0.0
	for k := range t {
		if t[k].sampled == 0 {
			continue
		}
		if v, w := f(&t[k]); w > 0 {
			values[k], weights[k] = v, w
			s.mean += v * w
			total += w
			n++
		}
	}
	if n < 2 {
		return stat{}
	}
	s.mean /= total
	s.known = true
	for k, w := range weights {
		d := values[k] - s.mean
		s.variance += w / total * d * d
	}
	s.variance /= n - 1
	return s
}

// frame is the lie of a piece: its middle and its long axis; and its mean light.
type frame struct {
	cx, cy, ux, uy float64
	strip          bool
	quarterLength  float64 // of a strip
	gain           float32 // by which its OKLab is multiplied
	mean           [3]float32
}

// survey finds the frame of the pixels deeper than rim, by their moments.
func (a *patch) survey(rim uint8) frame {
	var n, sx, sy, xx, yy, xy int
	light := 0.0
	for y := range a.h {
		for x := range a.w {
			i := y*a.w + x
			if a.depth[i] <= rim {
				continue
			}
			n++
			sx += x
			sy += y
			xx += x * x
			yy += y * y
			xy += x * y
			light += float64(a.lms[3*i]+a.lms[3*i+1]) / 2
		}
	}
	k := 1 / float64(n)
	f := frame{cx: float64(sx) * k, cy: float64(sy) * k, gain: float32(1 / math.Cbrt(max(light*k, lightFloor)))}
	vx, vy, vxy := float64(xx)*k-f.cx*f.cx, float64(yy)*k-f.cy*f.cy, float64(xy)*k-f.cx*f.cy
	f.uy, f.ux = math.Sincos(math.Atan2(2*vxy, vx-vy) / 2)
	mid, half := (vx+vy)/2, math.Hypot((vx-vy)/2, vxy)
	f.strip = mid+half > 5*(mid-half) // longer than √5 times its width
	f.quarterLength = math.Sqrt(12*(mid+half)) / 4
	return f
}

// evenOut replaces the OKLab of a patch by coordinates on which light and shade act
// as a sum: the logarithm of L, and a and b over L, about as they are at the
// piece's mean light. Its colours are read before.
func (a *patch) evenOut(f *frame, rim uint8) {
	var sum [3]float64
	n := 0.0
	for i, d := range a.depth {
		if d == 0 {
			continue
		}
		c := (*[3]float32)(a.lab[3*i:])
		l := max(0, c[0]*f.gain) + darkFloor
		k := (1 + darkFloor) * f.gain / l
		c[0], c[1], c[2] = float32(math.Log(float64(l))), c[1]*k, c[2]*k
		if d > rim {
			for j, v := range c {
				sum[j] += float64(v)
			}
			n++
		}
	}
	for j, v := range sum {
		f.mean[j] = float32(v / n)
	}
}

// axes returns the places of pixel (x, y) along and across the piece.
func (f *frame) axes(x, y int) (u, v float64) {
	dx, dy := float64(x)-f.cx, float64(y)-f.cy
	return f.ux*dx + f.uy*dy, f.ux*dy - f.uy*dx
}

// quarter returns the quarter of the piece at (u, v) of its axes: a strip is cut in
// four across its length, any other piece once along and once across.
func (f *frame) quarter(u, v float64) int {
	k := 0
	if u > 0 {
		k = 1
	}
	if f.strip && math.Abs(u) > f.quarterLength || !f.strip && v > 0 {
		k += 2
	}
	return k
}
