package scene

import (
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// striped is a swatch of two colours, the first over three quarters of it.
func striped(a, b color.RGBA) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 160, 120))
	for y := range 120 {
		for x := range 160 {
			if x%32 < 24 {
				img.SetRGBA(x, y, a)
			} else {
				img.SetRGBA(x, y, b)
			}
		}
	}
	return img
}

func swatchFolder(t *testing.T) string {
	dir := t.TempDir()
	for name, img := range map[string]image.Image{
		"b.png": striped(color.RGBA{200, 60, 40, 255}, color.RGBA{240, 235, 225, 255}),
		"a.png": striped(color.RGBA{40, 60, 120, 255}, color.RGBA{90, 150, 90, 255}),
	} {
		f, err := os.Create(filepath.Join(dir, name))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, img))
		require.NoError(t, f.Close())
	}
	return dir
}

// Cloth cut from real prints has the colours of its swatch, in mean and in
// inks, and its pieces bear the swatch's name.
func TestRealPrintsKeepTheirColours(t *testing.T) {
	swatches, err := ReadSwatches(swatchFolder(t))
	require.NoError(t, err)
	require.Len(t, swatches, 2)
	want := map[string][2]string{"a": {"#283c78", "#5a965a"}, "b": {"#c83c28", "#f0ebe1"}}
	for _, k := range kinds {
		s := Make(k, 1, 4, Options{Long: small, Swatches: swatches, Real: 1})
		seen := map[string]string{}
		for _, p := range s.Pieces {
			inks, ok := want[p.PrintName]
			require.True(t, ok, p.PrintName)
			if id, ok := seen[p.PrintName]; ok {
				require.Equal(t, id, p.Print)
			}
			seen[p.PrintName] = p.Print
			if p.Ignore || p.Back > 0 {
				continue
			}
			if !p.Folded && p.WidthIn > 2 && p.Visible > 0.9 { // it shows both stripes, 0.64 inch a pair
				require.Len(t, p.Colours, 2, "%s piece %d", s.Name, p.ID)
				require.InDelta(t, 0.75, p.Colours[0].Share, 0.15, "%s piece %d", s.Name, p.ID)
			}
			for _, c := range p.Colours {
				near := 100.0
				for _, text := range inks {
					ink, err := colour.ParseColour(text)
					require.NoError(t, err)
					near = min(near, colour.DeltaE76(ink.Lab(), c.Colour.Lab()))
				}
				require.Less(t, near, 6.0, "%s piece %d", s.Name, p.ID)
			}
		}
	}
}

// Dyed anew, blends of inks are blends of the new inks, and a grey stays
// a grey.
func TestAnotherDye(t *testing.T) {
	for seed := range uint64(40) {
		dye := anotherDye(rand.New(rand.NewPCG(seed, 1)))
		grey := dye(colour.Linear{0.3, 0.3, 0.3}).Lab()
		require.InDelta(t, 0, math.Hypot(grey.A, grey.B), 1e-6)
		require.Greater(t, grey.L, dye(colour.Linear{0.1, 0.1, 0.1}).Lab().L, "what was darker stays darker")
		a, b := colour.Linear{0.5, 0.2, 0.15}, colour.Linear{0.3, 0.4, 0.5}
		half := dye(blend(a, b, 0.5))
		want := blend(dye(a), dye(b), 0.5)
		for k := range half {
			if v := half[k]; v > darkest+1e-9 && v < lightest-1e-9 && dye(a)[k] > darkest && dye(b)[k] > darkest && dye(a)[k] < lightest && dye(b)[k] < lightest {
				require.InDelta(t, want[k], v, 1e-12)
			}
		}
	}
	red := colour.Linear{0.5, 0.1, 0.1}.Lab()
	hues := map[int]bool{}
	for seed := range uint64(60) {
		c := anotherDye(rand.New(rand.NewPCG(seed, 2)))(colour.Linear{0.5, 0.1, 0.1}).Lab()
		hues[int(math.Mod(math.Atan2(c.B, c.A)/math.Pi*3+6, 6))] = true
		require.Greater(t, colour.DeltaE76(c, red), 0.0)
	}
	require.Len(t, hues, 6, "hues all round")
}

