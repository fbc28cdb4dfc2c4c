package report

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"github.com/disintegration/imaging"
	"golang.org/x/image/vector"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// linearOf holds the linear light of each 8-bit sRGB code.
var linearOf = func() (t [256]float32) {
	for i := range t {
		t[i] = float32(colour.DecodeSRGB(float64(i) / 255))
	}
	return t
}()

// codeOf holds the 8-bit sRGB code of linear light in steps of 1/16384, fine
// enough to be within a quarter of a code in the darks, where codes lie
// closest.
var codeOf = sync.OnceValue(func() []uint8 {
	t := make([]uint8, 1<<14+1)
	for i := range t {
		v := float64(i) / (1 << 14)
		t[i] = colour.Linear{v, v, v}.Bytes()[0]
	}
	return t
})

// photo is a picture of a sheet, ready to be cut into pieces.
type photo struct {
	pix   *image.RGBA
	scale float64 // picture pixels per full-size pixel
}

// newPhoto copies m, shrunk to at most side pixels on its longer side.
func newPhoto(m image.Image, s cloth.Sheet, side int) photo {
	pix := opaque(imaging.Fit(m, side, side, imaging.CatmullRom))
	return photo{pix: pix, scale: float64(pix.Rect.Dx()) / float64(max(1, s.Width))}
}

// opaque returns the same picture in the form that the standard library writes quickly;
// nothing in it shines through.
func opaque(m *image.NRGBA) *image.RGBA {
	return &image.RGBA{Pix: m.Pix, Stride: m.Stride, Rect: m.Rect}
}

// blank returns a picture of one colour.
func blank(w, h int, c color.Color) *image.RGBA { return opaque(imaging.New(w, h, c)) }

// grey returns the photo by lightness alone: every pixel the grey of its own
// luminance, which is how light it looks.
func (p photo) grey() *image.Gray {
	out := image.NewGray(p.pix.Rect)
	codes := codeOf()
	for i := range out.Pix {
		c := p.pix.Pix[4*i : 4*i+3]
		y := colour.Linear{float64(linearOf[c[0]]), float64(linearOf[c[1]]), float64(linearOf[c[2]])}.XYZ()[1]
		out.Pix[i] = codes[int(y*(1<<14)+0.5)]
	}
	return out
}

// stripAspect is how long for its width a piece must be to be laid along; a
// squarer one keeps the turn it has in the photo as nearly as it can.
const stripAspect = 1.5

// frame returns the four corners that a piece is straightened by, clockwise on
// screen from the one that becomes the top left, and its sides in pixels. A
// piece with no corners of its own takes those of its smallest box.
func frame(p cloth.Piece) (quad [4]geom.Point, w, h float64, ok bool) {
	corners := p.Corners
	if len(corners) != 4 {
		if len(p.Polygon) < 3 || p.Polygon.Area() < 1 {
			return quad, 0, 0, false
		}
		box := geom.MinAreaRect(p.Polygon)
		corners = box[:]
	}
	ring := geom.Polygon{corners[0], corners[1], corners[2], corners[3]}
	if ring.SignedArea() < 0 {
		ring[1], ring[3] = ring[3], ring[1]
	}
	start, most := 0, math.Inf(-1)
	for i := range ring {
		d := ring[(i+1)%4].Sub(ring[i])
		if right := d.X / d.Len(); right > most {
			start, most = i, right
		}
	}
	at := func(i int) geom.Point { return ring[(start+i)%4] }
	w = (at(0).Dist(at(1)) + at(3).Dist(at(2))) / 2
	h = (at(0).Dist(at(3)) + at(1).Dist(at(2))) / 2
	if h > stripAspect*w {
		start += 3
		w, h = h, w
	}
	return [4]geom.Point{at(0), at(1), at(2), at(3)}, w, h, w >= 1 && h >= 1
}

// maxEnlarge is how much a small piece is enlarged: beyond it there is only
// blur.
const maxEnlarge = 2

