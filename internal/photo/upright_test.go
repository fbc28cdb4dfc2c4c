package photo

import (
	"image"
	"image/color"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// A viewer's picture is fitted into its longest side after the turn, and never
// enlarged.
func TestUprightSize(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.jpg")
	require.NoError(t, os.WriteFile(path, afterSOI(jpegOf(t, noise(60, 30)), exifSegment(6)), 0o600))
	for side, want := range map[int]image.Point{0: {30, 60}, 20: {10, 20}, 60: {30, 60}, 1000: {30, 60}} {
		m, err := Upright(path, side)
		require.NoError(t, err)
		require.Equal(t, image.Rectangle{Max: want}, m.Bounds(), "at most %d", side)
		require.True(t, m.Opaque())
	}
}

// Upright agrees with the working picture on every kind of pixel.
func TestUprightAgreesWithOpen(t *testing.T) {
	for _, name := range []string{"patches.png", "baseline-420.jpg", "cmyk.jpg", "grey.jpg", "lossy.webp", "alpha.png", "alpha.webp"} {
		path := filepath.Join("..", "..", "testdata", "photo", name)
		pic, _, err := Open(path, Options{})
		require.NoError(t, err)
		m, err := Upright(path, 0)
		require.NoError(t, err)
		for i := range 48 * 32 {
			x, y := i%48, i/48
			b := pixel(pic, x, y).Bytes()
			want := color.NRGBA{b[0], b[1], b[2], 255}
			require.InDelta(t, want.R, m.NRGBAAt(x, y).R, 1, name)
			require.InDelta(t, want.G, m.NRGBAAt(x, y).G, 1, name)
			require.InDelta(t, want.B, m.NRGBAAt(x, y).B, 1, name)
		}
	}
}

// A budget for one photo lets one through at a time, and one that is larger than
// the budget too.
func TestBudget(t *testing.T) {
	b := NewBudget(100)
	var inside, most atomic.Int64
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			give := b.take(60 + 100*int64(i%2))
			defer give()
			n := inside.Add(1)
			for {
				m := most.Load()
				if n <= m || most.CompareAndSwap(m, n) {
					break
				}
			}
			inside.Add(-1)
		})
	}
	wg.Wait()
	require.EqualValues(t, 1, most.Load())
	_, _, err := Decode("a.png", pngOf(t, noise(20, 20)), Options{Budget: b})
	require.NoError(t, err)
	require.True(t, b.sem.TryAcquire(100), "all of it was given back")
}
