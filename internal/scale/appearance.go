package scale

import (
	"math"

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
	g := geom.Polygon(c[:])
	m := g.Centroid()
	in := make(geom.Polygon, 4)
	for i, q := range g {
		in[i] = m.Add(q.Sub(m).Mul(0.86))
	}
	var sum [3]float64
	var fine []float64
	n := 0.0
	in.Fill(p.W, p.H, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			k := y*p.W + x
			for q := range sum {
				sum[q] += float64(p.Pix[3*k+q])
			}
			if p.Clipped != nil {
				a.clipped += float64(p.Clipped[k]) / 255
			}
			n++
			if x+1 < x1 && (x+y)%5 == 0 {
				fine = append(fine, math.Abs(float64(l.V[k+1]-l.V[k])))
			}
		}
	})
	if n < 30 || len(fine) == 0 {
		return a
	}
	for q := range sum {
		sum[q] = max(sum[q]/n, 1e-4)
	}
	a.clipped /= n
	a.y = colour.Luma(sum[0], sum[1], sum[2])
	a.r, a.b = math.Log(sum[0]/sum[1]), math.Log(sum[2]/sum[1])
	mean := math.Cbrt(a.y)
	a.grain = raster.SDAboutZero(fine) / math.Sqrt2 / mean
	a.mottle = mottle(l, in) / mean
	a.bite = bite(l, c)
	return a
}

// mottle is the sd of mottleCell squares inside g about a plane, from the 85th
// percentile (1.4395 sd of a normal law): a sparse print must tell, a speck not.
func mottle(l *luma, g geom.Polygon) float64 {
	lo, hi := g.Bounds()
	var x, y, v []float64
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
			x, y, v = append(x, cx-lo.X), append(y, cy-lo.Y), append(v, s/(mottleCell*mottleCell))
		}
	}
	if len(v) < 6 {
		return 0
	}
	// Least-squares plane, by centred normal equations.
	var mx, my, mv float64
	n := float64(len(v))
	for i := range v {
		mx += x[i] / n
		my += y[i] / n
		mv += v[i] / n
	}
	var xx, xy, yy, xv, yv float64
	for i := range v {
		dx, dy, dv := x[i]-mx, y[i]-my, v[i]-mv
		xx += dx * dx
		xy += dx * dy
		yy += dy * dy
		xv += dx * dv
		yv += dy * dv
	}
	det := xx*yy - xy*xy
	if det <= 0 {
		return 0
	}
	p, q := (yy*xv-xy*yv)/det, (xx*yv-xy*xv)/det
	res := make([]float64, len(v))
	for i := range v {
		res[i] = math.Abs(v[i] - mv - p*(x[i]-mx) - q*(y[i]-my))
	}
	return raster.Nth(res, len(res)*85/100) / 1.4395
}

// cornerSquare is the side of the square looked at in each corner, as a share
// of the quadrilateral's longer side: the corner radius of an ID-1 card
// (ISO/IEC 7810: 3.18 of 85.60 mm).
const cornerSquare = 3.18 / 85.60

// bite is the share, mean of the four corners, of the corner square that looks
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
