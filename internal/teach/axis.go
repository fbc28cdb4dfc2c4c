package teach

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// axis is one way in which quilters tell pieces apart.
type axis int

const (
	hue axis = iota // of the mean
	seenHue
	family
	lightness
	value
	warmth
	chroma
	motif
	contrast
	inks
	ground
	axisCount
)

// axisNames say in a reason by what a piece was sorted.
var axisNames = [axisCount]string{
	hue:       "hue",
	seenHue:   "hue",
	family:    "hue family",
	lightness: "value",
	value:     "value",
	warmth:    "warmth",
	chroma:    "strength of colour",
	motif:     "print scale",
	contrast:  "contrast within the print",
	inks:      "number of colours",
	ground:    "share of ground",
}

// place is where a piece lies on every axis. One unit is about what sets two
// bins apart, a tenth about what a measurement is uncertain by. A hue lies in a
// disc, greys at its middle; every other axis uses the first number alone.
type place [axisCount][2]float64

const (
	// greyChroma is the OKLab chroma at which a hue counts half.
	greyChroma = 0.025
	// warmHue is the OKLCh hue of the warmest colours, an orange, in radians;
	// the coolest lie opposite (common practice, no source).
	warmHue = 50 * math.Pi / 180
	// plainMotif stands for cloth without motifs, in inches.
	plainMotif = 1. / 16
)

func placeOf(f Features) place {
	var p place
	mean, seen := f.Mean.OKLab(), f.ReadsAs.OKLab()
	p[hue] = disc(mean)
	p[seenHue] = disc(seen)
	p[warmth][0] = p[hue][0]*math.Cos(warmHue) + p[hue][1]*math.Sin(warmHue)
	p[lightness][0] = f.Mean.Lab().L / 20
	p[value][0] = float64(slices.Index(cloth.Values, f.Value))
	p[family][0] = float64(slices.Index(cloth.Families, f.Family))
	p[chroma][0] = math.Hypot(mean.A, mean.B) / 0.05
	p[motif][0] = math.Log2(max(f.Motif, plainMotif))

	sum, squares, entropy, total := 0., 0., 0., 0.
	for _, k := range f.Colours {
		if k.Share <= 0 {
			continue
		}
		ll := k.Colour.Lab().L
		total += k.Share
		sum += k.Share * ll
		squares += k.Share * ll * ll
		entropy -= k.Share * math.Log2(k.Share)
	}
	p[ground][0] = 1 / 0.25
	if total > 0 {
		p[contrast][0] = math.Sqrt(max(0, squares/total-sum/total*sum/total)) / 8
		p[inks][0] = entropy/total + math.Log2(total)
		p[ground][0] = f.Colours[0].Share / total / 0.25
	}
	return p
}

// disc places a colour by its hue, in a disc of radius 1: at its rim where it is
// strong, at its middle where it is grey and its hue means nothing.
func disc(c colour.OKLab) [2]float64 {
	squared := c.A*c.A + c.B*c.B
	k := math.Sqrt(squared) / (squared + greyChroma*greyChroma)
	return [2]float64{c.A * k, c.B * k}
}

// apart returns the square of the distance on one axis of p from the span between a
// and b.
func (x axis) apart(p, a, b *place) float64 {
	q, u, v := p[x], a[x], b[x]
	switch x {
	case family:
		if q[0] == u[0] || q[0] == v[0] {
			return 0
		}
		return 1
	case hue, seenHue:
		dx, dy := v[0]-u[0], v[1]-u[1]
		t := 0.0
		if n := dx*dx + dy*dy; n > 0 {
			t = min(1, max(0, ((q[0]-u[0])*dx+(q[1]-u[1])*dy)/n))
		}
		ex, ey := u[0]+t*dx-q[0], u[1]+t*dy-q[1]
		return ex*ex + ey*ey
	}
	d := max(0, min(u[0], v[0])-q[0], q[0]-max(u[0], v[0]))
	return d * d
}
