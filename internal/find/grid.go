package find

import (
	"fmt"
	"image"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

const (
	// gridOverlap is the least overlap of a piece with a square of a grid given by
	// hand from which it is that square.
	gridOverlap = 0.6
	// loneOverlap is that of the only piece whose middle lies in a square.
	loneOverlap = 0.4
	// mostOff is how far, in squares, the corners of what the eye sees may lie
	// from those of a grid given by hand, in the mean; by chance it is 0.38.
	mostOff = 0.2
	// byGrid is the note of a square that the eye did not part: how well its outline fits
	// is not known.
	byGrid = "laid where the grid says, as it was not seen by itself; its trust is only that cloth lies there"
	// giveCorners is the remedy where the eye and the grid disagree.
	giveCorners = "count rows and columns again, or give the board's four corners"
)

// onGrid makes the result exactly rows × columns squares, or says why it cannot.
// Squares that the eye has parted stay as it saw them. v is what it saw where
// cloth lies, nil where it saw none.
func (r *Result) onGrid(v *view, o Options) error {
	want := fmt.Sprintf("%d rows of %d squares", o.Rows, o.Cols)
	if v == nil {
		return fault.New("", "no board stands out, so there are no "+want, giveCorners, ErrGrid)
	}
	h, refused := r.gridOf(v, o, want)
	if refused != nil {
		return refused
	}
	var regions []cloth.Region
	var signs [][]float64
	kept := 0
	for j := range o.Rows {
		for i := range o.Cols {
			place := placeOn(h, i, j)
			square, sign := cloth.Region{Polygon: place, Corners: slices.Clone(place), Trust: min(1, v.clothIn(place)), Notes: []string{byGrid}}, []float64(nil)
			if k := r.onPlace(place); k >= 0 {
				square, sign = r.Regions[k], r.Signs[k]
				kept++
			} else if square.Trust < 0.5 && o.Outline == nil {
				return fault.New("", fmt.Sprintf("square %d of row %d would lie where no cloth shows, so there are no %s", i+1, j+1, want), giveCorners, ErrGrid)
			}
			regions, signs = append(regions, square), append(signs, sign)
		}
	}
	if n := len(r.Regions) - kept; n > 0 && o.Outline == nil {
		r.Notes = append(r.Notes, cloth.Count(n, "piece")+" seen otherwise, parted as the grid says")
	}
	r.Regions, r.Signs, r.Left = regions, signs, nil
	return nil
}

// onPlace returns the index of the region that is a square of the grid: it covers the
// place well, or is as large at most and the only one whose middle lies there, as
// where the photo's edge or a bend cuts it short; -1 where there is none.
func (r *Result) onPlace(place geom.Polygon) int {
	most, best, lone, middles := gridOverlap, -1, -1, 0
	for k, g := range r.Regions {
		s := geom.IoU(g.Polygon, place)
		if s > most {
			most, best = s, k
		}
		if s > 0 && place.Contains(g.Polygon.Centroid()) {
			middles++
			if s > loneOverlap && g.Polygon.Area() < place.Area() {
				lone = k
			}
		}
	}
	if best < 0 && middles == 1 {
		return lone
	}
	return best
}

// placeOn returns square (i, j) of a grid: h is from the grid to working pixels.
func placeOn(h geom.Homography, i, j int) geom.Polygon {
	x, y := float64(i), float64(j)
	return geom.Polygon{h.Apply(geom.Point{X: x, Y: y}), h.Apply(geom.Point{X: x + 1, Y: y}), h.Apply(geom.Point{X: x + 1, Y: y + 1}), h.Apply(geom.Point{X: x, Y: y + 1})}
}

// gridOf lays a grid of rows × columns squares: by the corners given, by the
// squares that lie beside one another, or by the outline of all that shows. It
// gives the way from the grid to working pixels.
func (r *Result) gridOf(v *view, o Options, want string) (geom.Homography, error) {
	otherwise := fault.New("", "what shows does not lie in "+want, giveCorners, ErrGrid)
	corners := o.Outline
	if corners == nil {
		if at := lattice(r.Regions); 2*len(at) >= o.Rows*o.Cols {
			h, ok := v.window(r.Regions, at, o.Rows, o.Cols)
			if !ok {
				return h, otherwise
			}
			return h, nil
		}
		corners = outlineOf(r.Regions)
	}
	if corners == nil {
		return geom.Homography{}, fault.New("", "no board stands out, so there are no "+want, giveCorners, ErrGrid)
	}
	x, y := float64(o.Cols), float64(o.Rows)
	h, err := geom.FitHomography([]geom.Point{{X: 0, Y: 0}, {X: x, Y: 0}, {X: x, Y: y}, {X: 0, Y: y}}, corners)
	if err != nil {
		return h, fault.New("", "the four corners given enclose no board", "give the corners in order, clockwise from the upper left")
	}
	if o.Outline == nil && off(h, r.Regions) > mostOff {
		return h, otherwise
	}
	return h, nil
}

const (
	// besideReach is how far from its place, as a share of a square's side, the
	// middle of the square beside it may lie: half way lies the next.
	besideReach = 0.35
	// besideRatio is the most that its sides may be longer or shorter: two squares
	// that the eye took for one are twice as long.
	besideRatio = 1.5
)

// lattice numbers the largest set of four-sided regions that lie as the squares of
// a grid do: each beside another where the sides of that one say, x to the right.
func lattice(regions []cloth.Region) map[int]image.Point {
	type square struct{ middle, right, down geom.Point }
	squares := make([]square, len(regions))
	for i, r := range regions {
		if len(r.Corners) == 4 {
			c := upperLeftFirst([4]geom.Point(r.Corners))
			squares[i] = square{
				c[0].Add(c[1]).Add(c[2]).Add(c[3]).Mul(0.25),
				c[1].Sub(c[0]).Add(c[2].Sub(c[3])).Mul(0.5), c[3].Sub(c[0]).Add(c[2].Sub(c[1])).Mul(0.5),
			}
		}
	}
	alike := func(a, b geom.Point) bool {
		return a.Len() < besideRatio*b.Len() && b.Len() < besideRatio*a.Len()
	}
	taken := make([]bool, len(regions))
	var best map[int]image.Point
	for seed := range regions {
		if taken[seed] || len(regions[seed].Corners) != 4 {
			continue
		}
		taken[seed] = true
		at := map[int]image.Point{seed: {}}
		for list := []int{seed}; len(list) > 0; list = list[1:] {
			s := squares[list[0]]
			for _, d := range [4]image.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
				way := s.right.Mul(float64(d.X)).Add(s.down.Mul(float64(d.Y)))
				near, k := besideReach*way.Len(), -1
				for i, b := range squares {
					if m := b.middle.Dist(s.middle.Add(way)); m < near && !taken[i] && alike(b.right, s.right) && alike(b.down, s.down) {
						near, k = m, i
					}
				}
				if k >= 0 {
					taken[k] = true
					at[k] = at[list[0]].Add(d)
					list = append(list, k)
				}
			}
		}
		if len(at) > len(best) {
			best = at
		}
	}
	return best
}

