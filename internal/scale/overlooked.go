package scale

import (
	"cmp"
	"image"
	"slices"

	"piecebag/internal/geom"
	"piecebag/internal/raster"
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
	if len(ground) != v.W*v.H {
		return nil
	}
	level := groundLevel(v, ground)
	over := make([]bool, v.W*v.H)
	for y := range v.H {
		for x := range v.W {
			k := y*v.W + x
			over[k] = o.of[k] == 0 && float64(v.V[k]) > level(x, y)+lighter
		}
	}
	parts := raster.Components(over, v.W, v.H, raster.Sides)
	var things []int
	for k, t := range parts.Parts {
		if t.Box.In(image.Rect(1, 1, v.W-1, v.H-1)) && t.Area >= leastWhole && float64(t.Area) <= mostShare*float64(v.W*v.H) {
			things = append(things, k)
		}
	}
	slices.SortStableFunc(things, func(a, b int) int { return cmp.Compare(parts.Parts[b].Area, parts.Parts[a].Area) })
	var boxes [][4]geom.Point
	for _, k := range things {
		box := geom.MinAreaRect(parts.Hull(k))
		if float64(parts.Parts[k].Area) >= fillsBox*geom.Polygon(box[:]).Area() && len(boxes) < mostOverlooked {
			boxes = append(boxes, box)
		}
	}
	return boxes
}

// groundLevel is the luma of the ground near a pixel: the median of its block, or
// of all ground where the block has too little.
func groundLevel(v *luma, ground []uint8) func(x, y int) float64 {
	bw, bh := (v.W+blockSide-1)/blockSide, (v.H+blockSide-1)/blockSide
	of := make([][]float32, bw*bh)
	var all []float32
	for y := 0; y < v.H; y += 3 {
		for x := 0; x < v.W; x += 3 {
			if k := y*v.W + x; ground[k] == 255 {
				b := y/blockSide*bw + x/blockSide
				of[b] = append(of[b], v.V[k])
				all = append(all, v.V[k])
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
