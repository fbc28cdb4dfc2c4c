package colour

import "math"

// OKLab is Ottosson's space (2020), L 0..1.
type OKLab struct{ L, A, B float64 }

// OKLCh is OKLab in polar form: C ≥ 0, hue H in degrees, 0 ≤ H < 360; a grey has
// hue 0.
type OKLCh struct{ L, C, H float64 }

// B. Ottosson, "A perceptual color space for image processing", 2020, with the
// digits of CSS Color 4 §18, which make the matrices agree with the sRGB white:
// XYZ to cone response, and the cube root of that to OKLab.
var (
	okCone = Matrix{
		0.8190224379967030, 0.3619062600528904, -0.1288737815209879,
		0.0329836539323885, 0.9292868615863434, 0.0361446663506424,
		0.0481771893596242, 0.2642395317527308, 0.6335478284694309,
	}
	okLab = Matrix{
		0.2104542683093140, 0.7936177747023054, -0.0040720430116193,
		1.9779985324311684, -2.4285922420485799, 0.4505937096174110,
		0.0259040424655478, 0.7827717124575296, -0.8086757549230774,
	}

	// Cones takes linear sRGB to cone responses, FromCones back, and Opponents the cube
	// roots of responses to OKLab.
	Cones     = okCone.Mul(toXYZ)
	FromCones = Cones.inverse()
	Opponents = okLab

	okFromLab = okLab.inverse()
)

// OKLab converts to OKLab.
func (c Linear) OKLab() OKLab {
	l := Cones.Apply(c)
	v := okLab.Apply([3]float64{math.Cbrt(l[0]), math.Cbrt(l[1]), math.Cbrt(l[2])})
	return OKLab{v[0], v[1], v[2]}
}

// OKLab converts to OKLab.
func (c XYZ) OKLab() OKLab { return c.Linear().OKLab() }

// Linear converts to linear sRGB; the result may lie outside the gamut.
func (c OKLab) Linear() Linear {
	v := okFromLab.Apply([3]float64{c.L, c.A, c.B})
	return Linear(FromCones.Apply([3]float64{v[0] * v[0] * v[0], v[1] * v[1] * v[1], v[2] * v[2] * v[2]}))
}

// OKLCh converts to polar form.
func (c OKLab) OKLCh() OKLCh {
	chroma, hue := polar(c.A, c.B, 1e-8)
	return OKLCh{c.L, chroma, hue}
}

// OKLab converts from polar form.
func (c OKLCh) OKLab() OKLab {
	a, b := cartesian(c.C, c.H)
	return OKLab{c.L, a, b}
}
