package palette

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// A navy piece with a paper label on it was "blue with white, medium": what lies on the
// cloth was counted into its colour.
func TestALabelIsNoPartOfTheCloth(t *testing.T) {
	navy, white := colour.Linear{0.012, 0.022, 0.08}, colour.Linear{0.8, 0.79, 0.74}
	const side = 120
	square := func(low, high int) func(x, y int) bool {
		return func(x, y int) bool { return x >= low && x < high && y >= low && y < high }
	}
	measure := func(ink colour.Linear, paper, seen func(x, y int) bool) (Palette, Palette) {
		p := &cloth.Picture{W: side, H: side, Pix: make([]float32, 3*side*side)}
		m := Meter{Labels: make([]uint8, side*side)}
		for i := range side * side {
			c := navy
			if paper(i%side, i/side) {
				c = ink
			}
			for k, v := range c {
				p.Pix[3*i+k] = float32(v)
			}
			if seen(i%side, i/side) {
				m.Labels[i] = 255
			}
		}
		outline := geom.Polygon{{X: 10, Y: 10}, {X: 110, Y: 10}, {X: 110, Y: 110}, {X: 10, Y: 110}}
		with, err := m.Measure(p, outline, 1)
		require.NoError(t, err)
		m.Labels = nil
		without, err := m.Measure(p, outline, 1)
		require.NoError(t, err)
		return with, without
	}
	near := square(30, 90) // the eye sees paper a little beyond it

	got, plain := measure(white, square(35, 85), near)
	require.Len(t, plain.Colours, 2)
	require.Len(t, got.Colours, 1)
	require.Less(t, colour.DeltaE00(got.Mean.Lab(), navy.Lab()), 1.0)
	require.Less(t, got.Signature.area, plain.Signature.area)

	stripes := func(x, y int) bool { return x%20 < 8 }
	for name, c := range map[string]struct {
		ink         colour.Linear
		paper, seen func(x, y int) bool
	}{
		"most of the piece is the ground of its print": {white, square(20, 100), square(18, 102)},
		"a yellow patch is no paper":                   {colour.Linear{0.8, 0.6, 0.1}, square(35, 85), near},
		"stripes lie beyond what is seen as paper":     {white, stripes, near},
		"all of it is seen as paper":                   {white, stripes, square(0, side)},
		"nothing white lies where paper seems to be":   {white, square(35, 85), square(88, 110)},
	} {
		got, plain := measure(c.ink, c.paper, c.seen)
		require.Equal(t, plain, got, name)
	}
}
