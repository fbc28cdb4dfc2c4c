package photo

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// secret stands for a place, a time, a camera: it must not be in what is kept.
var secret = []byte("SECRET 57.15N 2.09W")

// secretEXIF is EXIF of a turn with a secret behind its directories, as a camera's
// text and place are.
func secretEXIF(turn uint16, camera, interop []field) []byte {
	return append(exifOf(binary.LittleEndian, turn, camera, interop), secret...)
}

// withSecrets are pictures in every format with all that cameras, phones and
// programs put beside them.
func withSecrets(t testing.TB, exif []byte) map[string][]byte {
	xmp := segment(markerAPP1, []byte("http://ns.adobe.com/xap/1.0/\x00"), secret)
	icc := displayP3ICC()
	out := map[string][]byte{}
	for _, name := range []string{"baseline-420.jpg", "progressive.jpg", "cmyk.jpg", "grey.jpg"} {
		data := testdata(t, "photo", name)
		preview := append(append([]byte{0xff, markerSOI}, segment(markerAPP1, exifPrefix, secret)...), data[2:]...)
		end := len(data) - 2
		inner := bytes.Join([][]byte{data[:end], segment(markerCOM, secret), data[end:], preview, secret}, nil)
		out[name] = afterSOI(inner, segment(markerAPP1, exifPrefix, exif), xmp,
			segment(markerAPP0, []byte("JFXX\x00\x10"), secret),
			segment(markerAPP2, []byte("MPF\x00"), secret), segment(0xeb, secret), segment(0xed, []byte("Photoshop 3.0\x00"), secret), segment(markerCOM, secret))
		if name == "baseline-420.jpg" {
			out["profile.jpg"] = afterSOI(out[name], segment(markerAPP2, iccPrefix, []byte{1, 1}, icc))
		}
	}
	p := testdata(t, "photo", "patches.png")
	p = beforeIEND(afterIHDR(p, iccp(icc), chunk("eXIf", exif), chunk("tEXt", append([]byte("Author\x00"), secret...)), chunk("tIME", secret[:7])),
		chunk("iTXt", append([]byte("XML:com.adobe.xmp\x00\x00\x00\x00\x00"), secret...)), chunk("caBX", secret))
	out["patches.png"] = append(p, secret...)
	for _, name := range []string{"lossless.webp", "lossy.webp"} {
		data := webpOf(testdata(t, "photo", name)[12:], 0x20|0x08|0x04, riff("ICCP", icc),
			bytes.Join([][]byte{riff("EXIF", exif), riff("XMP ", secret), riff("what", secret)}, nil))
		out[name] = append(data, secret...)
	}
	return out
}

// What a photo says of place, time and camera once stayed in the copies kept.
func TestStripLeavesThePicture(t *testing.T) {
	seen := 0
	for turn := range uint16(9) { // 0: none that is known
		for _, camera := range [][]field{nil, {{0xa001, 3, 1}}, {{0xa001, 3, 0xffff}}} {
			var interop []field
			if camera != nil && camera[0].value != 1 {
				interop = []field{{1, 2, binary.LittleEndian.Uint32([]byte("R03\x00"))}}
			}
			for name, data := range withSecrets(t, secretEXIF(turn, camera, interop)) {
				want, info := open(t, data)
				kept, err := Strip(data)
				require.NoError(t, err, name)
				require.NotContains(t, string(kept), string(secret[:6]), name)
				require.Less(t, len(kept), len(data), name)
				got, same := open(t, kept)
				require.Equal(t, info, same, "%s turned %d", name, turn)
				require.Equal(t, want, got, "%s turned %d", name, turn)
				again, err := Strip(kept)
				require.NoError(t, err)
				require.True(t, bytes.Equal(kept, again), name)
				seen++
			}
		}
	}
	require.Equal(t, 9*3*8, seen)
}

// Copies of a photo from which other things were taken are one photo.
func TestCopiesOfAPhotoStripToOne(t *testing.T) {
	bare := withSecrets(t, exifOf(binary.BigEndian, 6, nil, nil))
	for name, data := range withSecrets(t, secretEXIF(6, []field{{0xa405, 3, 26}}, nil)) {
		one, err := Strip(data)
		require.NoError(t, err)
		other, err := Strip(bare[name])
		require.NoError(t, err)
		require.Equal(t, one, other, name)
	}
}

// HEIC is blanked where it stands, and its picture is found where it was.
func TestStripHEIC(t *testing.T) {
	for _, name := range []string{"told.heic", "phone.heic", "alpha.heic", "thumbnail.heic", "p3-icc.heic", "turn-1m.heic"} {
		data := testdata(t, "heic", name)
		want, info := open(t, data)
		kept, err := Strip(data)
		require.NoError(t, err, name)
		require.NotContains(t, string(kept), string(secret[:6]), name)
		got, same := open(t, kept)
		want.Focal35 = 0
		require.Equal(t, want, got, name)
		require.Equal(t, info, same, name)
		again, err := Strip(kept)
		require.NoError(t, err)
		require.True(t, bytes.Equal(kept, again), name)
		changed := name == "told.heic" || name == "phone.heic"
		require.Equal(t, changed, !bytes.Equal(data, kept), name)
	}
	told := testdata(t, "heic", "told.heic")
	require.Equal(t, 6, bytes.Count(told, secret[:6])) // in every place that is blanked
	_, info := open(t, told)
	require.False(t, info.ProfileAssumed) // by EXIF alone
	// A box that ends beyond the file is cut off, unless the picture is in it.
	kept, err := Strip(append(bytes.Clone(told), "\x00\x00\x99\x99wide SECRET"...))
	require.NoError(t, err)
	require.NotContains(t, string(kept), string(secret[:6]))
	at := bytes.Index(told, []byte("mdat"))
	told[at-4] = 0x7f
	_, err = Strip(told)
	require.ErrorIs(t, err, ErrCorrupt)
}

// A photo with nothing beside the picture stays as it is.
func TestStripTouchesNothingElse(t *testing.T) {
	for _, name := range []string{"patches.png", "baseline-444.jpg", "lossy.webp", "lossless.webp"} {
		data := testdata(t, "photo", name)
		kept, err := Strip(data)
		require.NoError(t, err)
		require.Equal(t, data, kept, name)
	}
	for _, data := range []string{"", "no picture", "GIF89a"} {
		kept, err := Strip([]byte(data))
		require.NoError(t, err)
		require.Equal(t, data, string(kept))
	}
}

// FuzzStrip holds Strip to its word on any bytes that are a picture.
func FuzzStrip(f *testing.F) {
	for _, dir := range []string{"corrupt", "photo"} {
		paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", dir, "*.*"))
		require.NoError(f, err)
		for _, path := range paths {
			data, err := os.ReadFile(path)
			require.NoError(f, err)
			f.Add(data)
		}
	}
	for _, data := range withSecrets(f, secretEXIF(6, []field{{0xa001, 3, 1}}, nil)) {
		f.Add(data)
	}
	f.Add(testdata(f, "heic", "told.heic"))
	f.Fuzz(func(t *testing.T, data []byte) {
		o := Options{MaxPixels: 1 << 16}
		want, info, err := Decode("fuzz", data, o)
		kept, stripped := Strip(data)
		if err != nil {
			return
		}
		require.NoError(t, stripped)
		got, same, err := Decode("fuzz", kept, o)
		require.NoError(t, err)
		want.Focal35 = 0
		require.Equal(t, want, got)
		require.Equal(t, info, same)
		again, err := Strip(kept)
		require.NoError(t, err)
		require.True(t, bytes.Equal(kept, again))
	})
}
