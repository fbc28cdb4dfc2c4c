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

// sightOverlooked are the sightings among them, and among the patches of paper that the
// finder saw on the ground; faint is the middle of a rectangle among these that gives none.
func sightOverlooked(p *lit, paper, ground []uint8, o *owners, l *plane) (out []*sighting, faint *geom.Point) {
	if p.W < smallest || p.H < smallest || len(ground) != p.W*p.H {
		return nil, nil
	}
	add := func(v *luma, c [4]geom.Point, reach float64, card bool) bool {
		e, ok := v.trace(c, reach)
		if !ok || !e.clear() {
			return false
		}
		s, ok := sight(p, candidate{region: -1, card: card, edges: e}, l)
		if ok {
			out = append(out, s)
		}
		return ok
	}
	for _, c := range overlooked(p.luma(), ground, o) {
		if whitish(p.Picture, c, p.white()) {
			add(p.luma(), c, traceReach, false)
		}
	}
	patches := paperPatches(p.Picture, paper, o)
	for k, t := range patches.Parts {
		if t.Area < leastWhole {
			continue
		}
		c, ok := faintBox(p.Picture, &patches, int32(k), ground)
		reach := tintReach * min(c[0].Dist(c[1]), c[1].Dist(c[2]))
		if ok && whitish(p.Picture, c, p.white()) && !add(byTint(p.Picture, c, reach), c, reach, true) && faint == nil {
			at := geom.Polygon(c[:]).Centroid()
			faint = &at
		}
	}
	return out, faint
}
