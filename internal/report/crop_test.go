package report

import (
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

var (
	tRed   = color.RGBA{200, 30, 30, 255}
	tGreen = color.RGBA{30, 160, 60, 255}
	tBlue  = color.RGBA{30, 60, 200, 255}
	tCream = color.RGBA{240, 230, 200, 255}
	tPaper = color.RGBA{255, 253, 248, 255}
)

// quarters photographs a piece whose four quarters are red, green, blue and
// cream, clockwise from its first corner, on a black table.
func quarters(t *testing.T, w, h int, corners geom.Polygon) photo {
	t.Helper()
	toPiece, err := geom.FitHomography(corners, []geom.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}})
	require.NoError(t, err)
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			p := toPiece.Apply(geom.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			c := color.RGBA{0, 0, 0, 255}
			if p.X >= 0 && p.X < 1 && p.Y >= 0 && p.Y < 1 {
				c = [4]color.RGBA{tRed, tGreen, tCream, tBlue}[int(2*p.X)+2*int(2*p.Y)]
			}
			m.SetRGBA(x, y, c)
		}
	}
	return newPhoto(m, cloth.Sheet{Width: w, Height: h}, 4000)
}

// quartersOf reads a crop's quarters at their middles, clockwise from the top
// left.
func quartersOf(m *image.RGBA) [4]color.RGBA {
	at := func(x, y int) color.RGBA { return m.RGBAAt(m.Rect.Dx()*x/4, m.Rect.Dy()*y/4) }
	return [4]color.RGBA{at(1, 1), at(3, 1), at(3, 3), at(1, 3)}
}

func TestCropStraightens(t *testing.T) {
	upright := [4]color.RGBA{tRed, tGreen, tBlue, tCream}
	for name, corners := range map[string]geom.Polygon{
		"upright":     box(150, 150, 120, 120, 0),
		"turned":      box(150, 150, 120, 120, 30),
		"turned back": box(150, 150, 120, 120, -40),
		"seen askew":  {{X: 60, Y: 70}, {X: 230, Y: 90}, {X: 200, Y: 240}, {X: 80, Y: 200}},
	} {
		m := quarters(t, 300, 300, corners).crop(cloth.Piece{Polygon: corners, Corners: corners}, 160, tPaper)
		require.Equal(t, upright, quartersOf(m), name)
		require.Equal(t, 160, max(m.Rect.Dx(), m.Rect.Dy()), name)
	}
}

// Corners may begin anywhere and run either way.
func TestCropDoesNotDependOnTheFirstCorner(t *testing.T) {
	c := box(150, 150, 120, 120, 10)
	ph := quarters(t, 300, 300, c)
	for _, corners := range []geom.Polygon{{c[2], c[3], c[0], c[1]}, {c[3], c[2], c[1], c[0]}} {
		require.Equal(t, [4]color.RGBA{tRed, tGreen, tBlue, tCream}, quartersOf(ph.crop(cloth.Piece{Polygon: corners, Corners: corners}, 160, tPaper)))
	}
}

// A strip that hangs down is laid along, turned and not mirrored.
func TestCropLaysStripsAlong(t *testing.T) {
	c := box(150, 200, 60, 240, 5)
	m := quarters(t, 300, 400, c).crop(cloth.Piece{Polygon: c, Corners: c}, 160, tPaper)
	require.Equal(t, image.Rect(0, 0, 160, 40), m.Rect)
	require.Equal(t, [4]color.RGBA{tCream, tRed, tGreen, tBlue}, quartersOf(m))
}

// Outside its outline a piece shows paper, not its neighbours.
func TestCropOfACutCorner(t *testing.T) {
	c := box(150, 150, 120, 120, 0)
	along := func(a, b geom.Point) geom.Point { return a.Add(b.Sub(a).Mul(0.25)) }
	m := quarters(t, 300, 300, c).crop(cloth.Piece{Polygon: geom.Polygon{c[0], c[1], along(c[1], c[2]), along(c[3], c[2]), c[3]}}, 160, tPaper)
	require.Equal(t, [4]color.RGBA{tRed, tGreen, tPaper, tCream}, quartersOf(m))
}

func TestCropAtTheEdgeOfThePhoto(t *testing.T) {
	c := box(20, 20, 120, 120, 0)
	m := quarters(t, 300, 300, c).crop(cloth.Piece{Polygon: c, Corners: c}, 120, tPaper)
	require.Equal(t, tBlue, quartersOf(m)[2])
}

