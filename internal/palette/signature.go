package palette

import "math"

// Signature is what tells one print from another, whatever way the piece lies:
// its inks, and statistics of its colour and texture with their errors. The
// errors come from the piece itself: it is cut in four, and how far the
// quarters differ says how far another piece of the print may. So pieces of a
// large flower print are compared loosely, and solids closely.
type Signature struct {
	stats [statCount]stat
	inks  []signatureInk // most area first
	area  int            // working pixels
}

type signatureInk struct {
	lab   [3]float32 // OKLab
	share float64
}

// stat is a mean over the piece and the variance of that mean; known is false
// where the piece is too small to tell.
type stat struct {
	mean, variance float64
	known          bool
}

// The statistics. Those of contrast are logarithms, so that errors are alike
// for faint and for bold prints; each floor keeps the logarithm of flat cloth
// above noise and weave.
const (
	statChroma     = 0 // mean OKLab a, b
	statTails      = 2 // how far the darkest and the lightest 4 % of L lie from the mean
	statSaturation = 4 // how far the 4 % furthest in a, b lie from the mean
	statHue        = 5 // ratio of the variances of a and b
	statStripes    = 6 // how far edges run one way, 0..1
	statChecks     = 7 // how far edges run one way or square to it, 0..1
	statTextureL   = 8 // variogram of L at each textureOffset
	statTextureC   = statTextureL + offsetCount
	statCount      = statTextureC + offsetCount // that of a and b together

	tailFloor       = 0.02  // OKLab
	saturationFloor = 0.004 // OKLab
	hueFloor        = 1e-5  // OKLab squared
	edgeFloor       = 2e-4  // OKLab squared
	textureLFloor   = 2e-4  // OKLab squared
	textureCFloor   = 5e-5  // OKLab squared
)

// textureOffsets are the distances in working pixels at which texture is
// measured.
var textureOffsets = [...]int{1, 2, 3, 5, 8, 12, 18, 27}

const offsetCount = len(textureOffsets)

// directions are eight directions at each offset.
var directions = func() (d [offsetCount][8][2]int) {
	for i, r := range textureOffsets {
		for k := range d[i] {
			s, c := math.Sincos(float64(k) * math.Pi / 8)
			d[i][k] = [2]int{int(math.Round(float64(r) * c)), int(math.Round(float64(r) * s))}
		}
	}
	return d
}()

const (
	quarters  = 4
	lightBins = 256
	// Squared distances in a, b are binned by the top bits of the float32, four
	// bins an octave from 2⁻²⁸, which noise drowns, to 1, beyond any two colours.
	chromaShift = 21
	chromaFirst = (127 - 28) << 2
	chromaBins  = 28 << 2
)

// tally gathers the pixels of one quarter of a piece.
type tally struct {
	n        float64
	l        float64    // sum of L
	ab       [2]float64 // sums of a, b
	squares  [2]float64 // sums of squares of a, b about the piece's mean
	light    [lightBins]uint32
	chroma   [chromaBins]uint32
	edges    edges
	pairs    [offsetCount]float64 // pixels compared
	textureL [offsetCount]float64 // sums of squared differences of L
	textureC [offsetCount]float64 // the same of a and b together
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

// texturePixels is about how many pixels of a piece are compared with their
// surroundings.
const texturePixels = 1200

// sign measures the signature of a loaded patch.
func (a *patch) sign(rim uint8, inks []ink) Signature {
	s := Signature{area: a.area}
	for _, k := range inks {
		s.inks = append(s.inks, signatureInk{k.lab, k.share})
	}
	t := a.tallyQuarters(rim)
	for c := range 2 {
		s.stats[statChroma+c] = pool(t, func(p *tally) (float64, float64) { return p.ab[c] / p.n, p.n })
		s.stats[statTails+c] = pool(t, func(p *tally) (float64, float64) {
			reach := quantile(p.light[:], p.n, [2]float64{0.04, 0.96}[c])/lightBins - p.l/p.n
			return math.Log(math.Abs(reach) + tailFloor), p.n
		})
	}
	s.stats[statSaturation] = pool(t, func(p *tally) (float64, float64) {
		return math.Log(chromaAt(quantile(p.chroma[:], p.n, 0.96)) + saturationFloor), p.n
	})
	s.stats[statHue] = pool(t, func(p *tally) (float64, float64) {
		return math.Log((p.squares[0]/p.n + hueFloor) / (p.squares[1]/p.n + hueFloor)), p.n
	})
	s.stats[statStripes] = pool(t, func(p *tally) (float64, float64) { return p.edges.stripes(), p.edges.n })
	s.stats[statChecks] = pool(t, func(p *tally) (float64, float64) { return p.edges.checks(), p.edges.n })
	for o := range offsetCount {
		s.stats[statTextureL+o] = pool(t, func(p *tally) (float64, float64) {
			return math.Log(p.textureL[o]/p.pairs[o] + textureLFloor), p.enough(o)
		})
		s.stats[statTextureC+o] = pool(t, func(p *tally) (float64, float64) {
			return math.Log(p.textureC[o]/p.pairs[o] + textureCFloor), p.enough(o)
		})
	}
	return s
}

// enough is how many pixels were compared at offset o, or 0 where too few were.
func (t *tally) enough(o int) float64 {
	if t.pairs[o] < 20 {
		return 0
	}
	return t.pairs[o]
}

// tallyQuarters gathers the pixels deeper than rim.
func (a *patch) tallyQuarters(rim uint8) *[quarters]tally {
	var t [quarters]tally
	f := a.survey(rim)
	// Which pixels are compared is scattered by Knuth's multiplicative hash:
	// regular steps would beat with a pattern.
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
			l, ca, cb := a.lab[3*i], a.lab[3*i+1], a.lab[3*i+2]
			p.l += float64(l)
			p.light[min(lightBins-1, max(0, int(lightBins*l)))]++
			p.ab[0] += float64(ca)
			p.ab[1] += float64(cb)
			ca -= f.meanA
			cb -= f.meanB
			p.squares[0] += float64(ca * ca)
			p.squares[1] += float64(cb * cb)
			p.chroma[chromaBin(ca*ca+cb*cb)]++
			if h := uint32(i) * 2654435761; h <= chosen {
				a.compare(x, y, rim, int(h>>8&1), p)
			}
		}
	}
	return &t
}

