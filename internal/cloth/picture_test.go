package cloth

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Two of four pixels lie in the outline; one of them is wholly overexposed.
func TestMeanIn(t *testing.T) {
	p := &Picture{W: 4, H: 1, Pix: []float32{9, 9, 9, 0.25, 0.5, 0, 0.75, 0, 1, 9, 9, 9}, Clipped: []uint8{255, 0, 255, 255}}
	g := geom.Polygon{{X: 1, Y: 0}, {X: 3, Y: 0}, {X: 3, Y: 1}, {X: 1, Y: 1}}
	mean, clipped, pixels := p.MeanIn(g)
	require.Equal(t, colour.Linear{0.5, 0.25, 0.5}, mean)
	require.Equal(t, 0.5, clipped)
	require.Equal(t, 2, pixels)
	p.Clipped = nil
	_, clipped, _ = p.MeanIn(g)
	require.Zero(t, clipped)
	mean, clipped, pixels = p.MeanIn(g.Scale(100))
	require.Equal(t, colour.Linear{}, mean)
	require.Zero(t, clipped)
	require.Zero(t, pixels)
}
