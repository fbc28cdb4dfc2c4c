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
	"piecebag/internal/palette"
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

// findInks parts the swatch's colours into inks: k-means in CIELAB over some of
// its pixels, those joined that look alike.
func (s *Swatch) findInks() {
	const (
		most   = 6
		alike  = 8 // CIELAB distance
		stride = 7 // of the pixels looked at; it divides no usual width
	)
	var some palette.Observations
	for i := 0; i < s.w*s.h; i += stride {
		l := s.at(i).Lab()
		some.Coords = append(some.Coords, float32(l.L), float32(l.A), float32(l.B))
		some.Weights = append(some.Weights, 1)
	}
	parts := palette.Partition(some, most, rand.New(rand.NewPCG(1, 1)))
	slices.SortFunc(parts, func(a, b palette.Cluster) int { return cmp.Compare(b.Weight, a.Weight) })
	var centres []colour.Lab
	near := func(c colour.Lab) (best int, away float64) {
		away = math.Inf(1)
		for k, o := range centres {
			if d := colour.DeltaE76(o, c); d < away {
				best, away = k, d
			}
		}
		return best, away
	}
	for _, p := range parts {
		c := colour.Lab{L: float64(p.Centre[0]), A: float64(p.Centre[1]), B: float64(p.Centre[2])}
		if _, away := near(c); away > alike {
			centres, s.inks = append(centres, c), append(s.inks, c.Linear())
		}
	}
	s.ink = make([]uint8, s.w*s.h)
	for i := range s.ink {
		k, _ := near(s.at(i).Lab())
		s.ink[i] = uint8(k)
	}
}

// at returns the albedo of pixel i.
func (s *Swatch) at(i int) colour.Linear {
	return colour.Linear{float64(s.rgb[3*i]), float64(s.rgb[3*i+1]), float64(s.rgb[3*i+2])}
}

// mirrored returns the pixel at i of a line of n that goes there and back for ever.
func mirrored(i, n int) int {
	i = ((i % (2 * n)) + 2*n) % (2 * n)
	return min(i, 2*n-1-i)
}

// fabric returns the swatch as cloth: mirrored to any size, a little larger or
// smaller, turned or not. Its colours are kept, unless it is dyed anew.
func (s *Swatch) fabric(r *rand.Rand, dyed bool) *fabric {
	inks, dye := s.inks, func(c colour.Linear) colour.Linear { return c }
	if dyed {
		dye = anotherDye(r)
		inks = make([]colour.Linear, len(s.inks))
		for i, c := range s.inks {
			inks[i] = dye(c)
		}
	}
	ppi := swatchPPI * math.Exp(0.25*(2*r.Float64()-1))
	turned := r.IntN(2) == 0
	place := func(x, y float64) (float64, float64) {
		if turned {
			x, y = y, -x
		}
		return x*ppi - 0.5, y*ppi - 0.5
	}
	index := func(x, y int) int { return mirrored(y, s.h)*s.w + mirrored(x, s.w) }
	id := s.Name
	if dyed {
		id = ""
	}
	return &fabric{
		name: s.Name, id: id, inks: inks, seed: r.Uint32(), same: r.IntN(8) == 0,
		ink: func(x, y float64) int {
			x, y = place(x, y)
			return int(s.ink[index(int(math.Round(x)), int(math.Round(y)))])
		},
		blend: func(x, y float64) colour.Linear {
			x, y = place(x, y)
			fx, fy := math.Floor(x), math.Floor(y)
			i, j := int(fx), int(fy)
			tx, ty := x-fx, y-fy
			return dye(blend(
				blend(s.at(index(i, j)), s.at(index(i+1, j)), tx),
				blend(s.at(index(i, j+1)), s.at(index(i+1, j+1)), tx), ty))
		},
	}
}

// anotherDye draws another colourway: hues turned about the grey axis, more or
// less chroma, then nearer to white or to black. It is affine in linear light,
// so that blends of inks stay blends.
func anotherDye(r *rand.Rand) func(colour.Linear) colour.Linear {
	sin, cos := math.Sincos(2 * math.Pi * r.Float64())
	chroma := mix(0.3, 1.2, r.Float64())
	depth, towards := mix(0.25, 1, r.Float64()), pick(r, 0, 0, lightest)
	// Rodrigues' turn about (1, 1, 1) of what differs from grey.
	p, q := chroma*cos, chroma*sin/math.Sqrt(3)
	return func(c colour.Linear) colour.Linear {
		grey := (c[0] + c[1] + c[2]) / 3
		var out colour.Linear
		for k := range out {
			v := grey + p*(c[k]-grey) + q*(c[(k+2)%3]-c[(k+1)%3])
			out[k] = mix(towards, v, depth)
		}
		return dyeable(out)
	}
}
