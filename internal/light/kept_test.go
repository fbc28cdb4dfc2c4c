package light

import (
	"math"
	"testing"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/testtable"
)

// What is said of the light of a few small pictures, to four digits.
func TestLightAsKept(t *testing.T) {
	type said struct {
		From                                 string
		Trust, LightnessSD, WarmthSD, TintSD float64
		White                                [][3]float64 // at the corners and in the middle
		Notes                                []string
	}
	digits := func(v float64) float64 { return math.Round(1e4*v) / 1e4 }
	daylight, lamp := colour.Linear{0.66, 0.68, 0.72}, colour.Linear{0.9, 0.6, 0.3}
	wood := colour.Linear{0.3, 0.17, 0.08}
	all := map[string]said{}
	for name, c := range map[string]struct {
		ground colour.Linear
		cloth  []colour.Linear
		light  func(x, y float64) colour.Linear
		sheet  bool
		kind   cloth.Kind
		pick   *geom.Point
	}{
		"sheet on a mat":          {greyMat, cloths(10, 21), slanted(daylight, 200, 0.8, 1.1), true, cloth.Spread, nil},
		"sheet on wood in lamp":   {wood, cloths(10, 22), slanted(lamp, 200, 0.9, 0.95), true, cloth.Board, nil},
		"flannel":                 {flannel, cloths(10, 23), slanted(daylight, 200, 0.7, 1.05), false, cloth.Spread, nil},
		"mat and prints alone":    {greyMat, creamy()[:10], slanted(daylight, 200, 0.9, 1.1), false, cloth.Pile, nil},
		"wood and prints alone":   {wood, cloths(10, 24), even(lamp), false, cloth.Spread, nil},
		"folds":                   {greyMat, cloths(10, 25), even(daylight), false, cloth.Stack, nil},
		"folds and a sheet":       {greyMat, cloths(10, 26), even(daylight), true, cloth.Stack, nil},
		"a place picked":          {wood, cloths(10, 4), even(daylight), false, cloth.Spread, &geom.Point{X: 60, Y: 30}},
		"too bright for a camera": {greyMat, cloths(10, 27), even(colour.Linear{1.4, 1.3, 1.2}), true, cloth.Spread, nil},
	} {
		s := lay(200, 150, PlainTone, c.ground, c.cloth, c.light)
		ground, refs := s.ground, []cloth.Reference{s.sheet}
		if !c.sheet {
			ground, refs = withoutSheet(s), nil
		}
		f, r, notes := Estimate(s.pic, s.regions, ground, nil, refs, Options{Kind: c.kind, White: c.pick})
		got := said{From: r.From, Trust: digits(r.Trust), LightnessSD: digits(r.LightnessSD), WarmthSD: digits(r.WarmthSD), TintSD: digits(r.TintSD), Notes: notes}
		for _, at := range []geom.Point{{X: 2, Y: 2}, {X: 198, Y: 2}, {X: 100, Y: 75}, {X: 2, Y: 148}, {X: 198, Y: 148}} {
			w := f.White(at.X, at.Y)
			got.White = append(got.White, [3]float64{digits(w[0]), digits(w[1]), digits(w[2])})
		}
		all[name] = got
	}
	testtable.Kept(t, "light", all, 0.002)
}