// gradient is the colour gradient at pixel i, which has four neighbours: see
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

func chromaBin(squared float32) int {
	return min(chromaBins-1, max(0, int(math.Float32bits(squared)>>chromaShift)-chromaFirst))
}

// chromaAt is the distance at a place among the chroma bins.
func chromaAt(place float64) float64 {
	return math.Sqrt(float64(math.Float32frombits(uint32((place + chromaFirst) * (1 << chromaShift)))))
}

// compare adds the squared differences of pixel (x, y) from its surroundings at
// every offset, in every other direction.
func (a *patch) compare(x, y int, rim uint8, parity int, t *tally) {
	at := y*a.w + x
	if a.depth[at] > 1 {
		t.edges.add(a.gradient(at))
	}
	c := (*[3]float32)(a.lab[3*at:])
	for o := range offsetCount {
		for k := parity; k < 8; k += 2 {
			d := &directions[o][k]
			xx, yy := x+d[0], y+d[1]
			if uint(xx) >= uint(a.w) || uint(yy) >= uint(a.h) || a.depth[yy*a.w+xx] <= rim {
				continue
			}
			q := (*[3]float32)(a.lab[3*(yy*a.w+xx):])
			dl, du, dv := q[0]-c[0], q[1]-c[1], q[2]-c[2]
			t.textureL[o] += float64(dl * dl)
			t.textureC[o] += float64(du*du + dv*dv)
			t.pairs[o]++
		}
	}
}

// quantile is the place of a quantile among the bins of n samples.
func quantile(bins []uint32, n, q float64) float64 {
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

// pool is the weighted mean of f over the quarters, and the variance of that
// mean as their differences give it.
func pool(t *[quarters]tally, f func(*tally) (value, weight float64)) stat {
	var values, weights [quarters]float64
	var s stat
	total, n := 0.0, 0.0
	for k := range t {
		if t[k].n == 0 {
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

// frame is the lie of a piece: its middle, its long axis, and its mean a, b.
type frame struct {
	cx, cy, ux, uy float64
	strip          bool
	quarterLength  float64 // of a strip
	meanA, meanB   float32
}

// survey finds the frame of the pixels deeper than rim, by their moments.
func (a *patch) survey(rim uint8) frame {
	var n, sx, sy, xx, yy, xy int
	var sa, sb float64
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
			sa += float64(a.lab[3*i+1])
			sb += float64(a.lab[3*i+2])
		}
	}
	k := 1 / float64(n)
	f := frame{cx: float64(sx) * k, cy: float64(sy) * k, meanA: float32(sa * k), meanB: float32(sb * k)}
	vx, vy, vxy := float64(xx)*k-f.cx*f.cx, float64(yy)*k-f.cy*f.cy, float64(xy)*k-f.cx*f.cy
	f.uy, f.ux = math.Sincos(math.Atan2(2*vxy, vx-vy) / 2)
	mid, half := (vx+vy)/2, math.Hypot((vx-vy)/2, vxy)
	f.strip = mid+half > 5*(mid-half) // longer than √5 times its width
	f.quarterLength = math.Sqrt(12*(mid+half)) / 4
	return f
}

// axes are the places of pixel (x, y) along and across the piece.
func (f *frame) axes(x, y int) (u, v float64) {
	dx, dy := float64(x)-f.cx, float64(y)-f.cy
	return f.ux*dx + f.uy*dy, f.ux*dy - f.uy*dx
}

// quarter is the quarter of the piece at (u, v) of its axes: a strip is cut in
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
