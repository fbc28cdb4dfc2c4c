package light

import (
	"math"

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
	return tristimulus{math.Log(colour.Luma(r, g, b)), math.Log(r / g), math.Log(b / g)}
}

func (t tristimulus) linear() colour.Linear {
	r, b := math.Exp(t[1]), math.Exp(t[2])
	g := math.Exp(t[0]) / colour.Luma(r, 1, b)
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

// distance returns the squared distance of t from the mean, in standard deviations.
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

// wider returns the law of a sum of n and an error of the given sd.
func (n law) wider(sd tristimulus) law {
	for k := range sd {
		n.sd[k] = math.Hypot(n.sd[k], sd[k])
	}
	return n
}

var normaliser = math.Pow(2*math.Pi, 1.5)

func sq(v float64) float64 { return v * v }
