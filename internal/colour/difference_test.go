package colour

import (
	"testing"

	"piecebag/internal/testtable"

	colorful "github.com/lucasb-eyer/go-colorful"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Sharma, Wu & Dalal 2005, table I: see the file.
func TestDeltaE00OnThePublishedPairs(t *testing.T) {
	rows := testtable.Rows(t, "colour/ciede2000.csv")
	require.Len(t, rows, 34)
	for _, r := range rows {
		a := Lab{testtable.Number(t, r[1]), testtable.Number(t, r[2]), testtable.Number(t, r[3])}
		b := Lab{testtable.Number(t, r[4]), testtable.Number(t, r[5]), testtable.Number(t, r[6])}
		require.InDelta(t, testtable.Number(t, r[7]), DeltaE00(a, b), 1e-4, "pair %s", r[0])
		require.InDelta(t, DeltaE00(a, b), DeltaE00(b, a), 1e-12, "pair %s turned round", r[0])
	}
}

func labs(t *rapid.T, name string) Lab {
	return Lab{
		rapid.Float64Range(0, 100).Draw(t, name+" L"),
		rapid.Float64Range(-100, 100).Draw(t, name+" a"),
		rapid.Float64Range(-100, 100).Draw(t, name+" b"),
	}
}

// An implementation by other hands: go-colorful, whose Lab is 0..1.
func TestDeltaE00AgreesWithGoColorful(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := labs(t, "a"), labs(t, "b")
		ca := colorful.LabWhiteRef(a.L/100, a.A/100, a.B/100, [3]float64(WhiteD65))
		cb := colorful.LabWhiteRef(b.L/100, b.A/100, b.B/100, [3]float64(WhiteD65))
		// It takes its own white; give it the Lab that it will see.
		la, aa, ba := ca.Lab()
		lb, ab, bb := cb.Lab()
		got := DeltaE00(Lab{100 * la, 100 * aa, 100 * ba}, Lab{100 * lb, 100 * ab, 100 * bb})
		require.InDelta(t, 100*ca.DistanceCIEDE2000(cb), got, 1e-6)
	})
}

func TestDeltaE00IsADifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := labs(t, "a"), labs(t, "b")
		require.Zero(t, DeltaE00(a, a))
		require.GreaterOrEqual(t, DeltaE00(a, b), 0.0)
		require.InDelta(t, DeltaE00(a, b), DeltaE00(b, a), 1e-9)
	})
}

func BenchmarkDeltaE00(b *testing.B) {
	x, y := Lab{46, 20, -30}, Lab{50, -12, 8}
	for b.Loop() {
		x.L += 1e-9 * DeltaE00(x, y)
	}
}

func TestDeltaE76IsTheDistance(t *testing.T) {
	require.InDelta(t, 13, DeltaE76(Lab{50, 1, 2}, Lab{53, 5, -10}), 1e-12) // 3² + 4² + 12² = 13²
}
