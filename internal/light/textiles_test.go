package light

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// textile is what a measured cloth sends back under each illuminant, CIE XYZ,
// Y = 1 for the perfect diffuser.
type textile [6]colour.XYZ

// illuminants names the table's columns.
var illuminants = [6]string{"A", "D50", "D65", "FL2", "FL11", "LED-B3"}

const illuminantD65 = 2

// textiles reads the table, whose head names its source: the perfect diffuser
// and the 35 cloths of Vrhel, Gershon & Iwan 1994.
func textiles(t *testing.T) (white textile, cloths []textile) {
	f, err := os.Open("../../testdata/light/textiles.csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 37)
	for _, row := range rows[1:] {
		var x textile
		for i := range 3 * len(x) {
			x[i/3][i%3], err = strconv.ParseFloat(row[1+i], 64)
			require.NoError(t, err)
		}
		if row[0] == "white" {
			white = x
		} else {
			cloths = append(cloths, x)
		}
	}
	return white, cloths
}

// errorOf gives the mean and the greatest ΔE00 of colours against their truth.
func errorOf(got []colour.Linear, want []colour.Lab) (mean, worst float64) {
	for i, c := range got {
		d := colour.DeltaE00(c.Lab(), want[i])
		mean += d / float64(len(got))
		worst = max(worst, d)
	}
	return mean, worst
}

// A perfect white reference under another light still leaves cloth off its
// daylight colour, for light is more than three numbers. Under illuminant A
// that is a mean ΔE00 of 2.0 by Bradford and 4.9 by bare RGB gains over these
// cloths (the reference figures that this project's design goes by).
func TestBradfordBeatsGainsOnTextiles(t *testing.T) {
	white, cloths := textiles(t)
	recorded := white[0].Linear()
	m := adaptation(recorded)
	var bradford, gains []colour.Linear
	var want []colour.Lab
	for _, c := range cloths {
		rec := c[0].Linear()
		bradford = append(bradford, m.Apply(rec))
		gains = append(gains, colour.Linear{rec[0] / recorded[0], rec[1] / recorded[1], rec[2] / recorded[2]})
		want = append(want, c[illuminantD65].Lab())
	}
	mean, worst := errorOf(bradford, want)
	require.InDelta(t, 1.97, mean, 0.06)
	require.InDelta(t, 6.0, worst, 0.15)
	mean, _ = errorOf(gains, want)
	require.InDelta(t, 4.9, mean, 0.1)
}

// camera sees as the CIE 1931 observer does, in linear sRGB, and then balances
// white: wholly by bare gains (1), not at all (0), or half-way. It exposes so
// that white is 0.9 in its brightest channel, and records nothing below 0.
type camera struct {
	gain colour.Linear
	tone Curve
}

func newCamera(white colour.XYZ, balance float64, tone Curve) camera {
	w := white.Linear()
	c := camera{tone: tone}
	top := 0.0
	for k := range w {
		c.gain[k] = math.Pow(w[k], -balance)
		top = max(top, w[k]*c.gain[k])
	}
	for k := range w {
		c.gain[k] *= 0.9 / top
	}
	return c
}

// exposes is the linear light that x brings to the sensor.
func (c camera) exposes(x colour.XYZ) colour.Linear {
	l := x.Linear()
	for k := range l {
		l[k] = max(0, l[k]*c.gain[k])
	}
	return l
}

// photographed gives the colours that the whole of this package finds in
// photos of things of the given tristimulus values beside a sheet of paper,
// a dozen to a photo; and what it would find were the white of the light known.
func photographed(t *testing.T, c camera, white colour.XYZ, things []colour.XYZ) (found, floor []colour.Linear) {
	const w, h, dozen = 200, 150, 12
	light := c.exposes(white)
	known := adaptation(light)
	for from := 0; from < len(things); from += dozen {
		var albedo []colour.Linear // as the channels see it
		for _, x := range things[from:min(from+dozen, len(things))] {
			l := c.exposes(x)
			floor = append(floor, known.Apply(l))
			albedo = append(albedo, colour.Linear{l[0] / light[0], l[1] / light[1], l[2] / light[2]})
		}
		s := lay(w, h, c.tone, greyMat, albedo, even(light))
		f, reading, notes := Estimate(s.pic, s.regions, s.ground, nil, []cloth.Reference{s.sheet}, Options{Tone: &c.tone})
		require.Equal(t, FromSheet, reading.From, notes)
		require.Empty(t, notes)
		for _, r := range s.regions {
			q := r.Polygon.Centroid()
			k := 3 * (int(q.Y)*w + int(q.X))
			p := s.pic.Pix[k : k+3]
			found = append(found, f.Albedo(colour.Linear{float64(p[0]), float64(p[1]), float64(p[2])}, q.X, q.Y))
		}
	}
	return found, floor
}

// Beside a sheet of paper the textiles come out, under every illuminant and
// with any balance of the camera, within ΔE00 1 in the mean of what a perfect
// white would give: from filament lamp to daylight.
func TestTextilesUnderLamps(t *testing.T) {
	if testing.Short() {
		t.Skip("many textiles under many lamps")
	}
	white, cloths := textiles(t)
	var want []colour.Lab
	for _, c := range cloths {
		want = append(want, c[illuminantD65].Lab())
	}
	for k, name := range illuminants {
		var things []colour.XYZ
		for _, c := range cloths {
			things = append(things, c[k])
		}
		for _, balance := range []float64{0, 0.5, 1} {
			found, floor := photographed(t, newCamera(white[k], balance, PlainTone), white[k], things)
			mean, worst := errorOf(found, want)
			least, leastWorst := errorOf(floor, want)
			t.Logf("%-6s balance %.1f: mean %.2f, worst %.2f; known white %.2f, %.2f", name, balance, mean, worst, least, leastWorst)
			require.Less(t, mean, least+1, name)
			require.Less(t, worst, leastWorst+3, name)
		}
	}
}

// chart is the 24-patch colour chart, CIELAB for illuminant D50 and the 2°
// observer, by rows of six from dark skin: the maker's specification for
// charts made since November 2014 (published 2016).
var chart = [24]colour.LabD50{
	{L: 37.54, A: 14.37, B: 14.92}, {L: 64.66, A: 19.27, B: 17.50}, {L: 49.32, A: -3.82, B: -22.54},
	{L: 43.46, A: -12.74, B: 22.72}, {L: 54.94, A: 9.61, B: -24.79}, {L: 70.48, A: -32.26, B: -0.37},
	{L: 62.73, A: 35.83, B: 56.50}, {L: 39.43, A: 10.75, B: -45.17}, {L: 50.57, A: 48.64, B: 16.67},
	{L: 30.10, A: 22.54, B: -20.87}, {L: 71.77, A: -24.13, B: 58.19}, {L: 71.51, A: 18.24, B: 67.37},
	{L: 28.37, A: 15.42, B: -49.80}, {L: 54.38, A: -39.72, B: 32.27}, {L: 42.43, A: 51.05, B: 28.62},
	{L: 81.80, A: 2.67, B: 80.41}, {L: 50.63, A: 51.28, B: -14.12}, {L: 49.57, A: -29.71, B: -28.32},
	{L: 95.19, A: -1.03, B: 2.93}, {L: 81.29, A: -0.57, B: 0.44}, {L: 66.89, A: -0.75, B: -0.06},
	{L: 50.76, A: -0.13, B: 0.14}, {L: 35.63, A: -0.46, B: -0.48}, {L: 20.64, A: 0.07, B: -0.46},
}

// The chart keeps its published colours, less what an sRGB camera cannot
// record of them (cyan), in daylight and under every lamp: its patches are
// brought to the lamp by CAT02, so that Bradford is not measured by itself.
func TestChartUnderLamps(t *testing.T) {
	if testing.Short() {
		t.Skip("many charts under many lamps")
	}
	white, _ := textiles(t)
	for k, name := range illuminants {
		toLamp := colour.Adapt(white[illuminantD65], white[k], colour.CAT02)
		var things []colour.XYZ
		var want []colour.Lab
		for _, p := range chart {
			things = append(things, toLamp.Apply(p.XYZ()))
			want = append(want, p.XYZ().Lab())
		}
		for _, balance := range []float64{0, 1} {
			found, floor := photographed(t, newCamera(white[k], balance, PlainTone), white[k], things)
			mean, worst := errorOf(found, want)
			least, leastWorst := errorOf(floor, want)
			t.Logf("%-6s balance %.1f: mean %.2f, worst %.2f; known white %.2f, %.2f", name, balance, mean, worst, least, leastWorst)
			require.Less(t, mean, least+1, name)
			require.Less(t, worst, leastWorst+3, name)
		}
	}
}
