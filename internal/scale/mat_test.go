package scale

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// bare is the ground that the things of s leave free.
func (s *shot) bare() []uint8 {
	g := make([]uint8, s.pic.W*s.pic.H)
	for i := range g {
		g[i] = 255
	}
	for _, r := range s.regions(0, 0) {
		c := r.Polygon.Centroid()
		grown := make(geom.Polygon, 4)
		for i, q := range r.Polygon {
			grown[i] = c.Add(q.Sub(c).Mul(1.1))
		}
		grown.Fill(s.pic.W, s.pic.H, func(y, x0, x1 int) { clear(g[y*s.pic.W+x0 : y*s.pic.W+x1]) })
	}
	return g
}

// A cutting mat's lines give the scale within 1 %, and the tilt, where the
// pieces are too few to tell either.
func TestMat(t *testing.T) {
	for _, tilt := range [][2]float64{{0, 0}, {0.2, -0.35}, {-0.3, 0.1}} {
		s := shoot(800, 600, tilt[0], tilt[1], 22, matTable, squares([]float64{3.5, 3.5}, 8, 3), 0.01, 6)
		res := Measure(s.pic, s.regions(0.5, 2), s.bare(), Options{Kind: cloth.Pile})
		require.Equal(t, FromMat, res.Reading.From, "tilt %v", tilt)
		require.InEpsilon(t, 22, res.Reading.PxPerInch, 0.01, "tilt %v", tilt)
		for _, z := range res.Sizes {
			require.Equal(t, "3½ square", z.Cut)
		}
	}
}

// Neither a plain table nor one of planks is a mat.
func TestNoMat(t *testing.T) {
	for _, table := range []func(x, y float64) float64{plainTable, plankTable} {
		s := shoot(800, 600, 0.1, 0, 22, table, squares([]float64{3.5, 3.5}, 8, 3), 0.01, 6)
		require.Zero(t, Measure(s.pic, s.regions(0.5, 2), s.bare(), Options{}).Reading)
	}
}
