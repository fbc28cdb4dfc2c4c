package scene

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"math"
	"math/rand/v2"

	"piecebag/internal/colour"
)

// exposure is how the camera turns light into code values.
type exposure struct {
	Settings
	gain colour.Linear
	seed uint32
	// focus says how far out of focus (x, y) is, 0..1; used where Depth is over 0.
	focus func(x, y float64) float64
}

// drawSettings draws what the camera does at a level; tilt, roll and barrel
// are the camera's already.
func drawSettings(r *rand.Rand, level int) Settings {
	lo := float64(level - 1)
	between := func(a, b float64) float64 { return mix(a, b, r.Float64()) }
	return Settings{
		Vignette:   between(0.04, 0.22),
		EV:         between(-0.22, 0.18) * (1 + 0.6*lo),
		Adapted:    1 - between(0.03, 0.11)*(1+0.7*lo),
		Noise:      between(0.6, 1) + 0.65*lo,
		Blur:       between(0.35, 0.62) + 0.14*lo*r.Float64(),
		Sharpen:    between(0.3, 0.6) + 0.12*lo,
		Contrast:   between(0, 0.35),
		Saturation: between(1, 1.12),
		Quality:    95 - int(between(0, 6)+4*lo),
	}
}

// expose meters the scene and sets the gains: mean is the scene's mean
// radiance, white that of a perfect white in the middle.
func expose(r *rand.Rand, s Settings, mean, white colour.Linear) exposure {
	lum := func(c colour.Linear) float64 { return colour.Luma(c[0], c[1], c[2]) }
	// Dark scenes are lifted, light ones held back, as meters do.
	rel := lum(mean) / lum(white)
	level := 0.55 * math.Pow(rel, -0.3) * math.Exp2(s.EV)
	e := exposure{Settings: s, seed: r.Uint32()}
	slip := 0.02 * (1 + s.Noise)
	for k := range e.gain {
		e.gain[k] = level / lum(white) * math.Pow(lum(white)/white[k], s.Adapted)
	}
	e.gain[0] *= 1 + slip*r.NormFloat64()
	e.gain[2] *= 1 + slip*r.NormFloat64()
	return e
}

// develop turns radiance (linear, 3 a pixel; overwritten) into a JPEG.
func develop(rad []float32, w, h int, e exposure) ([]byte, *image.RGBA, error) {
	rows(h, func(y int) {
		for x := range w {
			p := rad[3*(y*w+x):][:3]
			c := e.take(colour.Linear{float64(p[0]), float64(p[1]), float64(p[2])}, e.falloff(float64(x)+0.5, float64(y)+0.5, w, h))
			for k := range p {
				p[k] = float32(c[k])
			}
		}
	})
	gaussian(rad, w, h, e.Blur)
	shaken(rad, w, h, e.Shake)
	if e.Depth > 0 {
		soft := append([]float32(nil), rad...)
		gaussian(soft, w, h, e.Depth)
		rows(h, func(y int) {
			for x := range w {
				t := float32(e.focus(float64(x), float64(y)))
				for i := 3 * (y*w + x); i < 3*(y*w+x)+3; i++ {
					rad[i] += t * (soft[i] - rad[i])
				}
			}
		})
	}
	rows(h, func(y int) {
		for x := range w {
			for k := range 3 {
				i := 3*(y*w+x) + k
				v := float64(rad[i])
				n := bell(hash(int32(x), int32(y), e.seed+uint32(k)))
				v += e.Noise * n * math.Sqrt(1.7e-4*v+1.3e-6)
				rad[i] = float32(e.curve(encode(v)))
			}
		}
	})
	soft := append([]float32(nil), rad...)
	gaussian(soft, w, h, 1.1)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	rows(h, func(y int) {
		for x := range w {
			for k := range 3 {
				i := 3*(y*w+x) + k
				v := float64(rad[i]) + e.Sharpen*float64(rad[i]-soft[i])
				img.Pix[4*(y*w+x)+k] = uint8(255*min(1, max(0, v)) + 0.5)
			}
			img.Pix[4*(y*w+x)+3] = 255
		}
	})
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, img, &jpeg.Options{Quality: e.Quality}); err != nil {
		return nil, nil, err
	}
	back, err := jpeg.Decode(bytes.NewReader(buf.Bytes()))
	if err != nil {
		return nil, nil, err
	}
	draw.Draw(img, img.Bounds(), back, image.Point{}, draw.Src)
	return buf.Bytes(), img, nil
}

