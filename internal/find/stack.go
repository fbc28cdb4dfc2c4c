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
	l, _, lines := findLean(g, gr)
	r := straighten(g, framed(gr), l, lines.busy(l))
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
	_, share, _ := findLean(g, gr)
	return max(0, min(1, (share-1.45)/0.4))
}

// framed marks (255) the ground that reaches the frame of the photo; the rest
// of the ground is only coloured like it.
func framed(gr *ground) []uint8 {
	lab, blobs := labelBlobs(gr.mask, gr.W, gr.H)
	out := make([]uint8, len(lab))
	for i, l := range lab {
		if l == 0 {
			continue
		}
		if b := blobs[l-1].box; b.x0 == 0 || b.y0 == 0 || b.x1 == gr.W || b.y1 == gr.H {
			out[i] = 255
		}
	}
	return out
}
