package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// sides is where the stored picture's row 0 and column 0 lie once it is upright
// (CIPA DC-008-2019, 4.6.4 A, Orientation).
var sides = [9]struct{ row, column string }{
	1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
	5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"},
}

// stored is how a camera held at orientation o stores an upright picture.
func stored(upright *image.NRGBA, o int) *image.NRGBA {
	w, h := upright.Rect.Dx(), upright.Rect.Dy()
	rows, columns := h, w
	if s := sides[o].row; s == "left" || s == "right" {
		rows, columns = w, h
	}
	out := image.NewNRGBA(image.Rect(0, 0, columns, rows))
	for r := range rows {
		for c := range columns {
			var x, y int
			for side, n := range map[string]int{sides[o].row: r, sides[o].column: c} {
				switch side {
				case "top":
					y = n
				case "bottom":
					y = h - 1 - n
				case "left":
					x = n
				case "right":
					x = w - 1 - n
				}
			}
			out.SetNRGBA(c, r, upright.NRGBAAt(x, y))
		}
	}
	return out
}

// All eight turns, in each container, give the bytes of the upright picture, also
// where the size is no multiple of the shrink factor.
func TestTurns(t *testing.T) {
	for _, size := range []image.Point{{7, 4}, {3001, 5}, {2, 3002}} {
		upright := noise(size.X, size.Y)
		want, _ := open(t, pngOf(t, upright))
		for o := 1; o <= 8; o++ {
			data := pngOf(t, stored(upright, o))
			exif := exifOf(binary.LittleEndian, uint16(o), nil, nil)
			for name, turned := range map[string][]byte{
				"eXIf before the pixels": afterIHDR(data, chunk("eXIf", exif)),
				"eXIf after the pixels":  beforeIEND(data, chunk("eXIf", exif)),
			} {
				got, info := open(t, turned)
				require.Equal(t, o, info.Orientation, name)
				require.Equal(t, want, got, "%v, orientation %d, %s", size, o, name)
			}
		}
	}
}

func TestTurnsJPEG(t *testing.T) {
	upright := stored(patches(t), 1)
	want, _ := open(t, pngOf(t, upright))
	for o := 1; o <= 8; o++ {
		got, info := open(t, afterSOI(jpegOf(t, stored(upright, o)), exifSegment(uint16(o))))
		require.Equal(t, o, info.Orientation)
		require.Equal(t, 48, got.FullW)
		require.Equal(t, 32, got.FullH)
		for i := range 6 {
			x, y := 8+16*(i%3), 8+16*(i/3)
			requireLinear(t, pixel(want, x, y), pixel(got, x, y), 0.02, "orientation %d, patch %d", o, i)
		}
	}
}

// XMP shares EXIF's marker and may come first; so may an XMP block in pieces.
func TestXMPBeforeEXIF(t *testing.T) {
	xmp := segment(markerAPP1, []byte("http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta/>"))
	more := segment(markerAPP1, []byte("http://ns.adobe.com/xmp/extension/\x00"), bytes.Repeat([]byte("x"), 60000))
	data := jpegOf(t, noise(20, 10))
	pic, info := open(t, afterSOI(data, xmp, more, exifSegment(6)))
	require.Equal(t, 6, info.Orientation)
	require.Equal(t, 10, pic.W)
	require.Equal(t, 20, pic.H)
}

// Only the first EXIF block counts, and orientations out of range mean upright.
func TestOddOrientations(t *testing.T) {
	data := jpegOf(t, noise(20, 10))
	_, info := open(t, afterSOI(data, exifSegment(3), exifSegment(6)))
	require.Equal(t, 3, info.Orientation)
	for _, o := range []uint16{0, 9, 65535} {
		_, info = open(t, afterSOI(data, exifSegment(o)))
		require.Equal(t, 1, info.Orientation)
	}
	_, info = open(t, data)
	require.Equal(t, 1, info.Orientation)
}

// A photo with damaged labels is still a photo.
func TestDamagedEXIF(t *testing.T) {
	loop := exifOf(binary.BigEndian, 6, []field{{0x8769, 4, 8}}, nil)
	far := exifOf(binary.BigEndian, 6, []field{{0x8769, 4, 0xfffffff0}}, nil)
	for name, exif := range map[string][]byte{
		"empty": {}, "cut": loop[:9], "no order": []byte("XX*\x00"), "far directory": {'M', 'M', 0, '*', 0xff, 0xff, 0xff, 0xff},
		"loop": loop, "far": far, "zeros": make([]byte, 100),
	} {
		_, _, err := Decode(name, afterSOI(jpegOf(t, noise(20, 10)), segment(markerAPP1, exifPrefix, exif)), Options{})
		require.NoError(t, err, name)
	}
}

func TestUprightTurns(t *testing.T) {
	upright := noise(9, 5)
	for o := 1; o <= 8; o++ {
		path := filepath.Join(t.TempDir(), fmt.Sprintf("%d.png", o))
		data := afterIHDR(pngOf(t, stored(upright, o)), chunk("eXIf", exifOf(binary.BigEndian, uint16(o), nil, nil)))
		require.NoError(t, os.WriteFile(path, data, 0o600))
		got, err := Upright(path, 0)
		require.NoError(t, err)
		require.Equal(t, upright, got, "orientation %d", o)
	}
}
