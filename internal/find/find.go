package find

import (
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// Options say what the caller knows about the photo. The zero value knows
// nothing.
type Options struct {
	Kind       cloth.Kind     // empty: recognise it
	Rows, Cols int            // of a board; 0: count them
	Outline    geom.Polygon   // of a board, four corners, working pixels; nil: find it
	Given      []geom.Polygon // outlines given by hand, working pixels; nil: find them
}

// Result is what the finder saw.
type Result struct {
	Kind    cloth.Kind
	Regions []cloth.Region // in reading order; a card or sheet may be among them
	Ground  []uint8        // W*H, 255 where bare ground shows
	Notes   []string
}

// boardClear is the clearness of a lattice that makes a photo a board: boards
// show 0.4 and more, other photos stay under 0.3.
const boardClear = 0.35

// leastSide is the smallest side, in working pixels, worth looking at.
const leastSide = 48

// Find finds the pieces in a working picture.
func Find(p *cloth.Picture, o Options) *Result {
	if p.W < leastSide || p.H < leastSide {
		return &Result{Kind: cloth.Spread, Ground: make([]uint8, p.W*p.H), Notes: []string{"the picture is too small to find pieces in"}}
	}
	g := gridOf(p)
	r := findGround(g)
	res := &Result{Kind: o.Kind, Ground: r.mask}
	if o.Given != nil {
		res.Regions = given(o.Given)
		if res.Kind == "" {
			res.Kind = cloth.Spread
		}
		return res
	}
	if o.Kind == cloth.Board || o.Kind == "" {
		squares, lat, ok := findBoard(g, r, o)
		if ok && (o.Kind == cloth.Board || lat.clear > boardClear && lat.rows*lat.cols >= 4) {
			res.Kind = cloth.Board
			res.Regions = append(squares, beside(findSpread(g, r), lat)...)
			return res
		}
	}
	res.Kind = cloth.Spread
	res.Regions = findSpread(g, r)
	return res
}

// given makes regions of outlines drawn by hand: what she says is a piece is one.
func given(rings []geom.Polygon) []cloth.Region {
	out := make([]cloth.Region, len(rings))
	for i, r := range rings {
		if r.SignedArea() < 0 {
			r = slices.Clone(r)
			slices.Reverse(r)
		}
		out[i] = cloth.Region{Polygon: r, Trust: 1}
		if c, fit := fitQuad(r); fit > quadEnough {
			out[i].Corners = c[:]
		}
	}
	return out
}

// beside keeps the regions that lie off the board: a sheet or card laid there,
// or a spare square.
func beside(regions []cloth.Region, lat lattice) []cloth.Region {
	edge := geom.Polygon{
		lat.h.Apply(geom.Point{X: -0.2, Y: -0.2}), lat.h.Apply(geom.Point{X: float64(lat.cols) + 0.2, Y: -0.2}),
		lat.h.Apply(geom.Point{X: float64(lat.cols) + 0.2, Y: float64(lat.rows) + 0.2}), lat.h.Apply(geom.Point{X: -0.2, Y: float64(lat.rows) + 0.2}),
	}
	var out []cloth.Region
next:
	for _, r := range regions {
		if r.Corners == nil {
			continue
		}
		for _, p := range append(geom.Polygon{r.Polygon.Centroid()}, r.Polygon...) {
			if edge.Contains(p) {
				continue next
			}
		}
		out = append(out, r)
	}
	return out
}