func TestSomeClothIsReal(t *testing.T) {
	swatches, err := ReadSwatches(swatchFolder(t))
	require.NoError(t, err)
	b := &builder{r: rand.New(rand.NewPCG(1, 2)), options: Options{Swatches: swatches, Real: 0.1}}
	real := 0
	const n, rounds = 10, 40
	for range rounds {
		f := b.cloths(n)
		require.Len(t, f, n)
		for _, c := range f {
			real += bool01(c.name == "a" || c.name == "b")
		}
	}
	// One of ten: 40 of 400, the deviate of such a draw is 6; there are but two.
	require.InDelta(t, 36, real, 18)
}

func TestSwatchesThatAreNone(t *testing.T) {
	dir := t.TempDir()
	_, err := ReadSwatches(dir)
	require.ErrorContains(t, err, "no swatches")
	name := filepath.Join(dir, "torn.jpg")
	require.NoError(t, os.WriteFile(name, []byte("torn"), 0o644))
	_, err = ReadSwatches(dir)
	require.ErrorContains(t, err, name)
}

// A scene with its reference withheld is the same scene: only where the
// reference lay does the mask differ.
func TestPairsDifferByTheirReference(t *testing.T) {
	lost := 0
	for _, k := range kinds {
		for seed := uint64(30); seed < 33; seed++ {
			with := Make(k, 1+int(seed%3), seed, Options{Long: small, Reference: Always})
			without := Make(k, 1+int(seed%3), seed, Options{Long: small, Reference: Withheld})
			require.Len(t, with.References, 1, with.Name)
			require.Empty(t, without.References)
			require.Equal(t, len(without.Pieces), len(with.Pieces))
			ring := geom.Polygon(with.References[0].Corners[:])
			for _, c := range ring { // in view
				require.True(t, c.X > 0 && c.Y > 0 && c.X < float64(with.W) && c.Y < float64(with.H), "%s %v", with.Name, c)
			}
			white := 0
			for i, p := range with.Paper {
				white += bool01(p)
				require.False(t, without.Paper[i], with.Name)
			}
			require.InEpsilon(t, ring.Area(), white, 0.15, with.Name)
			under := make([]bool, len(with.Mask))
			ring.Fill(with.W, with.H, func(y, x0, x1 int) {
				for x := max(0, x0-2); x < min(with.W, x1+2); x++ {
					for v := max(0, y-2); v <= min(with.H-1, y+2); v++ {
						under[v*with.W+x] = true
					}
				}
			})
			for i := range with.Mask {
				if !under[i] {
					require.Equal(t, without.Mask[i], with.Mask[i], with.Name)
				} else if with.Mask[i] != without.Mask[i] {
					lost++
				}
			}
		}
	}
	require.Positive(t, lost, "some lie on cloth")
}

func TestWriteSetInPairsAndHalves(t *testing.T) {
	dir := t.TempDir()
	set := Set{Kinds: []cloth.Kind{cloth.Spread}, Per: 1, First: 3, Pairs: true, Options: Options{Long: 256}}
	require.NoError(t, WriteSet(dir, set))
	require.FileExists(t, filepath.Join(dir, "spread1-0003-with.json"))
	require.FileExists(t, filepath.Join(dir, "spread1-0003-without.json"))
	set.Pairs, set.Half, set.Per = false, true, 2
	require.NoError(t, WriteSet(dir, set))
	for name, has := range map[string]string{"spread1-0003": `"has_reference": true`, "spread2-0004": `"has_reference": false`} {
		b, err := os.ReadFile(filepath.Join(dir, name+".json"))
		require.NoError(t, err)
		require.Contains(t, string(b), has)
	}
}
