package scene

import (
	"bytes"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

var kinds = []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile}

const small = 320 // pixels, quick

// On one core as on many.
func TestTheSameSeedGivesTheSameBytes(t *testing.T) {
	for _, k := range kinds {
		a := Make(k, 2, 9, Options{Long: 256})
		cores := runtime.GOMAXPROCS(1)
		b := Make(k, 2, 9, Options{Long: 256})
		runtime.GOMAXPROCS(cores)
		require.True(t, bytes.Equal(a.JPEG, b.JPEG), k)
		require.Equal(t, a.Mask, b.Mask)
		require.Equal(t, a.Pieces, b.Pieces)
		c := Make(k, 2, 10, Options{Long: 256})
		require.False(t, bytes.Equal(a.JPEG, c.JPEG), k)
	}
}

func TestTruthAgreesWithTheMask(t *testing.T) {
	for _, k := range kinds {
		for level := 1; level <= 3; level++ {
			s := Make(k, level, 21, Options{Long: small})
			require.NotEmpty(t, s.Pieces)
			n := make([]int, len(s.Pieces)+1)
			for _, id := range s.Mask {
				n[id]++
			}
			require.Greater(t, n[0], len(s.Mask)/20, "some ground shows")
			for i, p := range s.Pieces {
				require.Equal(t, i+1, p.ID)
				require.Equal(t, n[p.ID], p.VisiblePx)
				require.LessOrEqual(t, p.VisiblePx, p.Bounds.Dx()*p.Bounds.Dy())
				require.Equal(t, p.VisiblePx < 400 || p.Visible < 0.05, p.Ignore)
				sum := 0.0
				for j, c := range p.Colours {
					sum += c.Share
					require.True(t, j == 0 || c.Share <= p.Colours[j-1].Share)
				}
				require.LessOrEqual(t, sum, 1+1e-9)
				if p.VisiblePx > 0 {
					require.Greater(t, sum, 0.7, "%s %d %s", s.Name, p.ID, p.PrintName)
				}
			}
		}
	}
}

// On a scene that is flat on the table, a piece fills its corners, and they
// are as far apart as its cut says.
func TestCornersFitTheMask(t *testing.T) {
	for seed := range uint64(5) {
		s := Make(cloth.Spread, 1, seed, Options{Long: small})
		for _, p := range s.Pieces {
			if p.Truncated || p.Ignore {
				continue
			}
			g := geom.Polygon(p.Corners)
			both, all := 0, 0
			g.Fill(s.W, s.H, func(y, x0, x1 int) {
				all += x1 - x0
				for _, id := range s.Mask[y*s.W+x0 : y*s.W+x1] {
					if int(id) == p.ID {
						both++
					}
				}
			})
			iou := float64(both) / float64(all+p.VisiblePx-both)
			require.Greater(t, iou, 0.75, "%s piece %d", s.Name, p.ID)
			require.Positive(t, g.SignedArea(), "clockwise on screen")
			inches := g.Perimeter() / s.PxPerInch / 2
			// A camera that leans by 0.15 shows an inch at the border a sixth
			// larger or smaller than in the middle.
			require.InEpsilon(t, p.WidthIn+p.HeightIn, inches, 0.18, "%s piece %d", s.Name, p.ID)
		}
	}
}

// The photo is the albedo times the light, up to what the camera's curve and
// saturation do.
func TestColourFollowsTheLight(t *testing.T) {
	checked := 0
	for seed := uint64(1); seed <= 4; seed++ {
		s := Make(cloth.Board, 1, seed, Options{Long: small})
		for _, p := range s.Pieces {
			mid := geom.Polygon(p.Corners).Centroid()
			white := s.WhiteAt(mid).Linear()
			for k := range 3 {
				want := p.Mean[k] * white[k]
				if want < 0.06 || want > 0.5 {
					continue // noise, saturation and clipping bend the ends
				}
				got := colour.DecodeSRGB(p.PhotoMean[k] / 255)
				require.InEpsilon(t, want, got, 0.45, "%s piece %d channel %d", s.Name, p.ID, k)
				checked++
			}
		}
	}
	require.Greater(t, checked, 40)
}