// window lays rows × columns squares where the most of a lattice lies in them, of
// equals where the most cloth shows; it reports whether what is left out is less than
// half a row, scraps beside the board.
func (v *view) window(regions []cloth.Region, at map[int]image.Point, rows, cols int) (geom.Homography, bool) {
	var from, to []geom.Point
	box := image.Rectangle{}
	for i, r := range regions {
		if c, ok := at[i]; ok {
			box = box.Union(image.Rectangle{c, c.Add(image.Pt(1, 1))})
			p := geom.Point{X: float64(c.X), Y: float64(c.Y)}
			from = append(from, p, p.Add(geom.Point{X: 1}), p.Add(geom.Point{X: 1, Y: 1}), p.Add(geom.Point{Y: 1}))
			u := upperLeftFirst([4]geom.Point(r.Corners))
			to = append(to, u[:]...)
		}
	}
	h, err := geom.FitHomography(from, to)
	if err != nil {
		return h, false
	}
	best, left, first := 0.0, len(at), image.Point{}
	for y := min(box.Min.Y, box.Max.Y-rows); y <= max(box.Min.Y, box.Max.Y-rows); y++ {
		for x := min(box.Min.X, box.Max.X-cols); x <= max(box.Min.X, box.Max.X-cols); x++ {
			n := 0
			for _, c := range at {
				if c.In(image.Rect(x, y, x+cols, y+rows)) {
					n++
				}
			}
			score := float64(n)
			for j := range rows {
				for i := range cols {
					score += v.clothIn(placeOn(h, x+i, y+j)) / float64(2*rows*cols) // half a square in all
				}
			}
			if score > best {
				best, left, first = score, len(at)-n, image.Pt(x, y)
			}
		}
	}
	shift := geom.Homography{1, 0, float64(first.X), 0, 1, float64(first.Y), 0, 0, 1}
	return h.After(shift), 2*left <= min(rows, cols)
}

