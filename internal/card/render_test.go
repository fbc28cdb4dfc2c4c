package card_test

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/card"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// photo is a made-up photo of the card on a table.
type photo struct {
	pic       *cloth.Picture
	toPicture geom.Homography // card inches to pixels
	paper     colour.Linear   // as recorded, in the middle of Blank
}

// setting is how a photo is taken. The zero value is a plain one.
type setting struct {
	w, h     int
	perInch  float64       // pixels an inch in the card's middle
	tiltX    float64       // tangents of the tilt
	tiltY    float64       //
	turn     float64       // radians
	x, y     float64       // the card's middle, as shares of the picture
	light    colour.Linear // what a perfect white would record
	vignette float64       // light lost in the picture's corners
	blur     float64       // sigma, pixels
	noise    float64       // sd, linear, at white
	hidden   int           // the mark that something lies on, 1 to 4; 0: none
	uncut    bool          // on the whole Letter sheet
	seed     uint64
}

// random is a setting such as a phone at a table has it.
func random(seed uint64, w, h int, cardPx float64) setting {
	r := rand.New(rand.NewPCG(seed, 51))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	y, warmth, tint := between(0.35, 0.95), between(-0.5, 0.7), between(-0.08, 0.08)
	return setting{
		w: w, h: h, perInch: cardPx / card.Width,
		tiltX: between(-0.35, 0.35), tiltY: between(-0.35, 0.35), turn: between(0, 2*math.Pi),
		x: between(0.4, 0.6), y: between(0.42, 0.58),
		light:    colour.Linear{y * math.Exp(warmth/2+tint), y, y * math.Exp(tint-warmth/2)},
		vignette: between(0, 0.25), blur: between(0.4, 1.1), noise: between(0.002, 0.012), seed: seed,
	}
}

// homography is the view of a pinhole camera with the focal length, 26 mm of
// 35 mm equivalent, of a phone.
func (s setting) homography() geom.Homography {
	f := 26 / math.Hypot(36, 24) * math.Hypot(float64(s.w), float64(s.h))
	// A place (u, v) on the table, from the card's middle, in inches, is seen at
	// f·(u, v)/(z + tilt·(u, v)).
	z := f / s.perInch
	sin, cos := math.Sincos(s.turn)
	ox, oy := card.Width/2, card.Height/2
	turn := geom.Homography{cos, -sin, -cos*ox + sin*oy, sin, cos, -sin*ox - cos*oy, 0, 0, 1}
	view := geom.Homography{f, 0, 0, 0, f, 0, s.tiltX, s.tiltY, z}
	move := geom.Homography{1, 0, s.x * float64(s.w), 0, 1, s.y * float64(s.h), 0, 0, 1}
	return move.After(view).After(turn)
}

const paperAlbedo = 0.86

// perInch is how finely the card is drawn before it is photographed: its cells,
// steps and the check line's ends fall on whole samples.
const perInch = 100

// drawn is the card's reflectance, row by row.
var drawn = func() []float64 {
	const w, h = card.Width * perInch, card.Height * perInch
	out := make([]float64, w*h)
	for i := range out {
		out[i] = paperAlbedo
	}
	fill := func(x, y, wide, high, v float64) {
		round := func(in float64) int { return int(math.Round(in * perInch)) }
		for j := max(0, round(y)); j < min(h, round(y+high)); j++ {
			for i := max(0, round(x)); i < min(w, round(x+wide)); i++ {
				out[j*w+i] = v
			}
		}
	}
	const black = 0.04 // what ink sends back
	for _, s := range card.Shapes() {
		fill(s.X, s.Y, s.W, s.H, black+(paperAlbedo-black)*colour.Lab{L: s.Lightness}.XYZ()[1])
	}
	for _, t := range card.Texts() { // words are grey from afar
		wide := 0.0075 * t.Size * float64(len(t.Words))
		fill(t.X-wide/2, t.Y-0.008*t.Size, wide, 0.008*t.Size, 0.6)
	}
	return out
}()

// albedo is the card's reflectance at a place on it, or false beside it.
func albedo(q geom.Point, uncut bool) (float64, bool) {
	if q.X >= 0 && q.Y >= 0 && q.X < card.Width && q.Y < card.Height {
		return drawn[int(q.Y*perInch)*card.Width*perInch+int(q.X*perInch)], true
	}
	const x, y = (8.5 - card.Width) / 2, (11 - card.Height) / 2
	return paperAlbedo, uncut && q.X >= -x && q.Y >= -y && q.X < card.Width+x && q.Y < card.Height+y
}