func TestReferencesLieClearOfCloth(t *testing.T) {
	found := 0
	for seed := uint64(1); seed <= 5; seed++ {
		s := Make(cloth.Spread, 2, seed, Options{Long: small})
		for _, r := range s.References {
			found++
			on := 0
			geom.Polygon(r.Corners[:]).Fill(s.W, s.H, func(y, x0, x1 int) {
				for _, id := range s.Mask[y*s.W+x0 : y*s.W+x1] {
					if id > 0 {
						on++
					}
				}
			})
			require.Zero(t, on, s.Name)
			ring := geom.Polygon(r.Corners[:])
			require.InEpsilon(t, 2*(r.WidthIn+r.HeightIn)*s.PxPerInch, ring.Perimeter(), 0.3, s.Name) // leaning camera
		}
	}
	require.Positive(t, found)
}

func TestWriteTo(t *testing.T) {
	dir := t.TempDir()
	s := Make(cloth.Pile, 3, 4, Options{Long: small})
	require.NoError(t, s.WriteTo(dir))
	f, err := os.Open(filepath.Join(dir, s.Name+"_mask.png"))
	require.NoError(t, err)
	defer f.Close()
	m, err := png.Decode(f)
	require.NoError(t, err)
	for _, p := range []struct{ x, y int }{{0, 0}, {s.W / 2, s.H / 2}, {s.W / 3, s.H / 2}} {
		v, _, _, _ := m.At(p.x, p.y).RGBA()
		require.EqualValues(t, s.Mask[p.y*s.W+p.x], v)
	}
	b, err := os.ReadFile(filepath.Join(dir, s.Name+".jpg"))
	require.NoError(t, err)
	img, err := jpeg.Decode(bytes.NewReader(b))
	require.NoError(t, err)
	require.Equal(t, s.Image.Bounds(), img.Bounds())
	require.Error(t, s.WriteTo(filepath.Join(dir, "missing")))
}

func TestWriteSetTakesLevelsInTurn(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	require.NoError(t, WriteSet(dir, Set{Kinds: []cloth.Kind{cloth.Board}, Per: 2, First: 41, Options: Options{Long: 256}}))
	for _, n := range []string{"board1-0041", "board2-0042"} {
		require.FileExists(t, filepath.Join(dir, n+".json"))
	}
}

func TestMakeRefusesWhatItCannotDraw(t *testing.T) {
	require.Panics(t, func() { Make("heap", 1, 1, Options{Long: small}) })
	require.Panics(t, func() { Make(cloth.Pile, 4, 1, Options{Long: small}) })
	require.Panics(t, func() { Make(cloth.Pile, 1, 1, Options{Long: 100}) })
}

func BenchmarkMake(b *testing.B) {
	for _, k := range kinds {
		b.Run(string(k), func(b *testing.B) {
			for b.Loop() {
				Make(k, 2, 1, Options{Long: LongSide})
			}
		})
	}
}

// Photos of one shelf show the same prints, by a name that lasts; a photo that draws
// its own prints has none.
func TestScenesOfOneShelf(t *testing.T) {
	prints := func(seed, shelf uint64) map[string]colour.Lab {
		b := &builder{r: rand.New(rand.NewPCG(seed, 1)), level: 1, options: Options{Shelf: shelf}}
		out := map[string]colour.Lab{}
		for _, f := range b.cloths(60) {
			out[f.id] = f.mean().Lab()
		}
		return out
	}
	a, b := prints(1, 7), prints(2, 7)
	require.Len(t, a, 60)
	common := 0
	for id, mean := range a {
		if other, ok := b[id]; ok {
			require.Equal(t, mean, other, id)
			common++
		}
	}
	require.Greater(t, common, 20)
	require.Less(t, common, 60, "not all the same")
	for id := range prints(1, 8) {
		require.NotContains(t, a, id)
	}
	require.Contains(t, prints(1, 0), "")
}

// Prints of the same inks differ in pattern alone: each design has each of them as its
// ground once.
func TestPrintsOfTheSameInks(t *testing.T) {
	b := &builder{r: rand.New(rand.NewPCG(1, 1)), level: 1, options: Options{Shelf: 7, Inks: 2}}
	fabrics := b.cloths(100)
	inks, grounds := map[colour.Linear]bool{}, map[string]bool{}
	for _, f := range fabrics {
		require.Len(t, f.inks, 2)
		require.NotEqual(t, f.inks[0], f.inks[1])
		inks[f.inks[0]], inks[f.inks[1]] = true, true
		ground := f.name + f.inks[0].Hex()
		require.False(t, grounds[ground], ground)
		grounds[ground] = true
		c, _ := f.colourAt(0.3, 0.4)
		require.Less(t, min(colour.DeltaE76(c.Lab(), f.inks[0].Lab()), colour.DeltaE76(c.Lab(), f.inks[1].Lab())), 6.0, f.name)
	}
	require.Len(t, inks, 2)
	require.Greater(t, len(fabrics), 16)
}
