package raster

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

// Mean returns the mean of v, one value or more.
func Mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// madToSD takes the median absolute deviation of a normal law to its standard
// deviation: 1 / Φ⁻¹(3/4).
const madToSD = 1.4826

// Nth returns the value that would stand at place k were v sorted. It reorders v.
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

// Median returns the upper median of v, one value or more. It reorders v.
func Median(v []float64) float64 { return Nth(v, len(v)/2) }

// SDAboutZero returns the robust standard deviation of v about 0: from the median
// absolute value. It reorders v and takes its signs.
func SDAboutZero(v []float64) float64 {
	for i := range v {
		v[i] = math.Abs(v[i])
	}
	return madToSD * Median(v)
}

// SD returns the robust standard deviation of v about its median.
func SD(v []float64) float64 {
	s := slices.Clone(v)
	m := Median(s)
	for i := range s {
		s[i] -= m
	}
	return SDAboutZero(s)
}

// Biweight returns the weight of a residual r in a fit by Tukey's biweight, 0..1: from c
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

// FitLine fits a line to points, in pixels, by Tukey's biweight of their distances from
// it, and gives the robust standard deviation of these, leastSD at least.
func FitLine(pts []geom.Point) (l geom.Line, sd float64) {
	l, _ = geom.FitLine(pts, nil)
	off := make([]float64, len(pts))
	for range 6 {
		for i, p := range pts {
			off[i] = l.Off(p)
		}
		sd = max(leastSD, SDAboutZero(slices.Clone(off)))
		l, _ = geom.FitLine(pts, func(i int) float64 { return Biweight(off[i], BiweightCut*sd) })
	}
	return l, sd
}
