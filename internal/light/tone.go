package light

import (
	"math"

	"piecebag/internal/colour"
)

// Tone is what a camera does to a picture after it has balanced white: an S
// curve over the sRGB code values, v + Contrast·(v²(3−2v) − v), then a
// stretch of each pixel's code values away from their Rec. 709 luma by
// Saturation. The zero curve is Tone{0, 1}.
type Tone struct {
	Contrast   float64 // 0 (none) .. 1 (a full smoothstep)
	Saturation float64 // 1 is none
}

// NoTone leaves a picture as it is.
var NoTone = Tone{Contrast: 0, Saturation: 1}

// PhoneTone is a typical phone's rendering. Phones differ (contrast 0 to 0.35
// and saturation 1 to 1.12 are usual), so this only removes the mean of the
// error. From renders of the kind the program is measured on; no published
// source.
var PhoneTone = Tone{Contrast: 0.17, Saturation: 1.06}

const (
	encodeSteps = 4096
	decodeSteps = 2048
)

// encodeTable is EncodeSRGB on a regular grid over 0..1, for linear
// interpolation: within 2e-5 of the curve.
var encodeTable = func() (t [encodeSteps + 2]float32) {
	for i := range t {
		t[i] = float32(colour.EncodeSRGB(float64(i) / encodeSteps))
	}
	return t
}()

func lookup(t []float32, n float32, v float32) float32 {
	v *= n
	i := int(v)
	if v < 0 {
		i = 0
	} else if v >= n {
		i = int(n) - 1
	}
	return t[i] + (v-float32(i))*(t[i+1]-t[i])
}

// Undo is the tone curve turned round, as a table.
type undo struct {
	tone   Tone
	decode []float32 // code value 0..1 → linear light before the curve
	invSat float32
}

func (t Tone) sCurve(v float64) float64 { return v + t.Contrast*(v*v*(3-2*v)-v) }

// inverse solves sCurve(x) = v for x in 0..1 by Newton's method; the curve is
// monotonic for Contrast in 0..1.
func (t Tone) inverse(v float64) float64 {
	if v <= 0 || v >= 1 {
		return v
	}
	lo, hi := 0.0, 1.0
	x := v
	for range 60 {
		d := t.sCurve(x) - v
		if d > 0 {
			hi = x
		} else {
			lo = x
		}
		slope := 1 + t.Contrast*(6*x-6*x*x-1)
		n := x - d/slope
		if !(n > lo && n < hi) {
			n = (lo + hi) / 2
		}
		if math.Abs(n-x) < 1e-13 {
			return n
		}
		x = n
	}
	return x
}

func newUndo(t Tone) *undo {
	u := &undo{tone: t, decode: make([]float32, decodeSteps+2), invSat: float32(1 / t.Saturation)}
	for i := range u.decode {
		u.decode[i] = float32(colour.DecodeSRGB(t.inverse(float64(i) / decodeSteps)))
	}
	return u
}

// pixel takes a recorded linear colour to the linear light behind it. Values
// outside 0..1 continue the tables' last slopes.
func (u *undo) pixel(r, g, b float32) (float32, float32, float32) {
	r, g, b = lookup(encodeTable[:], encodeSteps, r), lookup(encodeTable[:], encodeSteps, g), lookup(encodeTable[:], encodeSteps, b)
	l := lumaR*r + lumaG*g + lumaB*b
	r, g, b = l+(r-l)*u.invSat, l+(g-l)*u.invSat, l+(b-l)*u.invSat
	return lookup(u.decode, decodeSteps, r), lookup(u.decode, decodeSteps, g), lookup(u.decode, decodeSteps, b)
}

// Rec. 709 luma weights (ITU-R BT.709-6, 3.2).
const lumaR, lumaG, lumaB = 0.2126, 0.7152, 0.0722

// Apply takes linear light to the linear colour the camera records.
func (t Tone) Apply(c colour.Linear) colour.Linear {
	var v [3]float64
	for i := range v {
		v[i] = t.sCurve(min(1, max(0, colour.EncodeSRGB(c[i]))))
	}
	l := lumaR*v[0] + lumaG*v[1] + lumaB*v[2]
	for i := range v {
		v[i] = colour.DecodeSRGB(min(1, max(0, l+(v[i]-l)*t.Saturation)))
	}
	return v
}

// Undo takes a recorded linear colour to the linear light behind it.
func (t Tone) Undo(c colour.Linear) colour.Linear {
	var v [3]float64
	for i := range v {
		v[i] = colour.EncodeSRGB(c[i])
	}
	l := lumaR*v[0] + lumaG*v[1] + lumaB*v[2]
	for i := range v {
		v[i] = colour.DecodeSRGB(t.inverse(l + (v[i]-l)/t.Saturation))
	}
	return v
}