// crop cuts piece p out of the photo, straightened by the homography of its
// corners, at most side pixels long, on the given paper; nil where its outline
// encloses nothing or lies outside the photo.
func (ph photo) crop(p cloth.Piece, side int, paper color.Color) *image.RGBA {
	quad, w, h, ok := frame(p)
	if !ok {
		return nil
	}
	w, h = w*ph.scale, h*ph.scale
	k := min(float64(side)/max(w, h), maxEnlarge)
	out := blank(max(1, int(math.Round(w*k))), max(1, int(math.Round(h*k))), paper)
	ow, oh := float64(out.Rect.Dx()), float64(out.Rect.Dy())
	toPhoto, err := geom.FitHomography(
		[]geom.Point{{X: 0, Y: 0}, {X: ow, Y: 0}, {X: ow, Y: oh}, {X: 0, Y: oh}},
		[]geom.Point{quad[0].Mul(ph.scale), quad[1].Mul(ph.scale), quad[2].Mul(ph.scale), quad[3].Mul(ph.scale)})
	if err != nil {
		return nil
	}
	outline := p.Polygon
	if len(outline) < 3 {
		outline = quad[:]
	}
	fromPhoto := toPhoto.Inverse()
	cut := image.NewRGBA(out.Rect)
	if !ph.sample(cut, toPhoto, int(math.Ceil(1/k))) {
		return nil
	}
	mask := covered(out.Rect, outline.Map(func(q geom.Point) geom.Point { return fromPhoto.Apply(q.Mul(ph.scale)) }))
	draw.DrawMask(out, out.Rect, cut, image.Point{}, mask, image.Point{}, draw.Over)
	return out
}

// covered returns how much of each pixel of a box an outline covers.
func covered(box image.Rectangle, outline geom.Polygon) *image.Alpha {
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for i, q := range outline {
		x, y := float32(q.X-float64(box.Min.X)), float32(q.Y-float64(box.Min.Y))
		if i == 0 {
			r.MoveTo(x, y)
		} else {
			r.LineTo(x, y)
		}
	}
	r.ClosePath()
	mask := image.NewAlpha(box)
	r.Draw(mask, box, image.Opaque, image.Point{})
	return mask
}

// sample fills out from the photo through h: n × n bilinear samples a pixel,
// averaged in linear light. Outside the photo its edge goes on; false where all of it lies
// outside.
func (ph photo) sample(out *image.RGBA, h geom.Homography, n int) bool {
	n = min(4, max(1, n))
	lo, hi := rect(0, 0, float64(out.Rect.Dx()), float64(out.Rect.Dy())).Map(h.Apply).Bounds()
	part := image.Rect(int(lo.X)-1, int(lo.Y)-1, int(hi.X)+2, int(hi.Y)+2).Intersect(ph.pix.Rect)
	if part.Dx() < 2 || part.Dy() < 2 {
		return false
	}
	codes, k := codeOf(), float64(1<<14)/float64(n*n)
	light, left, top := ph.light(part), float64(part.Min.X), float64(part.Min.Y)
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			var sum [3]float64
			for i := range n * n {
				at := h.Apply(geom.Point{
					X: float64(x) + (float64(i%n)+0.5)/float64(n),
					Y: float64(y) + (float64(i/n)+0.5)/float64(n),
				})
				for j, v := range raster.At3(&light, at.X-left, at.Y-top) {
					sum[j] += v
				}
			}
			o := out.PixOffset(x, y)
			for j := range sum {
				out.Pix[o+j] = codes[int(sum[j]*k+0.5)]
			}
			out.Pix[o+3] = 255
		}
	}
	return true
}

// light returns part of the photo in linear light: a plane of red, of green and of blue.
func (ph photo) light(part image.Rectangle) (out [3]*raster.Plane) {
	for j := range out {
		out[j] = raster.New(part.Dx(), part.Dy())
		row := out[j].V
		for y := part.Min.Y; y < part.Max.Y; y++ {
			from := ph.pix.Pix[ph.pix.PixOffset(part.Min.X, y)+j:]
			for x := range part.Dx() {
				row[x] = linearOf[from[4*x]]
			}
			row = row[part.Dx():]
		}
	}
	return out
}

// labelSpot returns the place inside g that is farthest from its outline, found on
// a grid and then on a finer one around the best, and how far that is.
func labelSpot(g geom.Polygon) (geom.Point, float64) {
	lo, hi := g.Bounds()
	best, room := g.Centroid(), 0.0
	const steps = 16
	for range 2 {
		for i := range steps * steps {
			p := geom.Point{
				X: lo.X + (hi.X-lo.X)*(float64(i%steps)+0.5)/steps,
				Y: lo.Y + (hi.Y-lo.Y)*(float64(i/steps)+0.5)/steps,
			}
			if !g.Contains(p) {
				continue
			}
			if d := edgeDistance(g, p); d > room*1.001 {
				best, room = p, d
			}
		}
		half := hi.Sub(lo).Mul(1.0 / steps)
		lo, hi = best.Sub(half), best.Add(half)
	}
	return best, room
}

// edgeDistance returns how far p lies from the nearest edge of g.
func edgeDistance(g geom.Polygon, p geom.Point) float64 {
	d := math.Inf(1)
	for i, a := range g {
		d = min(d, geom.SegmentDistance(p, a, g[(i+1)%len(g)]))
	}
	return d
}
