package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// testdata reads a file of the project's testdata.
// Decode is Open of a photo in memory.
func Decode(name string, data []byte, o Options) (*cloth.Picture, Info, error) {
	pic, info, err := work(data, o)
	if err != nil {
		return nil, Info{}, refuse(name, err)
	}
	return pic, info, nil
}

func testdata(t testing.TB, elem ...string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(append([]string{"..", "..", "testdata"}, elem...)...))
	require.NoError(t, err)
	return b
}

func open(t testing.TB, data []byte) (*cloth.Picture, Info) {
	t.Helper()
	pic, info, err := Decode("a photo", data, Options{})
	require.NoError(t, err)
	return pic, info
}

func pngOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, m))
	return b.Bytes()
}

func jpegOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}))
	return b.Bytes()
}

// plain is a w × h picture of one colour.
func plain(w, h int, c color.Color) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		m.Set(i%w, i/w, c)
	}
	return m
}

// noise is a w × h picture of bytes that differ.
func noise(w, h int) *image.NRGBA {
	rng := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = uint8(rng.IntN(256)) | uint8(255*(i%4/3))
	}
	return m
}

// segment is a JPEG marker segment.
func segment(marker byte, payload ...[]byte) []byte {
	b := bytes.Join(payload, nil)
	return append([]byte{0xff, marker, byte((len(b) + 2) >> 8), byte(len(b) + 2)}, b...)
}

// afterSOI puts segments first in a JPEG.
func afterSOI(jpg []byte, segments ...[]byte) []byte {
	return bytes.Join([][]byte{jpg[:2], bytes.Join(segments, nil), jpg[2:]}, nil)
}

// chunk is a PNG chunk.
func chunk(name string, payload []byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(payload)))
	b = append(append(b, name...), payload...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// afterIHDR puts chunks second in a PNG.
func afterIHDR(p []byte, chunks ...[]byte) []byte {
	const end = 8 + 25
	return bytes.Join([][]byte{p[:end], bytes.Join(chunks, nil), p[end:]}, nil)
}

// beforeIEND puts chunks last but one in a PNG.
func beforeIEND(p []byte, chunks ...[]byte) []byte {
	end := len(p) - 12
	return bytes.Join([][]byte{p[:end], bytes.Join(chunks, nil), p[end:]}, nil)
}

func iccp(profile []byte) []byte {
	var b bytes.Buffer
	b.WriteString("name\x00\x00")
	z := zlib.NewWriter(&b)
	z.Write(profile)
	z.Close()
	return chunk("iCCP", b.Bytes())
}

// riff is a chunk of a WebP file.
func riff(name string, payload []byte) []byte {
	b := binary.LittleEndian.AppendUint32([]byte(name), uint32(len(payload)))
	return append(append(b, payload...), make([]byte, len(payload)&1)...)
}

// webpOf is an extended WebP of 48 × 32 pixels (RFC 9649, 2.7) with chunks before
// and after those of the picture.
func webpOf(pixels []byte, flags byte, before, after []byte) []byte {
	head := riff("VP8X", []byte{flags, 0, 0, 0, 47, 0, 0, 31, 0, 0})
	body := bytes.Join([][]byte{[]byte("WEBP"), head, before, pixels, after}, nil)
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

// field is a field of an EXIF directory (TIFF 6.0, section 2).
type field struct {
	tag, kind uint16
	value     uint32
}

// exifOf is a TIFF structure with a directory of one field, and, where given, one
// of the camera's and one for interoperability.
func exifOf(order binary.AppendByteOrder, orientation uint16, camera, interop []field) []byte {
	short := func(v uint16) uint32 { // a short stands in the first two bytes of four
		return order.(binary.ByteOrder).Uint32(append(order.AppendUint16(nil, v), 0, 0))
	}
	b := []byte("II*\x00")
	if order == binary.AppendByteOrder(binary.BigEndian) {
		b = []byte("MM\x00*")
	}
	b = order.AppendUint32(b, 8)
	write := func(fields []field) {
		b = order.AppendUint16(b, uint16(len(fields)))
		for _, f := range fields {
			b = order.AppendUint16(b, f.tag)
			b = order.AppendUint16(b, f.kind)
			n := uint32(1)
			v := f.value
			switch f.kind {
			case 2:
				n = 4
			case 3:
				v = short(uint16(v))
			}
			b = order.AppendUint32(b, n)
			b = order.AppendUint32(b, v)
		}
		b = order.AppendUint32(b, 0)
	}
	first := []field{{0x0112, 3, uint32(orientation)}}
	if camera == nil {
		write(first)
		return b
	}
	write(append(first, field{0x8769, 4, 8 + 2 + 2*12 + 4}))
	if interop == nil {
		write(camera)
		return b
	}
	write(append(camera, field{0xa005, 4, uint32(len(b) + 2 + 12*(len(camera)+1) + 4)}))
	write(interop)
	return b
}

func exifSegment(orientation uint16) []byte {
	return segment(markerAPP1, exifPrefix, exifOf(binary.BigEndian, orientation, nil, nil))
}

// iccTag is a tag of a profile that a test makes.
type iccTag struct {
	name string
	data []byte
}

// iccOf is an ICC profile (ICC.1:2010, 7.1) of the given colour space.
func iccOf(space string, tags ...iccTag) []byte {
	b := make([]byte, 132)
	copy(b[8:], "\x04\x30\x00\x00mntr")
	copy(b[16:], space)
	copy(b[20:], "XYZ ")
	copy(b[36:], "acsp")
	binary.BigEndian.PutUint32(b[128:], uint32(len(tags)))
	at := len(b) + 12*len(tags)
	var data []byte
	for _, t := range tags {
		b = append(b, t.name...)
		b = binary.BigEndian.AppendUint32(b, uint32(at+len(data)))
		b = binary.BigEndian.AppendUint32(b, uint32(len(t.data)))
		data = append(data, t.data...)
		for len(data)%4 != 0 {
			data = append(data, 0)
		}
	}
	b = append(b, data...)
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	return b
}

func fixedOf(values ...float64) []byte {
	var b []byte
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
	}
	return b
}

func xyzTag(name string, v [3]float64) iccTag {
	return iccTag{name, append([]byte("XYZ \x00\x00\x00\x00"), fixedOf(v[:]...)...)}
}

func paraTag(name string, kind byte, params ...float64) iccTag {
	return iccTag{name, append([]byte{'p', 'a', 'r', 'a', 0, 0, 0, 0, 0, kind, 0, 0}, fixedOf(params...)...)}
}

func curvTag(name string, values ...uint16) iccTag {
	b := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), uint32(len(values)))
	for _, v := range values {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	return iccTag{name, b}
}