// upperLeftFirst returns four corners clockwise on screen, from the upper left.
func upperLeftFirst(c [4]geom.Point) [4]geom.Point {
	first := 0
	for i, p := range c {
		if p.X+p.Y < c[first].X+c[first].Y {
			first = i
		}
	}
	return [4]geom.Point(slices.Concat(c[first:], c[:first]))
}

// off returns the mean distance, in squares, of the corners of the regions from the
// nearest corner of a grid; h is from the grid to working pixels.
func off(h geom.Homography, regions []cloth.Region) float64 {
	back := h.Inverse()
	sum, n := 0.0, 0
	for _, r := range regions {
		for _, c := range r.Corners {
			p := back.Apply(c)
			sum += math.Hypot(p.X-math.Round(p.X), p.Y-math.Round(p.Y))
			n++
		}
	}
	if n == 0 {
		return math.Inf(1)
	}
	return sum / float64(n)
}

// outlineOf returns the quadrilateral that all regions fill together, clockwise from
// the upper left; nil where they fill none.
func outlineOf(regions []cloth.Region) geom.Polygon {
	var pts []geom.Point
	for _, r := range regions {
		pts = append(pts, r.Polygon...)
	}
	c, fit := raster.FitQuad(geom.ConvexHull(pts))
	if fit < quadEnough {
		return nil
	}
	c = upperLeftFirst(c)
	return c[:]
}

// within drops what lies outside of an outline given by hand.
func (r *Result) within(outline geom.Polygon) {
	off := func(g cloth.Region) bool { return !outline.Contains(g.Polygon.Centroid()) }
	n := 0
	for i, g := range r.Regions {
		if !off(g) {
			r.Regions[n], r.Signs[n] = g, r.Signs[i]
			n++
		}
	}
	r.Regions, r.Signs, r.Left = r.Regions[:n], r.Signs[:n], slices.DeleteFunc(r.Left, off)
}

// clothIn returns the mean probability of cloth within a polygon of working pixels, as
// far as it lies in what was looked at; 0 where less than a fifth of it does.
func (v *view) clothIn(g geom.Polygon) float64 {
	cells := g.Map(func(p geom.Point) geom.Point { return geom.Point{X: (p.X - v.x0) / v.sx, Y: (p.Y - v.y0) / v.sy} })
	sum, n := 0, 0
	cells.Fill(v.w, v.h, func(y, x0, x1 int) {
		for _, c := range v.cloth[y*v.w+x0 : y*v.w+x1] {
			sum, n = sum+int(c), n+1
		}
	})
	if float64(n) < 0.2*cells.Area() {
		return 0
	}
	return (float64(sum)/max(1, float64(n)) + half) / unit
}
