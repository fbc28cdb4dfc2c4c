package palette

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/testtable"
)

// What is measured of a few prints, how they compare, and which are taken for one.
func TestPrintsAsKept(t *testing.T) {
	type measure struct {
		Mean    [3]float64
		Colours [][4]float64 // linear, then the share
		Motif   float64
		Light   []float64
		Stats   []float64
		Error   float64 // mean logarithm of the variances
	}
	digits := func(v float64) float64 { return math.Round(1e3*v) / 1e3 }
	round := func(v [3]float64) [3]float64 { return [3]float64{digits(v[0]), digits(v[1]), digits(v[2])} }
	prints := []print{
		solid("#c73836"), dots("#ecebea", "#cb3232", 15, 3), stripes([]string{"#3157ab", "#ececeb"}, []float64{6, 6}),
		checks("#313131", "#8fb08a", 9), dots("#333b5e", "#e8c8c7", 24, 8),
	}
	tab := newTable(420, 80*len(prints)+40, "#9a9a98", 3)
	var outlines []geom.Polygon // three pieces of each print
	for i, p := range prints {
		y := 60 + 80*float64(i)
		outlines = append(outlines, tab.lay(p, 70, y, 90, 60, 0), tab.lay(p, 220, y, 80, 60, 0.05), tab.lay(p, 350, y, 70, 60, 0.1))
	}
	var measured []measure
	var marks []Signature
	tab.light([3]float64{1, 1, 1}, 0.3)
	tab.noise(2)
	for k, g := range outlines {
		p, err := new(Meter).Measure(tab.pic, g, 1)
		require.NoError(t, err)
		marks = append(marks, p.Signature)
		m := measure{Mean: round(p.Mean), Motif: digits(p.Motif)}
		for _, c := range p.Colours {
			m.Colours = append(m.Colours, [4]float64{digits(c.Colour[0]), digits(c.Colour[1]), digits(c.Colour[2]), digits(c.Share)})
		}
		known := 0.0
		for _, s := range p.Signature.stats {
			m.Stats = append(m.Stats, digits(s.mean))
			if s.known {
				m.Error += math.Log(s.variance + 1e-6)
				known++
			}
		}
		m.Error = digits(m.Error / known)
		for _, s := range p.Signature.light {
			m.Light = append(m.Light, digits(s.mean))
		}
		if k%3 == 0 {
			measured = append(measured, m)
		}
	}
	testtable.Kept(t, "measured", measured, 0.004)

	odds := map[string][]float64{}
	for name, m := range map[string]*model{"flat": &models.Flat, "folded": &models.Folded, "across": &models.Across} {
		for i := range marks {
			for j := range i {
				p, q := marks[i].candidate(), marks[j].candidate()
				odds[name] = append(odds[name], digits(m.patternOdds(&p, &q, inOnePhoto, math.Inf(-1))))
			}
		}
	}
	testtable.Kept(t, "odds", odds, 0.01)
	testtable.Kept(t, "labels", map[string][]string{"spread": Prints(marks, cloth.Spread), "stack": Prints(marks, cloth.Stack)}, 0)

	var known []Sighting
	for i := range marks[:12] {
		if i%3 > 0 {
			known = append(known, Sighting{Print: int64(i / 3), Photo: int64(i % 3), Signature: marks[i]})
		}
	}
	var likely [][]Likely
	for _, of := range recognise([]Signature{marks[0], marks[3], marks[6], marks[9], marks[12]}, known, 40) {
		for k := range of {
			of[k].Trust = digits(of[k].Trust)
		}
		likely = append(likely, of)
	}
	testtable.Kept(t, "recognised", likely, 0.0015)
}
