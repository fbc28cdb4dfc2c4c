package palette

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// print is a cloth drawn for tests: an ink for each place, in working pixels of
// the cloth.
type print func(x, y float64) colour.Linear

func hex(s string) colour.Linear {
	var v [3]float64
	for i := range v {
		for _, c := range []byte(s[1+2*i : 3+2*i]) {
			d := c - '0'
			if c >= 'a' {
				d = c - 'a' + 10
			}
			v[i] = 16*v[i] + float64(d)
		}
	}
	return colour.SRGB{v[0] / 255, v[1] / 255, v[2] / 255}.Linear()
}

// wrap is x within a period.
func wrap(x, period float64) float64 { return x - period*math.Floor(x/period) }

func solid(ink string) print {
	c := hex(ink)
	return func(x, y float64) colour.Linear { return c }
}

// dots are discs of one radius on a square lattice.
func dots(ground, ink string, pitch, radius float64) print {
	a, b := hex(ground), hex(ink)
	return func(x, y float64) colour.Linear {
		u, v := wrap(x, pitch)-pitch/2, wrap(y, pitch)-pitch/2
		if u*u+v*v < radius*radius {
			return b
		}
		return a
	}
}

// stripes are bands of the inks, each of its own width.
func stripes(inks []string, widths []float64) print {
	var c []colour.Linear
	period := 0.0
	for i, s := range inks {
		c = append(c, hex(s))
		period += widths[i]
	}
	return func(x, y float64) colour.Linear {
		u := wrap(x, period)
		for i, w := range widths {
			if u -= w; u < 0 {
				return c[i]
			}
		}
		return c[0]
	}
}

// checks are squares of two inks.
func checks(a, b string, side float64) print {
	p, q := hex(a), hex(b)
	return func(x, y float64) colour.Linear {
		if (int(math.Floor(x/side))+int(math.Floor(y/side)))%2 == 0 {
			return p
		}
		return q
	}
}

// table is a picture for tests, of one ground, on which pieces are laid.
type table struct {
	pic *cloth.Picture
	rng *rand.Rand
}

func newTable(w, h int, ground string, seed uint64) *table {
	t := &table{&cloth.Picture{W: w, H: h, Pix: make([]float32, 3*w*h), Shrink: 1, FullW: w, FullH: h}, rand.New(rand.NewPCG(seed, 1))}
	c := hex(ground)
	for i := range t.pic.Pix {
		t.pic.Pix[i] = float32(c[i%3])
	}
	return t
}

// lay draws a w × h piece of p about (cx, cy), turned by angle, with the cloth
// shifted by a random amount, each pixel the mean of 3 × 3 samples.
func (t *table) lay(p print, cx, cy, w, h, angle float64) geom.Polygon {
	s, c := math.Sincos(angle)
	at := func(u, v float64) geom.Point { return geom.Point{X: cx + c*u - s*v, Y: cy + s*u + c*v} }
	poly := geom.Polygon{at(-w/2, -h/2), at(w/2, -h/2), at(w/2, h/2), at(-w/2, h/2)}
	ox, oy := 1000*t.rng.Float64(), 1000*t.rng.Float64()
	poly.Fill(t.pic.W, t.pic.H, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			var sum [3]float64
			for k := range 9 {
				dx, dy := float64(x)+(float64(k%3)+0.5)/3-cx, float64(y)+(float64(k/3)+0.5)/3-cy
				for i, v := range p(c*dx+s*dy+ox, c*dy-s*dx+oy) {
					sum[i] += v / 9
				}
			}
			for i, v := range sum {
				t.pic.Pix[3*(y*t.pic.W+x)+i] = float32(v)
			}
		}
	})
	return poly
}

// light multiplies the picture by a smooth light, gain and slope across.
func (t *table) light(gain [3]float64, slope float64) {
	for y := range t.pic.H {
		for x := range t.pic.W {
			k := 1 + slope*(float64(x)/float64(t.pic.W)-0.5)
			for i, g := range gain {
				t.pic.Pix[3*(y*t.pic.W+x)+i] *= float32(g * k)
			}
		}
	}
}

// noise adds Gaussian noise of about sigma code values of 255, as a camera
// does.
func (t *table) noise(sigma float64) {
	var step [257]float64 // of linear light a code value
	for i := range step {
		step[i] = colour.DecodeSRGB(min(1, colour.EncodeSRGB(float64(i)/256)+1./255)) - float64(i)/256
	}
	for i, v := range t.pic.Pix {
		k := step[min(255, max(0, int(256*v)))]
		t.pic.Pix[i] = max(0, v+float32(sigma*k*t.rng.NormFloat64()))
	}
}
