package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"os"
	"path/filepath"
	"testing"

	"github.com/lucasb-eyer/go-colorful"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/colour"
)

// The derived matrices to XYZ (D65) against the published ones: Display P3 from
// CSS Color 4, "Sample code for color conversions" (W3C); Adobe RGB from Adobe RGB
// (1998) Color Image Encoding, 2005, its figures from memory.
func TestPrimaries(t *testing.T) {
	for _, c := range []struct {
		p    profile
		want colour.Matrix
	}{
		{displayP3(), colour.Matrix{
			0.4865709486482162, 0.26566769316909306, 0.1982172852343625,
			0.2289745640697488, 0.6917385218365064, 0.079286914093745,
			0, 0.04511338185890264, 1.043944368900976,
		}},
		{adobeRGB(), colour.Matrix{
			0.57667, 0.18556, 0.18823,
			0.29734, 0.62736, 0.07529,
			0.02703, 0.07069, 0.99134,
		}},
	} {
		for i := range 3 {
			primary := colour.Linear{c.p.toLinear[i], c.p.toLinear[3+i], c.p.toLinear[6+i]}.XYZ()
			for k, v := range primary {
				require.InDelta(t, c.want[3*k+i], v, 1e-5, "%s, primary %d", c.p.name, i)
			}
		}
	}
}

// taggedPNG is a 1 × 1 PNG with a colour profile.
func taggedPNG(t testing.TB, icc []byte, c color.Color) []byte {
	return afterIHDR(pngOf(t, plain(1, 1, c)), iccp(icc))
}

// Display P3 by its ICC profile against go-colorful, which was written apart.
func TestDisplayP3(t *testing.T) {
	icc := displayP3ICC()
	rapid.Check(t, func(r *rapid.T) {
		b := rapid.SliceOfN(rapid.Byte(), 3, 3).Draw(r, "rgb")
		pic, info := open(t, taggedPNG(t, icc, color.NRGBA{b[0], b[1], b[2], 255}))
		require.Equal(t, Info{Format: formatPNG, Width: 1, Height: 1, Orientation: 1, Profile: "Display P3"}, info)
		x, y, z := colorful.LinearDisplayP3ToXyz(colorful.DisplayP3ToLinearRgb(
			float64(b[0])/255, float64(b[1])/255, float64(b[2])/255))
		requireLinear(t, colour.XYZ{x, y, z}.Linear(), pixel(pic, 0, 0), 3e-4, "colourants of five digits")
	})
}

func TestAdobeRGB(t *testing.T) {
	icc := adobeRGBICC()
	rapid.Check(t, func(r *rapid.T) {
		b := rapid.SliceOfN(rapid.Byte(), 3, 3).Draw(r, "rgb")
		pic, _ := open(t, taggedPNG(t, icc, color.NRGBA{b[0], b[1], b[2], 255}))
		x, y, z := colorful.LinearA98RgbToXyz(colorful.A98RgbToLinearRgb(
			float64(b[0])/255, float64(b[1])/255, float64(b[2])/255))
		requireLinear(t, colour.XYZ{x, y, z}.Linear(), pixel(pic, 0, 0), 3e-4, "colourants of five digits")
	})
}

