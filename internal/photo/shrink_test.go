package photo

import (
	"image"
	"iter"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/colour"
	"piecebag/internal/raster"
)

// The factor is max(1, floor(long side / 1200 + 1/2)).
func TestFactor(t *testing.T) {
	for _, c := range [][3]int{
		{1, 1, 1}, {1200, 900, 1}, {1799, 10, 1}, {1800, 10, 2}, {10, 2999, 2}, {3000, 2000, 3},
		{4032, 3024, 3}, {8160, 6144, 7}, {60000, 1000, 50},
	} {
		require.Equal(t, c[2], factor(c[0], c[1]), "%v", c)
	}
}

// naive is the box mean in linear light, in float64, pixel by pixel.
func naive(w, h, f int, at func(x, y int) colour.Linear) []float64 {
	ow, oh := (w+f-1)/f, (h+f-1)/f
	out := make([]float64, 3*ow*oh)
	for oy := range oh {
		for ox := range ow {
			n := 0.0
			var sum colour.Linear
			for y := oy * f; y < min(h, oy*f+f); y++ {
				for x := ox * f; x < min(w, ox*f+f); x++ {
					c := at(x, y)
					for k := range sum {
						sum[k] += c[k]
					}
					n++
				}
			}
			for k := range sum {
				out[3*(oy*ow+ox)+k] = sum[k] / n
			}
		}
	}
	return out
}

func TestShrinkIsTheMeanOfBytes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 40).Draw(t, "w"), rapid.IntRange(1, 40).Draw(t, "h")
		f := rapid.IntRange(1, 9).Draw(t, "f")
		m := noise(w, h)
		src, err := newRows(m, jfif)
		require.NoError(t, err)
		got := shrink(src, f, 1, sRGB())
		want := naive(w, h, f, func(x, y int) colour.Linear {
			c := m.NRGBAAt(x, y)
			return colour.SRGB{float64(c.R) / 255, float64(c.G) / 255, float64(c.B) / 255}.Linear()
		})
		require.Len(t, got.Pix, len(want))
		require.Equal(t, float64(f), got.Shrink)
		for i := range want {
			require.InDelta(t, want[i], got.Pix[i], 6e-8, "float32")
		}
	})
}

// The mean of YCbCr is that of ITU-T T.871, equations 4–6, in float64, with the
// chroma sample of each pixel. Half a quarter step of 8 bits, at the steepest
// part of the sRGB curve (slope 2.28), is 1/4/255/2·2.28 = 0.0011 a pixel.
func TestShrinkIsTheMeanOfYCbCr(t *testing.T) {
	ratios := []image.YCbCrSubsampleRatio{
		image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420,
		image.YCbCrSubsampleRatio440, image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410,
	}
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 33).Draw(t, "w"), rapid.IntRange(1, 33).Draw(t, "h")
		f := rapid.IntRange(1, 7).Draw(t, "f")
		m := image.NewYCbCr(image.Rect(0, 0, w, h), rapid.SampledFrom(ratios).Draw(t, "ratio"))
		fill := noise(64, 64).Pix
		copy(m.Y, fill)
		copy(m.Cb, fill[3000:])
		copy(m.Cr, fill[6001:])
		src, err := newRows(m, jfif)
		require.NoError(t, err)
		got := shrink(src, f, 1, sRGB())
		want := naive(w, h, f, func(x, y int) colour.Linear {
			l := float64(m.Y[m.YOffset(x, y)])
			cb := float64(m.Cb[m.COffset(x, y)]) - 128
			cr := float64(m.Cr[m.COffset(x, y)]) - 128
			var c colour.SRGB
			for k, v := range []float64{l + 1.402*cr, l - 0.344136*cb - 0.714136*cr, l + 1.772*cb} {
				c[k] = min(255, max(0, v)) / 255
			}
			return c.Linear()
		})
		for i := range want {
			require.InDelta(t, want[i], got.Pix[i], 0.0025, "two roundings")
		}
	})
}

// The same photo gives the same bits however many workers share the rows.
func TestShrinkDoesNotDependOnTheSplit(t *testing.T) {
	src, err := newRows(noise(501, 400), jfif)
	require.NoError(t, err)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	want := shrink(src, 3, 8, displayP3())
	for _, n := range []int{2, 7} {
		runtime.GOMAXPROCS(n)
		require.Equal(t, want, shrink(src, 3, 8, displayP3()))
	}
}

// Clipped is the share of full pixels with a channel at the top.
func TestClipped(t *testing.T) {
	m := noise(4, 2)
	for i := range m.Pix {
		m.Pix[i] = min(m.Pix[i]|uint8(255*(i%4/3)), 200|uint8(55*(i%4/3)))
	}
	m.Pix[4*0+1] = 255 // one of the first block's four
	for _, x := range []int{2, 3, 6, 7} {
		m.Pix[4*x] = 255 // all of the second's
	}
	src, err := newRows(m, jfif)
	require.NoError(t, err)
	require.Equal(t, []uint8{64, 255}, shrink(src, 2, 1, sRGB()).Clipped)
}

// A worker's panic reaches the caller, who makes a refusal of it.
func TestWorkersPanicsAreCaught(t *testing.T) {
	err := func() (err error) {
		defer caught(&err)
		raster.Each(3, func(numbers iter.Seq[int]) {
			for range numbers {
				panic("a codec's fault")
			}
		})
		return nil
	}()
	require.ErrorIs(t, err, ErrCorrupt)
}
