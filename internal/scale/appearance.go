package scale

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// appearance is what a quadrilateral looks like inside.
type appearance struct {
	y, r, b float64 // mean luminance, ln R/G and ln B/G
	grain   float64 // robust sd of luma from pixel to pixel, over its mean
	mottle  float64 // sd of luma over 6-pixel squares about a plane, over its mean
	bite    float64 // share of the corners' squares that looks like the outside
	clipped float64 // share of overexposed pixels
}

const mottleCell = 6 // working pixels

func look(p *cloth.Picture, l *luma, c [4]geom.Point) appearance {
	var a appearance
	in := geom.Polygon(c[:]).About(0.86)
	sum, clipped, n := p.MeanIn(in)
	var fine []float64
	in.Fill(p.W, p.H, func(y, x0, x1 int) {
		for x := x0; x+1 < x1; x++ {
			if k := y*p.W + x; (x+y)%5 == 0 {
				fine = append(fine, float64(l.V[k+1]-l.V[k]))
			}
		}
	})
	if n < 30 || len(fine) == 0 {
		return a
	}
	for q := range sum {
		sum[q] = max(sum[q], 1e-4)
	}
	a.clipped = clipped
	a.y = colour.Luma(sum[0], sum[1], sum[2])
	a.r, a.b = math.Log(sum[0]/sum[1]), math.Log(sum[2]/sum[1])
	mean := math.Cbrt(a.y)
	a.grain = raster.SDAboutZero(fine) / math.Sqrt2 / mean
	a.mottle = mottle(l, in) / mean
	a.bite = bite(l, c)
	return a
}

// mottle returns the sd of mottleCell squares inside g about a plane, from the 85th
// percentile (1.4395 sd of a normal law): a sparse print must tell, a speck not.
func mottle(l *luma, g geom.Polygon) float64 {
	lo, hi := g.Bounds()
	var at, v []float64 // of each square 1 and its place; its mean
	for cy := lo.Y + mottleCell/2; cy < hi.Y; cy += mottleCell {
		for cx := lo.X + mottleCell/2; cx < hi.X; cx += mottleCell {
			const h = mottleCell / 2
			whole := true
			for _, d := range [4]geom.Point{{X: -h, Y: -h}, {X: h, Y: -h}, {X: h, Y: h}, {X: -h, Y: h}} {
				whole = whole && g.Contains(geom.Point{X: cx, Y: cy}.Add(d))
			}
			if !whole {
				continue
			}
			s := 0.0
			for j := range mottleCell {
				for i := range mottleCell {
					s += l.At(cx-h+float64(i)+0.5, cy-h+float64(j)+0.5)
				}
			}
			at, v = append(at, 1, cx-lo.X, cy-lo.Y), append(v, s/(mottleCell*mottleCell))
		}
	}
	if len(v) < 6 {
		return 0
	}
	places, left := mat.NewDense(len(v), 3, at), mat.NewVecDense(len(v), v)
	var plane, fit mat.VecDense
	if plane.SolveVec(places, left) != nil { // least squares
		return 0
	}
	fit.MulVec(places, &plane)
	left.SubVec(left, &fit)
	for i := range v {
		v[i] = math.Abs(v[i])
	}
	return raster.Nth(v, len(v)*85/100) / 1.4395
}

// cornerSquare is the side of the square looked at in each corner, as a share
// of the quadrilateral's longer side: the corner radius of an ID-1 card
// (ISO/IEC 7810: 3.18 of 85.60 mm).
const cornerSquare = 3.18 / 85.60

// bite returns the share, mean of the four corners, of the corner square that looks
// like the outside. A square corner has none; a round one of that radius
// 1 − π/4.
func bite(l *luma, c [4]geom.Point) float64 {
	long := max(c[0].Dist(c[1]), c[1].Dist(c[2]), c[2].Dist(c[3]), c[3].Dist(c[0]))
	r := cornerSquare * long
	total := 0.0
	for i := range 4 {
		u, v := c[(i+1)%4].Sub(c[i]), c[(i+3)%4].Sub(c[i])
		if u.Len() == 0 || v.Len() == 0 {
			return 0
		}
		u, v = u.Mul(1/u.Len()), v.Mul(1/v.Len())
		at := func(s, t float64) float64 {
			q := c[i].Add(u.Mul(s)).Add(v.Mul(t))
			return l.At(q.X, q.Y)
		}
		mean := func(s0, s1, t0, t1 float64) float64 {
			sum := 0.0
			for a := range 5 {
				for b := range 5 {
					sum += at(s0+(s1-s0)*(float64(a)+0.5)/5, t0+(t1-t0)*(float64(b)+0.5)/5)
				}
			}
			return sum / 25
		}
		inside := mean(1.5*r, 3*r, 1.5*r, 3*r)
		outside := (mean(-2*r, -r, 0, 2*r) + mean(0, 2*r, -2*r, -r)) / 2
		if math.Abs(inside-outside) < 1e-3 {
			continue
		}
		total += (inside - mean(0, r, 0, r)) / (inside - outside)
	}
	return total / 4
}
