package scene

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

// rounded returns a 2w × 2h rectangle with round corners.
func rounded(w, h, radius float64) geom.Polygon {
	if radius == 0 {
		return geom.Polygon{{X: -w, Y: -h}, {X: w, Y: -h}, {X: w, Y: h}, {X: -w, Y: h}}
	}
	var out geom.Polygon
	for k, c := range [4]geom.Point{{X: w - radius, Y: h - radius}, {X: radius - w, Y: h - radius}, {X: radius - w, Y: radius - h}, {X: w - radius, Y: radius - h}} {
		for i := range 7 {
			s, co := math.Sincos(math.Pi / 2 * (float64(k) + float64(i)/6))
			out = append(out, c.Add(geom.Point{X: radius * co, Y: radius * s}))
		}
	}
	return out
}

// finer returns a ring with points between its own, at most step inches apart or little
// more.
func finer(ring geom.Polygon, step float64) geom.Polygon {
	var out geom.Polygon
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		n := max(1, int(p.Dist(q)/step))
		for j := range n {
			out = append(out, p.Add(q.Sub(p).Mul(float64(j)/float64(n))))
		}
	}
	return out
}

// oval returns an ellipse of the half axes x and y.
func oval(x, y float64) geom.Polygon {
	out := make(geom.Polygon, 36)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 36)
		out[i] = geom.Point{X: x * c, Y: y * s}
	}
	return out
}

// between returns the ring between two outlines, one inside the other.
func between(outer, inner geom.Polygon) geom.Polygon {
	return slices.Concat(outer, outer[:1], inner, inner[:1])
}

func moved(g geom.Polygon, u, v, angle float64) geom.Polygon {
	return g.Map(func(p geom.Point) geom.Point { return geom.Point{X: u, Y: v}.Add(turned(p, angle)) })
}
