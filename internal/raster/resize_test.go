package raster

import (
	"image"
	"math/rand/v2"
	"testing"

	"github.com/disintegration/imaging"
	"github.com/stretchr/testify/require"
)

// A part of a picture drawn anew is what another maker of pictures draws, to a
// step: larger, smaller, and of sides that differ.
func TestResizeIsCubicConvolution(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const w, h = 61, 47
	im, want := &Bytes{w, h, make([]uint8, 3*w*h)}, image.NewNRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		for c := range 3 {
			im.Pix[3*i+c] = uint8(90 + r.IntN(80)) // the other maker cuts off what overshoots between its two steps
		}
		copy(want.Pix[4*i:], im.Pix[3*i:3*i+3])
		want.Pix[4*i+3] = 255
	}
	part := image.Rect(3, 5, 58, 41)
	for _, size := range [][2]int{{55, 36}, {64, 96}, {110, 20}, {17, 13}} {
		got := im.Resize(part, size[0], size[1])
		m := imaging.Resize(want.SubImage(part), size[0], size[1], imaging.CatmullRom)
		for i := range size[0] * size[1] {
			for c := range 3 {
				require.InDelta(t, m.Pix[4*i+c], got[3*i+c], 1, "%v at %d", size, i)
			}
		}
	}
	require.Equal(t, im.Pix, im.Resize(image.Rect(0, 0, w, h), w, h), "at its own size nothing changes")
}
