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

const (
	// spreadWhole is the least share of the cloth in a spread that lies in
	// four-sided pieces; spreads show 0.95 and more, piles 0.1 and less.
	spreadWhole = 0.5
	// stackEnough is the score from which on a photo is taken for a stack,
	// where something in it takes up containerShare of the photo and holds
	// leastBands bundles or more.
	stackEnough    = 0.5
	containerShare = 0.15
	leastBands     = 3
	// boardEvidence is the clearness and partedness of a lattice, together, that
	// make a photo a board. Boards show 1.1 and more, other photos 0.8 and less:
	// a board of few prints is clear, one of checks is parted, and a chance row of
	// pieces is one of the two at most.
	boardEvidence = 0.95
	// boardBare is the most bare ground between the squares of a board.
	boardBare = 0.3
	// boardShare is the least part of all cloth in view that a board is: a check
	// or a dotted print has a lattice of its own, but lies among other pieces.
	boardShare = 0.5
)

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
		if ok && (o.Kind == cloth.Board || lat.isBoard(r)) {
			res.Kind = cloth.Board
			res.Regions = append(squares, beside(findSpread(g, r), lat)...)
			return res
		}
		if o.Kind == cloth.Board {
			res.Notes = append(res.Notes, "no grid of squares stands out, so the pieces were looked for one by one")
		}
	}
	if o.Kind == cloth.Stack {
		res.Regions = findStack(g, r)
		return res
	}
	if o.Kind == cloth.Pile {
		res.Regions = findPile(g, r)
		return res
	}
	res.Kind, res.Regions = cloth.Spread, findSpread(g, r)
	if o.Kind == cloth.Spread {
		return res
	}
	if wholeShare(r, res.Regions) < spreadWhole {
		if pieces := findPile(g, r); len(pieces) > 0 {
			res.Kind, res.Regions = cloth.Pile, pieces
		}
		return res
	}
	// A stack's basket or shelf stands out from the ground as one large thing.
	if largest(res.Regions) > containerShare*float64(p.W*p.H) && stackScore(g, r) > stackEnough {
		if bands := findStack(g, r); len(bands) >= leastBands {
			res.Kind, res.Regions = cloth.Stack, bands
		}
	}
	return res
}

// largest is the area of the largest region.
func largest(regions []cloth.Region) float64 {
	a := 0.0
	for _, r := range regions {
		a = max(a, r.Polygon.Area())
	}
	return a
}

// isBoard says whether a lattice is a board by itself: its lines are edges, and
// hardly any ground shows between them.
func (l lattice) isBoard(r *ground) bool {
	if l.clear+l.parted < boardEvidence || l.rows*l.cols < 4 {
		return false
	}
	n, bare := 0, 0
	l.outline(0).Fill(r.W, r.H, func(y, x0, x1 int) {
		for _, d := range r.dist[y*r.W+x0 : y*r.W+x1] {
			n++
			if d < groundNear {
				bare++
			}
		}
	})
	all := 0
	for _, m := range cover(r) {
		if m != 0 {
			all++
		}
	}
	return float64(bare) <= boardBare*float64(n) && float64(n-bare) >= boardShare*float64(all)
}

// outline is the lattice's four corners, moved out by so many cells.
func (l lattice) outline(by float64) geom.Polygon {
	x, y := float64(l.cols)+by, float64(l.rows)+by
	return geom.Polygon{
		l.h.Apply(geom.Point{X: -by, Y: -by}), l.h.Apply(geom.Point{X: x, Y: -by}),
		l.h.Apply(geom.Point{X: x, Y: y}), l.h.Apply(geom.Point{X: -by, Y: y}),
	}
}

// wholeShare is how much of what lies on the ground belongs to pieces with four
// straight sides, 0..1: nearly all of a spread, little of a pile.
func wholeShare(r *ground, regions []cloth.Region) float64 {
	all := 0
	for _, m := range cover(r) {
		if m != 0 {
			all++
		}
	}
	whole := 0.0
	for _, reg := range regions {
		if reg.Corners != nil {
			whole += reg.Polygon.Area()
		}
	}
	return min(1, whole/float64(max(1, all)))
}

// given makes regions of outlines drawn by hand: what you say is a piece is one.
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

const (
	// besideLeast is the smallest thing beside a board, in squares: an ID-1 card
	// is a fourteenth of a ten-inch square. besideSure is how large one must be,
	// or else as square as besideSquare: the edge of a mat breaks into bits.
	besideLeast, besideSure, besideSquare = 0.06, 0.08, 0.93
)

// beside keeps the regions that lie off the board: a sheet or card laid there,
// or a spare square.
func beside(regions []cloth.Region, lat lattice) []cloth.Region {
	edge := lat.outline(0.2)
	cell := lat.outline(0).Area() / float64(lat.rows*lat.cols)
	var out []cloth.Region
next:
	for _, r := range regions {
		if r.Corners == nil || r.Polygon.Area() < besideLeast*cell {
			continue
		}
		if r.Polygon.Area() < besideSure*cell && squareness(r.Polygon) < besideSquare {
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
