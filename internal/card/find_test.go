package card_test

import (
	"bytes"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"piecebag/internal/card"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// distances are the sides and diagonals of the card in a picture.
func distances(h geom.Homography) (out []float64) {
	c := card.Outline.Corners()
	for i, a := range c {
		for _, b := range c[i+1:] {
			out = append(out, h.Apply(a).Dist(h.Apply(b)))
		}
	}
	return out
}

// Warped, turned, cast, dim, noisy and blurred, the card is found, its scale is
// right within 0.5 % and its white within ΔE00 1, at 85 to 180 pixels wide.
func TestFindsTheCard(t *testing.T) {
	seeds := uint64(60)
	if testing.Short() {
		seeds = 12
	}
	for seed := range seeds {
		s := random(seed, 480, 360, 85+float64(seed*37%96))
		ph := s.take()
		f, ok := card.Find(ph.pic)
		require.True(t, ok, "seed %d", seed)
		want := distances(ph.toPicture)
		for i, got := range distances(f.ToPicture) {
			require.InEpsilon(t, want[i], got, 0.005, "seed %d", seed)
		}
		for _, c := range card.Outline.Corners() {
			require.Less(t, ph.toPicture.Apply(c).Dist(f.ToPicture.Apply(c)), 1.0, "seed %d", seed)
		}
		if f.PaperClipped == 0 {
			require.Less(t, colour.DeltaE00(ph.paper.Lab(), f.Paper.Lab()), 1.0, "seed %d", seed)
		}
	}
}

// Where its marks are but five or six pixels wide, most are still found.
func TestFindsSmallCards(t *testing.T) {
	found := 0
	for seed := range uint64(40) {
		if _, ok := card.Find(random(seed, 240, 180, 52).take().pic); ok {
			found++
		}
	}
	require.GreaterOrEqual(t, found, 25)
}

// With one mark covered the other three tell as much.
func TestThreeMarksAreEnough(t *testing.T) {
	for hidden := 1; hidden <= 4; hidden++ {
		s := random(uint64(100+hidden), 480, 360, 120)
		s.hidden = hidden
		ph := s.take()
		f, ok := card.Find(ph.pic)
		require.True(t, ok, "mark %d", hidden)
		require.Equal(t, 3, f.Marks)
		want := distances(ph.toPicture)
		for i, got := range distances(f.ToPicture) {
			require.InEpsilon(t, want[i], got, 0.005, "mark %d", hidden)
		}
		require.Less(t, f.Trust, 0.96)
	}
}

// A mirror's picture of the card is not the card, nor is it with two marks
// covered, nor a picture too small for it.
func TestIsNotTheCard(t *testing.T) {
	ph := random(7, 640, 480, 150).take()
	mirrored := *ph.pic
	mirrored.Pix = make([]float32, len(ph.pic.Pix))
	for y := range 480 {
		for x := range 640 {
			copy(mirrored.Pix[3*(y*640+x):][:3], ph.pic.Pix[3*(y*640+639-x):][:3])
		}
	}
	_, ok := card.Find(&mirrored)
	require.False(t, ok)

	half := *ph.pic
	half.Pix = append([]float32(nil), ph.pic.Pix...)
	upper := geom.Rect{X: -1, Y: -1, W: card.Width + 2, H: card.Height/2 + 1}.Corners()
	for i := range upper {
		upper[i] = ph.toPicture.Apply(upper[i])
	}
	geom.Polygon(upper[:]).Fill(640, 480, func(y, x0, x1 int) {
		clear(half.Pix[3*(y*640+x0) : 3*(y*640+x1)])
	})
	_, ok = card.Find(&half)
	require.False(t, ok)

	_, ok = card.Find(&cloth.Picture{W: 20, H: 20, Pix: make([]float32, 1200)})
	require.False(t, ok)
}

// The demo's photos hold no card.
func TestNoCardInTheSamples(t *testing.T) {
	names, err := filepath.Glob("../../samples/*.jpg")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		_, ok := card.Find(halved(t, data))
		require.False(t, ok, name)
	}
}

// halved reads a JPEG at half its size, in linear light: package photo stands
// above, and would do, but not its shrinking.
func halved(t *testing.T, data []byte) *cloth.Picture {
	img, err := jpeg.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	b := img.Bounds()
	require.Zero(t, b.Min)
	p := &cloth.Picture{W: b.Dx() / 2, H: b.Dy() / 2, Shrink: 2}
	p.Pix = make([]float32, 3*p.W*p.H)
	for y := range 2 * p.H {
		for x := range 2 * p.W {
			r, g, bl, _ := img.At(x, y).RGBA()
			k := 3 * (y/2*p.W + x/2)
			for c, v := range [3]uint32{r, g, bl} {
				p.Pix[k+c] += decoded[v>>8] / 4
			}
		}
	}
	return p
}

// The homography is that of a general-purpose library: the direct linear
// transform's null vector by singular value decomposition (Hartley & Zisserman,
// Multiple View Geometry, 2nd ed., algorithm 4.1), on the same corners. The two
// weigh the corners' errors differently, so they agree to a fifth of a pixel.
func TestHomographyAgainstSVD(t *testing.T) {
	for seed := range uint64(6) {
		f, ok := card.Find(random(300+seed, 480, 360, 150).take().pic)
		require.True(t, ok)
		h := bySVD(t, f.Points, f.Seen)
		for _, c := range card.Outline.Corners() {
			require.Less(t, h.Apply(c).Dist(f.ToPicture.Apply(c)), 0.2)
		}
	}
}

