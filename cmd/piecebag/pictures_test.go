package main

import (
	"bytes"
	_ "embed" // a made photo
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"slices"
	"sync"

	"github.com/disintegration/imaging"
)

// board is a made photo of 3 rows of 5 squares and an index card.
//
//go:embed testdata/board.jpg
var board []byte

// cut is a piece drawn on a table: inches from the upper left corner, inches
// wide and high.
type cut struct {
	x, y, w, h float64
	colour     color.RGBA
}

// tablePxPerInch is how many pixels of a drawn table span an inch.
const tablePxPerInch = 10

// tableCuts lie on the table of the scripts: five squares cut 2½ and a strip,
// no two of one hue family.
var tableCuts = []cut{
	{2, 2.0, 2.5, 2.5, color.RGBA{176, 38, 46, 255}},
	{6, 2.2, 2.5, 2.5, color.RGBA{226, 196, 60, 255}},
	{10, 2.4, 2.5, 2.5, color.RGBA{52, 108, 62, 255}},
	{14, 2.6, 2.5, 2.5, color.RGBA{40, 78, 150, 255}},
	{2, 7, 2.5, 2.5, color.RGBA{104, 62, 120, 255}},
	{2, 13, 11, 2.5, color.RGBA{28, 27, 30, 255}},
}

// drawTable draws cuts, and a white Letter sheet where it is asked for, on a
// grey table of 32 × 24 inches, of so many pixels an inch. The noise is a camera's: what is quite even is
// no photo.
func drawTable(px int, sheet bool, cuts ...cut) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, 32*px, 24*px))
	fill := func(r image.Rectangle, c color.RGBA) { draw.Draw(m, r, image.NewUniform(c), image.Point{}, draw.Src) }
	fill(m.Rect, color.RGBA{112, 116, 120, 255})
	if sheet {
		cuts = append([]cut{{20, 6, 8.5, 11, color.RGBA{236, 236, 236, 255}}}, cuts...)
	}
	for _, c := range cuts {
		x, y := int(c.x*float64(px)), int(c.y*float64(px))
		fill(image.Rect(x, y, x+int(c.w*float64(px)), y+int(c.h*float64(px))), c.colour)
	}
	noise := rand.New(rand.NewPCG(1, 2))
	for i := range m.Pix {
		if i%4 != 3 {
			m.Pix[i] = uint8(max(0, min(255, int(m.Pix[i])+noise.IntN(5)-2)))
		}
	}
	return m
}

// pictures are what the scripts look at, drawn once.
var pictures = sync.OnceValue(func() map[string][]byte {
	asPNG := func(m image.Image) []byte {
		var b bytes.Buffer
		if err := png.Encode(&b, m); err != nil {
			panic(err)
		}
		return b.Bytes()
	}
	asJPEG := func(m image.Image, quality int) []byte {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
			panic(err)
		}
		return b.Bytes()
	}
	table := drawTable(tablePxPerInch, true, tableCuts...)
	swapped := slices.Clone(tableCuts)
	swapped[0].colour = color.RGBA{90, 150, 160, 255}
	told := asJPEG(table, 98)
	comment := []byte("SECRET: 57.15 N")
	told = slices.Concat(told[:2], []byte{0xff, 0xfe, 0, byte(len(comment) + 2)}, comment, told[2:])
	return map[string][]byte{
		"told.jpg":     told, // with words in it that are no part of the picture
		"table.png":    asPNG(table),
		"table.jpg":    asJPEG(table, 98),
		"copy.jpg":     asJPEG(table, 60),
		"turned.jpg":   asJPEG(imaging.Rotate90(table), 80),
		"smaller.jpg":  asJPEG(imaging.Resize(table, 240, 0, imaging.Lanczos), 80),
		"swapped.png":  asPNG(drawTable(tablePxPerInch, true, swapped...)),
		"bare.png":     asPNG(drawTable(tablePxPerInch, false)),
		"noref.png":    asPNG(drawTable(tablePxPerInch, false, tableCuts...)),
		"postcard.png": asPNG(drawTable(2*tablePxPerInch, false, append([]cut{{20, 6, 4, 6, color.RGBA{236, 236, 236, 255}}}, tableCuts...)...)),
		"board.jpg":    board,
		"speck.png":    asPNG(image.NewGray(image.Rect(0, 0, 1, 1))),
		"thread.png":   asPNG(image.NewGray(image.Rect(0, 0, 3, 2000))),
	}
})
