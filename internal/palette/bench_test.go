package palette

import (
	"math/rand/v2"
	"testing"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

var benchPrints = []print{
	solid("#c73836"),
	dots("#ecebea", "#cb5251", 14, 3),
	stripes([]string{"#ececeb", "#ecbccd", "#49bcc0", "#e04e78"}, []float64{9, 8, 5, 4}),
	checks("#313131", "#ececea", 9),
	dots("#333b5e", "#e8e8e7", 30, 9),
	solid("#8a8c8d"),
}

// benchBoard is a board of 8 × 6 squares, 140 pixels each, in a picture of the
// usual working size.
func benchBoard() (*cloth.Picture, []geom.Polygon) {
	t := newTable(1344, 1008, "#9a9a98", 1)
	var polys []geom.Polygon
	for r := range 6 {
		for c := range 8 {
			polys = append(polys, t.lay(benchPrints[(r*8+c)%len(benchPrints)], 120+float64(c)*150, 100+float64(r)*150, 140, 140, 0.1))
		}
	}
	t.noise(1.5)
	return t.pic, polys
}

func BenchmarkMeasureBoard(b *testing.B) {
	pic, polys := benchBoard()
	var m Meter
	for b.Loop() {
		for _, p := range polys {
			if _, err := m.Measure(pic, p, 1); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkPrints(b *testing.B) {
	pic, polys := benchBoard()
	var items []Signature
	for range 2 {
		for _, p := range polys {
			m, err := new(Meter).Measure(pic, p, 1)
			if err != nil {
				b.Fatal(err)
			}
			items = append(items, m.Signature)
		}
	}
	for b.Loop() {
		Prints(items, cloth.Board)
	}
}

func BenchmarkFindInks(b *testing.B) {
	pic, polys := benchBoard()
	var a patch
	a.draw(pic, polys[2])
	a.load(pic)
	var h histogram
	h.count(&a, a.rim())
	for b.Loop() {
		findInks(h.bins, rand.New(rand.NewPCG(1, 1)))
	}
}
