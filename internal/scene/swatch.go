package scene

import (
	"cmp"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg" // swatches are JPEG
	_ "image/png"  // or PNG
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"

	"piecebag/internal/colour"
)

const (
	swatchPPI  = 50 // pixels of a swatch an inch of its cloth spans
	swatchTrim = 12 // pixels left off all round, where a neighbour may show
)

// Swatch is a picture of real printed cloth, flat and evenly lit: its colours
// are taken as albedo.
type Swatch struct {
	Name string // of its file, without the ending
	w, h int
	rgb  []float32 // row-major, linear sRGB, 3 a pixel
	ink  []uint8   // the ink that each pixel counts for
	inks []colour.Linear
}

// ReadSwatches reads the pictures (JPEG or PNG, 50 pixels an inch) of a folder
// by name.
func ReadSwatches(dir string) ([]*Swatch, error) {
	var names []string
	for _, ending := range [2]string{"*.jpg", "*.png"} {
		some, err := filepath.Glob(filepath.Join(dir, ending))
		if err != nil {
			return nil, err
		}
		names = append(names, some...)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s: no swatches: want pictures of cloth, JPEG or PNG", dir)
	}
	slices.Sort(names)
	out := make([]*Swatch, len(names))
	for i, n := range names {
		f, err := os.Open(n)
		if err != nil {
			return nil, err
		}
		img, _, err := image.Decode(f)
		f.Close()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", n, err)
		}
		if size := img.Bounds(); min(size.Dx(), size.Dy()) < 4*swatchTrim {
			return nil, fmt.Errorf("%s: %d × %d pixels are too few to cut cloth from", n, size.Dx(), size.Dy())
		}
		base := filepath.Base(n)
		out[i] = newSwatch(base[:len(base)-len(filepath.Ext(base))], img)
	}
	return out, nil
}

func newSwatch(name string, img image.Image) *Swatch {
	b := img.Bounds().Inset(swatchTrim)
	pix := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(pix, pix.Bounds(), img, b.Min, draw.Src)
	s := &Swatch{Name: name, w: b.Dx(), h: b.Dy()}
	s.rgb = make([]float32, 3*s.w*s.h)
	for i := range s.w * s.h {
		for k := range 3 {
			s.rgb[3*i+k] = float32(colour.DecodeSRGB(float64(pix.Pix[4*i+k]) / 255))
		}
	}
	s.findInks()
	return s
}

// findInks parts the swatch's colours into inks: k-means in CIELAB, begun from
// colours that lie far from one another (after Gonzalez 1985).
func (s *Swatch) findInks() {
	const (
		most   = 6
		apart  = 8 // CIELAB distance under which a further ink is no other colour
		rounds = 12
	)
	n := s.w * s.h
	labs := make([]colour.Lab, n)
	for i := range labs {
		labs[i] = s.at(i).Lab()
	}
	mean := func(of func(i int) bool) (m colour.Lab, count float64) {
		for i, p := range labs {
			if of(i) {
				m.L, m.A, m.B, count = m.L+p.L, m.A+p.A, m.B+p.B, count+1
			}
		}
		return colour.Lab{L: m.L / count, A: m.A / count, B: m.B / count}, count
	}
	first, _ := mean(func(int) bool { return true })
	centres := []colour.Lab{first}
	near := make([]float64, n)
	for i := range near {
		near[i] = math.Inf(1)
	}
	for len(centres) < most {
		// Far from all inks, but not the very farthest: single pixels stray.
		for i, p := range labs {
			near[i] = min(near[i], labDistance(p, centres[len(centres)-1]))
		}
		order := make([]int, n)
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(near[a], near[b]) })
		far := order[n-1-n/100]
		if near[far] < apart {
			break
		}
		centres = append(centres, labs[far])
	}
	s.ink = make([]uint8, n)
	for range rounds {
		for i, p := range labs {
			best := math.Inf(1)
			for k, c := range centres {
				if d := labDistance(p, c); d < best {
					best, s.ink[i] = d, uint8(k)
				}
			}
		}
		for k := range centres {
			if m, count := mean(func(i int) bool { return int(s.ink[i]) == k }); count > 0 {
				centres[k] = m
			}
		}
	}
	for _, c := range centres {
		s.inks = append(s.inks, c.Linear())
	}
}

// at is the albedo of pixel i.
func (s *Swatch) at(i int) colour.Linear {
	return colour.Linear{float64(s.rgb[3*i]), float64(s.rgb[3*i+1]), float64(s.rgb[3*i+2])}
}

// mirrored is the pixel at i of a line of n that goes there and back for ever.
func mirrored(i, n int) int {
	i = ((i % (2 * n)) + 2*n) % (2 * n)
	return min(i, 2*n-1-i)
}

// fabric is the swatch as cloth: mirrored to any size, a little larger or
// smaller, turned or not. Its colours are kept.
func (s *Swatch) fabric(r *rand.Rand) *fabric {
	ppi := swatchPPI * math.Exp(0.25*(2*r.Float64()-1))
	turned := r.IntN(2) == 0
	place := func(x, y float64) (float64, float64) {
		if turned {
			x, y = y, -x
		}
		return x*ppi - 0.5, y*ppi - 0.5
	}
	index := func(x, y int) int { return mirrored(y, s.h)*s.w + mirrored(x, s.w) }
	return &fabric{
		name: s.Name, inks: s.inks, seed: r.Uint32(), same: r.IntN(8) == 0,
		ink: func(x, y float64) int {
			x, y = place(x, y)
			return int(s.ink[index(int(math.Round(x)), int(math.Round(y)))])
		},
		blend: func(x, y float64) colour.Linear {
			x, y = place(x, y)
			fx, fy := math.Floor(x), math.Floor(y)
			i, j := int(fx), int(fy)
			tx, ty := x-fx, y-fy
			return blend(
				blend(s.at(index(i, j)), s.at(index(i+1, j)), tx),
				blend(s.at(index(i, j+1)), s.at(index(i+1, j+1)), tx), ty)
		},
	}
}
