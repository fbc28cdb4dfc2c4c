package light

import (
	"math"

	"piecebag/internal/card"
	"piecebag/internal/colour"
	"piecebag/internal/raster"
)

const (
	// fewestSteps of the wedge must be seen unspoilt.
	fewestSteps = 4
	// wedgeSD is the error of a step's code value, 0..1: printers are uneven.
	wedgeSD = 0.01
	// contrastSD and shoulderSD are how widely cameras' tone curves are spread;
	// gainSD how a printer's dot gain, as the exponent of a step's reflectance,
	// and usualInk and inkSD its black's reflectance over the paper's. Common
	// practice, no source.
	contrastSD, shoulderSD = 0.12, 0.5
	gainSD                 = 0.15
	usualInk, inkSD        = 0.04, 0.02
	// mostWedgeError is the rms, in code values 0..1, from which the wedge is
	// not one: something lies on it, or in its light.
	mostWedgeError = 0.05
)

// ToneOf returns the camera's tone curve by the printed card's wedge, where it can
// be read: the likeliest curve together with what the printer made of the
// greys, which is free within the usual. Usual is the curve expected without
// it; greys tell nothing of saturation, which stays that one's. The note says
// why the wedge was refused.
func ToneOf(f *card.Found, usual Curve) (tone Curve, note string, ok bool) {
	type step struct{ grey, paper, nominal float64 } // luminances
	var steps []step
	for _, w := range f.Wedge {
		if w.Clipped <= mostClipped {
			steps = append(steps, step{w.Grey.Luminance(), w.Paper.Luminance(), colour.Lab{L: w.Lightness}.XYZ()[1]})
		}
	}
	if len(steps) < fewestSteps {
		return Curve{}, "the greys of the printed card are overexposed and were not used for the camera's contrast", false
	}
	// misfit is the squared error of contrast, shoulder, ln gain and ink.
	misfit := func(v []float64) (sum float64) {
		t := Curve{Contrast: v[0], Shoulder: v[1], Saturation: 1}
		for _, s := range steps {
			want := t.curve(t.inverse(s.paper) * (v[3] + (1-v[3])*math.Pow(s.nominal, math.Exp(v[2]))))
			sum += sq(colour.EncodeSRGB(want) - colour.EncodeSRGB(s.grey))
		}
		return sum
	}
	best := []float64{usual.Contrast, usual.Shoulder, 0, usualInk}
	// The cost is twice the negative log posterior.
	raster.Search(best, []float64{1, 3, 1, 0.2}, 0.08, 0.001, 100, func(v []float64, _ float64) float64 {
		if v[0] < 0.5 || v[1] < 0 || v[3] < 0 {
			return math.Inf(1)
		}
		return misfit(v)/sq(wedgeSD) + sq((v[0]-usual.Contrast)/contrastSD) + sq((v[1]-usual.Shoulder)/shoulderSD) + sq(v[2]/gainSD) + sq((v[3]-usualInk)/inkSD)
	})
	rms := math.Sqrt(misfit(best) / float64(len(steps)))
	if !(rms < mostWedgeError) {
		return Curve{}, "the greys of the printed card do not follow one another as printed and were not used for the camera's contrast", false
	}
	return Curve{Contrast: best[0], Shoulder: best[1], Saturation: usual.Saturation}, "", true
}
