package scale

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// wave is a pattern of parallel lines: its frequency, in cycles a working
// pixel, square to the lines.
type wave struct{ X, Y float64 }

// weft is the grid seen in one tile of the ground: two patterns of lines that
// cross.
type weft struct {
	at   geom.Point // the tile's middle
	f, g wave
}

const (
	tileSize  = 128 // working pixels
	mostTiles = 20
	// firstTiles are looked at before the rest: most grounds are no mats.
	firstTiles = 6
	// fewestTiles is the least number of tiles that make a mat.
	fewestTiles = 4
	// A grid's lines lie this far apart, working pixels.
	leastPitch, mostPitch = 8, 50
	// clearPeak is how far a peak of a tile's spectrum stands over the median
	// power at such frequencies.
	clearPeak = 60
	// subharmonic is the share of a peak's power at half its frequency that
	// makes every other line the bolder.
	subharmonic = 0.08
	// alike is how near, relatively, the pitches of a mat's tiles lie.
	alike = 0.06
)

// findGrid looks for a cutting mat's lines on the ground: the wefts of its
// tiles, or nil.
func findGrid(p *cloth.Picture, ground []uint8) []weft {
	if len(ground) != p.W*p.H || p.W < tileSize || p.H < tileSize {
		return nil
	}
	l := lumaOf(p)
	type tile struct{ x, y, n int }
	var tiles []tile
	for y := 0; y+tileSize <= l.h; y += tileSize / 2 {
		for x := 0; x+tileSize <= l.w; x += tileSize / 2 {
			n := 0
			for v := y; v < y+tileSize; v += 4 {
				for u := x; u < x+tileSize; u += 4 {
					if ground[v*l.w+u] == 255 {
						n++
					}
				}
			}
			if n > tileSize*tileSize/16/2 {
				tiles = append(tiles, tile{x, y, n})
			}
		}
	}
	slices.SortStableFunc(tiles, func(a, b tile) int { return b.n - a.n })
	var out []weft
	fft := fourier.NewCmplxFFT(tileSize)
	for i, t := range tiles[:min(mostTiles, len(tiles))] {
		if w, ok := tileGrid(l, ground, t.x, t.y, fft); ok {
			out = append(out, w)
		}
		if i+1 == firstTiles && len(out) < firstTiles/3 {
			return nil
		}
	}
	if len(out) < fewestTiles {
		return nil
	}
	return out
}

// tileGrid finds the two strongest crossing patterns of one tile.
func tileGrid(l *luma, ground []uint8, x0, y0 int, fft *fourier.CmplxFFT) (weft, bool) {
	power := spectrum(l, ground, x0, y0, fft)
	at := func(i, j int) float64 {
		return power[(j&(tileSize-1))*tileSize+i&(tileSize-1)]
	}
	lo, hi := tileSize/mostPitch, tileSize/leastPitch
	var band []float64
	for j := -hi; j <= hi; j++ {
		for i := 0; i <= hi; i++ {
			if r := math.Hypot(float64(i), float64(j)); r >= float64(lo) && r <= float64(hi) {
				band = append(band, at(i, j))
			}
		}
	}
	slices.Sort(band)
	floor := band[len(band)/2] * clearPeak
	peak := func(ok func(i, j float64) bool) (wave, bool) {
		best, bi, bj := floor, 0, 0
		for j := -hi; j <= hi; j++ {
			for i := 0; i <= hi; i++ {
				r := math.Hypot(float64(i), float64(j))
				if r < float64(lo) || r > float64(hi) || !ok(float64(i), float64(j)) {
					continue
				}
				if v := at(i, j); v > best {
					best, bi, bj = v, i, j
				}
			}
		}
		if bi == 0 && bj == 0 {
			return wave{}, false
		}
		w := refine(at, bi, bj)
		half := wave{w.X / 2, w.Y / 2}
		hx, hy := int(math.Round(half.X*tileSize)), int(math.Round(half.Y*tileSize))
		if math.Hypot(float64(hx), float64(hy)) >= float64(lo) {
			if v := at(hx, hy); v > subharmonic*best && v > floor/3 {
				return half, true
			}
		}
		return w, true
	}
	f, ok := peak(func(i, j float64) bool { return true })
	if !ok {
		return weft{}, false
	}
	g, ok := peak(func(i, j float64) bool {
		cos := (i*f.X + j*f.Y) / (math.Hypot(i, j) * math.Hypot(f.X, f.Y))
		return math.Abs(cos) < 0.5
	})
	return weft{at: geom.Point{X: float64(x0) + tileSize/2, Y: float64(y0) + tileSize/2}, f: f, g: g}, ok
}