func bySVD(t *testing.T, src, dst []geom.Point) geom.Homography {
	// Centred and scaled, so that the columns are of one size.
	const size = 5.0
	const middle, px = 240.0, 240.0
	a := mat.NewDense(2*len(src), 9, nil)
	for i := range src {
		x, y := src[i].X/size, src[i].Y/size
		u, v := (dst[i].X-middle)/px, (dst[i].Y-middle)/px
		a.SetRow(2*i, []float64{x, y, 1, 0, 0, 0, -u * x, -u * y, -u})
		a.SetRow(2*i+1, []float64{0, 0, 0, x, y, 1, -v * x, -v * y, -v})
	}
	var svd mat.SVD
	require.True(t, svd.Factorize(a, mat.SVDFull))
	var v mat.Dense
	svd.VTo(&v)
	var h geom.Homography
	for i := range h {
		h[i] = v.At(i, 8)
	}
	return geom.Homography{px, 0, middle, 0, px, middle, 0, 0, 1}.After(h).After(geom.Homography{1 / size, 0, 0, 0, 1 / size, 0, 0, 0, 1})
}

// What a finder makes of the card is the card: the whole of it, a step of its
// wedge, the sheet it was not cut out of; not the cloth it lies on, nor the
// piece beside it.
func TestCovers(t *testing.T) {
	ph := random(11, 640, 480, 150).take()
	f, ok := card.Find(ph.pic)
	require.True(t, ok)
	region := func(r geom.Rect) cloth.Region {
		c := r.Corners()
		for i := range c {
			c[i] = ph.toPicture.Apply(c[i])
		}
		return cloth.Region{Polygon: c[:], Corners: c[:]}
	}
	require.True(t, f.Covers(region(card.Outline)))
	require.True(t, f.Covers(region(card.Steps[2].Rect)))
	require.True(t, f.Covers(region(geom.Rect{X: -1.75, Y: -2, W: 8.5, H: 11})))
	require.False(t, f.Covers(region(geom.Rect{X: -2, Y: -2, W: 9, H: 12})))
	require.False(t, f.Covers(region(geom.Rect{X: -3, Y: 1, W: 3, H: 3})))
}

// The wedge is read as it was drawn, over the paper beside it, also where light
// falls off.
func TestReadsTheWedge(t *testing.T) {
	for seed := range uint64(6) {
		s := random(400+seed, 480, 360, 150)
		s.light = colour.Linear{0.8, 0.7, 0.6}
		s.vignette = 0.25
		f, ok := card.Find(s.take().pic)
		require.True(t, ok)
		require.Len(t, f.Wedge, len(card.Steps))
		for i, w := range f.Wedge {
			ink := 0.04 / paperAlbedo
			want := ink + (1-ink)*colour.Lab{L: card.Steps[i].Lightness}.XYZ()[1]
			require.InDelta(t, want, w.Grey.Luminance()/w.Paper.Luminance(), 0.012, "seed %d step %d", seed, i)
			require.Zero(t, w.Clipped)
		}
	}
}

// No word of code is near another, whichever way up: three cells read wrongly
// make no other mark. So no two of the marks as drawn, turned, agree in more
// than five cells.
func TestCodesAreFarApart(t *testing.T) {
	var words [][9]bool
	for i, m := range card.Marks {
		var w [9]bool
		for _, s := range card.Shapes() {
			x, y := int(math.Round((s.X-m.X)/card.Cell)), int(math.Round((s.Y-m.Y)/card.Cell))
			if s.W == card.Cell && s.H == card.Cell && x >= 1 && x <= 3 && y >= 1 && y <= 3 {
				w[3*(y-1)+x-1] = true
			}
		}
		for range 4 {
			words = append(words, w)
			var turned [9]bool
			for k := range turned {
				turned[k] = w[3*(2-k%3)+k/3]
			}
			w = turned
		}
		require.Len(t, words, 4*(i+1))
	}
	for i, a := range words {
		for _, b := range words[i+1:] {
			n := 0
			for k := range a {
				if a[k] != b[k] {
					n++
				}
			}
			require.GreaterOrEqual(t, n, 4)
		}
	}
}

// All that is printed lies on the card, and the card on either sheet with room
// for printers' margins of ½ inch and more (common practice, no source).
func TestLayout(t *testing.T) {
	for _, s := range card.Shapes() {
		require.True(t, s.X >= 0.2 && s.Y >= 0.2 && s.X+s.W <= card.Width-0.2 && s.Y+s.H <= card.Height-0.2)
		b := card.Blank
		require.False(t, s.X < b.X+b.W && b.X < s.X+s.W && s.Y < b.Y+b.H && b.Y < s.Y+s.H, "on the blank")
	}
	for _, w := range card.Texts() {
		require.True(t, w.Y > 2.5 && w.Y < card.Height-0.2, w.Words)
	}
	require.LessOrEqual(t, card.Width, 210/25.4-1)
	require.LessOrEqual(t, card.Height, 11.0-1)
	require.Equal(t, 4.0, card.CheckLine.W)
}

// Pictures of noise and stripes hold no card, and nothing breaks on them.
func TestNoiseHoldsNoCard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 90).Draw(t, "w"), rapid.IntRange(1, 90).Draw(t, "h")
		p := &cloth.Picture{W: w, H: h, Pix: make([]float32, 3*w*h)}
		period := rapid.IntRange(1, 12).Draw(t, "period")
		noise := rapid.SliceOfN(rapid.Float32Range(0, 1), 31, 31).Draw(t, "noise")
		for i := range p.Pix {
			p.Pix[i] = noise[i%31]
			if i/3%w/period%2 == 0 {
				p.Pix[i] *= 0.1
			}
		}
		_, ok := card.Find(p)
		require.False(t, ok)
	})
}
