package find

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

const (
	// wholeEnough is the squareness from which on a blob is a whole piece: fray
	// and curl take a few pixels off each side, most off a narrow strip.
	wholeEnough = 0.82
	// squareEnough is what marks must reach together to be taken for one piece.
	squareEnough = 0.88
	// quadEnough is the overlap of an outline with its four fitted sides from
	// which on the corners are worth giving.
	quadEnough = 0.88
)

// findSpread finds pieces laid apart. What is not ground falls into blobs;
// blobs of pieces that touch are cut apart; and the scattered marks of a print
// whose own background looks like the ground are gathered again.
func findSpread(g *grid, r *ground) []cloth.Region {
	w, h := g.W, g.H
	mask := cover(r)
	openPockets(mask, r)
	seam := seamOf(g, 8)
	least := float64(leastArea(w, h))

	var whole, loose []geom.Polygon
	lab, blobs := labelBlobs(mask, w, h)
	for _, b := range blobs {
		for _, part := range cutApart(traceBlob(lab, w, h, b), least, seam) {
			// The edge of a mat or a shelf is too thin, a cell of a mat's grid bare.
			if part.Area() >= least && (shortSide(part) < 0.9*math.Sqrt(least) || r.bareShare(part) > 0.8) {
				continue
			}
			if part.Area() >= least && squareness(part) >= wholeEnough {
				whole = append(whole, part)
			} else {
				loose = append(loose, part)
			}
		}
	}
	return regionsOf(withoutBits(gather(g, whole, loose, least)))
}

// bitShare is the part of the usual piece's area below which a thing is none: a
// spool, a label, a curl of thread. A 1½-inch square is still a nineteenth of a
// 6½-inch one.
const bitShare = 1.0 / 20

// withoutBits leaves out what is far smaller than the usual piece.
func withoutBits(rings []geom.Polygon) []geom.Polygon {
	if len(rings) < 5 {
		return rings // too few to say what is usual
	}
	areas := make([]float64, len(rings))
	for i, r := range rings {
		areas[i] = r.Area()
	}
	usual := medianOf(areas)
	return slices.DeleteFunc(rings, func(r geom.Polygon) bool { return r.Area() < bitShare*usual })
}

// shortSide is the shorter side of the smallest rectangle round a ring.
func shortSide(g geom.Polygon) float64 {
	c := geom.MinAreaRect(g)
	return min(c[0].Dist(c[1]), c[1].Dist(c[2]))
}

// bareShare is the part of a ring's pixels that show ground, 0..1.
func (r *ground) bareShare(ring geom.Polygon) float64 {
	n, bare := 0, 0
	ring.Fill(r.W, r.H, func(y, x0, x1 int) {
		for _, m := range r.mask[y*r.W+x0 : y*r.W+x1] {
			n++
			if m != 0 {
				bare++
			}
		}
	})
	return float64(bare) / float64(max(1, n))
}

// leastArea is the smallest blob, in pixels, that can be a piece: a 1½-inch
// square in a photo two metres across.
func leastArea(w, h int) int { return w * h / 4000 }

// cover is a copy of the mask of what lies on the ground: holes inside prints
// filled, threads and frayed ends taken off.
func cover(r *ground) []uint8 {
	if r.lying == nil {
		r.lying = r.findCover()
	}
	return slices.Clone(r.lying)
}

func (r *ground) findCover() []uint8 {
	mask := make([]uint8, len(r.mask))
	for i, m := range r.mask {
		if m == 0 {
			mask[i] = 255
		}
	}
	fillHoles(mask, r.W, r.H, r.W*r.H/200)
	k := max(1, max(r.W, r.H)/500)
	return open(mask, r.W, r.H, k)
}

func open(mask []uint8, w, h, k int) []uint8 {
	o := dilate(erode(mask, w, h, k), w, h, k)
	for i := range o {
		o[i] &= mask[i]
	}
	return o
}

