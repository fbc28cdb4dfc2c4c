package colour

import "math"

// DeltaE76 returns the distance of two CIELAB colours (CIE 1976), which is quick
// and, far from grey, too large.
func DeltaE76(a, b Lab) float64 { return math.Hypot(math.Hypot(a.L-b.L, a.A-b.A), a.B-b.B) }

// DeltaE00 returns the CIEDE2000 difference of two CIELAB colours (L 0..100, D65) with
// kL = kC = kH = 1; about 1 can just be seen side by side. Equation numbers: G.
// Sharma, W. Wu and E. N. Dalal, Color Res. Appl. 30 (2005), 21-30.
func DeltaE00(a, b Lab) float64 {
	meanC := (math.Hypot(a.A, a.B) + math.Hypot(b.A, b.B)) / 2 // (2), (3)
	g := 0.5 * (1 - chromaWeight(meanC))                       // (4)

	a1, a2 := (1+g)*a.A, (1+g)*b.A                       // (5)
	c1, c2 := math.Hypot(a1, a.B), math.Hypot(a2, b.B)   // (6)
	h1, h2 := hueAngle(a1, a.B), hueAngle(a2, b.B)       // (7), radians
	dL, dC, dh := b.L-a.L, c2-c1, hueStep(h1, h2, c1*c2) // (8), (9), (10)
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2)          // (11)

	l, c := (a.L+b.L)/2, (c1+c2)/2 // (12), (13)
	h := h1 + dh/2                 // (14): half the shorter way round
	if c1*c2 == 0 {
		h = h1 + h2 // a grey has no hue: the other colour's counts
	}

	const degree = math.Pi / 180
	t := 1 - 0.17*math.Cos(h-30*degree) + 0.24*math.Cos(2*h) +
		0.32*math.Cos(3*h+6*degree) - 0.20*math.Cos(4*h-63*degree) // (15)
	h = math.Mod(h+2*math.Pi, 2*math.Pi) // (16) is not periodic
	turn := (h - 275*degree) / (25 * degree)
	dTheta := 30 * degree * math.Exp(-turn*turn)    // (16)
	rt := -math.Sin(2*dTheta) * 2 * chromaWeight(c) // (17), (21)

	l50 := (l - 50) * (l - 50)
	fL := dL / (1 + 0.015*l50/math.Sqrt(20+l50))       // (18)
	fC := dC / (1 + 0.045*c)                           // (19)
	fH := dH / (1 + 0.015*c*t)                         // (20)
	return math.Sqrt(fL*fL + fC*fC + fH*fH + rt*fC*fH) // (22)
}

// chromaWeight returns the root of c⁷ / (c⁷ + 25⁷).
func chromaWeight(c float64) float64 {
	const pow25to7 = 6103515625
	c3 := c * c * c
	c7 := c3 * c3 * c
	return math.Sqrt(c7 / (c7 + pow25to7))
}

// hueAngle is in radians, 0..2π, and 0 for a grey.
func hueAngle(a, b float64) float64 {
	h := math.Atan2(b, a)
	if h < 0 {
		h += 2 * math.Pi
	}
	return h
}

// hueStep returns the shorter way from h1 to h2 in radians, 0 where either is grey.
func hueStep(h1, h2, chromas float64) float64 {
	if chromas == 0 {
		return 0
	}
	// Of exactly opposite hues, (10) does not cross 0; the slack is for rounding.
	const half = math.Pi + 1e-12
	d := h2 - h1
	switch {
	case d > half:
		return d - 2*math.Pi
	case d < -half:
		return d + 2*math.Pi
	}
	return d
}
