package photo

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"piecebag/internal/fault"
)

// FuzzDecode holds the door to its word on any bytes: a picture of the size that
// its header says, with finite pixels, or a *fault.Error with a remedy; no panic, which
// Decode would hide as a corrupt picture.
func FuzzDecode(f *testing.F) {
	for _, dir := range []string{"corrupt", "photo", "heic"} {
		paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", dir, "*.*"))
		if err != nil || len(paths) == 0 {
			f.Fatal("no seeds in", dir, err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	png := pngOf(f, plain(3, 2, patchColours[0]))
	f.Add(afterIHDR(png, iccp(displayP3ICC())))
	f.Add(afterSOI(jpegOf(f, noise(9, 9)), exifSegment(6), segment(markerAPP2, iccPrefix, []byte{1, 1}, adobeRGBICC())))
	f.Fuzz(func(t *testing.T, data []byte) {
		pic, info, err := Decode("fuzz", data, Options{MaxPixels: 1 << 16})
		if err != nil {
			var e *fault.Error
			if !errors.As(err, &e) || e.About != "fuzz" || e.Why == "" || e.Remedy == "" {
				t.Fatalf("not a refusal: %#v", err)
			}
			var p panicError
			if errors.As(err, &p) {
				t.Fatal(err)
			}
			return
		}
		if info.Width*info.Height != pic.FullW*pic.FullH || len(pic.Pix) != 3*pic.W*pic.H || len(pic.Clipped) != pic.W*pic.H {
			t.Fatalf("sizes disagree: %+v, %d × %d", info, pic.W, pic.H)
		}
		for _, v := range pic.Pix {
			if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
				t.Fatal("a pixel that is no number")
			}
		}
	})
}