// table is a ground of blurred patches of any colour, with some squares on it.
func table(r *rand.Rand) func(q geom.Point) colour.Linear {
	base := colour.Linear{0.05 + 0.7*r.Float64(), 0.05 + 0.7*r.Float64(), 0.05 + 0.7*r.Float64()}
	type square struct {
		x, y, side, sin, cos float64
		c                    colour.Linear
	}
	var squares []square
	for range 25 {
		sin, cos := math.Sincos(r.Float64())
		squares = append(squares, square{
			24*r.Float64() - 10, 24*r.Float64() - 10, 1.5 + 3*r.Float64(), sin, cos,
			colour.Linear{0.8 * r.Float64(), 0.8 * r.Float64(), 0.8 * r.Float64()},
		})
	}
	return func(q geom.Point) colour.Linear {
		c := base
		for _, s := range squares {
			u, v := s.cos*(q.X-s.x)+s.sin*(q.Y-s.y), -s.sin*(q.X-s.x)+s.cos*(q.Y-s.y)
			if math.Abs(u) < s.side/2 && math.Abs(v) < s.side/2 {
				c = s.c
				if math.Mod(u+50, 0.5) < 0.25 != (math.Mod(v+50, 0.5) < 0.25) {
					c[1] *= 0.7
				}
			}
		}
		return c
	}
}

// take renders the photo: four samples a pixel each way on the card, blurred, with
// noise, in 8 bits.
func (s setting) take() photo {
	r := rand.New(rand.NewPCG(s.seed, 52))
	h := s.homography()
	back := h.Inverse()
	ground := table(r)
	cloak := geom.Rect{X: -1, Y: -1, W: -1, H: -1}
	if s.hidden > 0 {
		m := card.Marks[s.hidden-1]
		cloak = geom.Rect{X: m.X + 0.5, Y: m.Y - 1, W: 1.5, H: 2}
	}
	pix := make([]float32, 3*s.w*s.h)
	at := func(q geom.Point) colour.Linear {
		if q.X >= cloak.X && q.Y >= cloak.Y && q.X <= cloak.X+cloak.W && q.Y <= cloak.Y+cloak.H {
			return colour.Linear{0.3, 0.25, 0.5}
		}
		if a, ok := albedo(q, s.uncut); ok {
			return colour.Linear{a, a, a}
		}
		return ground(q)
	}
	const n = 4
	for y := range s.h {
		for x := range s.w {
			mid := back.Apply(geom.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			sum := at(mid)
			if mid.X > -1 && mid.Y > -1 && mid.X < card.Width+1 && mid.Y < card.Height+1 {
				sum = colour.Linear{}
				for k := range n * n {
					c := at(back.Apply(geom.Point{X: float64(x) + (float64(k%n)+0.5)/n, Y: float64(y) + (float64(k/n)+0.5)/n}))
					for i := range sum {
						sum[i] += c[i] / (n * n)
					}
				}
			}
			f := s.falloff(float64(x)+0.5, float64(y)+0.5)
			for i := range sum {
				pix[3*(y*s.w+x)+i] = float32(sum[i] * s.light[i] * f)
			}
		}
	}
	blur(pix, s.w, s.h, s.blur)
	clipped := make([]uint8, s.w*s.h)
	for i := range pix {
		v := float64(pix[i])
		v += s.noise * math.Sqrt(max(0, v)) * r.NormFloat64()
		if v >= 1 {
			clipped[i/3] = 255
		}
		pix[i] = decoded[int(math.Round(255*colour.EncodeSRGB(min(1, max(0, v)))))]
	}
	b := card.Blank
	mid := h.Apply(geom.Point{X: b.X + b.W/2, Y: b.Y + b.H/2})
	f := paperAlbedo * s.falloff(mid.X, mid.Y)
	return photo{
		pic:       &cloth.Picture{W: s.w, H: s.h, FullW: s.w, FullH: s.h, Shrink: 1, Pix: pix, Clipped: clipped},
		toPicture: h,
		paper:     colour.Linear{s.light[0] * f, s.light[1] * f, s.light[2] * f},
	}
}

// decoded is the linear light of each 8-bit code.
var decoded = func() (t [256]float32) {
	for i := range t {
		t[i] = float32(colour.DecodeSRGB(float64(i) / 255))
	}
	return t
}()

func (s setting) falloff(x, y float64) float64 {
	dx, dy := x-float64(s.w)/2, y-float64(s.h)/2
	return 1 - s.vignette*4*(dx*dx+dy*dy)/float64(s.w*s.w+s.h*s.h)
}

// blur is a Gaussian over 3-channel pixels.
func blur(p []float32, w, h int, sigma float64) {
	r := int(math.Ceil(3 * sigma))
	k := make([]float32, 2*r+1)
	sum := float32(0)
	for i := range k {
		d := float64(i - r)
		k[i] = float32(math.Exp(-d * d / (2 * sigma * sigma)))
		sum += k[i]
	}
	for i := range k {
		k[i] /= sum
	}
	// Along rows, then down columns: step is from one place to the next.
	pass := func(n, step, lines, apart int) {
		buf := make([]float32, n)
		for line := range lines {
			for c := range 3 {
				q := p[3*line*apart+c:]
				for i := range n {
					v := float32(0)
					for j, g := range k {
						v += g * q[3*step*min(n-1, max(0, i+j-r))]
					}
					buf[i] = v
				}
				for i, v := range buf {
					q[3*step*i] = v
				}
			}
		}
	}
	pass(w, 1, h, w)
	pass(h, w, w, 1)
}
