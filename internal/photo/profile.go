package photo

import (
	"errors"
	"math"

	"piecebag/internal/colour"
)

// curve takes a device value 0..1 to linear light.
type curve func(float64) float64

// profile is a colour space of three tone curves and a matrix.
type profile struct {
	name     string
	curve    [3]curve
	toLinear colour.Matrix // device light to linear sRGB
	grey     bool          // made for pictures of one channel
	srgb     bool          // exactly sRGB: nothing to convert
}

var identity = colour.Matrix{1, 0, 0, 0, 1, 0, 0, 0, 1}

const (
	nameSRGB      = "sRGB"
	nameDisplayP3 = "Display P3"
	nameAdobeRGB  = "Adobe RGB (1998)"
)

// sRGB is IEC 61966-2-1.
func sRGB() profile {
	c := curve(colour.DecodeSRGB)
	return profile{name: nameSRGB, curve: [3]curve{c, c, c}, toLinear: identity, srgb: true}
}

// displayP3 has the primaries of SMPTE RP 431-2 with the white and the curve of
// sRGB.
func displayP3() profile {
	c := curve(colour.DecodeSRGB)
	return fromPrimaries(nameDisplayP3, c, [3][2]float64{{0.680, 0.320}, {0.265, 0.690}, {0.150, 0.060}})
}

// adobeRGB has the primaries and the gamma of Adobe RGB (1998) Color Image
// Encoding, 2005.
func adobeRGB() profile {
	return fromPrimaries(nameAdobeRGB, gamma(563.0/256), [3][2]float64{{0.64, 0.33}, {0.21, 0.71}, {0.15, 0.06}})
}

// fromPrimaries derives a profile whose white is D65 from the chromaticities of
// its primaries: each is scaled so that together they make the white.
func fromPrimaries(name string, c curve, xy [3][2]float64) profile {
	var col [3][3]float64
	for i, p := range xy {
		col[i] = [3]float64{p[0] / p[1], 1, (1 - p[0] - p[1]) / p[1]}
	}
	white := [3]float64(colour.WhiteD65)
	whole := determinant(col[0], col[1], col[2])
	share := [3]float64{
		determinant(white, col[1], col[2]) / whole,
		determinant(col[0], white, col[2]) / whole,
		determinant(col[0], col[1], white) / whole,
	}
	var scaled [3]colour.XYZ
	for i := range col {
		for k := range col[i] {
			scaled[i][k] = share[i] * col[i][k]
		}
	}
	p := profile{name: name, curve: [3]curve{c, c, c}}
	if err := p.setPrimaries(scaled, colour.WhiteD65); err != nil {
		panic(err) // only a wrong constant above can do this
	}
	return p
}

// setPrimaries derives toLinear from the XYZ of the three primaries and of the
// white that they make, by Bradford to D65 from that very white, so that what is
// grey to the device stays grey even where a profile is rounded, or was written
// without adaptation to the D50 of ICC.
func (p *profile) setPrimaries(col [3]colour.XYZ, white colour.XYZ) error {
	// The whites of all daylights and lamps lie well inside these bounds.
	if !(white[1] > 0.5 && white[1] < 2 && white[0] > white[1]/2 && white[0] < 2*white[1] && white[2] > white[1]/8 && white[2] < 2*white[1]) {
		return errors.New("its white is not white")
	}
	if d := determinant(col[0], col[1], col[2]); math.Abs(d) < 1e-3 {
		return errors.New("its primaries do not span a space")
	}
	one := colour.XYZ{white[0] / white[1], 1, white[2] / white[1]}
	adapt := colour.Adapt(one, colour.WhiteD65, colour.Bradford)
	for i, c := range col {
		v := colour.XYZ(adapt.Apply(c)).Linear()
		for k := range v {
			p.toLinear[3*k+i] = v[k] / white[1]
		}
	}
	return nil
}

func determinant(a, b, c [3]float64) float64 {
	return a[0]*(b[1]*c[2]-b[2]*c[1]) - b[0]*(a[1]*c[2]-a[2]*c[1]) + c[0]*(a[1]*b[2]-a[2]*b[1])
}

// plain reports whether device light already is linear sRGB.
func (p *profile) plain() bool { return p.toLinear == identity }

// lightTables take the device codes of R, G and B to device light in units of
// 1/lightUnit, whole numbers so that sums do not depend on their order.
type lightTables [3][1 << 16]uint32

const lightUnit = 1 << 31

// tables tabulates the tone curves between the codes black and white; those
// beyond mean the ends.
func (p *profile) tables(black, white uint16) *lightTables {
	t := new(lightTables)
	lo, hi := int(black), int(white)
	for i, c := range p.curve {
		for n := lo; n <= hi; n++ {
			v := c(float64(n-lo) / float64(hi-lo))
			if !(v > 0) { // a damaged curve may give anything
				v = 0
			}
			t[i][n] = uint32(math.Round(lightUnit * min(v, 1)))
		}
		for n := range lo {
			t[i][n] = t[i][lo]
		}
		for n := hi + 1; n < len(t[i]); n++ {
			t[i][n] = t[i][hi]
		}
	}
	return t
}

// chooseProfile picks the colour space of a picture of the given number of
// channels (1 or 3; inks are another matter): the container's own word first, then
// the camera's. Where it has to fall back on sRGB, the note says why.
func chooseProfile(h header, facts exifFacts, channels int) (p profile, note string) {
	const taken = "; taken as sRGB"
	// ITU-T H.273: primaries 1 (BT.709) or 12 (P3-D65), transfer 13 (sRGB),
	// matrix 0 (RGB), full range.
	switch string(h.cicp) {
	case "\x01\x0d\x00\x01":
		return sRGB(), ""
	case "\x0c\x0d\x00\x01":
		return displayP3(), ""
	}
	switch {
	case h.icc != nil:
		p, err := parseICC(h.icc)
		if err == nil && p.grey && channels != 1 {
			err = errors.New("it is for grey pictures")
		}
		if err == nil {
			return p, ""
		}
		return sRGB(), "its colour profile, " + p.name + ", cannot be used: " + err.Error() + taken
	case h.srgb, facts.srgb:
		return sRGB(), ""
	case facts.adobeRGB:
		return adobeRGB(), ""
	case h.cicp != nil:
		return sRGB(), "its colour coding is not one that is known" + taken
	}
	return sRGB(), "no colour profile" + taken
}
