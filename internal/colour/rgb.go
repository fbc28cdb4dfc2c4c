// Package colour is the colour mathematics: sRGB, CIE XYZ, CIELAB, OKLab,
// CIEDE2000, chromatic adaptation and Munsell. No I/O. The white point is D65
// unless a name says otherwise.
package colour

import "math"

// Linear is a colour in linear light with the sRGB primaries, D65 white; 0..1
// is inside the gamut, values outside are kept.
type Linear [3]float64

// SRGB is a gamma-encoded sRGB colour (IEC 61966-2-1), nominally 0..1.
type SRGB [3]float64

// DecodeSRGB is the IEC 61966-2-1 curve from code value 0..1 to linear light.
func DecodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// EncodeSRGB is the inverse of DecodeSRGB.
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

// Hex is the clamped colour as #rrggbb.
func (c Linear) Hex() string {
	const digits = "0123456789abcdef"
	b := c.Bytes()
	out := []byte{'#', 0, 0, 0, 0, 0, 0}
	for i, v := range b {
		out[1+2*i], out[2+2*i] = digits[v>>4], digits[v&15]
	}
	return string(out)
}

// XYZ is CIE 1931 XYZ, white Y = 1.
type XYZ [3]float64

// Lab is CIELAB relative to D65, L 0..100.
type Lab struct{ L, A, B float64 }

// OKLab is Ottosson's space (2020), L 0..1.
type OKLab struct{ L, A, B float64 }

// toXYZ holds the sRGB primaries (IEC 61966-2-1, x y of R .64 .33, G .30 .60,
// B .15 .06, white D65 .3127 .3290) as a matrix; its row sums are the white.
var toXYZ = [9]float64{
	0.41239079926595934, 0.357584339383878, 0.1804807884018343,
	0.21263900587151027, 0.715168678767756, 0.07219231536073371,
	0.01933081871559182, 0.11919477979462598, 0.9505321522496607,
}

var fromXYZ = invert3(toXYZ)

// WhiteD65 is the white of the matrix, so that greys are exact.
var WhiteD65 = XYZ{
	toXYZ[0] + toXYZ[1] + toXYZ[2],
	toXYZ[3] + toXYZ[4] + toXYZ[5],
	toXYZ[6] + toXYZ[7] + toXYZ[8],
}

func mul3(m *[9]float64, v [3]float64) [3]float64 {
	return [3]float64{
		m[0]*v[0] + m[1]*v[1] + m[2]*v[2],
		m[3]*v[0] + m[4]*v[1] + m[5]*v[2],
		m[6]*v[0] + m[7]*v[1] + m[8]*v[2],
	}
}

func invert3(m [9]float64) [9]float64 {
	a, b, c, d, e, f, g, h, i := m[0], m[1], m[2], m[3], m[4], m[5], m[6], m[7], m[8]
	k := 1 / (a*(e*i-f*h) - b*(d*i-f*g) + c*(d*h-e*g))
	return [9]float64{
		(e*i - f*h) * k, (c*h - b*i) * k, (b*f - c*e) * k,
		(f*g - d*i) * k, (a*i - c*g) * k, (c*d - a*f) * k,
		(d*h - e*g) * k, (b*g - a*h) * k, (a*e - b*d) * k,
	}
}

// XYZ converts to CIE XYZ (D65).
func (c Linear) XYZ() XYZ { return XYZ(mul3(&toXYZ, c)) }

// Linear converts to linear sRGB; the result may lie outside the gamut.
func (c XYZ) Linear() Linear { return Linear(mul3(&fromXYZ, c)) }

const (
	labEpsilon = 216.0 / 24389.0 // CIE 15:2004, 8.2.1.1, as exact fractions
	labKappa   = 24389.0 / 27.0
)

func labF(t float64) float64 {
	if t > labEpsilon {
		return math.Cbrt(t)
	}
	return (labKappa*t + 16) / 116
}

func labInverseF(f float64) float64 {
	if t := f * f * f; t > labEpsilon {
		return t
	}
	return (116*f - 16) / labKappa
}

// Lab converts to CIELAB with the D65 white.
func (c XYZ) Lab() Lab {
	x, y, z := labF(c[0]/WhiteD65[0]), labF(c[1]/WhiteD65[1]), labF(c[2]/WhiteD65[2])
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// Lab converts to CIELAB with the D65 white.
func (c Linear) Lab() Lab { return c.XYZ().Lab() }

// XYZ converts back from CIELAB (D65).
func (c Lab) XYZ() XYZ {
	fy := (c.L + 16) / 116
	return XYZ{
		labInverseF(fy+c.A/500) * WhiteD65[0],
		labInverseF(fy) * WhiteD65[1],
		labInverseF(fy-c.B/200) * WhiteD65[2],
	}
}

// Linear converts to linear sRGB.
func (c Lab) Linear() Linear { return c.XYZ().Linear() }

// okM1 and okM2 are B. Ottosson, "A perceptual color space for image
// processing", 2020, linear sRGB form.
var (
	okM1 = [9]float64{
		0.4122214708, 0.5363325363, 0.0514459929,
		0.2119034982, 0.6806995451, 0.1073969566,
		0.0883024619, 0.2817188376, 0.6299787005,
	}
	okM2 = [9]float64{
		0.2104542553, 0.7936177850, -0.0040720468,
		1.9779984951, -2.4285922050, 0.4505937099,
		0.0259040371, 0.7827717662, -0.8086757660,
	}
	okM1Inverse, okM2Inverse = invert3(okM1), invert3(okM2)
)

// OKLab converts to OKLab.
func (c Linear) OKLab() OKLab {
	l := mul3(&okM1, c)
	v := mul3(&okM2, [3]float64{math.Cbrt(l[0]), math.Cbrt(l[1]), math.Cbrt(l[2])})
	return OKLab{v[0], v[1], v[2]}
}

// Linear converts to linear sRGB; the result may lie outside the gamut.
func (c OKLab) Linear() Linear {
	v := mul3(&okM2Inverse, [3]float64{c.L, c.A, c.B})
	return Linear(mul3(&okM1Inverse, [3]float64{v[0] * v[0] * v[0], v[1] * v[1] * v[1], v[2] * v[2] * v[2]}))
}
