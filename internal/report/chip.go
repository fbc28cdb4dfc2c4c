package report

import (
	"fmt"
	"hash/crc32"
	"iter"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// chip is what cloth is shown by: a crop of your own photo of it, else its inks in
// their shares, else the one colour that it reads as. The zero chip shows nothing.
type chip struct {
	Reads colour.Linear
	Inks  []cloth.Ink
	Crop  *Crop
	Some  bool // there is something to show
	Any   bool // cloth of any colour: drawn as none
}

// Crop is a straightened piece of cloth, cut out of your own photo.
type Crop struct {
	W, H       int     // pixels
	PerInch    float64 // pixels an inch of cloth; 0: not known
	JPEG, Grey []byte  // the same in grey, as light as it is; may be nil
}

// Crops are those of pieces of the stash, by their numbers.
type Crops map[int64]*Crop

// Show shows pieces in the crops of others; by are their numbers, by their own.
func (c Crops) Show(by map[int64]int64) {
	for id, other := range by {
		if crop := c[other]; crop != nil {
			c[id] = crop
		}
	}
}

// ByPrint returns the crops of pieces in photos by the names of their prints.
func (c Crops) ByPrint(photos []desk.PhotoPieces) map[string]*Crop {
	out := map[string]*Crop{}
	for _, p := range photos {
		for _, x := range p.Pieces {
			if crop := c[x.ID]; crop != nil {
				out[desk.MeasuredPrint(x.Holding)] = crop
			}
		}
	}
	return out
}

// with returns a cell of the cloth and words.
func (c chip) with(words string) cell { return cell{Words: words, Chip: c} }

func plainChip(c colour.Linear) chip { return chip{Reads: c, Some: true} }

// anyChip returns cloth of any colour.
func anyChip() chip { return chip{Any: true} }

// Parts returns the colours of a chip with no crop, in shares that add up to 1.
func (c chip) Parts() []cloth.Ink {
	total := 0.0
	for _, s := range c.Inks {
		total += s.Share
	}
	if !(total > 0) {
		return []cloth.Ink{{Colour: c.Reads, Share: 1}}
	}
	out := slices.Clone(c.Inks)
	for i := range out {
		out[i].Share /= total
	}
	return out
}

// bands returns the colours of a chip with no crop, one below another in a box.
func (c chip) bands(lo, hi geom.Point) (out []shape) {
	y := lo.Y
	for _, s := range c.Parts() {
		high := s.Share * (hi.Y - lo.Y)
		out = append(out, shape{Points: rect(lo.X, y, hi.X-lo.X, high), Fill: s.Colour})
		y += high
	}
	return out
}

// patterned reports whether the chip is more than one colour.
func (c chip) patterned() bool { return c.Crop != nil || len(c.Inks) > 1 }

// fill returns a shape of the cloth.
func (c chip) fill(g geom.Polygon) shape { return shape{Points: g, Fill: c.Reads, Cloth: c} }

// grey returns the chip by lightness alone.
func (c chip) grey() chip {
	if c.Crop != nil && c.Crop.Grey != nil {
		c.Crop = &Crop{W: c.Crop.W, H: c.Crop.H, JPEG: c.Crop.Grey}
	} else {
		c.Crop = nil
	}
	c.Reads, c.Inks = greyOf(c.Reads.Lab().L), slices.Clone(c.Inks)
	for i, s := range c.Inks {
		c.Inks[i].Colour = greyOf(s.Colour.Lab().L)
	}
	return c
}

// key tells chips apart that are drawn differently.
func (c chip) key() string {
	if c.Crop != nil {
		return fmt.Sprintf("%08x-%d", crc32.ChecksumIEEE(c.Crop.JPEG), len(c.Crop.JPEG))
	}
	var b strings.Builder
	for _, s := range c.Parts() {
		b.WriteString(s.Colour.Hex() + short(s.Share) + " ")
	}
	return b.String()
}

// chipOf shows a piece of the stash. What was entered by hand is drawn in a colour
// that stands for its words.
func chipOf(h cloth.Holding, crops Crops) (c chip, ok bool) {
	c.Crop = crops[h.ID]
	if h.Measured {
		c.Reads, c.Inks, c.Some = h.ReadsAs, h.Colours, true
		return c, true
	}
	c.Reads, c.Some = standIn(h.Family, h.Value)
	return c, c.Some
}

// Fill returns the colour that a piece of the stash is drawn in where there is no crop of it;
// ok is false where nothing is known of its colour.
func Fill(h cloth.Holding) (c colour.Linear, ok bool) {
	x, ok := chipOf(h, nil)
	return x.Reads, ok
}

// inner returns the corners of a square of nothing but cloth, as large as its outline
// leaves room for and turned as the piece lies; nil where the outline encloses nothing.
func inner(outline geom.Polygon) []geom.Point {
	quad, _, _, ok := frame(cloth.Piece{Polygon: outline})
	if !ok {
		return nil
	}
	at, room := labelSpot(outline)
	u := quad[1].Sub(quad[0])
	u = u.Mul(room / math.Sqrt2 / u.Len())
	v := geom.Point{X: -u.Y, Y: u.X}
	return []geom.Point{at.Sub(u).Sub(v), at.Add(u).Sub(v), at.Add(u).Add(v), at.Sub(u).Add(v)}
}

// whole returns the corners of a piece of four straight sides, a little within them, where
// threads and shadows are; of other pieces those of inner.
func whole(x desk.OutlinedPiece) []geom.Point {
	if x.Form == cloth.Square || x.Form == cloth.Rectangle || x.Form == cloth.Strip {
		if quad, fit := raster.FitQuad(x.Outline); fit >= fourSided {
			return geom.Polygon(quad[:]).About(withinEdge)
		}
	}
	return inner(x.Outline)
}

const (
	fourSided  = 0.95 // intersection over union of the outline and four straight sides
	withinEdge = 0.96 // of a piece's sides is shown
)

// cropScale returns how many pixels of a crop of the corners quad, of an area in pixels, are an
// inch of the cloth, by the area of its outline; 0 where the size of the piece is not known.
func cropScale(x desk.OutlinedPiece, quad []geom.Point, area float64) float64 {
	if x.Form != cloth.Square && x.Form != cloth.Rectangle && x.Form != cloth.Strip || !(x.WidthIn > 0 && x.LengthIn > 0) || quad == nil {
		return 0
	}
	inPhoto := math.Sqrt(x.Outline.Area() / (x.WidthIn * x.LengthIn))
	return math.Sqrt(area/geom.Polygon(quad).Area()) * inPhoto
}

// ChipSide is the longest side of a crop in a document, pixels.
const ChipSide = 160

const chipQuality = 82 // of JPEG, 1..100

// CropsOf cuts the pieces of photos out of them, straightened, their longer side so many
// pixels, ChipSide for a document. Pictures gives photo i
// at full size, or nil where it is not kept; only photos with outlines are asked for.
func CropsOf(photos []desk.PhotoPieces, pictures Pictures, side int) (Crops, error) {
	out := Crops{}
	for i, p := range photos {
		if !slices.ContainsFunc(p.Pieces, func(x desk.OutlinedPiece) bool { return len(x.Outline) > 2 }) {
			continue
		}
		m, err := pictures.at(i)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.Name, err)
		}
		if m == nil {
			continue
		}
		ph := newPhoto(m, cloth.Sheet{Width: m.Bounds().Dx()}, 2*photoSide)
		crops := make([]*Crop, len(p.Pieces))
		raster.Each(len(crops), func(numbers iter.Seq[int]) {
			for k := range numbers {
				x := p.Pieces[k]
				quad := whole(x)
				cut := ph.crop(cloth.Piece{Corners: quad}, side, cardPaper)
				if cut == nil {
					continue
				}
				c := cropOf(cut, chipQuality)
				c.PerInch, c.Grey = cropScale(x, quad, float64(c.W*c.H)), jpegOf(photo{pix: cut}.grey(), chipQuality)
				crops[k] = c
			}
		})
		for k, x := range p.Pieces {
			if crops[k] != nil {
				out[x.ID] = crops[k]
			}
		}
	}
	return out, nil
}
