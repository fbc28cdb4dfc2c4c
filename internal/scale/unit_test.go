package scale

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// Patches that touch and make a rectangle are noted as a unit with its size: a
// four-patch, a pair of triangles; pieces that lie apart, or touch in no rectangle, are
// not.
func TestUnits(t *testing.T) {
	s := shoot(900, 700, 0.1, -0.2, 40, plainTable, nil, 0, 1)
	back := s.table().Inverse()
	var regions []cloth.Region
	lay := func(corners bool, ring ...float64) {
		var g geom.Polygon
		for i := 0; i < len(ring); i += 2 {
			g = append(g, back.Apply(geom.Point{X: ring[i], Y: ring[i+1]}))
		}
		r := cloth.Region{Polygon: g, Trust: 0.95}
		if corners {
			r.Corners = g
		}
		regions = append(regions, r)
	}
	square := func(x, y, w float64) { lay(true, x, y, x+w, y, x+w, y+w, x, y+w) }
	for k := range 4 {
		square(-9+2.5*float64(k%2), -6+2.5*float64(k/2), 2.5)
	}
	lay(false, -2, -6, 1.5, -6, -2, -2.5)
	lay(false, 1.5, -6, 1.5, -2.5, -2, -2.5)
	square(4, -6, 3.5)
	square(-8, 2, 3.5)
	square(-4.5, 3.75, 2.5) // beside it, but not in line
	z := Measure(s.pic, regions, nil, Options{Kind: cloth.Spread, PxPerInch: 40, Given: len(regions)}).Sizes
	for i := range 4 {
		require.Equal(t, "2½ square", z[i].Cut)
		require.Equal(t, []string{"one of 4 patches of a four-patch, 5 × 5"}, z[i].Notes)
	}
	for i := 4; i < 6; i++ {
		require.Equal(t, "3½ half-square triangle", z[i].Cut)
		require.Contains(t, z[i].Notes, "one of 2 patches of a half-square triangle unit, 3½ × 3½")
	}
	for _, q := range z[6:] {
		require.Empty(t, q.Notes)
	}
}

// Two pieces run together have no size: that of the rectangle round both was told.
func TestRunTogether(t *testing.T) {
	s := shoot(800, 600, 0, 0, 30, plainTable, nil, 0, 1)
	back := s.table().Inverse()
	size := func(ring ...float64) Size {
		var g geom.Polygon
		for i := 0; i < len(ring); i += 2 {
			g = append(g, back.Apply(geom.Point{X: ring[i], Y: ring[i+1]}))
		}
		return Measure(s.pic, []cloth.Region{{Polygon: g, Trust: 0.95}}, nil, Options{Kind: cloth.Spread, PxPerInch: 30}).Sizes[0]
	}
	require.Zero(t, size(0, 0, 5, 0, 5, 5, 2.5, 5, 2.5, 9, 0, 9).Width)
	require.Equal(t, 5.0, size(0, 0, 5, 0, 5, 4, 4, 5, 0, 5).Width, "a corner cut off")
}

// The one strip of its width among many squares of another is told, if its edges are
// clear: what lies apart is seen whole.
func TestTheOnlyStrip(t *testing.T) {
	var things []lying
	for i := range 28 {
		things = append(things, lying{x: -18 + 5*float64(i%8), y: -12 + 5*float64(i/8), w: 2.5, h: 2.5, grey: 0.6})
	}
	things = append(things, lying{x: 0, y: 10, w: 8.5, h: 2, grey: 0.6})
	s := shoot(800, 600, 0, 0, 15, plainTable, things, 0.01, 6)
	z := Measure(s.pic, s.regions(0.3, 2), nil, Options{Kind: cloth.Spread, PxPerInch: 15}).Sizes[28]
	require.Equal(t, "2 strip", z.Cut)
}
