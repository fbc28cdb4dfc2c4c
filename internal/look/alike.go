package look

import (
	"image"
	"image/color"
	"math"
	"strconv"

	"github.com/corona10/goimagehash"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// hashSide is how many squares a picture is parted into each way for its print.
const hashSide = 64

// Hash is how a picture looks from afar: a perceptual hash of 64 bits, in hex. A
// copy that was saved again, or made smaller, has nearly the same.
func Hash(p *cloth.Picture) string {
	m := image.NewGray(image.Rect(0, 0, hashSide, hashSide))
	for y := range hashSide {
		for x := range hashSide {
			c := boxMean(p, x*p.W/hashSide, y*p.H/hashSide, (x+1)*p.W/hashSide, (y+1)*p.H/hashSide)
			m.SetGray(x, y, color.Gray{Y: uint8(math.Round(255 * colour.EncodeSRGB(min(1, max(0, c.XYZ()[1])))))})
		}
	}
	h, err := goimagehash.PerceptionHash(m)
	if err != nil {
		return "" // no picture, and there is one
	}
	return strconv.FormatUint(h.GetHash(), 16)
}

// boxMean is the mean of the pixels in a box, which holds one at least.
func boxMean(p *cloth.Picture, x0, y0, x1, y1 int) (c colour.Linear) {
	x1, y1 = max(x1, x0+1), max(y1, y0+1)
	n := float64((x1 - x0) * (y1 - y0))
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			for k, v := range p.Pix[3*(y*p.W+x) : 3*(y*p.W+x)+3] {
				c[k] += float64(v) / n
			}
		}
	}
	return c
}

const (
	// nearBits is how many bits of the hashes of a photo and of its copy may
	// differ. Copies of made photos differed by 6 at most, other photos by 20 at
	// least.
	nearBits = 10
	// sameAspect is how far the sides of a copy may be off in proportion, as a
	// share, where they are rounded to whole pixels.
	sameAspect = 0.02
	// sameColour is how far, in CIEDE2000, a piece's mean colour in a copy may be
	// off.
	sameColour = 4
	// sameShare is the least share of the pieces, by their area, that are the same in
	// a copy.
	sameShare = 0.98
)

// Near says whether two hashes may be those of a photo and its copy.
func Near(a, b string) bool {
	x, errX := strconv.ParseUint(a, 16, 64)
	y, errY := strconv.ParseUint(b, 16, 64)
	if errX != nil || errY != nil {
		return false
	}
	d, err := goimagehash.NewImageHash(x, goimagehash.PHash).Distance(goimagehash.NewImageHash(y, goimagehash.PHash))
	return err == nil && d <= nearBits
}

// Same says whether b is a copy of a, in which the pieces were found (full-size
// pixels): at the place of each piece b has the piece's colour.
func Same(a, b *cloth.Picture, pieces []cloth.Piece) bool {
	aspect := func(p *cloth.Picture) float64 { return math.Log(float64(p.FullW) / float64(p.FullH)) }
	if len(pieces) == 0 || math.Abs(aspect(a)-aspect(b)) > sameAspect {
		return false
	}
	same, all := 0.0, 0.0
	for _, q := range pieces {
		area := q.Polygon.Area()
		all += area
		if colour.DeltaE00(meanIn(a, q.Polygon, a).Lab(), meanIn(b, q.Polygon, a).Lab()) <= sameColour {
			same += area
		}
	}
	return same >= sameShare*all
}

// inner is the part of a piece that is looked at, of its width: along its edges a
// smaller copy has its neighbours' colours mixed in.
const inner = 0.7

// meanIn is the mean colour of the middle of an outline, which is given in full-size
// pixels of the picture of. It is the mean of sRGB codes, not of light, since that is
// what most programs make pictures smaller by.
func meanIn(p *cloth.Picture, outline geom.Polygon, of *cloth.Picture) colour.Linear {
	var c colour.SRGB
	g, m := make(geom.Polygon, len(outline)), outline.Centroid()
	for i, q := range outline {
		q = m.Add(q.Sub(m).Mul(inner))
		g[i] = geom.Point{X: q.X * float64(p.W) / float64(of.FullW), Y: q.Y * float64(p.H) / float64(of.FullH)}
	}
	n := 0.0
	g.Fill(p.W, p.H, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			for k, v := range p.Pix[3*(y*p.W+x) : 3*(y*p.W+x)+3] {
				c[k] += colour.EncodeSRGB(min(1, max(0, float64(v))))
			}
			n++
		}
	})
	for k := range c {
		c[k] /= max(n, 1)
	}
	return c.Linear()
}
