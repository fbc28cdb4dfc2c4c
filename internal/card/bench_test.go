package card_test

import (
	"testing"

	"piecebag/internal/card"
)

// A photo with the card and one without, at the usual working size.
func BenchmarkFind(b *testing.B) {
	with := random(1, 1200, 900, 200).take().pic
	without := *with
	without.Pix = make([]float32, len(with.Pix))
	for i := range without.Pix {
		without.Pix[i] = with.Pix[i] + 0.5 // too pale for marks
	}
	for range b.N {
		card.Find(with)
		card.Find(&without)
	}
}
