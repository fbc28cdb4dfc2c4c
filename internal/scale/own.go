package scale

import (
	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// owners says which region lies at a working pixel.
type owners struct {
	w, h int
	of   []int16 // region + 1, 0 for none
	// ground is 255 where bare ground shows; nil: wherever no region lies.
	ground []uint8
}

func ownersOf(w, h int, regions []cloth.Region, ground []uint8) *owners {
	o := &owners{w: w, h: h, of: make([]int16, w*h), ground: ground}
	for i, r := range regions {
		r.Polygon.Fill(w, h, func(y, x0, x1 int) {
			for x := x0; x < x1; x++ {
				o.of[y*w+x] = int16(i + 1)
			}
		})
	}
	return o
}

// bare reports whether bare ground shows at q.
func (o *owners) bare(q geom.Point) bool {
	x, y := int(q.X), int(q.Y)
	return x >= 0 && y >= 0 && x < o.w && y < o.h && o.of[y*o.w+x] == 0 && (o.ground == nil || o.ground[y*o.w+x] == 255)
}

// at returns the region at q, or -1.
func (o *owners) at(q geom.Point) int {
	x, y := int(q.X), int(q.Y)
	if x < 0 || y < 0 || x >= o.w || y >= o.h {
		return -1
	}
	return int(o.of[y*o.w+x]) - 1
}

const (
	// Beyond the end of a side, alongOff working pixels on, it is looked acrossOff
	// to either hand.
	alongOff, acrossOff = 6, 5
)

// How likely a side is where its piece was cut. Elsewhere than in a pile what
// touches lies side by side. In a pile it goes by what lies beyond the side's two
// ends: a side that another piece hides ends at that one's edge, which runs straight
// on, so that the other lies outside the side's line and not inside of it; a piece
// that lies on another has it on both hands. Shares counted in made photos.
const (
	apartSide = 0.995
	heapSide  = 0.88 // cut off at neither end; much is folded, or no rectangle
	cutAtOne  = 0.33
	cutAtBoth = 0.06
)

// own returns how likely a side of a region, from a to b as a clockwise ring has it, is
// where the piece was cut.
func (o *owners) own(a, b geom.Point, region int, kind cloth.Kind) float64 {
	if kind != cloth.Pile {
		return apartSide
	}
	u := b.Sub(a)
	u = u.Mul(1 / max(1e-9, u.Len()))
	out := geom.Point{X: u.Y, Y: -u.X}.Mul(acrossOff)
	cut := func(end geom.Point) bool {
		other, within := o.at(end.Add(out)), o.at(end.Sub(out))
		return other >= 0 && other != region && within != other && within != region
	}
	near, far := cut(a.Sub(u.Mul(alongOff))), cut(b.Add(u.Mul(alongOff)))
	switch {
	case near && far:
		return cutAtBoth
	case near || far:
		return cutAtOne
	}
	return heapSide
}

// ownSides sets how likely each side of the quads is where the piece was cut.
func ownSides(quads []quad, o *owners, kind cloth.Kind) {
	for i := range quads {
		q := &quads[i]
		q.square = q.weight
		for k := range q.own {
			q.own[k] = o.own(q.c[k], q.c[(k+1)%4], q.region, kind)
			q.square *= q.own[k]
		}
	}
}
