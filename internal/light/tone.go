package light

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// Curve is what a camera does to linear light, 0..1, after it has balanced
// white: each channel by the sigmoid
//
//	(1 + Shoulder)·x^Contrast / (1 + Shoulder·x^Contrast)
//
// (Naka & Rushton 1966, J. Physiol. 185; Reinhard & Devlin 2005, IEEE Trans.
// Vis. Comput. Graph. 11(1)), then, in sRGB code values, a stretch of each
// pixel away from its Rec. 709 luma by Saturation.
type Curve struct {
	Contrast   float64 // the slope in shadows, log over log; 1 is none
	Shoulder   float64 // how far highlights are held back; 0 is none
	Saturation float64 // 1 is none; at least 0.5
}

// NoTone leaves a picture as it is.
var NoTone = Curve{Contrast: 1, Saturation: 1}

// CameraTone is what phones and cameras do to a photo. Five photos of a chart of
// 24 patches, from a phone and a camera, ask for a contrast of 0.9 to 1.3, a
// shoulder of 0.5 to 2.5 and a saturation of 0.95 to 1.17; with these numbers
// their lightness is right within 2 in the mean, and none comes out worse than
// it was by more than ΔE00 1.
var CameraTone = Curve{Contrast: 1.12, Shoulder: 0.8, Saturation: 1.05}

// PlainTone is for pictures that do not say that they are a camera's own: drawn
// ones have a faint curve or none, and what was sent or edited may have any.
var PlainTone = Curve{Contrast: 1.06, Shoulder: 0.1, Saturation: 1.06}

// UsualTone returns the tone curve of a picture of which no more is known.
func UsualTone(p *cloth.Picture) Curve {
	if p.Camera {
		return CameraTone
	}
	return PlainTone
}

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

// curve returns what the camera makes of linear light x.
func (t Curve) curve(x float64) float64 {
	if x <= 0 || x >= 1 {
		return min(1, max(0, x))
	}
	p := math.Pow(x, t.Contrast)
	return (1 + t.Shoulder) * p / (1 + t.Shoulder*p)
}

// inverse returns the linear light that the curve takes to v. Past black it goes on
// as it is, past white straight.
func (t Curve) inverse(v float64) float64 {
	switch {
	case v <= 0:
		return v
	case v >= 1:
		return 1 + (v-1)*(1+t.Shoulder)/t.Contrast
	}
	return math.Pow(v/(1+t.Shoulder-t.Shoulder*v), 1/t.Contrast)
}

// undoer is Undo by tables, for whole pictures.
func (t Curve) undoer() func(r, g, b float32) (float32, float32, float32) {
	if t == NoTone {
		return func(r, g, b float32) (float32, float32, float32) { return r, g, b }
	}
	// By code value −1..2: undoing saturation stretches a colour past black or white.
	decode := make([]float32, 3*decodeSteps+1)
	for i := range decode {
		decode[i] = float32(t.inverse(colour.DecodeSRGB(float64(i-decodeSteps) / decodeSteps)))
	}
	k := float32(decodeSteps / t.Saturation)
	return func(r, g, b float32) (float32, float32, float32) {
		if min(r, g, b) < 0 || max(r, g, b) > 1 {
			c := t.Undo(colour.Linear{float64(r), float64(g), float64(b)})
			return float32(c[0]), float32(c[1]), float32(c[2])
		}
		r, g, b = encodeTable[int(r*encodeSteps+0.5)], encodeTable[int(g*encodeSteps+0.5)], encodeTable[int(b*encodeSteps+0.5)]
		l := colour.Luma(r, g, b)
		o := l*decodeSteps + decodeSteps + 0.5
		return decode[int(o+(r-l)*k)], decode[int(o+(g-l)*k)], decode[int(o+(b-l)*k)]
	}
}

// Apply takes linear light to the linear colour the camera records.
func (t Curve) Apply(c colour.Linear) colour.Linear {
	var v [3]float64
	for i := range v {
		v[i] = colour.EncodeSRGB(t.curve(c[i]))
	}
	l := colour.Luma(v[0], v[1], v[2])
	for i := range v {
		v[i] = colour.DecodeSRGB(min(1, max(0, l+(v[i]-l)*t.Saturation)))
	}
	return v
}

// Undo takes a recorded linear colour to the linear light behind it.
func (t Curve) Undo(c colour.Linear) colour.Linear {
	var v [3]float64
	for i := range v {
		v[i] = colour.EncodeSRGB(c[i])
	}
	l := colour.Luma(v[0], v[1], v[2])
	for i := range v {
		v[i] = t.inverse(colour.DecodeSRGB(l + (v[i]-l)/t.Saturation))
	}
	return v
}
