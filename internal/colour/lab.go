package colour

import "math"

// Lab is CIELAB relative to D65, L 0..100.
type Lab struct{ L, A, B float64 }

// LabD50 is CIELAB relative to D50, L 0..100: what CSS lab() and ICC profiles
// mean. It is a type of its own because taking one for the other is off by as
// much as ΔE00 5.7.
type LabD50 struct{ L, A, B float64 }

// LCh is Lab in polar form: C ≥ 0, hue H in degrees, 0 ≤ H < 360; a grey has hue
// 0.
type LCh struct{ L, C, H float64 }

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

// labOf is CIELAB relative to any white (CIE 15:2004, 8.2.1.1).
func labOf(c, white XYZ) (l, a, b float64) {
	x, y, z := labF(c[0]/white[0]), labF(c[1]/white[1]), labF(c[2]/white[2])
	return 116*y - 16, 500 * (x - y), 200 * (y - z)
}

// xyzOf returns the inverse of labOf.
func xyzOf(l, a, b float64, white XYZ) XYZ {
	fy := (l + 16) / 116
	return XYZ{
		labInverseF(fy+a/500) * white[0],
		labInverseF(fy) * white[1],
		labInverseF(fy-b/200) * white[2],
	}
}

// Lab converts to CIELAB with the D65 white.
func (c XYZ) Lab() Lab {
	l, a, b := labOf(c, WhiteD65)
	return Lab{l, a, b}
}

// Lab converts to CIELAB with the D65 white.
func (c Linear) Lab() Lab { return c.XYZ().Lab() }

// XYZ converts back from CIELAB (D65).
func (c Lab) XYZ() XYZ { return xyzOf(c.L, c.A, c.B, WhiteD65) }

// Linear converts to linear sRGB; the result may lie outside the gamut.
func (c Lab) Linear() Linear { return c.XYZ().Linear() }

// LabD50 adapts to D50 by Bradford and converts to CIELAB with that white.
func (c XYZ) LabD50() LabD50 {
	l, a, b := labOf(XYZ(d65ToD50.Apply(c)), WhiteD50)
	return LabD50{l, a, b}
}

// XYZ converts back from CIELAB (D50), adapted to D65 by Bradford.
func (c LabD50) XYZ() XYZ {
	return XYZ(d50ToD65.Apply(xyzOf(c.L, c.A, c.B, WhiteD50)))
}

// LCh converts to polar form.
func (c Lab) LCh() LCh {
	chroma, hue := polar(c.A, c.B, 1e-6)
	return LCh{c.L, chroma, hue}
}

// Lab converts from polar form.
func (c LCh) Lab() Lab {
	a, b := cartesian(c.C, c.H)
	return Lab{c.L, a, b}
}

// polar returns the radius and the angle in degrees, 0 ≤ angle < 360; the angle is 0
// where the radius is below grey, since rounding alone would decide it.
func polar(a, b, grey float64) (radius, degrees float64) {
	radius = math.Hypot(a, b)
	if radius < grey {
		return radius, 0
	}
	degrees = math.Atan2(b, a) * (180 / math.Pi)
	if degrees < 0 {
		// A tiny negative angle rounds up to a full turn.
		if degrees += 360; degrees >= 360 {
			degrees = 0
		}
	}
	return radius, degrees
}

func cartesian(radius, degrees float64) (a, b float64) {
	sin, cos := math.Sincos(degrees * (math.Pi / 180))
	return radius * cos, radius * sin
}
