package report

import (
	"bytes"
	"cmp"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"io"
	"math"
	"math/rand/v2"
	"slices"

	"github.com/disintegration/imaging"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
	"piecebag/internal/recipe"
)

// The measures of a quilt's picture, in inches of the quilt.
const (
	bindingWide  = 0.4 // as it shows from the front
	marginWide   = 0.8
	seamWide     = 0.07 // how far the dip at a seam is seen
	seamDeep     = 0.4  // of the light that it takes, at the seam
	acrossRoom   = 0.35 // standard deviation of the blur of a quilt seen from across the room
	quiltSide    = 2000 // longer side of a picture, pixels
	leastTexture = 8    // sides of cloth, pixels, below which it is drawn plain
)

// Picture writes a layout as PNG at true proportions: in your own cloth, its longer
// side 2000 pixels, and smaller under it the same in grey and as seen from across the
// room.
func (a Arrangement) Picture(w io.Writer) error {
	quilt := a.picture(a.Laid[0], quiltSide)
	wide, gap := quilt.Rect.Dx(), quilt.Rect.Dx()/40
	half := imaging.Resize(quilt, (wide-gap)/2, 0, imaging.Box)
	out := imaging.New(wide, quilt.Rect.Dy()+gap+half.Rect.Dy(), quiltPaper)
	out = imaging.Paste(out, quilt, image.Point{})
	below := quilt.Rect.Dy() + gap
	out = imaging.Paste(out, greyPicture(half), image.Pt(0, below))
	out = imaging.Paste(out, a.fromAfar(half), image.Pt(wide-half.Rect.Dx(), below))
	return writePNG(w, out)
}

// The longer sides of a quilt's views in a document, pixels.
const (
	viewSide  = 1400
	otherSide = 500
)

// Viewing is how a layout is looked at.
type Viewing string

// The ways to look at a layout.
const (
	InColour Viewing = "colour"
	InGrey   Viewing = "grey"
	FromAfar Viewing = "afar" // from across the room
)

// Margin is how much of what lies behind the quilt its pictures show on each side, inches.
const Margin = marginWide

// View writes a layout as JPEG, Margin about it, as it is seen in one of the ways.
func (a Arrangement) View(w io.Writer, l desk.Variant, how Viewing) error {
	return writeJPEG(w, a.seen(a.picture(l, viewSide), how))
}

// seen is a picture of a layout as it is seen in one of the ways.
func (a Arrangement) seen(m image.Image, how Viewing) image.Image {
	switch how {
	case InGrey:
		return greyPicture(m)
	case FromAfar:
		return a.fromAfar(m)
	}
	return m
}

// Small writes a layout as JPEG, to choose among several.
func (a Arrangement) Small(w io.Writer, l desk.Variant) error {
	return writeJPEG(w, a.picture(l, otherSide))
}

func writeJPEG(w io.Writer, m image.Image) error {
	_, err := w.Write(jpegOf(m, chipQuality))
	return err
}

// views returns a layout as it is seen in some ways, for a document; smaller where it is not in
// colour.
func (a Arrangement) views(l desk.Variant, ways ...Viewing) []drawing {
	quilt := a.picture(l, viewSide)
	half := imaging.Resize(quilt, quilt.Rect.Dx()/2, 0, imaging.Box)
	titles := map[Viewing]string{InColour: "the quilt " + a.Quilt + " in its cloth", InGrey: "the quilt in grey", FromAfar: "the quilt from across the room"}
	return mapped(ways, func(how Viewing) drawing {
		if how == InColour {
			return a.view(quilt, titles[how])
		}
		return a.view(a.seen(half, how), titles[how])
	})
}

// view sets a picture into a document.
func (a Arrangement) view(m image.Image, title string) drawing {
	wide, high := a.Top.WidthIn+2*marginWide, a.Top.HeightIn+2*marginWide
	return drawing{W: wide, H: high, Title: title, Shapes: []shape{pictureShape(m, chipQuality, wide, high)}}
}

