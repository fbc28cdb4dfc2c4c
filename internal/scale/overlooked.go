package scale

import (
	"cmp"
	"slices"

	"piecebag/internal/geom"
)

const (
	// blockSide is the side, working pixels, of the blocks of ground whose lightness
	// things are held against.
	blockSide = 64
	// lighter is how far, in luma, a card lies over the ground.
	lighter = 0.04
	// leastWhole and mostShare bound a thing's area: working pixels, and the share of
	// the picture.
	leastWhole, mostShare = 160, 0.1
	// fillsBox is the share of the smallest rectangle round it that a card fills.
	fillsBox = 0.8
	// mostOverlooked are looked at, the largest first.
	mostOverlooked = 8
)

// overlooked are white things on the ground that no region covers and that fill a
// rectangle: small cards, which the finder may miss.
func overlooked(v *luma, ground []uint8, o *owners) [][4]geom.Point {
	if len(ground) != v.w*v.h {
		return nil
	}
	level := groundLevel(v, ground)
	over := make([]bool, v.w*v.h)
	for y := range v.h {
		for x := range v.w {
			k := y*v.w + x
			over[k] = o.of[k] == 0 && float64(v.v[k]) > level(x, y)+lighter
		}
	}
	type thing struct {
		box  [4]geom.Point
		area int
	}
	var things []thing
	var stack, edge []int
	for k := range over {
		if !over[k] {
			continue
		}
		area := 0
		edge = edge[:0]
		out := false
		stack = append(stack[:0], k)
		over[k] = false
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			area++
			x, y := i%v.w, i/v.w
			out = out || x == 0 || y == 0 || x == v.w-1 || y == v.h-1
			inner := 0
			for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				u, w := x+d[0], y+d[1]
				if u < 0 || w < 0 || u >= v.w || w >= v.h {
					continue
				}
				switch j := w*v.w + u; {
				case over[j]:
					over[j] = false
					stack = append(stack, j)
					inner++
				}
			}
			if inner < 4 {
				edge = append(edge, i)
			}
		}
		if out || area < leastWhole || float64(area) > mostShare*float64(v.w*v.h) {
			continue
		}
		pts := make([]geom.Point, 0, 4*len(edge))
		for _, i := range edge {
			x, y := float64(i%v.w), float64(i/v.w)
			pts = append(pts, geom.Point{X: x, Y: y}, geom.Point{X: x + 1, Y: y}, geom.Point{X: x + 1, Y: y + 1}, geom.Point{X: x, Y: y + 1})
		}
		box := geom.MinAreaRect(pts)
		if float64(area) < fillsBox*geom.Polygon(box[:]).Area() {
			continue
		}
		if geom.Polygon(box[:]).SignedArea() < 0 {
			box[1], box[3] = box[3], box[1]
		}
		things = append(things, thing{box, area})
	}
	slices.SortStableFunc(things, func(a, b thing) int { return cmp.Compare(b.area, a.area) })
	var boxes [][4]geom.Point
	for _, t := range things[:min(mostOverlooked, len(things))] {
		boxes = append(boxes, t.box)
	}
	return boxes
}

// groundLevel is the luma of the ground near a pixel: the median of its block, or
// of all ground where the block has too little.
func groundLevel(v *luma, ground []uint8) func(x, y int) float64 {
	bw, bh := (v.w+blockSide-1)/blockSide, (v.h+blockSide-1)/blockSide
	of := make([][]float32, bw*bh)
	var all []float32
	for y := 0; y < v.h; y += 3 {
		for x := 0; x < v.w; x += 3 {
			if k := y*v.w + x; ground[k] == 255 {
				b := y/blockSide*bw + x/blockSide
				of[b] = append(of[b], v.v[k])
				all = append(all, v.v[k])
			}
		}
	}
	mid := func(f []float32) float64 {
		slices.Sort(f)
		return float64(f[len(f)/2])
	}
	whole := 1.0
	if len(all) > 0 {
		whole = mid(all)
	}
	level := make([]float64, bw*bh)
	for b := range level {
		level[b] = whole
		if len(of[b]) > blockSide {
			level[b] = mid(of[b])
		}
	}
	return func(x, y int) float64 { return level[y/blockSide*bw+x/blockSide] }
}

// sightOverlooked are the sightings among them.
func sightOverlooked(p *lit, ground []uint8, o *owners, l *plane) []*sighting {
	if p.W < smallest || p.H < smallest {
		return nil
	}
	v := p.luma()
	var out []*sighting
	for _, c := range overlooked(v, ground, o) {
		if !whitish(p.Picture, c, p.white()) {
			continue
		}
		if e, ok := v.trace(c, traceReach); ok && e.clear() {
			if s, ok := sight(p, candidate{region: -1, edges: e}, l); ok {
				out = append(out, s)
			}
		}
	}
	return out
}
