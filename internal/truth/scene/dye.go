package scene

import (
	"math/rand/v2"

	"piecebag/internal/colour"
)

// Albedos are kept inside what dyed cotton reflects, linear.
const (
	darkest  = 0.03
	lightest = 0.85
)

// lch returns a cloth colour by CIELAB lightness, chroma and hue (degrees).
func lch(l, c, h float64) colour.Linear {
	return dyeable(colour.LCh{L: l, C: c, H: h}.Lab().Linear())
}

func dyeable(c colour.Linear) colour.Linear {
	for i := range c {
		c[i] = min(lightest, max(darkest, c[i]))
	}
	return c
}

// dye is a usual cloth colour: CIELAB lightness, chroma, hue in degrees.
type dye struct{ l, c, h float64 }

// dyes are usual colours of quilting cotton (common practice, no source),
// round the hue circle, then browns and neutrals.
var dyes = []dye{
	{45, 65, 32}, {38, 52, 22}, {28, 35, 20}, {47, 44, 48}, {66, 62, 58}, {66, 42, 42}, {80, 26, 50},
	{70, 58, 78}, {84, 62, 88}, {88, 46, 96}, {68, 55, 85}, {47, 30, 105}, {72, 45, 112}, {85, 72, 118},
	{52, 48, 138}, {38, 34, 145}, {72, 18, 135}, {84, 22, 165}, {33, 22, 158}, {46, 28, 205}, {62, 32, 195},
	{76, 30, 208}, {35, 22, 215}, {74, 26, 250}, {56, 36, 258}, {42, 30, 262}, {38, 50, 278}, {23, 24, 276},
	{62, 20, 285}, {46, 45, 305}, {32, 32, 318}, {76, 20, 308}, {52, 58, 345}, {58, 66, 358}, {79, 22, 2},
	{68, 40, 8}, {35, 24, 52}, {26, 14, 50}, {48, 26, 60}, {66, 22, 76}, {82, 13, 82}, {90, 9, 92},
	{94, 1, 95}, {93, 2, 250}, {78, 1, 250}, {57, 2, 240}, {34, 2, 265}, {20, 1, 280},
}

// someDye draws a usual colour, shifted a little.
func someDye(r *rand.Rand) colour.Linear {
	return dyes[r.IntN(len(dyes))].shifted(r)
}

func (d dye) shifted(r *rand.Rand) colour.Linear {
	return lch(d.l+4*r.NormFloat64(), d.c*(1+0.1*r.NormFloat64()), d.h+5*r.NormFloat64())
}

// dyeBetween draws a usual colour of lightness lo..hi.
func dyeBetween(r *rand.Rand, lo, hi float64) colour.Linear {
	for range 200 {
		if d := dyes[r.IntN(len(dyes))]; d.l >= lo && d.l <= hi {
			return d.shifted(r)
		}
	}
	return lch((lo+hi)/2, 0, 0)
}

// dyeApart draws a colour at least gap in CIELAB distance from c.
func dyeApart(r *rand.Rand, c colour.Linear, gap float64) colour.Linear {
	for range 200 {
		if d := someDye(r); colour.DeltaE76(d.Lab(), c.Lab()) >= gap {
			return d
		}
	}
	if c.Lab().L > 50 {
		return lch(25, 0, 0)
	}
	return lch(92, 0, 0)
}

// tint returns c made lighter by dl in L*, chroma scaled.
func tint(c colour.Linear, dl, chroma float64) colour.Linear {
	p := c.Lab()
	p.L = min(94, max(18, p.L+dl))
	p.A *= chroma
	p.B *= chroma
	return dyeable(p.Linear())
}

func blend(a, b colour.Linear, t float64) colour.Linear {
	return colour.Linear{mix(a[0], b[0], t), mix(a[1], b[1], t), mix(a[2], b[2], t)}
}