// take returns what the sensor makes of radiance c where the lens lets the share
// through: linear, white-balanced, saturated, not clipped.
func (e *exposure) take(c colour.Linear, through float64) colour.Linear {
	for k := range c {
		c[k] *= e.gain[k] * through
	}
	l := colour.Luma(c[0], c[1], c[2])
	for k := range c {
		c[k] = max(0, mix(l, c[k], e.Saturation))
	}
	return c
}

// curve returns the camera's tone curve over a code value, 0..1; what is over 1
// stays as it is.
func (e *exposure) curve(v float64) float64 {
	return mix(v, smooth(min(1, v))+max(0, v-1), 0.5*e.Contrast)
}

// falloff returns the share of the light that the lens lets through at (x, y).
func (e *exposure) falloff(x, y float64, w, h int) float64 {
	dx, dy := x-float64(w)/2, y-float64(h)/2
	return 1 - e.Vignette*4*(dx*dx+dy*dy)/float64(w*w+h*h)
}

// codes tabulates the sRGB curve over the square root of linear light, where
// it is smooth enough for straight lines between entries.
var codes = func() [1025]float64 {
	var t [1025]float64
	for i := range t {
		x := float64(i) / 1024
		t[i] = colour.EncodeSRGB(x * x)
	}
	return t
}()

// encode returns the sRGB curve, clipped to 0..1, to about 1e-5.
func encode(v float64) float64 {
	x := 1024 * math.Sqrt(min(1, max(0, v)))
	i := min(1023, int(x))
	return mix(codes[i], codes[i+1], x-float64(i))
}

// bell returns a near-normal deviate of variance 1 from hash bits: the sum of four
// bytes.
func bell(h uint32) float64 {
	s := h&255 + h>>8&255 + h>>16&255 + h>>24
	return (float64(s) - 510) / 147.8
}

// shaken smears 3-channel pixels in place along a way, pixels.
func shaken(p []float32, w, h int, way [2]float64) {
	n := int(math.Ceil(math.Hypot(way[0], way[1])))
	if n == 0 {
		return
	}
	src := append([]float32(nil), p...)
	rows(h, func(y int) {
		for x := range w {
			var sum [3]float32
			for k := range n + 1 {
				t := float64(k)/float64(n) - 0.5
				u := min(w-1, max(0, x+int(math.Round(t*way[0]))))
				v := min(h-1, max(0, y+int(math.Round(t*way[1]))))
				for j := range sum {
					sum[j] += src[3*(v*w+u)+j]
				}
			}
			for j := range sum {
				p[3*(y*w+x)+j] = sum[j] / float32(n+1)
			}
		}
	})
}

// gaussian blurs 3-channel pixels in place by sigma pixels.
func gaussian(p []float32, w, h int, sigma float64) {
	r := max(1, int(math.Ceil(2.5*sigma)))
	k := make([]float32, 2*r+1)
	sum := 0.0
	for i := range k {
		d := float64(i - r)
		g := math.Exp(-d * d / (2 * sigma * sigma))
		k[i] = float32(g)
		sum += g
	}
	for i := range k {
		k[i] /= float32(sum)
	}
	tmp := make([]float32, len(p))
	rows(h, func(y int) {
		row, out := p[3*y*w:][:3*w], tmp[3*y*w:][:3*w]
		for x := range w {
			var a, b, c float32
			for i, g := range k {
				q := 3 * min(w-1, max(0, x+i-r))
				a += g * row[q]
				b += g * row[q+1]
				c += g * row[q+2]
			}
			out[3*x], out[3*x+1], out[3*x+2] = a, b, c
		}
	})
	rows(h, func(y int) {
		out := p[3*y*w:][:3*w]
		clear(out)
		for i, g := range k {
			row := tmp[3*w*min(h-1, max(0, y+i-r)):][:3*w]
			for x, v := range row {
				out[x] += g * v
			}
		}
	})
}
