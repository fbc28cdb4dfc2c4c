package look

import (
	"image"
	"image/color"
	"image/draw"
	"testing"

	"github.com/disintegration/imaging"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// tin draws rows of squares of the given colours, and gives them as pieces.
func tin(colours []color.NRGBA) (*image.NRGBA, []cloth.Piece) {
	const side, across = 90, 6
	m := image.NewNRGBA(image.Rect(0, 0, side*across+20, side*(len(colours)/across)+20))
	draw.Draw(m, m.Rect, image.NewUniform(color.NRGBA{70, 62, 55, 255}), image.Point{}, draw.Src)
	var pieces []cloth.Piece
	for i, c := range colours {
		r := image.Rect(0, 0, side-4, side-4).Add(image.Pt(12+side*(i%across), 12+side*(i/across)))
		draw.Draw(m, r, image.NewUniform(c), image.Point{}, draw.Src)
		// A fine check: programs differ in what they make of it.
		for k := range (side - 4) / 2 * (side - 4) / 2 {
			m.SetNRGBA(r.Min.X+2*(k%((side-4)/2)), r.Min.Y+2*(k/((side-4)/2)), color.NRGBA{250, 250, 250, 255})
		}
		x0, y0, x1, y1 := float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y)
		pieces = append(pieces, cloth.Piece{Polygon: geom.Polygon{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}})
	}
	return m, pieces
}

// A photo saved again, made smaller or turned is the same; one of the same tin with other
// squares, or with one other square, is not, though from afar it looks alike.
func TestAlike(t *testing.T) {
	colours := make([]color.NRGBA, 24)
	for i := range colours {
		colours[i] = color.NRGBA{uint8(40 + 37*i%200), uint8(40 + 91*i%190), uint8(30 + 59*i%210), 255}
	}
	m, pieces := tin(colours)
	a := opened(t, m, 95)
	for name, copied := range map[string]*cloth.Picture{
		"again": opened(t, m, 50), "smaller": opened(t, imaging.Resize(m, 300, 0, imaging.Lanczos), 80),
		"turned left": opened(t, imaging.Rotate90(m), 80), "turned over": opened(t, imaging.Rotate180(m), 80), "turned right": opened(t, imaging.Rotate270(m), 80),
		"larger": opened(t, imaging.Resize(m, 2000, 0, imaging.CatmullRom), 90),
	} {
		require.True(t, Near(Hashes(a)[0], Hashes(copied)), name)
		require.True(t, Same(a, copied, pieces), name)
	}

	one := append([]color.NRGBA(nil), colours...)
	one[7] = color.NRGBA{200, 190, 60, 255}
	other, _ := tin(one)
	b := opened(t, other, 95)
	require.True(t, Near(Hashes(a)[0], Hashes(b)), "from afar")
	require.False(t, Same(a, b, pieces), "one other square")

	all := make([]color.NRGBA, 24)
	for i := range all {
		all[i] = colours[(i+5)%24]
	}
	other, _ = tin(all)
	require.False(t, Same(a, opened(t, other, 95), pieces), "other squares")

	require.False(t, Same(a, opened(t, imaging.Resize(m, 540, 540, imaging.Lanczos), 95), pieces), "of other sides")
	require.False(t, Same(a, opened(t, imaging.Rotate90(other), 95), pieces), "other squares, turned")
	require.False(t, Same(a, a, nil), "nothing that could count twice")
	require.False(t, Near("", Hashes(a)))
	require.False(t, Near(Hashes(a)[0], [4]string{"no hash"}))
}

// Where a picture is smaller than the hash's grid a box falls within one pixel, which
// is its mean.
func TestBoxMeanOfLessThanAPixel(t *testing.T) {
	p := &cloth.Picture{W: 2, H: 2, Pix: []float32{0, 0, 0, 1, 0.5, 0.25, 0, 0, 0, 0, 1, 0}}
	require.Equal(t, colour.Linear{1, 0.5, 0.25}, boxMean(p, 1, 0, 1, 0))
	require.Equal(t, colour.Linear{0.5, 0.75, 0.125}, boxMean(p, 1, 0, 2, 2))
}
