package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// phonePhoto is a 12 MP JPEG, 4:2:0, of weave, patches and noise, about as large
// as a phone's.
var phonePhoto = sync.OnceValue(func() []byte {
	rng := rand.New(rand.NewPCG(12, 4032))
	m := image.NewYCbCr(image.Rect(0, 0, 4032, 3024), image.YCbCrSubsampleRatio420)
	for y := range 3024 {
		for x := range 4032 {
			weave := 12 * math.Sin(float64(x)*0.9) * math.Sin(float64(y)*0.8)
			patch := float64(40 * ((x/300 + y/280) % 4))
			m.Y[m.YOffset(x, y)] = uint8(60 + patch + weave + 5*rng.NormFloat64())
			if x%2 == 0 && y%2 == 0 {
				i := m.COffset(x, y)
				m.Cb[i] = uint8(90 + 30*((x/300)%3) + rng.IntN(5))
				m.Cr[i] = uint8(100 + 25*((y/280)%3) + rng.IntN(5))
			}
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 90}); err != nil {
		panic(err)
	}
	return b.Bytes()
})

// BenchmarkJPEGDecode is what the standard decoder alone costs on 12 MP: the
// measure of BenchmarkOpen.
func BenchmarkJPEGDecode(b *testing.B) {
	data := phonePhoto()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		_, err := jpeg.Decode(bytes.NewReader(data))
		require.NoError(b, err)
	}
}

// BenchmarkOpen is the whole door on the same 12 MP.
func BenchmarkOpen(b *testing.B) {
	data := phonePhoto()
	path := filepath.Join(b.TempDir(), "a.jpg")
	require.NoError(b, os.WriteFile(path, data, 0o600))
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		_, _, err := Open(path, Options{})
		require.NoError(b, err)
	}
}

// BenchmarkShrink is the door without the decoder.
func BenchmarkShrink(b *testing.B) {
	img, err := jpeg.Decode(bytes.NewReader(phonePhoto()))
	require.NoError(b, err)
	for b.Loop() {
		src, err := newRows(img, jfif)
		require.NoError(b, err)
		shrink(src, 3, 6, displayP3())
	}
}

// BenchmarkUpright is the picture for a report, shrunk to 1600 pixels.
func BenchmarkUpright(b *testing.B) {
	path := filepath.Join(b.TempDir(), "a.jpg")
	require.NoError(b, os.WriteFile(path, afterSOI(phonePhoto(), exifSegment(6)), 0o600))
	for b.Loop() {
		_, err := Upright(path, 1600)
		require.NoError(b, err)
	}
}