// lcmsRows are sRGB bytes that Little CMS 2.14 (through Pillow 9.4, relative
// colorimetric) gives for device bytes under these profiles.
var lcmsRows = []struct {
	profile      string
	device, want color.NRGBA
}{
	{"p3", color.NRGBA{200, 30, 40, 255}, color.NRGBA{218, 0, 27, 255}},
	{"p3", color.NRGBA{40, 160, 60, 255}, color.NRGBA{0, 163, 40, 255}},
	{"p3", color.NRGBA{30, 60, 170, 255}, color.NRGBA{17, 61, 177, 255}},
	{"p3", color.NRGBA{230, 200, 50, 255}, color.NRGBA{236, 199, 0, 255}},
	{"p3", color.NRGBA{128, 128, 128, 255}, color.NRGBA{128, 128, 128, 255}},
	{"p3", color.NRGBA{250, 250, 250, 255}, color.NRGBA{250, 250, 250, 255}},
	{"p3", color.NRGBA{90, 140, 160, 255}, color.NRGBA{73, 142, 162, 255}},
	{"p3", color.NRGBA{20, 25, 30, 255}, color.NRGBA{19, 25, 31, 255}},
	{"p3", color.NRGBA{180, 120, 100, 255}, color.NRGBA{190, 117, 96, 255}},
	{"adobe", color.NRGBA{200, 30, 40, 255}, color.NRGBA{233, 24, 36, 255}},
	{"adobe", color.NRGBA{40, 160, 60, 255}, color.NRGBA{0, 161, 47, 255}},
	{"adobe", color.NRGBA{30, 60, 170, 255}, color.NRGBA{0, 57, 174, 255}},
	{"adobe", color.NRGBA{230, 200, 50, 255}, color.NRGBA{241, 201, 12, 255}},
	{"adobe", color.NRGBA{128, 128, 128, 255}, color.NRGBA{129, 129, 129, 255}},
	{"adobe", color.NRGBA{250, 250, 250, 255}, color.NRGBA{250, 250, 250, 255}},
	{"adobe", color.NRGBA{90, 140, 160, 255}, color.NRGBA{53, 141, 162, 255}},
	{"adobe", color.NRGBA{20, 25, 30, 255}, color.NRGBA{9, 18, 24, 255}},
	{"adobe", color.NRGBA{180, 120, 100, 255}, color.NRGBA{199, 121, 99, 255}},
}

// What a viewer shows agrees with Little CMS to one code.
func TestUprightAgainstLittleCMS(t *testing.T) {
	for _, r := range lcmsRows {
		icc := map[string]func() []byte{"p3": displayP3ICC, "adobe": adobeRGBICC}[r.profile]()
		path := filepath.Join(t.TempDir(), "a.png")
		require.NoError(t, os.WriteFile(path, taggedPNG(t, icc, r.device), 0o600))
		m, err := Upright(path, 0)
		require.NoError(t, err)
		got := m.NRGBAAt(0, 0)
		for k, d := range []int{int(got.R) - int(r.want.R), int(got.G) - int(r.want.G), int(got.B) - int(r.want.B)} {
			require.LessOrEqual(t, d*d, 1, "%s %v channel %d: %v", r.profile, r.device, k, got)
		}
	}
}

// Greys stay neutral to the last digit under any profile, also one that was
// written without adaptation to D50 (its white is D65, as in CIE 15).
func TestGreysStayGrey(t *testing.T) {
	unadapted := [3][3]float64{{0.4124, 0.2126, 0.0193}, {0.3576, 0.7152, 0.1192}, {0.1805, 0.0722, 0.9505}}
	for name, icc := range map[string][]byte{
		"P3": displayP3ICC(), "Adobe RGB": adobeRGBICC(), "unadapted": matrixICC("x", unadapted, srgbCurve),
	} {
		for _, v := range []uint8{0, 1, 17, 118, 254, 255} {
			pic, _ := open(t, taggedPNG(t, icc, color.NRGBA{v, v, v, 255}))
			c := pixel(pic, 0, 0)
			require.InDelta(t, c[0], c[1], 2e-7, name)
			require.InDelta(t, c[0], c[2], 2e-7, name)
			if v == 255 {
				require.InDelta(t, 1, c[1], 2e-7, name)
			}
		}
	}
}

