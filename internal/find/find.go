// Package find finds the pieces in a picture: a small learned eye says what is
// cloth and what belongs together (internal/eye), a mutex watershed parts it
// into pieces, and geometry gives them straight sides.
package find

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/eye"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// Options say what the caller knows about the photo. The zero value knows
// nothing.
type Options struct {
	Kind       cloth.Kind   // empty: recognise it
	Rows, Cols int          // of a board; 0: count them
	Outline    geom.Polygon // of a board, four corners, working pixels; nil: find it
	// Given are pieces given by hand, working pixels; nil: find them. A single point
	// lies in a piece, two are opposite corners of a box round one, more its outline.
	Given []geom.Polygon
	All   bool // say doubtful pieces too, to fit trust on
}

// Result is what the finder saw.
type Result struct {
	Kind    cloth.Kind
	Regions []cloth.Region // in reading order; a card or sheet may be among them
	// Given is how many of the regions, the first, were given by hand. What else the eye
	// found follows them: no pieces, but a card or sheet may be among it.
	Given  int
	Ground []uint8 // W*H, 255 where bare ground shows
	Paper  []uint8 // W*H, 255 where white paper shows, of whatever shape
	Labels []uint8 // W*H, 255 where white paper may lie on cloth
	Notes  []string
	Left   []cloth.Region // too doubtful to be pieces; the likeliest first
	// Signs are what speaks for each region; nil for those drawn by hand, and for
	// cards. See SignNames.
	Signs [][]float64
}

// Entry is a cause of a fault: which of Options.Given, from 1, cannot be kept.
type Entry int

func (e Entry) Error() string { return fmt.Sprintf("entry %d", int(e)) }

// MostCells is the most rows or columns of a board.
const MostCells = 24

// leastSide is the smallest side, in working pixels, worth looking at.
const leastSide = 48

// TooSmall is the note of a picture that is too small to look at.
const TooSmall = "the picture is too small to find pieces in; give the photo as the camera made it"

// Kinds of faults that each door has its own remedy for.
var (
	ErrSmall   = errors.New("a picture too small to find the pieces in that were given")
	ErrNoCloth = errors.New("a place where no cloth shows")
	ErrTaken   = errors.New("cloth of another entry")
	ErrNoSeam  = errors.New("two places between which no seam shows")
	ErrGrid    = errors.New("squares that do not lie in the rows and columns given") // its remedy ends in the board's corners
)

// Find finds the pieces in a working picture. The error is a *fault.Error.
func Find(p *cloth.Picture, o Options) (*Result, error) {
	if p.W < leastSide || p.H < leastSide {
		if o.Given != nil {
			return nil, fault.New("", TooSmall, "let the pieces be found, or give a larger picture", ErrSmall)
		}
		return &Result{Kind: cmp.Or(o.Kind, cloth.Spread), Ground: make([]uint8, p.W*p.H), Paper: make([]uint8, p.W*p.H), Labels: make([]uint8, p.W*p.H), Notes: []string{TooSmall}}, nil
	}
	e := eye.Default()
	whole, near, kinds := look(e, p)
	res := &Result{Kind: o.Kind}
	res.Ground, res.Paper, res.Labels = bareOf(whole, near, p.W, p.H)
	if res.Kind == "" {
		res.Kind = kindOf(e.Header.Kinds, kinds)
	}
	odds := oddsOf(e.Header.Kinds, kinds, o.Kind)
	heap := odds(cloth.Stack, cloth.Pile)
	var l *labelled
	if near != nil {
		l = near.part(odds)
	}
	if o.Given != nil {
		if o.Kind == "" {
			res.Kind = cloth.Spread
		}
		return res, res.byHand(l, o.Given, whole.cards(), heap, p.W, p.H)
	}
	res.take(l, p.W, p.H)
	shown := 1.0 // a grid given by hand says that cloth is shown
	if o.Rows == 0 {
		shown -= odds("none")
	}
	res.judge(shown, heap, o.All)
	switch {
	case o.Rows > 0 && o.Cols > 0:
		if err := res.onGrid(near, o); err != nil {
			return nil, err
		}
	case o.Outline != nil:
		res.within(o.Outline)
	}
	for _, r := range whole.cards() {
		res.Regions = append(res.Regions, r)
		res.Signs = append(res.Signs, nil)
		res.Left = slices.DeleteFunc(res.Left, func(g cloth.Region) bool { return r.Polygon.Contains(g.Polygon.Centroid()) })
	}
	res.sort()
	return res, nil
}

