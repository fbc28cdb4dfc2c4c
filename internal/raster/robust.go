package raster

import (
	"math"
	"slices"
)

// Mean is the mean of v, one value or more.
func Mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// MADToSD takes the median absolute deviation of a normal law to its standard
// deviation: 1 / Φ⁻¹(3/4).
const MADToSD = 1.4826

// Nth is the value that would stand at place k were v sorted. It reorders v.
func Nth(v []float64, k int) float64 {
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

// Median is the upper median of v, one value or more. It reorders v.
func Median(v []float64) float64 { return Nth(v, len(v)/2) }

// SDAboutZero is the robust standard deviation of v about 0: from the median
// absolute value. It reorders v and takes its signs.
func SDAboutZero(v []float64) float64 {
	for i := range v {
		v[i] = math.Abs(v[i])
	}
	return MADToSD * Median(v)
}

// SD is the robust standard deviation of v about its median.
func SD(v []float64) float64 {
	s := slices.Clone(v)
	m := Median(s)
	for i := range s {
		s[i] -= m
	}
	return SDAboutZero(s)
}

// Biweight is the weight of a residual r in a fit by Tukey's biweight, 0..1: from c
// on a datum counts nothing.
func Biweight(r, c float64) float64 {
	u := r / c
	k := max(0, 1-u*u)
	return k * k
}

// BiweightCut is the c of Biweight, in standard deviations, that loses a twentieth
// of the data's worth where they are normal (Holland & Welsch 1977, Commun. Statist.
// A6).
const BiweightCut = 4.685

// leastSD keeps a fit to points that lie in one line from trusting them alone.
const leastSD = 0.05

// FitSlope fits y = mid + tilt·x by Tukey's biweight, with errors in y alone, and
// gives the robust standard deviation of what is left, leastSD at least.
func FitSlope(x, y []float64) (mid, tilt, sd float64) {
	weight, left := make([]float64, len(x)), make([]float64, len(x))
	for i := range weight {
		weight[i] = 1
	}
	for range 6 {
		var s0, s1, s2, t0, t1 float64
		for i, w := range weight {
			s0 += w
			s1 += w * x[i]
			s2 += w * x[i] * x[i]
			t0 += w * y[i]
			t1 += w * x[i] * y[i]
		}
		det := s0*s2 - s1*s1
		if det < 1e-9 {
			break
		}
		mid, tilt = (s2*t0-s1*t1)/det, (s0*t1-s1*t0)/det
		for i := range x {
			left[i] = y[i] - mid - tilt*x[i]
		}
		sd = max(leastSD, SDAboutZero(slices.Clone(left)))
		for i, r := range left {
			weight[i] = Biweight(r, BiweightCut*sd)
		}
	}
	return mid, tilt, sd
}
