package report

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// painted is a drawing of some shapes as PNG.
func painted(t *testing.T, line float64, all ...shape) *image.NRGBA {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, drawing{W: 100, H: 60, Line: line, Shapes: all}.writePNG(&b))
	m, err := png.Decode(&b)
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, 100, 60), m.Bounds())
	out := image.NewNRGBA(m.Bounds())
	for y := range 60 {
		for x := range 100 {
			out.Set(x, y, m.At(x, y))
		}
	}
	return out
}

func at(m *image.NRGBA, x, y int) color.RGBA { c := m.NRGBAAt(x, y); return color.RGBA(c) }

// inkOf is the box of the pixels of a colour.
func inkOf(m *image.NRGBA, ink color.RGBA) (out image.Rectangle) {
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			if at(m, x, y) == ink {
				out = out.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return out
}

// drawn is the box of what is no paper.
func drawn(m *image.NRGBA) (out image.Rectangle) {
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			if at(m, x, y) != contactPaper {
				out = out.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return out
}

// What a drawing's shapes say of fill, cloth and outline is what is painted.
func TestDrawingPNGShapes(t *testing.T) {
	red, blue := color.RGBA{200, 30, 30, 255}, color.RGBA{30, 60, 200, 255}
	place := rect(20, 10, 40, 30)
	m := painted(t, 2, shape{Points: place, Fill: hex(200, 30, 30)})
	require.Equal(t, red, at(m, 40, 25))
	require.Equal(t, image.Rect(19, 9, 61, 41), inkOf(m, edgeInk), "the edge lies half outside")
	require.Equal(t, contactPaper, at(m, 18, 25))

	m = painted(t, 2, shape{Points: place, Fill: hex(200, 30, 30), Seamless: true})
	require.Equal(t, image.Rect(20, 10, 60, 40), inkOf(m, red))
	require.Empty(t, inkOf(m, edgeInk))

	m = painted(t, 2, shape{Points: place, Hollow: true, Dashed: true, Thread: true})
	require.Equal(t, contactPaper, at(m, 40, 25))
	require.Equal(t, threadInk, at(m, 24, 10), "a dash is four times as long as wide")
	require.Equal(t, contactPaper, at(m, 30, 10), "and a gap three times")
	require.Equal(t, threadInk, at(m, 36, 10))

	m = painted(t, 4, shape{Points: geom.Polygon{{X: 10, Y: 30}, {X: 90, Y: 30}}, Hollow: true, Marked: true})
	require.Equal(t, color.RGBA{255, 255, 255, 255}, at(m, 50, 29), "white over a wider black")
	require.Equal(t, blackInk, at(m, 50, 26))
	require.Equal(t, contactPaper, at(m, 50, 20))

	inks := chip{Some: true, Inks: []cloth.Ink{{Colour: hex(200, 30, 30), Share: 3}, {Colour: hex(30, 60, 200), Share: 1}}}
	s := inks.fill(place)
	s.Seamless = true
	m = painted(t, 2, s)
	require.Equal(t, red, at(m, 40, 31), "in their shares")
	require.Equal(t, blue, at(m, 40, 34))

	wide := blank(80, 20, red) // a crop's shorter side fills the place
	for y := range 20 {
		for x := range 20 {
			wide.SetRGBA(x, y, blue)
		}
	}
	s = chip{Some: true, Crop: cropOf(wide, 100)}.fill(geom.Polygon{{X: 20, Y: 10}, {X: 50, Y: 10}, {X: 20, Y: 40}})
	s.Seamless = true
	m = painted(t, 2, s)
	require.InDelta(t, red.R, at(m, 22, 12).R, 4)
	require.Equal(t, contactPaper, at(m, 48, 38), "within its outline alone")
	broken := chip{Some: true, Crop: &Crop{W: 8, H: 8, JPEG: []byte("no picture")}}
	require.Error(t, drawing{W: 9, H: 9, Shapes: []shape{broken.fill(rect(0, 0, 9, 9))}}.writePNG(&bytes.Buffer{}))
}

// Labels stand in the middle or begin at the left; upward they are as high as they were wide.
func TestDrawingPNGLabels(t *testing.T) {
	label := shape{Points: rect(20, 10, 60, 40), Hollow: true, Seamless: true, Label: "HHH", Size: 16}
	usual := drawn(painted(t, 2, label))
	require.NotEmpty(t, inkOf(painted(t, 2, label), inkInk))
	require.InDelta(t, 50, (usual.Min.X+usual.Max.X)/2, 1)
	require.InDelta(t, 30, (usual.Min.Y+usual.Max.Y)/2, 1)

	left := label
	left.Left = true
	require.InDelta(t, 21, drawn(painted(t, 2, left)).Min.X, 1)
	up := label
	up.Upward = true
	require.InDelta(t, usual.Dx(), drawn(painted(t, 2, up)).Dy(), 1)
	soft := label
	soft.Soft = true
	require.Equal(t, usual, drawn(painted(t, 2, soft)))
	require.NotEmpty(t, inkOf(painted(t, 2, soft), softInk))
	bold := label
	bold.Bold = true
	require.NotEqual(t, painted(t, 2, label), painted(t, 2, bold))

	filled := shape{Points: label.Points, Fill: hex(20, 20, 60), Label: "HHH", Size: 16, Seamless: true}
	require.NotEmpty(t, inkOf(painted(t, 2, filled), whiteInk), "white on a dark")
	marked := label
	marked.Marked = true
	m := painted(t, 0.1, marked)
	require.Greater(t, inkOf(m, blackInk).Dx(), inkOf(m, whiteInk).Dx(), "with a dark edge round it")
}

// manyShapes is a drawing of shapes of every sort with every sort of label.
func manyShapes() drawing {
	red, blue := hex(200, 30, 30), hex(30, 60, 200)
	inks := chip{Some: true, Reads: red, Inks: []cloth.Ink{{Colour: red, Share: 3}, {Colour: blue, Share: 1}}}
	stripes := blank(60, 24, color.RGBA{240, 230, 200, 255})
	for x := range 60 {
		for y := range 24 {
			if x/6%2 == 0 {
				stripes.SetRGBA(x, y, color.RGBA{30, 160, 60, 255})
			}
		}
	}
	crop := chip{Some: true, Reads: blue, Crop: cropOf(stripes, 90)}
	labelled := func(s shape, size float64, words string) shape {
		s.Label, s.Size = words, size
		return s
	}
	turned := box(250, 40, 60, 30, 20)
	up := labelled(shape{Points: rect(300, 6, 24, 70), Hollow: true, Dashed: true}, 12, "upward")
	up.Upward = true
	over := labelled(inks.fill(rect(10, 90, 60, 50)), 12, "over")
	over.Upward = true
	marked := labelled(shape{Points: box(120, 115, 70, 40, -15), Hollow: true, Marked: true}, 14, "7")
	dashed := labelled(shape{Points: rect(170, 90, 60, 50), Hollow: true, Marked: true, Dashed: true}, 10, "12")
	d := drawing{W: 340, H: 150, Title: "shapes", Shapes: []shape{
		labelled(shape{Points: rect(10, 10, 60, 60), Fill: red}, 14, "2½"), labelled(crop.fill(rect(90, 10, 50, 60)), 12, "4 × 4"),
		labelled(shape{Points: geom.Polygon{{X: 150, Y: 70}, {X: 210, Y: 70}, {X: 150, Y: 10}}, Fill: hex(250, 250, 240)}, 10, "A"),
		{Points: turned, Fill: blue, Seamless: true}, up, over, marked, dashed, {Points: box(270, 115, 60, 40, 30), Hollow: true, Dashed: true, Thread: true},
	}}
	d.write(12, 148, typeface{true, 9}, false, "bold")
	d.write(60, 148, typeface{false, 9}, true, "soft")
	d.stitch(geom.Point{X: 100, Y: 145}, geom.Point{X: 330, Y: 140})
	return d
}

// Such a drawing is kept as a picture, as SVG and on paper.
func TestDrawingsGolden(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, manyShapes().writePNG(&b))
	m, err := png.Decode(&b)
	require.NoError(t, err)
	goldenPicture(t, "shapes.png", m)
	d := manyShapes().grey().beside(drawing{W: 20, H: 200, Title: "tall", Shapes: []shape{{Points: rect(1, 1, 18, 198)}}}, 5)
	golden(t, "shapes.html", []byte(withoutPictures(unstyled(t, Document{sections: []section{{Drawings: []drawing{manyShapes(), d}}}}))))
	golden(t, "shapes.pdf.txt", []byte(onPaper(t, Document{title: "t", sections: []section{{Drawings: []drawing{manyShapes(), d}}}}, "letter")))
}

// On paper shapes are filled (f), filled and outlined (B) or outlined (S), and words are
// written where there is room (ISO 32000-1, 8.5.3).
func TestDrawingOnPaper(t *testing.T) {
	corner := geom.Polygon{{X: 1, Y: 1}, {X: 9, Y: 1}, {X: 1, Y: 9}}
	drawn := func(s shape) string {
		var b bytes.Buffer
		d := Document{title: "t", sections: []section{{Drawings: []drawing{{W: 10, H: 10, Shapes: []shape{s}}}}}}
		require.NoError(t, d.PDF(&b, "a4"))
		return regexp.MustCompile(`(?s)^.*0\.486 0\.200 0\.161 RG`).ReplaceAllString(unpacked(b.Bytes()), "")
	}
	filled, plain := drawn(shape{Points: corner, Fill: hex(200, 30, 30), Seamless: true}), drawn(shape{Points: corner, Hollow: true})
	require.Regexp(t, `l\s+f\n`, filled)
	require.Regexp(t, `l\s+B\n`, drawn(shape{Points: corner, Fill: hex(200, 30, 30)}))
	require.Regexp(t, `l\s+s\n|l\s+S\n`, plain)
	require.NotRegexp(t, `l\s+[fB]\n`, plain)
	label := shape{Points: corner, Hollow: true, Seamless: true, Label: "words", Size: 0.2}
	require.Greater(t, strings.Count(drawn(label), "Tj"), strings.Count(filled, "Tj"))
	label.Size = 0.05
	require.Equal(t, strings.Count(filled, "Tj"), strings.Count(drawn(label), "Tj"), "too small to be read")
}

// A drawing says the same in a file of its own.
func TestDrawingSVGLabels(t *testing.T) {
	d := drawing{W: 10, H: 10, Line: 0.5}
	d.write(1, 5, typeface{true, 2}, true, "words")
	d.stitch(geom.Point{X: 1, Y: 6}, geom.Point{X: 9, Y: 6})
	var b bytes.Buffer
	require.NoError(t, d.writeSVG(&b))
	require.Contains(t, b.String(), `stroke-width="0.5"`)
	require.Contains(t, b.String(), `<text x="1" y="4.3" font-size="2" fill="#5b5247" text-anchor="start" font-weight="700">words</text>`)
	require.Contains(t, b.String(), `points="1,6 9,6" fill="none" stroke="#7c3329" stroke-dasharray="2 1.5"/>`)

	// A bold label on a print once had its weight twice, which no XML may.
	b.Reset()
	require.NoError(t, drawing{W: 10, H: 10, Shapes: []shape{{Points: rect(1, 1, 8, 8), Hollow: true, Marked: true, Bold: true, Label: "words", Size: 2}}}.writeSVG(&b))
	require.Equal(t, 1, strings.Count(b.String(), "font-weight"))
}