// take makes regions of all pieces of a picture of w × h working pixels; at is the
// index of each piece's, by its label.
func (r *Result) take(l *labelled, w, h int) (at map[int32]int) {
	at = map[int32]int{}
	if l == nil {
		return at
	}
	for i := range l.pieces {
		s := &l.pieces[i]
		if g, ok := l.region(s); ok {
			at[s.label] = len(r.Regions)
			r.Regions = append(r.Regions, g)
			r.Signs = append(r.Signs, l.signs(s, g.Polygon, w, h))
		}
	}
	return at
}

// kindOf returns the likeliest kind of photo that Piecebag knows.
func kindOf(names []string, p []float64) cloth.Kind {
	best, kind := -1.0, cloth.Spread
	for i, n := range names {
		switch k := cloth.Kind(n); k {
		case cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile:
			if p[i] > best {
				best, kind = p[i], k
			}
		}
	}
	return kind
}

// odds tell the probability that the photo is of one of some kinds.
type odds func(of ...cloth.Kind) float64

// oddsOf returns the odds that the eye gives to kinds, by name; where the kind is given by
// hand they are 0 or 1.
func oddsOf(names []string, p []float64, hand cloth.Kind) odds {
	if hand != "" {
		names, p = []string{string(hand)}, []float64{1}
	}
	return func(of ...cloth.Kind) float64 {
		sum := 0.0
		for i, n := range names {
			if slices.Contains(of, cloth.Kind(n)) {
				sum += p[i]
			}
		}
		return sum
	}
}

// quadEnough is the least overlap (IoU) of an outline with four fitted sides for the
// piece to count as a quadrilateral; with 0.85 as many pieces were found.
const quadEnough = 0.9

// region makes an outline of a piece's cells.
func (l *labelled) region(s *piece) (cloth.Region, bool) {
	cell := math.Sqrt(l.sx * l.sy)
	rings := l.rings(s)
	whole := oneRing(rings)
	if len(whole) < 3 {
		return cloth.Region{}, false
	}
	var r cloth.Region
	if c, fit := raster.FitQuad(whole); fit > quadEnough {
		r.Corners = c[:]
		if farOff(whole, c) < max(bend*cell*2, quadStray*math.Sqrt(whole.Area())) {
			r.Polygon = slices.Clone(c[:])
			return r, true
		}
	}
	for i := range rings {
		rings[i] = geom.Simplify(soft(rings[i]), bend*cell)
	}
	r.Polygon = oneRing(rings)
	return r, len(r.Polygon) >= 3 && r.Polygon.Area() > 0
}

// quadStray is how far, as a share of a piece's side, one point in twenty of its
// outline may lie from four straight sides that stand for it.
const quadStray = 0.015

// farOff returns the distance from a quadrilateral that one point in twenty of a ring
// exceeds.
func farOff(ring geom.Polygon, c [4]geom.Point) float64 {
	d := make([]float64, len(ring))
	for i, p := range ring {
		d[i] = math.Inf(1)
		for s := range 4 {
			d[i] = min(d[i], geom.SegmentDistance(p, c[s], c[(s+1)%4]))
		}
	}
	slices.Sort(d)
	return d[len(d)*19/20]
}

