package light

import (
	"testing"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

func benchTable() *table {
	return lay(1344, 1008, PlainTone, colour.Linear{0.27, 0.28, 0.29}, cloths(20, 3), slanted(colour.Linear{0.8, 0.75, 0.7}, 1344, 0.6, 1.2))
}

func BenchmarkEstimate(b *testing.B) {
	t := benchTable()
	for b.Loop() {
		Estimate(t.pic, t.regions, t.ground, nil, []cloth.Reference{t.sheet}, Options{})
	}
}

func BenchmarkCorrect(b *testing.B) {
	t := benchTable()
	f, _, _ := Estimate(t.pic, t.regions, t.ground, nil, nil, Options{})
	b.SetBytes(int64(4 * len(t.pic.Pix)))
	for b.Loop() {
		f.Correct(t.pic)
	}
}
