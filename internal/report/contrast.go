package report

import "piecebag/internal/colour"

// minContrast is the least contrast of text of any size (WCAG 2.1, success
// criterion 1.4.3, level AA).
const minContrast = 4.5

// ratioOf is the WCAG 2.1 contrast ratio of two colours, 1..21. The relative
// luminance of WCAG is the Y of sRGB clamped to the gamut; its 0.03928 for the
// toe of the curve falls between the same 8-bit codes as IEC's 0.04045.
func ratioOf(a, b colour.Linear) float64 {
	y, z := luminance(a), luminance(b)
	if y < z {
		y, z = z, y
	}
	return (y + 0.05) / (z + 0.05)
}

func luminance(c colour.Linear) float64 {
	for i, v := range c.Bytes() {
		c[i] = colour.DecodeSRGB(float64(v) / 255)
	}
	return c.XYZ()[1]
}

// inkOn is black or white, whichever is read better on c. The worse case, a
// luminance of √(0.05·1.05) − 0.05, still has a contrast of √21 = 4.58.
func inkOn(c colour.Linear) colour.Linear {
	black, white := colour.Linear{}, colour.Linear{1, 1, 1}
	if ratioOf(c, black) >= ratioOf(c, white) {
		return black
	}
	return white
}

// greyOf is the grey of the same lightness, CIE L* 0..100.
func greyOf(lightness float64) colour.Linear {
	return colour.Lab{L: lightness}.Linear()
}