func mlucTag(s string) iccTag {
	b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(s)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, c := range []byte(s) {
		b = append(b, 0, c)
	}
	return iccTag{"desc", b}
}

// srgbCurve is the curve of IEC 61966-2-1 as a parametricCurveType of kind 3.
func srgbCurve(name string) iccTag {
	return paraTag(name, 3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045)
}

// matrixICC is an RGB profile of three D50 colourants and one kind of curve.
func matrixICC(name string, col [3][3]float64, curve func(string) iccTag) []byte {
	return iccOf("RGB ", mlucTag(name),
		xyzTag("rXYZ", col[0]), xyzTag("gXYZ", col[1]), xyzTag("bXYZ", col[2]),
		curve("rTRC"), curve("gTRC"), curve("bTRC"))
}

// The D50 colourants that profiles in circulation carry; figures from memory,
// confirmed by their sums, which are the ICC white .9642 1 .8249, and by the
// comparison with independent matrices in the tests.
var (
	p3Colourants    = [3][3]float64{{0.51512, 0.24120, -0.00105}, {0.29198, 0.69225, 0.04189}, {0.15710, 0.06657, 0.78407}}
	adobeColourants = [3][3]float64{{0.60974, 0.31111, 0.01947}, {0.20528, 0.62567, 0.06087}, {0.14919, 0.06322, 0.74457}}
)

func displayP3ICC() []byte { return matrixICC("Display P3", p3Colourants, srgbCurve) }

func adobeRGBICC() []byte {
	return matrixICC("Adobe RGB (1998)", adobeColourants, func(n string) iccTag { return curvTag(n, 563) })
}

// pixel is the working picture's colour at (x, y).
func pixel(p *cloth.Picture, x, y int) colour.Linear {
	i := 3 * (y*p.W + x)
	return colour.Linear{float64(p.Pix[i]), float64(p.Pix[i+1]), float64(p.Pix[i+2])}
}

func requireLinear(t testing.TB, want, got colour.Linear, within float64, what ...any) {
	t.Helper()
	for k := range want {
		require.InDelta(t, want[k], got[k], within, what...)
	}
}
