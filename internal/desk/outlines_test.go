package desk

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/geom"
)

// Outlines drawn by hand are read point by point: of a photo alone, or by its name out of
// several, as polygons, boxes or points.
func TestOutlinesAreReadPointByPoint(t *testing.T) {
	got, err := Outlines("by-hand.json", []byte(`{"pieces":[{"polygon":[[10,20],[110,25],[60,140]]},{"box":[5,6,30,40]},{"point":[7,9]}]}`), "table.jpg")
	require.NoError(t, err)
	require.Equal(t, []geom.Polygon{{{X: 10, Y: 20}, {X: 110, Y: 25}, {X: 60, Y: 140}}, {{X: 5, Y: 6}, {X: 35, Y: 46}}, {{X: 7, Y: 9}}}, got)
	got, err = Outlines("two.json", []byte(`{"photos":[{"file":"shelf.jpg","pieces":[{"point":[1,2]}]},{"file":"photos/table.jpg","pieces":[{"point":[3,4]}]}]}`), "table.jpg")
	require.NoError(t, err)
	require.Equal(t, []geom.Polygon{{{X: 3, Y: 4}}}, got)
}