func paint(m []uint8, w, h int, g geom.Polygon) {
	g.Fill(w, h, func(y, x0, x1 int) {
		for i := y*w + x0; i < y*w+x1; i++ {
			m[i] = 255
		}
	})
}

// openPockets lets the ground that several pieces close in out again, through
// the narrowest of the cloth around it: that is where two pieces meet.
func openPockets(mask []uint8, r *ground) {
	w, h := r.W, r.H
	hole := make([]uint8, len(mask))
	for i := range mask {
		if mask[i] != 0 && r.mask[i] != 0 {
			hole[i] = 1
		}
	}
	hole = open(hole, w, h, 3)
	lab, blobs := labelBlobs(hole, w, h)
	for _, b := range blobs {
		if b.area < leastArea(w, h)/2 {
			continue
		}
		for i := range lab {
			if lab[i] == b.label {
				mask[i] = 0
			}
		}
		bridge(mask, lab, w, h, b)
	}
}

// bridge cuts the shortest straight gap from blob b of lab to the outside.
func bridge(mask []uint8, lab []int32, w, h int, b blob) {
	ring := traceBlob(lab, w, h, b)
	best := w + h
	var from, dir [2]int
	for _, p := range ring {
		for _, d := range [8][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
			x, y := clamp(int(p.X), 0, w-1), clamp(int(p.Y), 0, h-1)
			for k := range best {
				u, v := x+d[0]*k, y+d[1]*k
				if u < 0 || v < 0 || u >= w || v >= h {
					break
				}
				if l := lab[v*w+u]; l == b.label {
					if k > 1 {
						break
					}
					continue
				}
				if mask[v*w+u] == 0 && k > 1 {
					best, from, dir = k, [2]int{x, y}, d
					break
				}
			}
		}
	}
	if best > max(w, h)/20 {
		return
	}
	for k := range best + 1 {
		for _, o := range [3][2]int{{0, 0}, {1, 0}, {0, 1}} {
			u, v := from[0]+dir[0]*k+o[0], from[1]+dir[1]*k+o[1]
			if u >= 0 && v >= 0 && u < w && v < h {
				mask[v*w+u] = 0
			}
		}
	}
}

// regionsOf turns outlines into regions in reading order.
func regionsOf(rings []geom.Polygon) []cloth.Region {
	out := make([]cloth.Region, len(rings))
	parallel(len(rings), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			out[i] = regionOf(rings[i])
		}
	})
	readingOrder(out)
	return out
}

// readingOrder sorts regions as one reads: row by row, and from left to right in
// a row. A row goes on while the next region's middle is less than half a usual
// piece's height below the row's first.
func readingOrder(regions []cloth.Region) {
	n := len(regions)
	if n == 0 {
		return
	}
	type place struct {
		region cloth.Region
		middle geom.Point
		row    int
	}
	places := make([]place, n)
	heights := make([]float64, n)
	for i, r := range regions {
		lo, hi := r.Polygon.Bounds()
		places[i] = place{region: r, middle: r.Polygon.Centroid()}
		heights[i] = hi.Y - lo.Y
	}
	step := medianOf(heights) / 2
	slices.SortStableFunc(places, func(a, b place) int { return cmp.Compare(a.middle.Y, b.middle.Y) })
	row, top := 0, places[0].middle.Y
	for i := range places {
		if places[i].middle.Y-top > step {
			row, top = row+1, places[i].middle.Y
		}
		places[i].row = row
	}
	slices.SortStableFunc(places, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.middle.X, b.middle.X))
	})
	for i, p := range places {
		regions[i] = p.region
	}
}

func regionOf(ring geom.Polygon) cloth.Region {
	reg := cloth.Region{Polygon: simplify(ring, 1)}
	c, fit := fitQuad(ring)
	if fit > quadEnough {
		reg.Corners = c[:]
		reg.Trust = fit
	} else {
		reg.Trust = 0.5 * fit
	}
	return reg
}
