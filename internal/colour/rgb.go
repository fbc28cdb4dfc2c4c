// Package colour is the colour mathematics: sRGB, CIE XYZ, CIELAB, OKLab,
// CIEDE2000, chromatic adaptation and Munsell. No I/O. The white point is D65
// unless a name says otherwise.
package colour

import (
	"math"

	"github.com/lucasb-eyer/go-colorful"
)

// Linear is a colour in linear light with the sRGB primaries, D65 white; 0..1
// is inside the gamut, values outside are kept.
type Linear [3]float64

// SRGB is a gamma-encoded sRGB colour (IEC 61966-2-1), nominally 0..1.
type SRGB [3]float64

// The weights of R, G and B in luminance (ITU-R BT.709-6, 3.2).
const (
	lumaR = 0.2126
	lumaG = 0.7152
	lumaB = 0.0722
)

// Luma returns the luminance, by these weights, of linear R, G and B; of sRGB codes it is
// their luma.
func Luma[T float32 | float64](r, g, b T) T { return lumaR*r + lumaG*g + lumaB*b }

// DecodeSRGB returns the IEC 61966-2-1 curve from code value 0..1 to linear light.
func DecodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// EncodeSRGB returns the inverse of DecodeSRGB.
func EncodeSRGB(v float64) float64 {
	if v <= 0.0031308 {
		return v * 12.92
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// Linear removes the gamma curve.
func (c SRGB) Linear() Linear {
	return Linear{DecodeSRGB(c[0]), DecodeSRGB(c[1]), DecodeSRGB(c[2])}
}

// SRGB applies the gamma curve; values outside 0..1 stay outside.
func (c Linear) SRGB() SRGB {
	return SRGB{EncodeSRGB(c[0]), EncodeSRGB(c[1]), EncodeSRGB(c[2])}
}

// Bytes clamps to the gamut and rounds to 8 bits.
func (c Linear) Bytes() [3]uint8 {
	var b [3]uint8
	for i, v := range c {
		b[i] = uint8(math.Round(255 * min(1, max(0, EncodeSRGB(min(1, max(0, v)))))))
	}
	return b
}

// Hex returns the clamped colour as #rrggbb.
func (c Linear) Hex() string {
	return colorful.LinearRgb(c[0], c[1], c[2]).Clamped().Hex()
}

// InGamut reports whether the colour can be shown in sRGB; slack (linear light)
// forgives rounding.
func (c Linear) InGamut(slack float64) bool {
	for _, v := range c {
		if !(v >= -slack && v <= 1+slack) {
			return false
		}
	}
	return true
}

// XYZ is CIE 1931 XYZ, white Y = 1.
type XYZ [3]float64

// toXYZ holds the sRGB primaries (IEC 61966-2-1, x y of R .64 .33, G .30 .60,
// B .15 .06, white D65 .3127 .3290) as a matrix; its row sums are the white.
var toXYZ = Matrix{
	0.41239079926595934, 0.357584339383878, 0.1804807884018343,
	0.21263900587151027, 0.715168678767756, 0.07219231536073371,
	0.01933081871559182, 0.11919477979462598, 0.9505321522496607,
}

var fromXYZ = toXYZ.inverse()

// XYZ converts to CIE XYZ (D65).
func (c Linear) XYZ() XYZ { return XYZ(toXYZ.Apply(c)) }

// Linear converts to linear sRGB; the result may lie outside the gamut.
func (c XYZ) Linear() Linear { return Linear(fromXYZ.Apply(c)) }

// Luminance is CIE Y relative to white, 0..1: the relative luminance of WCAG 2.
func (c Linear) Luminance() float64 {
	return toXYZ[3]*c[0] + toXYZ[4]*c[1] + toXYZ[5]*c[2]
}

// Contrast returns the WCAG 2.1 contrast ratio of two colours, 1..21; text needs 4.5
// (success criterion 1.4.3), signs 3 (1.4.11).
func Contrast(a, b Linear) float64 {
	ya, yb := a.Luminance(), b.Luminance()
	return (max(ya, yb) + 0.05) / (min(ya, yb) + 0.05)
}
