package teach_test

import (
	"math/rand/v2"
	"testing"

	"piecebag/internal/teach"
)

// lesson is n examples of a quilter who sorts by warm, cool and print scale.
func lesson(n int) []teach.Example {
	rng := rand.New(rand.NewPCG(1, 2))
	var out []teach.Example
	for range n {
		s := scrapOf(rng)
		out = append(out, teach.Example{Bin: quilters[2].bin(&s), Features: s.Features})
	}
	return out
}

func BenchmarkLearn(b *testing.B) {
	for _, c := range []struct {
		name string
		n    int
	}{{"30", 30}, {"1000", 1000}} {
		b.Run(c.name, func(b *testing.B) {
			examples := lesson(c.n)
			for b.Loop() {
				teach.Learn(examples)
			}
		})
	}
}

func BenchmarkSort(b *testing.B) {
	examples := lesson(1001)
	s := teach.Learn(examples[:1000])
	for b.Loop() {
		s.Sort(examples[1000].Features)
	}
}
