package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// patchColours are the six 16 × 16 patches, three a row, of the pictures in
// testdata/photo, before any codec.
var patchColours = [6]color.NRGBA{
	{200, 30, 40, 255}, {40, 160, 60, 255}, {30, 60, 170, 255},
	{230, 200, 50, 255}, {128, 128, 128, 255}, {250, 250, 250, 255},
}

func patches(t testing.TB) *image.NRGBA {
	m, err := png.Decode(bytes.NewReader(testdata(t, "photo", "patches.png")))
	require.NoError(t, err)
	out := image.NewNRGBA(m.Bounds())
	for i := range 48 * 32 {
		out.Set(i%48, i/48, m.At(i%48, i/48))
	}
	return out
}

// patch is the mean of the inner 8 × 8 pixels of patch i, as sRGB 0..255.
func patch(p *cloth.Picture, i int) [3]float64 {
	var sum colour.Linear
	for k := range 64 {
		v := pixel(p, 16*(i%3)+4+k%8, 16*(i/3)+4+k/8)
		for c := range sum {
			sum[c] += v[c] / 64
		}
	}
	s := sum.SRGB()
	return [3]float64{255 * s[0], 255 * s[1], 255 * s[2]}
}

// Every kind of file shows the same six colours. JPEG and WebP of quality 95 keep
// flat patches within two codes; a decoder that took WebP's studio range for full
// range would be out by up to 16.
func TestCodecs(t *testing.T) {
	for _, c := range []struct {
		file, format string
		within       float64
	}{
		{"patches.png", formatPNG, 0.01},
		{"baseline-420.jpg", formatJPEG, 2},
		{"baseline-422.jpg", formatJPEG, 2},
		{"baseline-444.jpg", formatJPEG, 2},
		{"progressive.jpg", formatJPEG, 2},
		{"cmyk.jpg", formatJPEG, 2},
		{"lossless.webp", formatWebP, 0.01},
		{"lossy.webp", formatWebP, 2.5},
	} {
		t.Run(c.file, func(t *testing.T) {
			pic, info := open(t, testdata(t, "photo", c.file))
			require.Equal(t, c.format, info.Format)
			require.Equal(t, [4]int{48, 32, 48, 32}, [4]int{pic.W, pic.H, pic.FullW, pic.FullH})
			for i, want := range patchColours {
				got := patch(pic, i)
				for k, v := range []uint8{want.R, want.G, want.B} {
					require.InDelta(t, float64(v), got[k], c.within, "patch %d, channel %d", i, k)
				}
			}
		})
	}
}

// A grey JPEG holds the luma of BT.601, as its encoder computed it.
func TestGreyJPEG(t *testing.T) {
	pic, _ := open(t, testdata(t, "photo", "grey.jpg"))
	for i, c := range patchColours {
		luma := 0.299*float64(c.R) + 0.587*float64(c.G) + 0.114*float64(c.B)
		for _, v := range patch(pic, i) {
			require.InDelta(t, luma, v, 1.5)
		}
	}
}

// The lower patches of the alpha pictures are opaque, half and wholly transparent.
func TestAlphaOverWhite(t *testing.T) {
	for file, within := range map[string]float64{"alpha.png": 0.3, "alpha.webp": 2.5} {
		pic, info := open(t, testdata(t, "photo", file))
		require.Contains(t, info.Note, seeThrough, "which was once not said")
		for i, c := range patchColours {
			a := []float64{1, 1, 1, 1, 128.0 / 255, 0}[i]
			got := patch(pic, i)
			for k, v := range []uint8{c.R, c.G, c.B} {
				require.InDelta(t, a*float64(v)+(1-a)*255, got[k], within, "%s, patch %d", file, i)
			}
		}
	}
}

// What has an alpha channel and is opaque all over is like any other.
func TestOpaqueAlphaIsNotSaid(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 64, 64))
	for i := range m.Pix {
		m.Pix[i] = 255
	}
	said := func() string {
		var b bytes.Buffer
		require.NoError(t, png.Encode(&b, m))
		_, info, err := Decode("a.png", b.Bytes(), Options{})
		require.NoError(t, err)
		return info.Note
	}
	require.NotContains(t, said(), "transparent")
	m.Pix[4*100+3] = 254
	require.Equal(t, "no colour profile; taken as sRGB; "+seeThrough, said())
}

// Every kind of picture that the PNG decoder can return shows the colour that
// image/color says it has, over white.
func TestPNGKinds(t *testing.T) {
	r := image.Rect(0, 0, 3, 2)
	palette := color.Palette{color.NRGBA{10, 20, 30, 255}, color.NRGBA{200, 100, 50, 255}, color.NRGBA{200, 100, 50, 51}}
	fill := func(m interface {
		image.Image
		Set(x, y int, c color.Color)
	}, c color.Color,
	) image.Image {
		for i := range 6 {
			m.Set(i%3, i/3, c)
		}
		return m
	}
	opaque := color.NRGBA{200, 100, 50, 255}
	clear := color.NRGBA{200, 100, 50, 51}
	deep := color.NRGBA64{51400, 25801, 12802, 65535}
	deepClear := color.NRGBA64{51400, 25801, 12802, 13107}
	for name, m := range map[string]image.Image{
		"8-bit RGB":   fill(image.NewRGBA(r), opaque),
		"8-bit RGBA":  fill(image.NewNRGBA(r), clear),
		"16-bit RGB":  fill(image.NewRGBA64(r), deep),
		"16-bit RGBA": fill(image.NewNRGBA64(r), deepClear),
		"8-bit grey":  fill(image.NewGray(r), color.Gray{77}),
		"16-bit grey": fill(image.NewGray16(r), color.Gray16{20000}),
		"palette":     fill(image.NewPaletted(r, palette[:2]), palette[1]),
		"clear index": fill(image.NewPaletted(r, palette), palette[2]),
	} {
		t.Run(name, func(t *testing.T) {
			pic, info := open(t, pngOf(t, m))
			require.Equal(t, formatPNG, info.Format)
			q := color.NRGBA64Model.Convert(m.At(1, 1)).(color.NRGBA64)
			a := float64(q.A) / 65535
			var want colour.SRGB
			for k, v := range []uint16{q.R, q.G, q.B} {
				want[k] = a*float64(v)/65535 + 1 - a
			}
			got := pixel(pic, 1, 1).SRGB()
			for k := range want {
				require.InDelta(t, want[k], got[k], 0.0006, "a little more than half a quarter step of 8 bits")
			}
		})
	}
}

// 16 bits are not cut to 8: neighbours in a dark gradient stay apart.
func TestDeepPicturesKeepTheirDepth(t *testing.T) {
	m := image.NewGray16(image.Rect(0, 0, 2, 1))
	m.SetGray16(0, 0, color.Gray16{1000})
	m.SetGray16(1, 0, color.Gray16{1100})
	pic, _ := open(t, pngOf(t, m))
	require.InDelta(t, colour.DecodeSRGB(1000.0/65535), pixel(pic, 0, 0)[0], 2e-6)
	require.InDelta(t, colour.DecodeSRGB(1100.0/65535), pixel(pic, 1, 0)[0], 2e-6)
}

// Printing inks are read, and said to be approximate.
func TestInksAreSaid(t *testing.T) {
	_, info := open(t, testdata(t, "photo", "cmyk.jpg"))
	require.True(t, info.ProfileAssumed)
	require.Contains(t, info.Note, "inks")
}