// CropSide returns the longest side, pixels, that crops of pieces need in the picture: as many
// as half a foot of cloth takes there.
func (a Arrangement) CropSide() int {
	return min(3*ChipSide, max(ChipSide, int(6*quiltSide/max(a.Top.WidthIn, a.Top.HeightIn))))
}

// quiltPaper is what a quilt is shown on.
var quiltPaper = color.RGBA{0xf7, 0xf4, 0xee, 0xff}

// greyPicture returns a picture by lightness alone.
func greyPicture(m image.Image) image.Image {
	return photo{pix: opaque(imaging.Clone(m))}.grey()
}

// fromAfar returns a picture of the quilt as it is seen from across the room.
func (a Arrangement) fromAfar(m image.Image) image.Image {
	return imaging.Blur(m, acrossRoom*float64(m.Bounds().Dx())/(a.Top.WidthIn+2*marginWide))
}

// picture draws a layout.
func (a Arrangement) picture(l desk.Variant, side int) *image.RGBA {
	wide, high := a.Top.WidthIn+2*marginWide, a.Top.HeightIn+2*marginWide
	perInch := float64(side) / max(wide, high)
	out := blank(int(math.Round(wide*perInch)), int(math.Round(high*perInch)), quiltPaper)
	edge := pixelBox(marginWide-bindingWide, marginWide-bindingWide, a.Top.WidthIn+2*bindingWide, a.Top.HeightIn+2*bindingWide, perInch)
	draw.Draw(out, edge, image.NewUniform(colourOf(a.bindingColour(l))), image.Point{}, draw.Src)
	draw.Draw(out, pixelBox(marginWide, marginWide, a.Top.WidthIn, a.Top.HeightIn, perInch), image.Black, image.Point{}, draw.Src)
	cloths := a.textures(l, perInch)
	prints := a.prints()
	laid := make([]*image.RGBA, len(a.Top.Patches)) // patches share the pixels of their seams: they are added up afterwards
	raster.Rows(len(laid), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			p := a.Top.Patches[i]
			t := texture{plain: colourOf(inksOf(p.Role)[0].Reads)}
			k := l.Cloth[i]
			if p.Role.Background {
				k = a.GroundAt
			}
			if k >= 0 {
				t = cloths[k]
			} else if prints[i] { // none was left for it
				t.plain = quiltPaper
			}
			outline := p.Polygon.Map(func(q geom.Point) geom.Point { return q.Add(geom.Point{X: marginWide, Y: marginWide}).Mul(perInch) })
			laid[i] = t.lay(out.Rect, outline, a.angle(p)+float64(a.turn(i))*math.Pi/2, perInch, partOf(i, p.Role))
		}
	})
	for _, m := range laid {
		add(out, m)
	}
	for _, t := range l.Touches {
		a.marked(out, t.A, t.B, perInch)
	}
	return out
}

func pixelBox(x, y, w, h, scale float64) image.Rectangle {
	r := func(v float64) int { return int(math.Round(v * scale)) }
	return image.Rect(r(x), r(y), r(x+w), r(y+h))
}

func colourOf(c colour.Linear) color.RGBA {
	b := c.Bytes()
	return color.RGBA{b[0], b[1], b[2], 255}
}

// bindingColour returns a dark of the quilt, as many bindings are (common practice, no
// source).
func (a Arrangement) bindingColour(l desk.Variant) colour.Linear {
	var all []colour.Linear
	for _, k := range l.Cloth {
		if k >= 0 {
			c, _ := chipOf(a.Holdings[k], nil)
			all = append(all, c.Reads)
		}
	}
	if len(all) == 0 {
		return backgroundInk.Linear()
	}
	slices.SortStableFunc(all, func(x, y colour.Linear) int { return cmp.Compare(x.Luminance(), y.Luminance()) })
	return all[len(all)/8]
}

// angle returns how the cloth of a patch lies, radians clockwise: blocks on point stand on a
// corner.
func (a Arrangement) angle(p recipe.Patch) float64 {
	if a.Needs.Recipe.Setting.Kind == recipe.OnPoint && p.Block >= 0 {
		return math.Pi / 4
	}
	return 0
}

