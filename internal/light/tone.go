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
	Saturation float64 // 1 is none; at least 0.5
}

// NoTone leaves a picture as it is.
var NoTone = Tone{Contrast: 0, Saturation: 1}

// PhoneTone is a typical phone's rendering. Phones differ (contrast 0 to 0.35
// and saturation 1 to 1.12 are usual), so this only removes the mean of the
// error. From renders of the kind the program is measured on; no published
// source.
var PhoneTone = Tone{Contrast: 0.17, Saturation: 1.06}

const (
	encodeSteps = 1 << 14
	decodeSteps = 1 << 13
)

// encodeTable is EncodeSRGB at even steps over 0..1: to the nearest step it is
// within 0.1 of an 8-bit code of the curve.
var encodeTable = func() (t [encodeSteps + 1]float32) {
	for i := range t {
		t[i] = float32(colour.EncodeSRGB(float64(i) / encodeSteps))
	}
	return t
}()

// undo is the tone curve turned round, as a table.
type undo struct {
	tone Tone
	// decode is linear light before the curve, by code value −1..2: undoing
	// saturation stretches a colour past black or white.
	decode [3*decodeSteps + 1]float32
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
	u := &undo{tone: t, invSat: float32(1 / t.Saturation)}
	for i := range u.decode {
		u.decode[i] = float32(colour.DecodeSRGB(t.inverse(float64(i-decodeSteps) / decodeSteps)))
	}
	return u
}

// pixel takes a recorded linear colour to the linear light behind it.
func (u *undo) pixel(r, g, b float32) (float32, float32, float32) {
	if min(r, g, b) < 0 || max(r, g, b) > 1 {
		c := u.tone.Undo(colour.Linear{float64(r), float64(g), float64(b)})
		return float32(c[0]), float32(c[1]), float32(c[2])
	}
	r, g, b = encodeTable[int(r*encodeSteps+0.5)], encodeTable[int(g*encodeSteps+0.5)], encodeTable[int(b*encodeSteps+0.5)]
	l := colour.LumaR*r + colour.LumaG*g + colour.LumaB*b
	const zero = decodeSteps + 0.5
	k := u.invSat * decodeSteps
	o := l*decodeSteps + zero
	return u.decode[int(o+(r-l)*k)], u.decode[int(o+(g-l)*k)], u.decode[int(o+(b-l)*k)]
}

// Apply takes linear light to the linear colour the camera records.
func (t Tone) Apply(c colour.Linear) colour.Linear {
	var v [3]float64
	for i := range v {
		v[i] = t.sCurve(min(1, max(0, colour.EncodeSRGB(c[i]))))
	}
	l := colour.LumaR*v[0] + colour.LumaG*v[1] + colour.LumaB*v[2]
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
	l := colour.LumaR*v[0] + colour.LumaG*v[1] + colour.LumaB*v[2]
	for i := range v {
		v[i] = colour.DecodeSRGB(t.inverse(l + (v[i]-l)/t.Saturation))
	}
	return v
}