// spectrum is the power of the tile's luma, ground only, shading taken out,
// under a Hann window.
func spectrum(l *luma, ground []uint8, x0, y0 int, fft *fourier.CmplxFFT) []float64 {
	mean, n := 0.0, 0.0
	for y := y0; y < y0+tileSize; y++ {
		for x := x0; x < x0+tileSize; x++ {
			if ground[y*l.w+x] == 255 {
				mean += float64(l.v[y*l.w+x])
				n++
			}
		}
	}
	mean /= max(1, n)
	z := make([]complex128, tileSize*tileSize)
	for y := range tileSize {
		for x := range tileSize {
			if k := (y0+y)*l.w + x0 + x; ground[k] == 255 {
				z[y*tileSize+x] = complex((float64(l.v[k])-mean)*hann[x]*hann[y], 0)
			}
		}
	}
	col := make([]complex128, tileSize)
	for y := range tileSize {
		fft.Coefficients(z[y*tileSize:(y+1)*tileSize], z[y*tileSize:(y+1)*tileSize])
	}
	power := make([]float64, tileSize*tileSize)
	for x := range tileSize {
		for y := range tileSize {
			col[y] = z[y*tileSize+x]
		}
		fft.Coefficients(col, col)
		for y := range tileSize {
			a := cmplx.Abs(col[y])
			power[y*tileSize+x] = a * a
		}
	}
	return power
}

var hann = func() (w [tileSize]float64) {
	for i := range w {
		w[i] = sq(math.Sin(math.Pi * (float64(i) + 0.5) / tileSize))
	}
	return w
}()

// refine places a spectral peak between the bins by parabolas through the
// logarithms.
func refine(at func(i, j int) float64, i, j int) wave {
	shift := func(a, b, c float64) float64 {
		a, b, c = math.Log(a+1e-30), math.Log(b+1e-30), math.Log(c+1e-30)
		if d := a - 2*b + c; d < 0 {
			return min(0.5, max(-0.5, 0.5*(a-c)/d))
		}
		return 0
	}
	return wave{
		(float64(i) + shift(at(i-1, j), at(i, j), at(i+1, j))) / tileSize,
		(float64(j) + shift(at(i, j-1), at(i, j), at(i, j+1))) / tileSize,
	}
}

// inPlane is a pattern's frequency, in cycles a plane unit, where it was seen:
// the picture's by the inverse transpose of the map's derivative.
func inPlane(f wave, at geom.Point, l *plane) geom.Point {
	a := l.at(at.Add(geom.Point{X: 0.5})).Sub(l.at(at.Add(geom.Point{X: -0.5})))
	b := l.at(at.Add(geom.Point{Y: 0.5})).Sub(l.at(at.Add(geom.Point{Y: -0.5})))
	det := a.Cross(b)
	return geom.Point{X: (b.Y*f.X - a.Y*f.Y) / det, Y: (a.X*f.Y - b.X*f.X) / det}
}

// pitches are ln of the lines' distances, in plane units, and the cosines of
// the angles at which they cross.
func pitches(grid []weft, l *plane) (pitch, cos []float64) {
	for _, w := range grid {
		f, g := inPlane(w.f, w.at, l), inPlane(w.g, w.at, l)
		pitch = append(pitch, -math.Log(f.Len()), -math.Log(g.Len()))
		cos = append(cos, f.Dot(g)/(f.Len()*g.Len()))
	}
	return pitch, cos
}

// gridSkew is how far the tiles, seen in the plane, are from one square grid: a
// sum of robust squares.
func gridSkew(grid []weft, l *plane) float64 {
	if len(grid) == 0 {
		return 0
	}
	pitch, cos := pitches(grid, l)
	m := middleOf(pitch)
	sum := 0.0
	for _, v := range pitch {
		sum += math.Log1p(sq((v-m)/tileSD) / 2)
	}
	for _, v := range cos {
		sum += math.Log1p(sq(v/tileSD) / 2)
	}
	return gridVote * sum
}

const (
	tileSD = 0.02 // of a pitch in one tile
	// gridVote tempers the tiles beside the pieces: they overlap.
	gridVote = 0.5
)

// gridPitch is ln of the mat's pitch in plane units, and whether the tiles
// agree on one.
func gridPitch(grid []weft, l *plane) (float64, bool) {
	if len(grid) == 0 {
		return 0, false
	}
	pitch, cos := pitches(grid, l)
	m := middleOf(pitch)
	near := 0
	for i, c := range cos {
		if math.Abs(c) < alike {
			for _, v := range pitch[2*i : 2*i+2] {
				if math.Abs(v-m) < alike {
					near++
				}
			}
		}
	}
	return m, float64(near) >= agreement*float64(len(pitch))
}

// agreement is the share of a mat's pitches that must be alike.
const agreement = 0.7

func middleOf(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}

// rulings are what a mat's lines may be apart, in inches, and how often they
// are (common practice, no source).
var rulings = []struct{ inches, share float64 }{
	{1, 0.9},
	{1 / 2.54, 0.07},
	{0.5, 0.03},
}

const (
	// matOdds are the odds that a grid on the ground is a mat's and not of tiles or
	// cloth, and pitchSD is the error of its ln pitch.
	matOdds, pitchSD = 20, 0.008
)

// tells is what a grid of the given ln pitch, in plane units, says of the scale.
func tells(pitch float64) *told {
	t := &told{}
	for _, r := range rulings {
		t.parts = append(t.parts, tellsScale{s: pitch - math.Log(r.inches), sd: pitchSD, odds: matOdds * r.share})
	}
	return t
}