// partOf says which part of its cloth patch i shows, an odd one head over; the background
// lies one way all over.
func partOf(i int, r recipe.Role) uint64 {
	if r.Background {
		return 2 * uint64(i)
	}
	return uint64(i)
}

// turn is by how many quarters clockwise you turned the cloth of a patch.
func (a Arrangement) turn(patch int) int {
	if a.Saved == nil || a.Saved.Laid == nil {
		return 0
	}
	if one := a.Saved.Laid.Of(a.Names[patch]); one != nil {
		return one.Turn
	}
	return 0
}

// texture is cloth to draw with: a picture of it at the scale of the quilt's picture,
// or one colour.
type texture struct {
	pix   *image.RGBA // nil: plain
	plain color.RGBA
}

// textures returns the textures of the holdings that a layout uses.
func (a Arrangement) textures(l desk.Variant, perInch float64) map[int]texture {
	out := map[int]texture{}
	for _, k := range append([]int{a.GroundAt}, l.Cloth...) {
		if k < 0 {
			continue
		}
		if _, ok := out[k]; ok {
			continue
		}
		h := a.Holdings[k]
		c, ok := chipOf(h, a.Crops)
		if !ok {
			c = plainChip(greyOf(50))
		}
		t := texture{plain: colourOf(c.Reads)}
		if c.Crop != nil {
			t.pix = c.Crop.texture(h, perInch)
		} else if len(h.Colours) > 1 {
			t.pix = dotted(h, perInch)
		}
		out[k] = t
	}
	return out
}

// texture returns a crop at so many pixels an inch, in the cloth's own colours: the light
// of the photo is taken off it by its mean. nil where it is too small.
func (c *Crop) texture(h cloth.Holding, perInch float64) *image.RGBA {
	m, err := jpeg.Decode(bytes.NewReader(c.JPEG))
	if err != nil {
		return nil
	}
	from := c.PerInch
	if !(from > 0) {
		from = float64(c.W) / usualCrop
	}
	w := int(math.Round(float64(c.W) * perInch / from))
	if w < leastTexture {
		return nil
	}
	out := opaque(imaging.Resize(m, w, 0, imaging.Box))
	if h.Measured {
		relight(out, h.Mean)
	}
	return out
}

// usualCrop is how wide a crop is taken to be where its size is not known, inches.
const usualCrop = 2.0

// relight makes the mean of a picture a colour.
func relight(m *image.RGBA, mean colour.Linear) {
	var sum [3]float64
	n := float64(len(m.Pix) / 4)
	for i := 0; i < len(m.Pix); i += 4 {
		for j := range sum {
			sum[j] += float64(linearOf[m.Pix[i+j]]) / n
		}
	}
	var tables [3][256]uint8
	codes := codeOf()
	for j := range tables {
		gain := min(4, max(0.25, mean[j]/max(sum[j], 1e-4)))
		for v := range tables[j] {
			tables[j][v] = codes[int(min(1, float64(linearOf[v])*gain)*(1<<14))]
		}
	}
	for i := 0; i < len(m.Pix); i += 4 {
		for j := range tables {
			m.Pix[i+j] = tables[j][m.Pix[i+j]]
		}
	}
}

// dotted stands in for a print of which there is no photo: its first ink, and dots of
// the others in their shares.
func dotted(h cloth.Holding, perInch float64) *image.RGBA {
	side := max(leastTexture, int(4*perInch))
	out := blank(side, side, colourOf(h.Colours[0].Colour))
	r := rand.New(rand.NewPCG(uint64(h.ID), 0))
	radius := max(1, min(0.4, max(0.12, h.Motif/2))*perInch)
	for _, s := range h.Colours[1:] {
		for covered := 0.0; covered < s.Share*float64(side*side); covered += math.Pi * radius * radius {
			cx, cy := r.Float64()*float64(side), r.Float64()*float64(side)
			for y := int(cy - radius); float64(y) <= cy+radius; y++ {
				for x := int(cx - radius); float64(x) <= cx+radius; x++ {
					if math.Hypot(float64(x)-cx, float64(y)-cy) <= radius {
						out.SetRGBA((x+side)%side, (y+side)%side, colourOf(s.Colour))
					}
				}
			}
		}
	}
	return out
}

