package report

import (
	"fmt"
	"io"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// The shopping card's measures, in pixels: as wide as a phone shows at its sharpest.
const (
	buyWide   = 1080.0
	buyMargin = 48.0
	buySide   = 168.0 // of a swatch
	buyGap    = 28.0
	buyLine   = 46.0
	buyThread = 3
)

// The type of the shopping card.
var buyTitle, buyBold, buyText = typeface{true, 56}, typeface{true, 36}, typeface{false, 32}

// Picture writes the most useful of the list as a PNG to keep on a phone: a row a line,
// by your own cloth that is like it or by its swatch.
func (b Buying) Picture(w io.Writer) error {
	lines := b.lines()
	rows := lines[:min(len(lines), 2*mostBought)]
	top := buyMargin + 3*buyLine
	d := drawing{W: buyWide, H: top + float64(max(1, len(rows)))*(buySide+buyGap) + buyMargin, Line: buyThread}
	d.write(buyMargin, buyMargin+buyLine, buyTitle, false, "Shopping list")
	d.write(buyMargin, buyMargin+2*buyLine, buyText, true, buyText.fit(b.lead(), buyWide-2*buyMargin))
	d.stitch(geom.Point{X: buyMargin, Y: top - buyGap}, geom.Point{X: buyWide - buyMargin, Y: top - buyGap})
	for i, p := range rows {
		y := top + float64(i)*(buySide+buyGap)
		if c, place := b.chip(p.Purchase), rect(buyMargin, y, buySide, buySide); c.Some {
			d.Shapes = append(d.Shapes, c.fill(place))
		} else { // cloth of any colour
			d.stitch(place...)
		}
		x, wide := buyMargin+buySide+buyGap, buyWide-2*buyMargin-buySide-buyGap
		d.write(x, y+buyLine-6, buyBold, false, buyBold.fit(strconv.Itoa(i+1)+"  "+printable(p.Sought.String()), wide))
		prints, each := p.amounts()
		d.write(x, y+2*buyLine-6, buyText, false, buyText.fit(cloth.Count(prints, "print")+", of each "+each, wide))
		said := "for " + b.boughtFor(p)
		if p.HasSwatch && p.Family != "" {
			said = p.Swatch.String() + "; " + said
		}
		d.write(x, y+3*buyLine-6, buyText, true, buyText.fit(printable(said), wide))
	}
	if len(rows) < len(lines) {
		d.write(buyMargin, d.H-buyMargin/2, buyText, true, fmt.Sprintf("and %d more", len(lines)-len(rows)))
	}
	return d.writePNG(w)
}