// bareOf returns masks: ground is 255 where neither cloth nor a card is at all likely, paper
// where a card or sheet is likelier than not, and labels where it is though cloth is too.
// The light reads the shades of the first two.
func bareOf(whole, near *view, w, h int) (ground, paper, labels []uint8) {
	const bare = unit/20 - half // a twentieth
	ground, paper, labels = make([]uint8, w*h), make([]uint8, w*h), make([]uint8, w*h)
	raster.Rows(h, func(lo, hi int) {
		for y := lo; y < hi; y++ {
			for x := range w {
				i, ok := whole.cell(x, y)
				if !ok {
					continue
				}
				cloth := whole.cloth[i]
				if near != nil {
					if k, ok := near.cell(x, y); ok {
						cloth = max(cloth, near.cloth[k])
					}
				}
				switch {
				case cloth < bare && whole.card[i] < bare:
					ground[y*w+x] = 255
				case whole.card[i] <= 0:
				case cloth < 0:
					paper[y*w+x] = 255
				default:
					labels[y*w+x] = 255
				}
			}
		}
	})
	return ground, paper, labels
}

// cell returns the index of the cell over a working pixel.
func (v *view) cell(x, y int) (int, bool) {
	cx, cy := int(math.Floor((float64(x)+0.5-v.x0)/v.sx)), int(math.Floor((float64(y)+0.5-v.y0)/v.sy))
	if cx < 0 || cy < 0 || cx >= v.w || cy >= v.h {
		return 0, false
	}
	return cy*v.w + cx, true
}

const (
	// leastCard is the least card or sheet worth a look, in cells of the first look.
	leastCard = 60
	// cardSeen of a card's hull is enough to see all of it: a bare sheet is doubted
	// in places, and cards have no bays.
	cardSeen = 0.6
)

// cards returns the quadrilaterals that the eye takes for white cards or sheets.
func (v *view) cards() []cloth.Region {
	parts := raster.Components(likely(v.card), v.w, v.h, raster.Sides)
	l := &labelled{view: &view{field: field{w: v.w, h: v.h, cloth: v.card}, x0: v.x0, y0: v.y0, sx: v.sx, sy: v.sy}, lab: parts.Of}
	for i := range l.lab {
		l.lab[i]++ // labels begin with 1
	}
	var out []cloth.Region
	for k, q := range parts.Parts {
		if q.Area < leastCard {
			continue
		}
		ring := oneRing(l.rings(&piece{label: int32(k + 1), box: q.Box})[:1])
		if hull := geom.ConvexHull(ring); ring.Area() > cardSeen*hull.Area() {
			ring = hull
		}
		if c, fit := raster.FitQuad(ring); fit > quadEnough {
			out = append(out, cloth.Region{Polygon: slices.Clone(c[:]), Corners: c[:], Trust: fit, Card: true})
		}
	}
	return out
}

// sort puts the regions in reading order: row by row, a row as high as half a
// usual piece.
func (r *Result) sort() {
	n := len(r.Regions)
	if n < 2 {
		return
	}
	middle := make([]geom.Point, n)
	heights := make([]float64, n)
	order := make([]int, n)
	for i, g := range r.Regions {
		lo, hi := g.Polygon.Bounds()
		middle[i] = lo.Add(hi).Mul(0.5)
		heights[i] = math.Floor(hi.Y - lo.Y)
		order[i] = i
	}
	step := raster.Median(heights) / 2
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(middle[a].Y, middle[b].Y) })
	row := make([]int, n)
	k, top := 0, middle[order[0]].Y
	for _, i := range order {
		if middle[i].Y-top > step {
			k, top = k+1, middle[i].Y
		}
		row[i] = k
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(row[a], row[b]), cmp.Compare(middle[a].X, middle[b].X))
	})
	regions, signs := slices.Clone(r.Regions), slices.Clone(r.Signs)
	for k, i := range order {
		r.Regions[k], r.Signs[k] = regions[i], signs[i]
	}
}
