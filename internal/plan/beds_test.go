package plan

// Where the published sizes of beds.go are from: mattresses, Better Sleep Council; the
// quilts of crib, twin, queen and king, Watson, "Quilty math"; of twin-xl, full and
// california-king, "Common quilt and batting sizes", honeybegood.com; the throw, and how
// far a quilt hangs, ciaspalette.com.

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A mattress of 39 × 75 with a drop of 12 takes 63 × 87 (ciaspalette.com,
// categories/mattresses); in centimetres the drop is 30.
// Mattresses and quilts in inches, as printed: mattresses by the Better Sleep Council
// (bettersleep.org/mattress-sizes) and "Measurements" (quiltersresources.com); quilts by
// Watson, "Quilty math" (christaquilts.com), "Common quilt and batting sizes" (honeybegood.com
// 2012) and ciaspalette.com. Of beds in centimetres none was found in print, and each says that
// it is from memory; so is what hangs down there.
func TestBedsAreAsPublished(t *testing.T) {
	published := map[string][4]float64{
		"crib": {27, 52, 40, 55}, "throw": {0, 0, 50, 65}, "twin": {38, 75, 65, 88}, "twin-xl": {39, 80, 65, 93}, "full": {54, 75, 80, 88},
		"queen": {60, 80, 86, 95}, "king": {76, 80, 105, 95}, "california-king": {72, 84, 100, 97},
	}
	for _, b := range Beds {
		if b.Metric {
			require.Contains(t, b.From, "from memory", b.Name)
			if b.MattressLong > 0 { // it lies on the bed, and hangs down no further than the floor, some 16 inches
				require.InDelta(t, b.MattressLong+8, b.Length, 8, b.Name)
				require.InDelta(t, b.MattressWidth+16, b.Width, 16, b.Name)
			}
			continue
		}
		require.Equal(t, published[b.Name], [4]float64{b.MattressWidth, b.MattressLong, b.Width, b.Length}, b.Name)
		delete(published, b.Name)
	}
	require.Empty(t, published)
}

func TestBedsByNameAndByMattress(t *testing.T) {
	of := func(bed string, metric bool) Bed {
		b, err := Order{Bed: bed, metric: metric}.bedOf()
		require.NoError(t, err, bed)
		return b
	}
	require.Equal(t, of("full", false), of("Double", false))
	require.Equal(t, of("twin", false), of("single", true))
	require.Equal(t, "63 × 87 in", of("39x75", false).Quilt())
	require.Equal(t, "200 cm × 230 cm", of("140x200cm", false).Quilt())
	require.Equal(t, of("140x200cm", false).Quilt(), of("140 x 200", true).Quilt())
	require.Equal(t, of("eu-double", false).Quilt(), of("140x200cm", false).Quilt())
	require.Equal(t, "135 cm × 190 cm", of("UK double", false).Mattress())
	for _, bed := range []string{"39", "39x75x8", "9000x75", "doubel"} {
		_, err := Order{Bed: bed}.bedOf()
		require.Error(t, err, bed)
	}
	for i, b := range Beds {
		require.NotEmpty(t, b.From, b.Name)
		require.GreaterOrEqual(t, b.Width*b.Length, b.MattressWidth*b.MattressLong, b.Name)
		if i > 0 && Beds[i-1].Metric {
			require.True(t, b.Metric, "those in inches stand first")
		}
	}
}
