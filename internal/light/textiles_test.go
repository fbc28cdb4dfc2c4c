package light

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/colour"
)

// textile is a measured cloth under two lights, CIE XYZ, Y = 1 for white.
type textile struct{ a, d65 colour.XYZ }

// textiles reads the table, whose head names its source: the perfect diffuser
// and the 35 cloths of Vrhel, Gershon & Iwan 1994.
func textiles(t *testing.T) (white textile, cloths []textile) {
	f, err := os.Open("../../testdata/light/textiles_a_d65.csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 37)
	for _, row := range rows[1:] {
		var v [6]float64
		for i := range v {
			v[i], err = strconv.ParseFloat(row[1+i], 64)
			require.NoError(t, err)
		}
		x := textile{colour.XYZ{v[0], v[1], v[2]}, colour.XYZ{v[3], v[4], v[5]}}
		if row[0] == "white" {
			white = x
		} else {
			cloths = append(cloths, x)
		}
	}
	return white, cloths
}

// A perfect white reference under illuminant A still leaves cloth off its
// daylight colour, for light is more than three numbers: a mean ΔE00 of 2.0
// by Bradford and 4.9 by bare RGB gains over these cloths (the reference
// figures that this project's design goes by).
func TestBradfordBeatsGainsOnTextiles(t *testing.T) {
	white, cloths := textiles(t)
	recorded := white.a.Linear()
	m := adaptation(recorded)
	bradford, gains, worst := 0.0, 0.0, 0.0
	for _, c := range cloths {
		rec := c.a.Linear()
		byGains := colour.Linear{rec[0] / recorded[0], rec[1] / recorded[1], rec[2] / recorded[2]}
		d := colour.DeltaE00(colour.Linear(m.Apply(rec)).Lab(), c.d65.Lab())
		worst = max(worst, d)
		bradford += d / float64(len(cloths))
		gains += colour.DeltaE00(byGains.Lab(), c.d65.Lab()) / float64(len(cloths))
	}
	require.InDelta(t, 1.97, bradford, 0.06)
	require.InDelta(t, 6.0, worst, 0.15)
	require.InDelta(t, 4.9, gains, 0.1)
}
