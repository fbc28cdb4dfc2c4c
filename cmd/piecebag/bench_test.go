package main

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"golang.org/x/image/draw"

	"piecebag/internal/cloth"
	"piecebag/internal/truth/scene"
)

// photo12MP is a photo of 4032 × 3024 pixels, as a phone takes it: a scene,
// enlarged, with the noise of its own pixels, in a JPEG of quality 92.
var photo12MP = sync.OnceValue(func() []byte {
	s := scene.Make(cloth.Spread, 1, 10, scene.Options{Long: 2016})
	m := image.NewRGBA(image.Rect(0, 0, 2*s.W, 2*s.H))
	draw.CatmullRom.Scale(m, m.Rect, s.Image, s.Image.Rect, draw.Src, nil)
	noise := rand.New(rand.NewPCG(12, 1))
	for i := range m.Pix {
		if i%4 != 3 {
			m.Pix[i] = uint8(max(0, min(255, int(m.Pix[i])+noise.IntN(9)-4)))
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 92}); err != nil {
		panic(err)
	}
	return b.Bytes()
})

// BenchmarkLook12MP is the whole command; the aim is at most 25 times the CPU that
// djpeg of libjpeg-turbo takes for the same photo.
func BenchmarkLook12MP(b *testing.B) {
	photo := filepath.Join(b.TempDir(), "photo.jpg")
	if err := os.WriteFile(photo, photo12MP(), 0o644); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		var errs bytes.Buffer
		if code := run(context.Background(), []string{"look", photo}, streams{out: io.Discard, err: &errs}); code != exitFine {
			b.Fatal(errs.String())
		}
	}
}

// BenchmarkDecode12MP is what decoding the same JPEG costs, and nothing else.
func BenchmarkDecode12MP(b *testing.B) {
	photo := photo12MP()
	b.SetBytes(int64(len(photo)))
	for b.Loop() {
		if _, err := jpeg.Decode(bytes.NewReader(photo)); err != nil {
			b.Fatal(err)
		}
	}
}
