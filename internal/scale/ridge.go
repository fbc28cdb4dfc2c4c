package scale

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

// ridge is a straight piece of a thin line, lighter or darker than what lies on
// either hand of it, in working pixels.
type ridge struct {
	a, b geom.Point
	way  float64 // of the line, radians, 0 to π
	bend float64 // how strong it is: the mean second derivative across it
}

func (r *ridge) length() float64 { return r.a.Dist(r.b) }

const (
	// A pixel lies on a line where the second derivative across it is at least
	// leastBend, in steps of luma a square pixel, overNoise times that of the smoothest
	// tenth of the ground but no more than mostBend (fine lines leave little smooth), and
	// steeper than alongBend times that along it.
	leastBend, overNoise, mostBend, alongBend = 0.003, 6.5, 0.012, 2
	// straightWithin is how far, radians, the direction of a line's pixels strays, and
	// leastRidge the least length, working pixels.
	straightWithin, leastRidge = 0.35, 9
)

// bend is a pixel that lies on a thin line.
type bend struct {
	across float32 // the stronger second derivative
	way    float32 // of the line
	x, y   float32 // its place, to a part of a pixel
	px, py int
}

// ridgesOf returns the thin lines on the ground: pixels whose second derivative has its
// peak across them (Steger 1998, IEEE PAMI 20(2)), run together while they keep their
// direction.
func ridgesOf(l *luma, ground []uint8) []ridge {
	w, h, v := l.W, l.H, l.Binomial().V
	at := func(i int, least float32) (b bend, ok bool) {
		xx := v[i-1] - 2*v[i] + v[i+1]
		yy := v[i-w] - 2*v[i] + v[i+w]
		xy := (v[i+w+1] - v[i+w-1] - v[i-w+1] + v[i-w-1]) / 4
		if max(xx, -xx, yy, -yy)+max(xy, -xy) < least {
			return b, false
		}
		mid, half := (xx+yy)/2, (xx-yy)/2
		root := float32(math.Sqrt(float64(half*half + xy*xy)))
		big, small := mid+root, mid-root
		if mid < 0 {
			big, small = small, big
		}
		if max(big, -big) < max(least, alongBend*max(small, -small)) {
			return b, false
		}
		// The normal is the eigenvector of the stronger.
		nx, ny := float64(big-yy), float64(xy)
		if math.Abs(float64(big-xx)) > math.Abs(nx) {
			nx, ny = float64(xy), float64(big-xx)
		}
		n := math.Hypot(nx, ny)
		if n == 0 {
			return b, false
		}
		nx, ny = nx/n, ny/n
		gx, gy := float64(v[i+1]-v[i-1])/2, float64(v[i+w]-v[i-w])/2
		t := -(gx*nx + gy*ny) / float64(big)
		if math.Abs(t*nx) > 0.6 || math.Abs(t*ny) > 0.6 {
			return b, false
		}
		way := math.Atan2(nx, -ny)
		if way < 0 {
			way += math.Pi
		}
		return bend{big, float32(way), float32(float64(i%w) + 0.5 + t*nx), float32(float64(i/w) + 0.5 + t*ny), i % w, i / w}, true
	}
	// bare reports whether pixel i and its neighbours are ground.
	bare := func(i int) bool {
		return ground[i] == 255 && ground[i-1] == 255 && ground[i+1] == 255 && ground[i-w] == 255 && ground[i+w] == 255
	}
	var some []float32
	for i := 3*w + 3; i < (h-3)*w-3; i += bendStep {
		if bare(i) {
			xx, yy := v[i-1]-2*v[i]+v[i+1], v[i-w]-2*v[i]+v[i+w]
			some = append(some, max(xx, -xx, yy, -yy))
		}
	}
	if len(some) == 0 {
		return nil
	}
	slices.Sort(some)
	least := max(leastBend, min(mostBend, overNoise*some[len(some)/10]))
	place := make([]int32, w*h) // 1 + the place of a pixel's bend; 0 for none, or taken
	var bends []bend
	for y := 2; y < h-2; y++ {
		for x := 2; x < w-2; x++ {
			i := y*w + x
			if ground[i] != 255 || !bare(i) {
				continue
			}
			if b, ok := at(i, least); ok {
				bends = append(bends, b)
				place[i] = int32(len(bends))
			}
		}
	}
	var out []ridge
	var run []bend
	for _, first := range bends {
		take := func(x, y float32) {
			i := int(y)*w + int(x)
			if i < 0 || i >= len(place) || place[i] == 0 {
				return
			}
			if b := bends[place[i]-1]; b.across*first.across > 0 && turnBetween(float64(b.way), float64(first.way)) <= straightWithin {
				place[i] = 0
				run = append(run, b)
			}
		}
		run = run[:0]
		take(float32(first.px), float32(first.py))
		for k := 0; k < len(run); k++ {
			b := run[k]
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					take(float32(b.px+dx), float32(b.py+dy))
				}
			}
			// Where lines cross there is none.
			s, c := math.Sincos(float64(b.way))
			for d := float32(2); d <= ridgeGap; d++ {
				take(b.x+d*float32(c), b.y+d*float32(s))
				take(b.x-d*float32(c), b.y-d*float32(s))
			}
		}
		if r, ok := straightRun(run); ok {
			out = append(out, r)
		}
	}
	return out
}

// ridgeGap is how many working pixels of a line may be missing.
const ridgeGap = 4

const bendStep = 37 // pixels from one whose bend is looked at for the noise to the next

// turnBetween returns the angle between two lines, 0 to π/2.
func turnBetween(a, b float64) float64 {
	d := math.Abs(a - b)
	return min(d, math.Pi-d)
}

// straightRun returns the line through points, if they are one.
func straightRun(run []bend) (ridge, bool) {
	if len(run) < leastRidge*2/3 {
		return ridge{}, false
	}
	pts := make([]geom.Point, len(run))
	for i, b := range run {
		pts[i] = geom.Point{X: float64(b.x), Y: float64(b.y)}
	}
	line, _ := geom.FitLine(pts, nil)
	u := geom.Point{X: line.N.Y, Y: -line.N.X}
	lo, hi, off := math.Inf(1), math.Inf(-1), 0.0
	for _, p := range pts {
		lo, hi = min(lo, p.Dot(u)), max(hi, p.Dot(u))
		off += sq(line.Off(p))
	}
	if hi-lo < leastRidge || off/float64(len(pts)) > ridgeOff*ridgeOff {
		return ridge{}, false
	}
	way := math.Atan2(u.Y, u.X)
	if way < 0 {
		way += math.Pi
	}
	bends := 0.0
	for _, b := range run {
		bends += math.Abs(float64(b.across)) / float64(len(run))
	}
	m := line.N.Mul(line.C)
	return ridge{a: m.Add(u.Mul(lo)), b: m.Add(u.Mul(hi)), way: way, bend: bends}, true
}

// ridgeOff is how far, working pixels, a line's pixels lie off it: root of the mean
// square.
const ridgeOff = 0.6
