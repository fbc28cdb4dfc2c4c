package scale

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// A diamond has four corners and is no rectangle.
func TestDiamond(t *testing.T) {
	s := shoot(800, 600, 0, 0, 40, plainTable, squares([]float64{2.5, 2.5, 3.5, 5, 3.5, 2.5}, 5, 3), 0.01, 6)
	regions := s.regions(0.3, 2)
	back := s.table().Inverse()
	side := 2.5 / math.Sin(math.Pi/3)
	var g geom.Polygon
	for _, p := range [4]geom.Point{{X: 0, Y: 0}, {X: side, Y: 0}, {X: 1.5 * side, Y: 2.5}, {X: side / 2, Y: 2.5}} {
		g = append(g, back.Apply(geom.Point{X: p.X - 9, Y: p.Y - 1}))
	}
	regions = append(regions, cloth.Region{Polygon: g, Corners: g, Trust: 0.95})
	z := Measure(s.pic, regions, nil, Options{Kind: cloth.Spread, PxPerInch: 40}).Sizes
	require.Equal(t, "2½ 60° diamond", z[6].Cut)
	require.Equal(t, "2½ square", z[0].Cut)
}

// Patches of other forms are named by the length that the trade names them by, at any
// turn, seen aslant, with round corners or without their tips.
func TestPatches(t *testing.T) {
	right := []geom.Point{{X: 0, Y: 0}, {X: 3.875, Y: 0}, {X: 0, Y: 3.875}}
	ears := []geom.Point{{X: 0, Y: 0}, {X: 3.5, Y: 0}, {X: 3.6, Y: 0.275}, {X: 0.275, Y: 3.6}, {X: 0, Y: 3.5}}
	round := []geom.Point{{X: 0.15, Y: 0}, {X: 3.6, Y: 0}, {X: 3.66, Y: 0.06}, {X: 3.55, Y: 0.325}, {X: 0.325, Y: 3.55}, {X: 0.06, Y: 3.66}, {X: 0, Y: 3.6}, {X: 0, Y: 0.15}, {X: 0.05, Y: 0.05}}
	equal := []geom.Point{{X: 0, Y: 0}, {X: 5 / math.Sqrt(3), Y: 0}, {X: 2.5 / math.Sqrt(3), Y: 2.5}}
	var hexagon []geom.Point
	for k := range 6 {
		s, c := math.Sincos(float64(k) * math.Pi / 3)
		hexagon = append(hexagon, geom.Point{X: 2 * c, Y: 2 * s})
	}
	for _, tt := range []struct {
		ring   []geom.Point
		cut    string
		length float64
		note   string
	}{
		{right, "3⅞ × 3⅞ triangle", 3.875, "long side 5½, by which a quarter-square triangle goes"},
		{ears, "3⅞ × 3⅞ triangle", 3.875, "long side 5½, by which a quarter-square triangle goes"},
		{round, "3⅞ × 3⅞ triangle", 3.875, "long side 5½, by which a quarter-square triangle goes"},
		{equal, "2½ 60° triangle", 2.5, "measured from base to tip; each side 2⅞"},
		{hexagon, "2 hexagon", 2, "measured along a side"},
		// No form: half of a rectangle, and a square without a corner.
		{[]geom.Point{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 0, Y: 2.5}}, "", 0, ""},
		{[]geom.Point{{X: 0, Y: 0}, {X: 3.5, Y: 0}, {X: 3.5, Y: 2}, {X: 2, Y: 3.5}, {X: 0, Y: 3.5}}, "", 0, ""},
	} {
		s := shoot(800, 600, 0.2, -0.3, 40, plainTable, nil, 0, 1)
		back := s.table().Inverse()
		sin, cos := math.Sincos(0.4)
		var g geom.Polygon
		for _, p := range tt.ring {
			p = geom.Point{X: p.X - 1.2, Y: p.Y - 1.2}
			g = append(g, back.Apply(geom.Point{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y}))
		}
		r := Result{table: s.plane, ruler: newScaleFitter(nil, 1).ruler(nil, s.perIn)}
		z := r.sizes([]cloth.Region{{Polygon: g, Trust: 0.95}}, nil, []bool{false}, ownersOf(800, 600, nil, nil), 0.99, true)[0]
		require.Equal(t, tt.cut, z.Cut)
		if tt.cut != "" {
			require.InDelta(t, tt.length, z.Length, 1e-9)
			require.Equal(t, tt.length, z.Width)
			require.Equal(t, []string{tt.note}, z.Notes)
		}
	}
}

// Equal triangles of one block were told at seven sizes, and as half-square: those of a
// form have one size where they differ no more than their own sides disagree, and the
// straight grain is along the side on which a block ends.
func TestTrianglesOfBlocks(t *testing.T) {
	s := shoot(900, 700, 0.1, -0.2, 40, plainTable, nil, 0, 1)
	back := s.table().Inverse()
	measure := func(block float64, noise float64, rings ...[]geom.Point) (z []Size) {
		rnd := rand.New(rand.NewPCG(7, 7))
		var regions []cloth.Region
		for _, ring := range rings {
			var g geom.Polygon
			for _, p := range ring {
				g = append(g, back.Apply(p.Mul(block).Add(geom.Point{X: -8, Y: -3})).Add(geom.Point{X: noise * rnd.NormFloat64(), Y: noise * rnd.NormFloat64()}))
			}
			regions = append(regions, cloth.Region{Polygon: g, Trust: 1})
		}
		r := Result{table: s.plane, ruler: newScaleFitter(nil, 1).ruler(nil, s.perIn)}
		return r.sizes(regions, nil, make([]bool, len(regions)), ownersOf(900, 700, regions, nil), 1, true)
	}
	var blocks [][]geom.Point // hourglasses side by side
	for k := range 4 {
		c := []geom.Point{{X: float64(k)}, {X: float64(k) + 1}, {X: float64(k) + 1, Y: 1}, {X: float64(k), Y: 1}}
		for i := range c {
			blocks = append(blocks, []geom.Point{c[i], c[(i+1)%4], {X: float64(k) + 0.5, Y: 0.5}})
		}
	}
	for _, z := range measure(4, 2, blocks...) {
		require.Equal(t, "4 quarter-square triangle", z.Cut)
		require.Equal(t, []string{"short sides 2⅞"}, z.Notes)
		require.InDelta(t, 0.85, z.Trust, 0.05)
	}
	for _, z := range measure(4, 5, blocks...) {
		require.Less(t, z.Trust, 0.75, "an eighth of an inch can hardly be told")
	}
	// Four squares cut along their diagonals, and a triangle beside them by itself.
	var halves [][]geom.Point
	for k := range 4 {
		at := func(x, y float64) geom.Point { return geom.Point{X: float64(k%2) + x, Y: float64(k/2) + y} }
		halves = append(halves, []geom.Point{at(0, 0), at(1, 0), at(0, 1)}, []geom.Point{at(1, 0), at(1, 1), at(0, 1)})
	}
	halves = append(halves, []geom.Point{{X: 3, Y: 0}, {X: 3.85, Y: 0}, {X: 3, Y: 0.85}})
	z := measure(3.5, 1, halves...)
	for _, q := range z[:8] {
		require.Equal(t, "3½ half-square triangle", q.Cut)
	}
	require.Equal(t, "3 × 3 triangle", z[8].Cut, "of another size than the others, and either may be meant")
}
