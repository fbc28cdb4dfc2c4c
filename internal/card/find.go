package card

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// Found is the card in a picture, working pixels.
type Found struct {
	ToPicture geom.Homography // card inches to working pixels
	Marks     int             // 3 or 4
	// Points are the corners of the marks that were seen, in card inches, and
	// Seen where they are in the picture; len 4·Marks.
	Points, Seen []geom.Point
	Residual     float64 // rms distance of Seen from ToPicture, working pixels
	Paper        colour.Linear
	PaperClipped float64     // share of Blank that is overexposed, 0..1
	Wedge        []WedgeStep // one a step, lightest first
	Trust        float64     // 0..1
}

// WedgeStep is one grey as the camera recorded it, with the bare paper beside
// it: linear RGB.
type WedgeStep struct {
	Lightness   float64 // nominal CIE L*, the paper at 100
	Grey, Paper colour.Linear
	// Clipped is the share, 0..1, that is overexposed of the grey or of the
	// paper, whichever is more.
	Clipped float64
}

// Find looks for the card; false where there is none. Three of its marks must
// be in view.
func Find(p *cloth.Picture) (*Found, bool) {
	if p.W < leastPicture || p.H < leastPicture {
		return nil, false
	}
	l := luma{raster.Luma(p.W, p.H, p.Pix)}
	f := assemble(l, l.marks())
	if f == nil {
		return nil, false
	}
	f.read(p)
	return f, true
}

// leastPicture is the least side, in working pixels, of a picture that can hold
// a card.
const leastPicture = 48

// Corners returns the card's own, clockwise from its upper left, working pixels.
func (f *Found) Corners() [4]geom.Point { return f.place(Outline) }

func (f *Found) place(r geom.Rect) [4]geom.Point {
	c := r.Corners()
	return [4]geom.Point(geom.Polygon(c[:]).Map(f.ToPicture.Apply))
}

// Reference returns the card as the rest of the pipeline knows it.
func (f *Found) Reference() cloth.Reference {
	c := f.Corners()
	blank := f.place(Blank.Inset(blankMargin))
	return cloth.Reference{
		Kind: cloth.PrintedCard, Corners: [4]geom.Point{c[1], c[2], c[3], c[0]},
		Blank: blank[:], Region: -1, Trust: f.Trust,
	}
}

const (
	blankMargin = 0.15 // inches left out along the edge of what is read
	stepMargin  = 0.16
	// coverShare is the share of a region that must lie on the card for it to
	// be part of the card.
	coverShare = 0.5
	// sheetWithin is how far the sides of the sheet that the card was printed on
	// may be from their standard, as a share.
	sheetWithin = 0.04
)

// sheets are the papers that the card is printed on, inches, the longer side
// first: ANSI/ASME Y14.1 size A, ISO 216 A4.
var sheets = [2][2]float64{{11, 8.5}, {297 / cloth.MMPerInch, 210 / cloth.MMPerInch}}

// Covers reports whether a region that a finder took for a piece is the card, part
// of it, or the sheet that it was not cut out of.
func (f *Found) Covers(r cloth.Region) bool {
	c := f.Corners()
	outline := geom.Polygon(c[:])
	if on, _, area := geom.Overlap(r.Polygon, outline); area > 0 && on >= coverShare*area {
		return true
	}
	return len(r.Corners) == 4 && r.Polygon.Contains(outline.Centroid()) && f.isSheet(r.Corners)
}

func (f *Found) isSheet(corners []geom.Point) bool {
	c := geom.Polygon(corners).Map(f.ToPicture.Inverse().Apply)
	a, b := (c[0].Dist(c[1])+c[2].Dist(c[3]))/2, (c[1].Dist(c[2])+c[3].Dist(c[0]))/2
	long, short := max(a, b), min(a, b)
	for _, s := range sheets {
		if math.Abs(long/s[0]-1) < sheetWithin && math.Abs(short/s[1]-1) < sheetWithin {
			return true
		}
	}
	return false
}

// read samples the paper and the greys.
func (f *Found) read(p *cloth.Picture) {
	f.Paper, f.PaperClipped = f.sample(p, Blank.Inset(blankMargin))
	for _, s := range Steps {
		w := WedgeStep{Lightness: s.Lightness}
		w.Grey, w.Clipped = f.sample(p, s.Rect.Inset(stepMargin))
		for _, r := range s.paper() {
			c, clipped := f.sample(p, r)
			for k := range c {
				w.Paper[k] += c[k] / 2
			}
			w.Clipped = max(w.Clipped, clipped)
		}
		f.Wedge = append(f.Wedge, w)
	}
}

// sampleSide is how many samples are taken each way of a rectangle.
const sampleSide = 12

// sample returns the mean linear colour of a rectangle of the card, and the share of
// it that is overexposed. It is at least 2 working pixels each way, or the
// samples interpolate their neighbours'.
func (f *Found) sample(p *cloth.Picture, r geom.Rect) (colour.Linear, float64) {
	var sum colour.Linear
	clipped := 0.0
	for j := range sampleSide {
		for i := range sampleSide {
			at := geom.Point{X: r.X + r.W*(float64(i)+0.5)/sampleSide, Y: r.Y + r.H*(float64(j)+0.5)/sampleSide}
			q := f.ToPicture.Apply(at)
			x, y := min(p.W-1, max(0, int(q.X))), min(p.H-1, max(0, int(q.Y)))
			k := y*p.W + x
			for c := range sum {
				sum[c] += float64(p.Pix[3*k+c])
			}
			if p.Clipped != nil {
				clipped += float64(p.Clipped[k]) / 255
			}
		}
	}
	const n = sampleSide * sampleSide
	for c := range sum {
		sum[c] /= n
	}
	return sum, clipped / n
}