// The curve types of ICC.1:2010, 10.5 and table 65, against their formulas.
func TestCurves(t *testing.T) {
	for name, c := range map[string]struct {
		tag  iccTag
		want [3]float64 // at 0, .25, 1
	}{
		"identity":  {curvTag("x"), [3]float64{0, 0.25, 1}},
		"gamma 2":   {curvTag("x", 512), [3]float64{0, 0.0625, 1}},
		"samples":   {curvTag("x", 0, 6553, 65535), [3]float64{0, 0.05, 1}},
		"inverted":  {curvTag("x", 65535, 0), [3]float64{1, 0.75, 0}},
		"kind 0":    {paraTag("x", 0, 2), [3]float64{0, 0.0625, 1}},
		"kind 1":    {paraTag("x", 1, 2, 2, -0.25), [3]float64{0, 0.0625, 3.0625}},
		"kind 2":    {paraTag("x", 2, 2, 1, -0.5, 0.1), [3]float64{0.1, 0.1, 0.35}},
		"kind 3":    {paraTag("x", 3, 2, 1, 0, 0.5, 0.5), [3]float64{0, 0.125, 1}},
		"kind 4":    {paraTag("x", 4, 2, 1, 0, 0.5, 0.5, 0.2, 0.1), [3]float64{0.1, 0.225, 1.2}},
		"sRGB":      {srgbCurve("x"), [3]float64{0, colour.DecodeSRGB(0.25), 1}},
		"one point": {curvTag("x", 256), [3]float64{0, 0.25, 1}},
	} {
		curve, err := parseCurve(c.tag.data)
		require.NoError(t, err, name)
		for i, x := range []float64{0, 0.25, 1} {
			require.InDelta(t, c.want[i], curve(x), 2e-5, "%s at %v", name, x)
		}
	}
}

// A profile is found in every container, in one piece or cut over segments that
// stand in any order (ICC.1:2010, B.4).
func TestWhereProfilesStand(t *testing.T) {
	icc := displayP3ICC()
	part := func(i byte, b []byte) []byte { return segment(markerAPP2, iccPrefix, []byte{i, 2}, b) }
	riff := testdata(t, "photo", "lossless.webp")
	for name, data := range map[string][]byte{
		"JPEG": afterSOI(jpegOf(t, noise(8, 8)), segment(markerAPP2, iccPrefix, []byte{1, 1}, icc)),
		"cut":  afterSOI(jpegOf(t, noise(8, 8)), part(2, icc[200:]), part(1, icc[:200])),
		"PNG":  taggedPNG(t, icc, color.Black),
		"WebP": extendedWebP(riff[12:], "ICCP", icc),
		"cICP": afterIHDR(pngOf(t, noise(8, 8)), chunk("cICP", []byte{12, 13, 0, 1})),
	} {
		_, info := open(t, data)
		require.Equal(t, "Display P3", info.Profile, name)
		require.False(t, info.ProfileAssumed, name)
		require.Empty(t, info.Note, name)
	}
	_, info := open(t, afterSOI(jpegOf(t, noise(8, 8)), part(1, icc[:200])))
	require.True(t, info.ProfileAssumed, "half a profile is none")
}

// extendedWebP is a WebP file (RFC 9649, 2.7) of 48 × 32 with another chunk.
func extendedWebP(pixels []byte, name string, payload []byte) []byte {
	if name == "ICCP" {
		return webpOf(pixels, 0x28, riff(name, payload), nil)
	}
	return webpOf(pixels, 0x28, nil, riff(name, payload))
}

func TestWebPTurns(t *testing.T) {
	pixels := testdata(t, "photo", "lossless.webp")[12:]
	exif := exifOf(binary.LittleEndian, 8, nil, nil)
	for _, payload := range [][]byte{exif, append(exifPrefix[:6:6], exif...)} {
		pic, info := open(t, extendedWebP(pixels, "EXIF", payload))
		require.Equal(t, 8, info.Orientation)
		require.Equal(t, [2]int{32, 48}, [2]int{pic.FullW, pic.FullH})
	}
}