// add adds a picture, black where it shows nothing, to another.
func add(out, m *image.RGBA) {
	for y := m.Rect.Min.Y; y < m.Rect.Max.Y; y++ {
		from := m.Pix[m.PixOffset(m.Rect.Min.X, y):]
		to := out.Pix[out.PixOffset(m.Rect.Min.X, y):]
		for k := range 4 * m.Rect.Dx() {
			to[k] = uint8(min(255, int(to[k])+int(from[k])))
		}
	}
}

// lay returns an outline, in pixels of a picture of some bounds, filled with cloth that lies
// at an angle, on black; which says which part of it. Where the outline is larger than the
// cloth that is goes on mirrored, so that no edge shows.
func (t texture) lay(bounds image.Rectangle, outline geom.Polygon, angle, perInch float64, which uint64) *image.RGBA {
	lo, hi := outline.Bounds()
	box := touched(outline).Intersect(bounds)
	out := image.NewRGBA(box)
	mask := covered(box, outline)
	at := t.sampler(outline.Centroid(), lo, hi, angle, which)
	dip := seamWide * perInch
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			alpha := uint32(mask.AlphaAt(x, y).A)
			if alpha == 0 {
				continue
			}
			p := geom.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}
			c := at(p)
			if d := edgeDistance(outline, p); d < dip {
				alpha = uint32(float64(alpha) * (1 - seamDeep*(1-d/dip)))
			}
			o := out.PixOffset(x, y)
			for j, v := range [3]uint8{c.R, c.G, c.B} {
				out.Pix[o+j] = uint8(uint32(v) * alpha / 255)
			}
		}
	}
	return out
}

// sampler returns the colour of the cloth at places of a patch between lo and hi.
func (t texture) sampler(middle, lo, hi geom.Point, angle float64, which uint64) func(geom.Point) color.RGBA {
	if t.pix == nil {
		return func(geom.Point) color.RGBA { return t.plain }
	}
	w, h := float64(t.pix.Rect.Dx()), float64(t.pix.Rect.Dy())
	r := rand.New(rand.NewPCG(which, 1))
	spareX, spareY := max(0, w-(hi.X-lo.X)), max(0, h-(hi.Y-lo.Y))
	centre := geom.Point{X: w/2 + spareX*(r.Float64()-0.5), Y: h/2 + spareY*(r.Float64()-0.5)}
	turn := angle + math.Pi*float64(which%2)
	sin, cos := math.Sincos(-turn)
	return func(p geom.Point) color.RGBA {
		d := p.Sub(middle)
		x := mirrored(centre.X+d.X*cos-d.Y*sin, w)
		y := mirrored(centre.Y+d.X*sin+d.Y*cos, h)
		o := t.pix.PixOffset(x, y)
		return color.RGBA{t.pix.Pix[o], t.pix.Pix[o+1], t.pix.Pix[o+2], 255}
	}
}

// mirrored returns the pixel at a place along a side that goes on mirrored beyond its ends.
func mirrored(v, side float64) int {
	v = math.Mod(math.Abs(v), 2*side)
	if v >= side {
		v = 2*side - v
	}
	return min(int(v), int(side)-1)
}

// marked draws a bar across where two patches touch that should not.
func (a Arrangement) marked(out *image.RGBA, i, j int, perInch float64) {
	bar := mark(a.Top.Patches[i].Polygon, a.Top.Patches[j].Polygon).Points
	for _, rim := range []struct {
		scale float64
		fill  color.RGBA
	}{{1.5, color.RGBA{255, 255, 255, 255}}, {1, color.RGBA{160, 20, 20, 255}}} {
		g := bar.About(rim.scale).Map(func(q geom.Point) geom.Point { return q.Add(geom.Point{X: marginWide, Y: marginWide}).Mul(perInch) })
		draw.DrawMask(out, out.Rect, image.NewUniform(rim.fill), image.Point{}, covered(out.Rect, g), image.Point{}, draw.Over)
	}
}
