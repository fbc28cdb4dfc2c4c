package look

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
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
	piece, _, _, ok := measureOne(new(palette.Meter), p, r, scale.Size{}, family.Uncertainty{}, 1)
	require.True(t, ok)
	require.Equal(t, 100.0, piece.Lightness)
}

// Of white cloth with red stripes the lightness was the whole cloth's and the Munsell
// notation the stripes': "light, L* 92, 5.9R 5.1/14.4".
func TestMunsellAndLightnessAreOfOneColour(t *testing.T) {
	p := &cloth.Picture{W: 60, H: 60, FullW: 60, FullH: 60, Shrink: 1, Pix: make([]float32, 3*60*60)}
	for i := range p.W * p.H {
		c := colour.Linear{0.85, 0.85, 0.82}
		if i%p.W%20 < 9 {
			c = colour.Linear{0.5, 0.02, 0.03}
		}
		for k, v := range c {
			p.Pix[3*i+k] = float32(v)
		}
	}
	r := cloth.Region{Polygon: geom.Polygon{{X: 5, Y: 5}, {X: 55, Y: 5}, {X: 55, Y: 55}, {X: 5, Y: 55}}, Trust: 1}
	piece, _, read, ok := measureOne(new(palette.Meter), p, r, scale.Size{}, family.Uncertainty{}, 1)
	require.True(t, ok)
	pieces := []cloth.Piece{piece}
	name(pieces, []*family.Reading{&read})
	require.Equal(t, cloth.Red, pieces[0].Family)
	m, err := colour.ParseMunsell(pieces[0].Munsell)
	require.NoError(t, err)
	require.InDelta(t, pieces[0].Lightness, 10*m.Value, 2, "%s", pieces[0].Munsell)
	require.Greater(t, math.Abs(pieces[0].ReadsAs.Lab().L-pieces[0].Lightness), 20.0, "what it reads as is its stripes")
}
