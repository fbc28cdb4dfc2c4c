package light

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// table is a made-up photo: squares of plain cloth on a ground, in light that
// changes over the picture, with or without a sheet of paper.
type table struct {
	pic     *cloth.Picture
	regions []cloth.Region
	ground  []uint8
	sheet   cloth.Reference
	albedo  []colour.Linear // of each region
	light   func(x, y float64) colour.Linear
}

// lying is the share of the light that cloth lying flat sends back.
var lying = math.Exp(flatShare.mean[0])

// lay paints the table: each pixel is albedo times light, channel by channel,
// then the tone curve. Cloth sends back the usual share of the light.
func lay(w, h int, tone Curve, ground colour.Linear, albedo []colour.Linear, light func(x, y float64) colour.Linear) *table {
	t := &table{albedo: albedo, light: light}
	t.pic = &cloth.Picture{W: w, H: h, Shrink: 1, FullW: w, FullH: h, Pix: make([]float32, 3*w*h), Clipped: make([]uint8, w*h)}
	t.ground = make([]uint8, w*h)
	under := make([]colour.Linear, w*h)
	for i := range under {
		under[i], t.ground[i] = ground, 255
	}
	put := func(g geom.Polygon, c colour.Linear, share float64) {
		g.Fill(w, h, func(y, x0, x1 int) {
			for x := x0; x < x1; x++ {
				under[y*w+x] = colour.Linear{c[0] * share, c[1] * share, c[2] * share}
				t.ground[y*w+x] = 0
			}
		})
	}
	side := float64(w) / 9
	for i, c := range albedo {
		x, y := side*(0.6+1.6*float64(i%5)), side*(0.5+1.6*float64(i/5))
		g := geom.Polygon{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}}
		put(g, c, lying)
		t.regions = append(t.regions, cloth.Region{Polygon: g, Corners: g, Trust: 1})
	}
	x, y := 0.1*float64(w), 0.78*float64(h)
	t.sheet = cloth.Reference{Kind: cloth.Letter, Region: -1, Trust: 0.95,
		Corners: [4]geom.Point{{X: x, Y: y}, {X: x + 1.2*side, Y: y}, {X: x + 1.2*side, Y: y + side}, {X: x, Y: y + side}}}
	put(t.sheet.Corners[:], paper.mean.linear(), 1)
	for yy := range h {
		for xx := range w {
			i := yy*w + xx
			l := light(float64(xx)+0.5, float64(yy)+0.5)
			var c colour.Linear
			for k := range c {
				c[k] = under[i][k] * l[k]
				if c[k] >= 1 {
					t.pic.Clipped[i] = 255
				}
			}
			c = tone.Apply(c)
			for k := range c {
				t.pic.Pix[3*i+k] = float32(c[k])
			}
		}
	}
	return t
}

// even is light of one colour everywhere.
func even(c colour.Linear) func(x, y float64) colour.Linear {
	return func(_, _ float64) colour.Linear { return c }
}

// slanted falls off by the factor k from the left edge to the right, turning
// warmer by the factor warm in R and 1/warm in B.
func slanted(c colour.Linear, w int, k, warm float64) func(x, y float64) colour.Linear {
	return func(x, _ float64) colour.Linear {
		t := x/float64(w) - 0.5
		f, m := math.Pow(k, t), math.Pow(warm, t)
		return colour.Linear{c[0] * f * m, c[1] * f, c[2] * f / m}
	}
}

// cloths are n plain colours, the second a white; the rest of any hue.
func cloths(n int, seed uint64) []colour.Linear {
	r := rand.New(rand.NewPCG(seed, 1))
	out := make([]colour.Linear, n)
	for i := range out {
		h, chroma := 2*math.Pi*r.Float64(), 45*r.Float64()
		l := colour.Lab{L: 25 + 55*r.Float64(), A: chroma * math.Cos(h), B: chroma * math.Sin(h)}
		if i == 1 {
			l = colour.Lab{L: 92.5}
		}
		for k, v := range l.Linear() {
			out[i][k] = min(0.85, max(0.03, v))
		}
	}
	return out
}

// worst is the largest ΔE00 between a region's mean colour in the corrected
// picture and its albedo.
func (t *table) worst(f *Field) float64 {
	p := f.Correct(t.pic)
	worst := 0.0
	for i, r := range t.regions {
		var sum colour.Linear
		n := 0.0
		r.Polygon.Fill(p.W, p.H, func(y, x0, x1 int) {
			for k := y*p.W + x0; k < y*p.W+x1; k++ {
				for q := range sum {
					sum[q] += float64(p.Pix[3*k+q])
				}
				n++
			}
		})
		for q := range sum {
			sum[q] /= n
		}
		worst = max(worst, colour.DeltaE00(sum.Lab(), t.albedo[i].Lab()))
	}
	return worst
}
