package family

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A value lies between two rows of a chart, from 1 up; one beyond the last row is of that
// row, and what is no number of the first.
func TestRowsOfACharts(t *testing.T) {
	for value, want := range map[float64][2]float64{0: {0, 0}, 1: {0, 0}, 1.25: {0, 0.25}, 2: {1, 0}, 4.5: {3, 0.5}, chartValues - 0.5: {chartValues - 2, 0.5}, chartValues: {chartValues - 2, 1}, 12: {chartValues - 2, 1}} {
		row, part := valueStep(value)
		require.InDeltaSlice(t, want[:], []float64{float64(row), part}, 1e-12, "%v", value)
	}
	row, part := valueStep(math.NaN())
	require.Equal(t, [2]float64{}, [2]float64{float64(row), part})
}

// So does a chroma between two columns, which are not as far apart everywhere.
func TestColumnsOfAChart(t *testing.T) {
	last := len(chartChromas) - 2
	for i := range last + 1 {
		low, high := chartChromas[i], chartChromas[i+1]
		column, part := chromaStep(low + 0.25*(high-low))
		require.Equal(t, i, column)
		require.InDelta(t, 0.25, part, 1e-12)
		if column, part = chromaStep(low); i > 0 {
			require.Equal(t, [2]float64{float64(i), 0}, [2]float64{float64(column), part})
		}
	}
	for chroma, want := range map[float64][2]float64{0: {}, chartChromas[0]: {}, chartChromas[last+1]: {float64(last), 1}, 99: {float64(last), 1}, math.NaN(): {}} {
		column, part := chromaStep(chroma)
		require.Equal(t, want, [2]float64{float64(column), part}, "%v", chroma)
	}
}