// Without a profile a picture is sRGB; whether that is known or assumed is said.
func TestSRGBKnownOrAssumed(t *testing.T) {
	data := jpegOf(t, noise(8, 8))
	exif := func(camera, interop []field) []byte {
		return afterSOI(data, segment(markerAPP1, exifPrefix, exifOf(binary.BigEndian, 1, camera, interop)))
	}
	r03 := binary.BigEndian.Uint32([]byte("R03\x00"))
	lab := iccOf("RGB ")
	copy(lab[20:], "Lab ")
	for name, c := range map[string]struct {
		data    []byte
		profile string
		assumed bool
	}{
		"nothing":             {data, "sRGB", true},
		"EXIF sRGB":           {exif([]field{{0xa001, 3, 1}}, nil), "sRGB", false},
		"EXIF uncalibrated":   {exif([]field{{0xa001, 3, 65535}}, nil), "sRGB", true},
		"DCF option file":     {exif([]field{{0xa001, 3, 65535}}, []field{{1, 2, r03}}), "Adobe RGB (1998)", false},
		"PNG sRGB":            {afterIHDR(pngOf(t, noise(8, 8)), chunk("sRGB", []byte{0})), "sRGB", false},
		"PNG cICP sRGB":       {afterIHDR(pngOf(t, noise(8, 8)), chunk("cICP", []byte{1, 13, 0, 1})), "sRGB", false},
		"PNG cICP film":       {afterIHDR(pngOf(t, noise(8, 8)), chunk("cICP", []byte{9, 16, 0, 1})), "sRGB", true},
		"tables":              {taggedPNG(t, lab, color.Black), "sRGB", true},
		"grey for colours":    {taggedPNG(t, iccOf("GRAY", curvTag("kTRC", 512)), color.Black), "sRGB", true},
		"inks for colours":    {taggedPNG(t, iccOf("CMYK"), color.Black), "sRGB", true},
		"garbage":             {taggedPNG(t, bytes.Repeat([]byte("acsp"), 100), color.Black), "sRGB", true},
		"nothing in it":       {taggedPNG(t, iccOf("RGB "), color.Black), "sRGB", true},
		"black white":         {taggedPNG(t, matrixICC("x", [3][3]float64{}, srgbCurve), color.Black), "sRGB", true},
		"primaries in a line": {taggedPNG(t, matrixICC("x", [3][3]float64{{0.3, 0.3, 0.3}, {0.3, 0.3, 0.3}, {0.4, 0.4, 0.3}}, srgbCurve), color.Black), "sRGB", true},
	} {
		t.Run(name, func(t *testing.T) {
			_, info := open(t, c.data)
			require.Equal(t, c.profile, info.Profile)
			require.Equal(t, c.assumed, info.ProfileAssumed)
			require.Equal(t, c.assumed, info.Note != "")
			if c.assumed {
				require.Contains(t, info.Note, "taken as sRGB")
			}
		})
	}
}

// A tag count or offset that lies must not be believed.
func TestLyingProfiles(t *testing.T) {
	icc := displayP3ICC()
	for at := 128; at+4 <= len(icc); at += 4 {
		lie := bytes.Clone(icc)
		copy(lie[at:], "\xff\xff\xff\xff")
		_, _, err := Decode("lie.png", taggedPNG(t, lie, color.White), Options{})
		require.NoError(t, err, "at %d", at)
	}
}

// The name of a profile is a stranger's text.
func TestProfileNames(t *testing.T) {
	p, err := parseICC(matrixICC("\x1b[31mred\nalert", p3Colourants, srgbCurve))
	require.NoError(t, err)
	require.Equal(t, "[31mredalert", p.name)

	old := iccTag{"desc", append([]byte("desc\x00\x00\x00\x00\x00\x00\x00\x0a"), "Old style\x00\x00\x00\x00\x00\x00\x00\x00"...)}
	p, _ = parseICC(iccOf("RGB ", old))
	require.Equal(t, "Old style", p.name)

	p, _ = parseICC(iccOf("RGB "))
	require.Equal(t, "unnamed", p.name)
}

// A grey profile's curve is honoured: gamma 1 leaves the codes as they are.
func TestGreyProfile(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 1, 1))
	m.SetGray(0, 0, color.Gray{51})
	pic, info := open(t, afterIHDR(pngOf(t, m), iccp(iccOf("GRAY", mlucTag("Grey light"), curvTag("kTRC")))))
	require.Equal(t, "Grey light", info.Profile)
	requireLinear(t, colour.Linear{0.2, 0.2, 0.2}, pixel(pic, 0, 0), 1e-7)
}
