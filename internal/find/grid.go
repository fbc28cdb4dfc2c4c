package find

import (
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

const (
	// gridOverlap is the least overlap of a piece with a square of a grid given by
	// hand from which it is that square.
	gridOverlap = 0.6
	// mostOff is how far, in squares, the corners of what the eye sees may lie
	// from those of a grid given by hand, in the mean; by chance it is 0.38.
	mostOff = 0.2
	// giveCorners is the remedy where the eye and the grid disagree.
	giveCorners = "count rows and columns again, or give the board's four corners with --outline"
)

// onGrid makes the result exactly rows × columns squares, or says why it cannot.
// Squares that the eye has parted stay as it saw them. v is what it saw where
// cloth lies, nil where it saw none.
func (r *Result) onGrid(v *view, o Options) error {
	want := fmt.Sprintf("%d rows of %d squares", o.Rows, o.Cols)
	corners := o.Outline
	if corners == nil {
		corners = outlineOf(r.Regions)
	}
	if v == nil || corners == nil {
		return &Refusal{"no board stands out, so there are no " + want, giveCorners}
	}
	x, y := float64(o.Cols), float64(o.Rows)
	h, err := geom.FitHomography([]geom.Point{{X: 0, Y: 0}, {X: x, Y: 0}, {X: x, Y: y}, {X: 0, Y: y}}, corners)
	if err != nil {
		return &Refusal{"the four corners given enclose no board", "give the corners in order, clockwise from the upper left"}
	}
	if o.Outline == nil && off(h, r.Regions) > mostOff {
		return &Refusal{"what shows does not lie in " + want, giveCorners}
	}
	var regions []cloth.Region
	var signs [][]float64
	kept := 0
	for j := range o.Rows {
		for i := range o.Cols {
			place := make(geom.Polygon, 4)
			for k, c := range [4]geom.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}} {
				place[k] = h.Apply(c.Add(geom.Point{X: float64(i), Y: float64(j)}))
			}
			square, sign := cloth.Region{Polygon: place, Corners: slices.Clone(place), Trust: min(1, v.clothIn(place))}, []float64(nil)
			if square.Trust < 0.5 && o.Outline == nil {
				return &Refusal{fmt.Sprintf("square %d of row %d would lie where no cloth shows, so there are no %s", i+1, j+1, want), giveCorners}
			}
			best := gridOverlap
			for k, g := range r.Regions {
				if s := geom.IoU(g.Polygon, place); s > best {
					best, square, sign = s, g, r.Signs[k]
				}
			}
			if best > gridOverlap {
				kept++
			}
			regions, signs = append(regions, square), append(signs, sign)
		}
	}
	if n := len(r.Regions) - kept; n > 0 && o.Outline == nil {
		r.Notes = append(r.Notes, cloth.Count(n, "piece")+" seen otherwise, parted as the grid says")
	}
	r.Regions, r.Signs = regions, signs
	return nil
}

// off is the mean distance, in squares, of the corners of the regions from the
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

// outlineOf is the quadrilateral that all regions fill together, clockwise from
// the upper left; nil where they fill none.
func outlineOf(regions []cloth.Region) geom.Polygon {
	var pts []geom.Point
	for _, r := range regions {
		pts = append(pts, r.Polygon...)
	}
	c, fit := fitQuad(geom.ConvexHull(pts))
	if fit < quadEnough {
		return nil
	}
	first := 0
	for i, p := range c {
		if p.X+p.Y < c[first].X+c[first].Y {
			first = i
		}
	}
	return slices.Concat(c[first:], c[:first])
}

// within drops what lies outside of an outline given by hand.
func (r *Result) within(outline geom.Polygon) {
	n := 0
	for i, g := range r.Regions {
		if outline.Contains(g.Polygon.Centroid()) {
			r.Regions[n], r.Signs[n] = g, r.Signs[i]
			n++
		}
	}
	r.Regions, r.Signs = r.Regions[:n], r.Signs[:n]
}

// clothIn is the mean probability of cloth within a polygon of working pixels;
// 0 where it lies outside of what was looked at.
func (v *view) clothIn(g geom.Polygon) float64 {
	cells := make(geom.Polygon, len(g))
	for i, p := range g {
		cells[i] = geom.Point{X: (p.X - v.x0) / v.sx, Y: (p.Y - v.y0) / v.sy}
	}
	sum := 0
	cells.Fill(v.w, v.h, func(y, x0, x1 int) {
		for _, c := range v.cloth[y*v.w+x0 : y*v.w+x1] {
			sum += int(c) + half
		}
	})
	return float64(sum) / unit / max(1, cells.Area())
}
