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

// findInks parts the swatch's colours into inks: k-means in CIELAB over some of
// its pixels, begun from colours that lie far from one another (after Gonzalez
// 1985).
func (s *Swatch) findInks() {
	const (
		most   = 6
		apart  = 8 // CIELAB distance under which a further ink is no other colour
		rounds = 12
		stride = 7 // of the pixels looked at; it divides no usual width
	)
	var some []colour.Lab
	for i := 0; i < s.w*s.h; i += stride {
		some = append(some, s.at(i).Lab())
	}
	near := make([]float64, len(some)) // distance to the nearest centre
	for i := range near {
		near[i] = math.Inf(1)
	}
	order := make([]int, len(some))
	centres := []colour.Lab{some[0]}
	for len(centres) < most {
		for i, p := range some {
			near[i] = min(near[i], colour.DeltaE76(p, centres[len(centres)-1]))
			order[i] = i
		}
		// Not the very farthest: single pixels stray.
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(near[a], near[b]) })
		far := order[len(order)-1-len(order)/100]
		if near[far] < apart {
			break
		}
		centres = append(centres, some[far])
	}
	nearest := func(p colour.Lab) (best int) {
		for k, c := range centres {
			if colour.DeltaE76(p, c) < colour.DeltaE76(p, centres[best]) {
				best = k
			}
		}
		return best
	}
	for range rounds {
		var sum [most]colour.Lab
		var count [most]float64
		for _, p := range some {
			k := nearest(p)
			sum[k] = colour.Lab{L: sum[k].L + p.L, A: sum[k].A + p.A, B: sum[k].B + p.B}
			count[k]++
		}
		for k, n := range count {
			if n > 0 {
				centres[k] = colour.Lab{L: sum[k].L / n, A: sum[k].A / n, B: sum[k].B / n}
			}
		}
	}
	s.ink = make([]uint8, s.w*s.h)
	for i := range s.ink {
		s.ink[i] = uint8(nearest(s.at(i).Lab()))
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
