package scale

import (
	"testing"

	"piecebag/internal/cloth"
)

func BenchmarkMeasure(b *testing.B) {
	widths := []float64{2.5, 3.5, 5, 1.5, 6.5}
	for len(widths) < 48 {
		widths = append(widths, widths[len(widths)%5])
	}
	s := shoot(1344, 1008, 0.2, 0.1, 22, plainTable, append(squares(widths, 7.5, 1), white(11, 8.5, 0)), 0.01, 1)
	regions := s.regions(1, 1)
	for b.Loop() {
		Measure(s.pic, regions, nil, Options{Kind: cloth.Spread})
	}
}
