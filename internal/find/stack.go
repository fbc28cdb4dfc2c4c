package find

import (
	"piecebag/internal/cloth"
)

// findStack finds the bundles in a photo of folded strips that stand on edge in
// a basket or lie stacked on a shelf: one region for the visible part of each,
// in working pixels, row by row.
//
// The photo is turned and unfanned until the bands stand upright (lean, rack);
// long upright lines are followed (grain, track); few of them pass from one row
// of bands into the next, which gives the rows (tier); the lines of a row are
// the borders of its bundles and the grooves between the folds of each, and
// colour tells which (layer, group); what is no cloth is thrown out (strip); at
// last every bundle takes in the faces at its ends and sides (claim).
func findStack(g *grid, gr *ground) []cloth.Region {
	r, tiers := rackUp(g, gr)
	if r == nil {
		return nil
	}
	sw := swatchesOf(r)
	var strips []strip
	for i := range tiers {
		strips = append(strips, tiers[i].strips(r, sw)...)
	}
	strips, around := keepCloth(r, sw, tiers, strips)
	return claim(r, sw, strips, around).regions(r, strips)
}

// rackUp straightens the photo and finds the rows of bands in it; the rack is
// nil where there are none.
func rackUp(g *grid, gr *ground) (*rack, []tier) {
	l, _ := findLean(g, gr)
	r := straighten(g, surroundings(gr), l)
	if r == nil {
		return nil, nil
	}
	m := grainOf(r)
	inner, rim := clearTracks(r, m.follow())
	tiers := findTiers(r, m, inner)
	both := append(inner, rim...)
	kept := tiers[:0]
	for _, t := range tiers {
		t.raise(both)
		t.weed(r)
		if len(t.lines) > 2 {
			kept = append(kept, t)
		}
	}
	if len(kept) == 0 {
		return nil, nil
	}
	return r, kept
}

// stackScore is how much a photo looks like a stack, 0..1: nearly all long
// straight edges in it run one way, side by side.
func stackScore(g *grid, gr *ground) float64 {
	_, share := findLean(g, gr)
	return max(0, min(1, (share-1.45)/0.4))
}

// surroundings marks (255) all of the photo but the largest thing in it that is
// not ground.
func surroundings(gr *ground) []uint8 {
	w, h := gr.W, gr.H
	lab, blobs := labelBlobs(gr.mask, w, h)
	in := make([]uint8, w*h)
	for i, l := range lab {
		if l == 0 {
			in[i] = 255
			continue
		}
		// Ground that does not reach the frame is only coloured like it.
		if b := blobs[l-1].box; b.x0 > 0 && b.y0 > 0 && b.x1 < w && b.y1 < h {
			in[i] = 255
		}
	}
	r := max(w, h) / 170
	in = erode(in, w, h, r)
	lab, blobs = labelBlobs(in, w, h)
	best := int32(-1)
	for i, b := range blobs {
		if best < 0 || b.area > blobs[best].area {
			best = int32(i)
		}
	}
	for i, l := range lab {
		in[i] = 0
		if best >= 0 && l == blobs[best].label {
			in[i] = 255
		}
	}
	in = dilate(in, w, h, r)
	for i := range in {
		in[i] = 255 - in[i]
	}
	return in
}
