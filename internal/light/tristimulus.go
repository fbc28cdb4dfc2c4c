package light

import (
	"math"
	"slices"

	"piecebag/internal/colour"
)

// tristimulus is a light or colour as log luminance and log chromaticity:
// ln Y, ln R/G, ln B/G (linear sRGB primaries). Lights multiply colours, so
// here they add.
type tristimulus [3]float64

// logFloor keeps black from −Inf: a tenth of the step between the two darkest
// 8-bit sRGB codes.
const logFloor = 3e-5

func toLog(c colour.Linear) tristimulus {
	r, g, b := max(c[0], logFloor), max(c[1], logFloor), max(c[2], logFloor)
	return tristimulus{math.Log(colour.LumaR*r + colour.LumaG*g + colour.LumaB*b), math.Log(r / g), math.Log(b / g)}
}

func (t tristimulus) linear() colour.Linear {
	r, b := math.Exp(t[1]), math.Exp(t[2])
	g := math.Exp(t[0]) / (colour.LumaR*r + colour.LumaG + colour.LumaB*b)
	return colour.Linear{r * g, g, b * g}
}

func (t tristimulus) add(u tristimulus) tristimulus {
	return tristimulus{t[0] + u[0], t[1] + u[1], t[2] + u[2]}
}

func (t tristimulus) sub(u tristimulus) tristimulus {
	return tristimulus{t[0] - u[0], t[1] - u[1], t[2] - u[2]}
}

// law is an axis-aligned normal law over tristimulus.
type law struct{ mean, sd tristimulus }

// distance is the squared distance of t from the mean, in standard deviations.
func (n *law) distance(t tristimulus) float64 {
	q := 0.0
	for k := range t {
		q += sq((t[k] - n.mean[k]) / n.sd[k])
	}
	return q
}

func (n *law) density(t tristimulus) float64 {
	q := n.distance(t)
	if q > 60 {
		return 0
	}
	return math.Exp(-q/2) / (n.sd[0] * n.sd[1] * n.sd[2] * normaliser)
}

// wider is the law of a sum of n and an error of the given sd.
func (n law) wider(sd tristimulus) law {
	for k := range sd {
		n.sd[k] = math.Hypot(n.sd[k], sd[k])
	}
	return n
}

var normaliser = math.Pow(2*math.Pi, 1.5)

func sq(v float64) float64 { return v * v }

// medianAbs is the median absolute value of v, scaled to the sd of a normal
// law about zero. It reorders v and takes its signs.
func medianAbs(v []float64) float64 {
	for i := range v {
		v[i] = math.Abs(v[i])
	}
	return madToSD * median(v)
}

const madToSD = 1.4826 // 1 / Φ⁻¹(3/4)

// median is the upper median of v, which it reorders; v holds at least one.
func median(v []float64) float64 {
	return nth(v, len(v)/2)
}

// spread is the robust sd of v about its median.
func spread(v []float64) float64 {
	s := slices.Clone(v)
	m := median(s)
	for i := range s {
		s[i] -= m
	}
	return medianAbs(s)
}

// nth is the value that would stand at place k were v sorted. It reorders v.
func nth(v []float64, k int) float64 {
	lo, hi := 0, len(v)-1
	for lo < hi {
		pivot := v[lo+(hi-lo)/2]
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		if k <= j {
			hi = j
		} else if k >= i {
			lo = i
		} else {
			return v[k]
		}
	}
	return v[k]
}
