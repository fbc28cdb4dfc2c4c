package report

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"io"
	"strconv"

	"github.com/disintegration/imaging"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"piecebag/internal/cloth"
)

// The shopping card's measures, in pixels: as wide as a phone shows at its sharpest.
const (
	buyWide   = 1080
	buyMargin = 48
	buySide   = 168 // of a swatch
	buyGap    = 28
	buyLine   = 46
)

var (
	buyTitle = faceOf(gobold.TTF, 56)
	buyBold  = faceOf(gobold.TTF, 36)
	buyText  = faceOf(goregular.TTF, 32)
)

// Picture writes the most useful of the list as a PNG to keep on a phone: a row a purchase,
// by your own cloth that is like it or by its swatch.
func (b Buying) Picture(w io.Writer) error {
	rows := b.Buy[:min(len(b.Buy), 2*mostBought)]
	top := buyMargin + 3*buyLine
	high := top + max(1, len(rows))*(buySide+buyGap) + buyMargin
	c := &contact{out: imaging.New(buyWide, high, contactPaper)}
	c.words(buyTitle, inkInk, buyMargin, buyMargin+buyLine, "Shopping list")
	c.words(buyText, softInk, buyMargin, buyMargin+2*buyLine, fit(buyText, b.lead(), buyWide-2*buyMargin))
	c.stitch(image.Rect(buyMargin, top-buyGap, buyWide-buyMargin, top-buyGap+2))
	for i, p := range rows {
		at := image.Pt(buyMargin, top+i*(buySide+buyGap))
		if err := c.swatch(image.Rectangle{at, at.Add(image.Pt(buySide, buySide))}, b.chip(p)); err != nil {
			return err
		}
		x, wide := at.X+buySide+buyGap, buyWide-2*buyMargin-buySide-buyGap
		c.words(buyBold, inkInk, x, at.Y+buyLine-6, fit(buyBold, strconv.Itoa(i+1)+"  "+printable(p.Sought.String()), wide))
		c.words(buyText, inkInk, x, at.Y+2*buyLine-6, fit(buyText, cloth.Count(p.Prints, "print")+", of each "+p.Buy, wide))
		said := "for " + buyFor(p)
		if p.HasSwatch && p.Family != "" {
			said = p.Swatch.String() + "; " + said
		}
		c.words(buyText, softInk, x, at.Y+3*buyLine-6, fit(buyText, printable(said), wide))
	}
	if len(rows) < len(b.Buy) {
		c.words(buyText, softInk, buyMargin, high-buyMargin/2, fmt.Sprintf("and %d more", len(b.Buy)-len(rows)))
	}
	return writePNG(w, c.out)
}

// swatch fills a square with a crop, with inks in their shares, or with a dashed edge for
// cloth of any colour.
func (c *contact) swatch(r image.Rectangle, of chip) error {
	switch {
	case of.Crop != nil:
		m, err := jpeg.Decode(bytes.NewReader(of.Crop.JPEG))
		if err != nil {
			return err
		}
		draw.Draw(c.out, r, imaging.Fill(m, r.Dx(), r.Dy(), imaging.Center, imaging.CatmullRom), image.Point{}, draw.Src)
	case of.Some:
		y := float64(r.Min.Y)
		for _, p := range of.Parts() {
			next := y + p.Share*float64(r.Dy())
			block(c.out, image.Rect(r.Min.X, int(y), r.Max.X, int(next)), colourOf(p.Colour))
			y = next
		}
	default:
		for _, far := range [2]int{0, r.Dx() - 3} {
			c.stitch(image.Rect(0, far, r.Dx(), far+3).Add(r.Min))
			c.stitch(image.Rect(far, 0, far+3, r.Dx()).Add(r.Min))
		}
	}
	return nil
}
