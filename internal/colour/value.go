package colour

import "math"

// MunsellY returns the luminance Y (0..1 of the perfect diffuser) of a Munsell value
// 0..10: ASTM D1535-14, the polynomial of Newhall et al. (1943) times 0.975.
// Values outside are clamped.
func MunsellY(value float64) float64 {
	v := min(10, max(0, value))
	return v * (1.1914 + v*(-0.22533+v*(0.23352+v*(-0.020484+v*0.00081939)))) / 100
}

// MunsellValue returns the inverse of MunsellY to 1e-9: the Munsell value 0..10 of a
// luminance Y (0..1 of the perfect diffuser). Luminances outside are clamped.
func MunsellValue(y float64) float64 {
	if !(y > 0) {
		return 0
	}
	if y >= 1 {
		return 10
	}
	// A cube root lies within 0.2 of it; Newton does the rest.
	v := max(0.1, 2.468*math.Cbrt(100*y)-1.636)
	for range 8 {
		slope := (1.1914 + v*(-2*0.22533+v*(3*0.23352+v*(-4*0.020484+v*5*0.00081939)))) / 100
		step := (MunsellY(v) - y) / slope
		v -= step
		if math.Abs(step) < 1e-12 {
			break
		}
	}
	return min(10, max(0, v))
}
