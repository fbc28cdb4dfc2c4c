package photo

import (
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/require"
)

// FocalLengthIn35mmFilm is tag 0xA405, a SHORT, 0 where unknown (CIPA DC-008,
// 4.6.5).
func TestFocalLength(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		for said, want := range map[uint32]int{26: 26, 8: 8, 400: 400, 0: 0, 7: 0, 65535: 0} {
			require.Equal(t, want, readEXIF(exifOf(order, 6, []field{{0xa405, 3, said}}, nil)).focal35, "%v", said)
		}
		require.Zero(t, readEXIF(exifOf(order, 6, nil, nil)).focal35)
	}
}

// A JPEG that names its colour space is a camera's own picture, stripped of the
// rest too; one that does not may be anything, and so may a PNG that says sRGB.
func TestCameraNamesItsColours(t *testing.T) {
	data := jpegOf(t, noise(8, 8))
	exif := func(space uint32) []byte {
		return afterSOI(data, segment(markerAPP1, exifPrefix, exifOf(binary.BigEndian, 1, []field{{0xa001, 3, space}}, nil)))
	}
	for name, c := range map[string]struct {
		data []byte
		want bool
	}{
		"nothing":   {data, false},
		"turn only": {afterSOI(data, exifSegment(6)), false},
		"unsaid":    {exif(65535), false},
		"sRGB":      {exif(1), true},
		"profile":   {afterSOI(data, segment(markerAPP2, iccPrefix, []byte{1, 1}, displayP3ICC())), true},
		"drawing":   {afterIHDR(pngOf(t, noise(8, 8)), chunk("sRGB", []byte{0})), false},
	} {
		pic, _ := open(t, c.data)
		require.Equal(t, c.want, pic.Camera, name)
		kept, err := Strip(c.data)
		require.NoError(t, err, name)
		pic, _ = open(t, kept)
		require.Equal(t, c.want, pic.Camera, name)
	}
}