// A crop of the whole photo shows its very edge.
func TestCropShowsTheEdge(t *testing.T) {
	m := image.NewRGBA(image.Rect(0, 0, 100, 100))
	for i := range 100 * 100 {
		m.SetRGBA(i%100, i/100, tBlue)
		if i%100 < 4 || i/100 > 95 {
			m.SetRGBA(i%100, i/100, tRed)
		}
	}
	c := box(50, 50, 100, 100, 0)
	got := newPhoto(m, cloth.Sheet{Width: 100, Height: 100}, 100).crop(cloth.Piece{Polygon: c, Corners: c}, 100, tPaper)
	require.Equal(t, []color.RGBA{tRed, tRed, tBlue}, []color.RGBA{got.RGBAAt(1, 50), got.RGBAAt(50, 98), got.RGBAAt(50, 50)})
}

func TestCropOfNothing(t *testing.T) {
	ph := quarters(t, 300, 300, box(150, 150, 120, 120, 0))
	for _, p := range []cloth.Piece{
		{},
		{Polygon: geom.Polygon{{X: 1, Y: 1}, {X: 9, Y: 1}}},
		{Polygon: geom.Polygon{{X: 1, Y: 1}, {X: 9, Y: 1}, {X: 20, Y: 1}}},
		{Corners: geom.Polygon{{X: 5, Y: 5}, {X: 5, Y: 5}, {X: 5, Y: 5}, {X: 5, Y: 5}}},
	} {
		require.Nil(t, ph.crop(p, 160, tPaper))
	}
	beyond := box(900, 150, 120, 120, 0)
	require.Nil(t, ph.crop(cloth.Piece{Polygon: beyond, Corners: beyond}, 160, tPaper), "outside the photo")
}

// Shrinking averages light, not codes: black and white lines of one pixel turn
// into the grey that sends half the light, 188 and not 128.
func TestCropAveragesLight(t *testing.T) {
	m := image.NewRGBA(image.Rect(0, 0, 400, 400))
	for y := range 400 {
		for x := range 400 {
			v := uint8(255 * (x % 2))
			m.SetRGBA(x, y, color.RGBA{v, v, v, 255})
		}
	}
	c := box(200, 200, 400, 400, 0)
	got := newPhoto(m, cloth.Sheet{Width: 400, Height: 400}, 400).crop(cloth.Piece{Polygon: c, Corners: c}, 100, tPaper)
	require.InDelta(t, 188, float64(got.RGBAAt(50, 50).R), 2)
}

// In the grey photo a colour is as light as it was.
func TestGreyKeepsLightness(t *testing.T) {
	m := image.NewRGBA(image.Rect(0, 0, 2, 1))
	m.SetRGBA(0, 0, tBlue)
	m.SetRGBA(1, 0, tCream)
	g := newPhoto(m, cloth.Sheet{Width: 2, Height: 1}, 10).grey()
	for x, c := range []color.RGBA{tBlue, tCream} {
		v := g.GrayAt(x, 0).Y
		require.InDelta(t, hex(c.R, c.G, c.B).Lab().L, hex(v, v, v).Lab().L, 0.3)
	}
}

func TestPhotoIsShrunkToItsSide(t *testing.T) {
	ph := newPhoto(image.NewGray(image.Rect(10, 20, 410, 220)), cloth.Sheet{Width: 4000, Height: 2000}, 100)
	require.Equal(t, image.Rect(0, 0, 100, 50), ph.pix.Rect)
	require.Equal(t, 0.025, ph.scale)
}

func TestLabelSpotLiesInside(t *testing.T) {
	at, room := labelSpot(box(100, 100, 60, 200, 0))
	require.InDelta(t, 100, at.X, 3)
	require.InDelta(t, 30, room, 2)

	hook := geom.Polygon{{X: 0, Y: 0}, {X: 100, Y: 0}, {X: 100, Y: 20}, {X: 20, Y: 20}, {X: 20, Y: 100}, {X: 0, Y: 100}}
	at, room = labelSpot(hook)
	require.False(t, hook.Contains(hook.Centroid()), "what the centroid would do")
	require.True(t, hook.Contains(at))
	require.Greater(t, room, 9.0)
	require.False(t, math.IsInf(room, 0))
}

func BenchmarkCrop(b *testing.B) {
	m := image.NewRGBA(image.Rect(0, 0, 1500, 1125))
	c := box(700, 500, 150, 150, 20)
	ph := newPhoto(m, cloth.Sheet{Width: 4000, Height: 3000}, photoSide)
	p := cloth.Piece{Polygon: c.Scale(2.6), Corners: c.Scale(2.6)}
	for b.Loop() {
		ph.crop(p, cropSide, tPaper)
	}
}
