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

// quarters is how many quarter turns a copy may have been turned by.
const quarters = 4

// Hashes returns how a picture looks from afar: perceptual hashes of 64 bits, in hex. A
// copy that was saved again, or made smaller, has nearly the same. The first is of
// the picture as it stands, each after it of the picture turned once more by a
// quarter, clockwise.
func Hashes(p *cloth.Picture) (out [quarters]string) {
	m := image.NewGray(image.Rect(0, 0, hashSide, hashSide))
	for y := range hashSide {
		for x := range hashSide {
			c := boxMean(p, x*p.W/hashSide, y*p.H/hashSide, (x+1)*p.W/hashSide, (y+1)*p.H/hashSide)
			m.SetGray(x, y, color.Gray{Y: uint8(math.Round(255 * colour.EncodeSRGB(min(1, max(0, c.XYZ()[1])))))})
		}
	}
	for k := range out {
		h, err := goimagehash.PerceptionHash(m)
		if err != nil {
			return out // no picture, and there is one
		}
		out[k] = strconv.FormatUint(h.GetHash(), 16)
		turned := image.NewGray(m.Rect)
		for y := range hashSide {
			for x := range hashSide {
				turned.SetGray(hashSide-1-y, x, m.GrayAt(x, y))
			}
		}
		m = turned
	}
	return out
}

// boxMean returns the mean of the pixels in a box, which holds one at least.
func boxMean(p *cloth.Picture, x0, y0, x1, y1 int) (c colour.Linear) {
	x1, y1 = max(x1, x0+1), max(y1, y0+1)
	for y := y0; y < y1; y++ {
		for row := p.Pix[3*(y*p.W+x0) : 3*(y*p.W+x1)]; len(row) >= 3; row = row[3:] {
			c[0], c[1], c[2] = c[0]+float64(row[0]), c[1]+float64(row[1]), c[2]+float64(row[2])
		}
	}
	n := float64((x1 - x0) * (y1 - y0))
	return colour.Linear{c[0] / n, c[1] / n, c[2] / n}
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

// Near reports whether one of some hashes may be that of a photo with another hash, or
// of its copy.
func Near(hash string, hashes [quarters]string) bool {
	x, err := strconv.ParseUint(hash, 16, 64)
	if err != nil {
		return false
	}
	for _, other := range hashes {
		y, err := strconv.ParseUint(other, 16, 64)
		if err != nil {
			return false
		}
		d, err := goimagehash.NewImageHash(x, goimagehash.PHash).Distance(goimagehash.NewImageHash(y, goimagehash.PHash))
		if err == nil && d <= nearBits {
			return true
		}
	}
	return false
}

// Same reports whether b is a copy of a, in which the pieces were found (full-size
// pixels): as it stands or turned by quarters, b has each piece's colour at its place.
func Same(a, b *cloth.Picture, pieces []cloth.Piece) bool {
	for turns := range quarters {
		if sameTurned(a, b, pieces, turns) {
			return true
		}
	}
	return false
}

// sameTurned is Same where b is a turned clockwise by so many quarters.
func sameTurned(a, b *cloth.Picture, pieces []cloth.Piece, turns int) bool {
	aspect := math.Log(float64(a.FullW) / float64(a.FullH))
	if turns%2 == 1 {
		aspect = -aspect
	}
	if len(pieces) == 0 || math.Abs(aspect-math.Log(float64(b.FullW)/float64(b.FullH))) > sameAspect {
		return false
	}
	same, all := 0.0, 0.0
	for _, q := range pieces {
		area := q.Polygon.Area()
		all += area
		if colour.DeltaE00(meanIn(a, q.Polygon, a, 0).Lab(), meanIn(b, q.Polygon, a, turns).Lab()) <= sameColour {
			same += area
		}
	}
	return same >= sameShare*all
}

// inner is the part of a piece that is looked at, of its width: along its edges a
// smaller copy has its neighbours' colours mixed in.
const inner = 0.7

// meanIn returns the mean colour of the middle of an outline, which is given in full-size
// pixels of the picture of and lies in p turned by so many quarters. It is the mean of sRGB codes, not of light, since that is
// what most programs make pictures smaller by.
func meanIn(p *cloth.Picture, outline geom.Polygon, of *cloth.Picture, turns int) colour.Linear {
	var c colour.SRGB
	g := outline.About(inner).Map(func(q geom.Point) geom.Point {
		x, y := q.X/float64(of.FullW), q.Y/float64(of.FullH)
		for range turns {
			x, y = 1-y, x
		}
		return geom.Point{X: x * float64(p.W), Y: y * float64(p.H)}
	})
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
