package geom

import "math"

// Overlap returns what two outlines share, what they cover together, and the area of
// the first, in pixels of a raster on which the longer side of both is 200
// long; all 0 where their boxes lie apart.
func Overlap(a, b Polygon) (shared, together, first float64) {
	const raster = 200
	if len(a) == 0 || len(b) == 0 {
		return 0, 0, 0
	}
	lo, hi := a.Bounds()
	lo2, hi2 := b.Bounds()
	if hi.X <= lo2.X || hi2.X <= lo.X || hi.Y <= lo2.Y || hi2.Y <= lo.Y {
		return 0, 0, 0
	}
	lo = Point{X: min(lo.X, lo2.X), Y: min(lo.Y, lo2.Y)}
	hi = Point{X: max(hi.X, hi2.X), Y: max(hi.Y, hi2.Y)}
	scale := raster / max(hi.X-lo.X, hi.Y-lo.Y)
	var mask [2][]bool
	w := int(math.Ceil((hi.X - lo.X) * scale))
	h := int(math.Ceil((hi.Y - lo.Y) * scale))
	for k, g := range []Polygon{a, b} {
		moved := g.Map(func(p Point) Point { return p.Sub(lo).Mul(scale) })
		m := make([]bool, w*h)
		moved.Fill(w, h, func(y, x0, x1 int) {
			for x := x0; x < x1; x++ {
				m[y*w+x] = true
			}
		})
		mask[k] = m
	}
	for i, inA := range mask[0] {
		inB := mask[1][i]
		if inA {
			first++
		}
		if inA && inB {
			shared++
		}
		if inA || inB {
			together++
		}
	}
	return shared, together, first
}

// IoU returns the share of two outlines that is common to both, 0 to 1.
func IoU(a, b Polygon) float64 {
	shared, together, _ := Overlap(a, b)
	if together == 0 {
		return 0
	}
	return shared / together
}
