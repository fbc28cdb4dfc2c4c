package find

import (
	"math"

	"piecebag/internal/geom"
)

// joinRings makes one ring of several, outlines, holes or parts that lie apart,
// by slits of no width: the even-odd rule fills it as it fills them all. Rings
// of less than speck square pixels are left out.
func joinRings(rings []geom.Polygon, speck float64) geom.Polygon {
	largest := -1
	for i, r := range rings {
		if largest < 0 || r.Area() > rings[largest].Area() {
			largest = i
		}
	}
	if largest < 0 {
		return nil
	}
	out := append(geom.Polygon(nil), rings[largest]...)
	for i, r := range rings {
		if i != largest && r.Area() >= speck {
			out = slit(out, r)
		}
	}
	return out
}

// slit joins ring b to ring a where they come nearest, corner to corner.
func slit(a, b geom.Polygon) geom.Polygon {
	best := math.Inf(1)
	var at, from int
	for i, p := range a {
		for j, q := range b {
			if d := p.Dist(q); d < best {
				best, at, from = d, i, j
			}
		}
	}
	out := make(geom.Polygon, 0, len(a)+len(b)+2)
	out = append(out, a[:at+1]...)
	out = append(out, b[from:]...)
	out = append(out, b[:from+1]...)
	return append(out, a[at:]...)
}
