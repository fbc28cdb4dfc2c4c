package look

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/family"
	"piecebag/internal/geom"
	"piecebag/internal/palette"
	"piecebag/internal/scale"
)

// Cloth that outshines what was taken for white once had an L* of 190.
func TestNoClothIsLighterThanWhite(t *testing.T) {
	p := &cloth.Picture{W: 60, H: 60, FullW: 60, FullH: 60, Shrink: 1, Pix: make([]float32, 3*60*60)}
	for i := range p.Pix {
		p.Pix[i] = 1.5
	}
	r := cloth.Region{Polygon: geom.Polygon{{X: 5, Y: 5}, {X: 55, Y: 5}, {X: 55, Y: 55}, {X: 5, Y: 55}}, Trust: 1}
	piece, _, _, ok := measureOne(new(palette.Meter), p, r, scale.Size{}, family.Doubt{}, 1)
	require.True(t, ok)
	require.Equal(t, 100.0, piece.Lightness)
}
