package cutting

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// draws is a small generator of its own, so that the stash of the benchmark
// never changes.
type draws uint64

func (d *draws) below(n int) int {
	*d ^= *d << 13
	*d ^= *d >> 7
	*d ^= *d << 17
	return int(uint64(*d) >> 11 % uint64(n))
}

// basketOfStrips is n strips as scraps are: of the usual widths, 6 to 42 inches
// long, every colour.
func basketOfStrips(n int, seed draws) []cloth.Holding {
	widths := []float64{1.5, 2, 2.5, 2.5, 2.5, 3.5, 4.5, 5}
	var out []cloth.Holding
	for i := range n {
		out = append(out, cloth.Holding{
			ID: int64(i + 1), Form: cloth.Strip, Count: 1,
			WidthIn: widths[seed.below(len(widths))], LengthIn: float64(48+seed.below(289)) / 8,
			Family: cloth.Families[seed.below(12)], Value: cloth.Values[seed.below(5)],
			Print: fmt.Sprint("p", seed.below(n/4+1)), Basket: fmt.Sprint("basket ", 1+i%6),
		})
	}
	return out
}

// twoStarQuilt is the wants of a scrap quilt of stars and bricks; scale 1 takes
// something like half of a thousand strips.
func twoStarQuilt(scale float64) []Want {
	n := func(v float64) int { return int(v * scale) }
	dark := []cloth.Value{cloth.Dark, cloth.MediumDark}
	light := []cloth.Value{cloth.Light, cloth.MediumLight}
	return []Want{
		{Name: "star points", Role: "star points", W: 2.5, L: 2.5, Count: n(2000), Values: dark},
		{Name: "background squares", Role: "background squares", W: 2.5, L: 2.5, Count: n(1200), Values: light},
		{Name: "bricks", Role: "bricks", W: 2.5, L: 4.5, Count: n(800)},
		{Name: "centres", Role: "centres", W: 4.5, L: 4.5, Count: n(160), Values: []cloth.Value{cloth.Medium}},
		{Name: "small squares", Role: "small squares", W: 1.5, L: 1.5, Count: n(1500), Values: light},
		{Name: "red corners", Role: "red corners", W: 3.5, L: 3.5, Count: n(120), Families: []cloth.Family{cloth.Red, cloth.Pink}},
		{Name: "rails", Role: "rails", W: 2, L: 6.5, Count: n(250), Values: dark},
	}
}

func BenchmarkThousandStrips(b *testing.B) {
	for _, scale := range []float64{0.25, 0.75, 3} {
		stock, wants := basketOfStrips(1000, 2463534242), twoStarQuilt(scale)
		b.Run(fmt.Sprint(scale), func(b *testing.B) {
			var c Cover
			for range b.N {
				var err error
				c, err = FromStash(wants, stock, Options{})
				require.NoError(b, err)
			}
			b.ReportMetric(c.Waste, "in²-waste")
			b.ReportMetric(float64(len(c.Cuts)), "cut-strips")
			short := 0
			for _, cut := range c.Cuts {
				if stock[cut.Stock].LengthIn < 13.25 {
					short++
				}
			}
			b.ReportMetric(float64(short), "short-cut")
			b.ReportMetric(float64(sum(c.Short)), "short")
		})
	}
}
