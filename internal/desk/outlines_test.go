package desk

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
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

// A piece is doubted by what is least sure of it, which is named first.
func TestWhatIsLeastSureIsDoubtedFirst(t *testing.T) {
	d := doubtedOf(cloth.Piece{Trust: 0.99, ValueOr: cloth.Dark, ValueTrust: 0.6, SizeTrust: 0.3})
	require.Equal(t, []Doubt{SizeDoubt, ValueDoubt}, d.Of)
	require.Equal(t, 0.3, d.Trust)
	d = doubtedOf(cloth.Piece{Trust: 0.1, ValueOr: cloth.Dark, ValueTrust: 0.6})
	require.Equal(t, []Doubt{OutlineDoubt, ValueDoubt}, d.Of)
	require.Equal(t, 0.1, d.Trust)
	require.Nil(t, doubtedOf(cloth.Piece{Trust: 0.99, FamilyTrust: 0.99, ValueTrust: 0.99, SizeTrust: 0.99}).Of)
}
