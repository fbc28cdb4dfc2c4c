package colour

// White points, CIE 1931 2° observer, Y = 1.
var (
	// WhiteD65 is the white of the sRGB matrix, so that greys are exact.
	WhiteD65 = XYZ(toXYZ.Apply([3]float64{1, 1, 1}))
	// WhiteD50 is the white of CSS lab() and lch() (CSS Color 4, §9.1).
	WhiteD50 = whiteOf(0.3457, 0.3585)
	// WhiteC is illuminant C, under which Munsell colours are defined (CIE 15).
	WhiteC = whiteOf(0.31006, 0.31616)
)

// whiteOf returns the white of a chromaticity.
func whiteOf(x, y float64) XYZ { return XYZ{x / y, 1, (1 - x - y) / y} }

// Cone is a space of cone responses in which whites are scaled to one another.
type Cone struct{ to, from Matrix }

// Bradford is the sharpened cone space of Lam (1985), as ICC and CSS use it.
var Bradford = newCone(Matrix{
	0.8951, 0.2664, -0.1614,
	-0.7502, 1.7135, 0.0367,
	0.0389, -0.0685, 1.0296,
})

// CAT02 is the cone space of CIECAM02 (CIE 159:2004).
var CAT02 = newCone(Matrix{
	0.7328, 0.4296, -0.1624,
	-0.7036, 1.6975, 0.0061,
	0.0030, 0.0136, 0.9834,
})

func newCone(to Matrix) Cone { return Cone{to, to.inverse()} }

// Adapt returns the XYZ matrix that makes a colour seen under the white src look the
// same under the white dst, adaptation being complete: it takes src to dst. Both
// whites must have positive cone responses, as every light has.
func Adapt(src, dst XYZ, cone Cone) Matrix {
	s, d := cone.to.Apply(src), cone.to.Apply(dst)
	scale := Matrix{d[0] / s[0], 0, 0, 0, d[1] / s[1], 0, 0, 0, d[2] / s[2]}
	return cone.from.Mul(scale).Mul(cone.to)
}

// AdaptLinear is Adapt for colours and whites in linear sRGB.
func AdaptLinear(src, dst Linear, cone Cone) Matrix {
	return fromXYZ.Mul(Adapt(src.XYZ(), dst.XYZ(), cone)).Mul(toXYZ)
}

var (
	d65ToD50 = Adapt(WhiteD65, WhiteD50, Bradford)
	d50ToD65 = Adapt(WhiteD50, WhiteD65, Bradford)
	d65ToC   = Adapt(WhiteD65, WhiteC, Bradford)
	cToD65   = Adapt(WhiteC, WhiteD65, Bradford)
)
