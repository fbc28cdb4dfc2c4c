package recipe

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
)

// Centimetres are rounded up once, from the exact sum: 7.62 + 3.414 × 0.75 =
// 10.181 and 10.16 + 4.828 × 0.65 = 13.298. Inches keep the ⅞ and 1¼ of the
// trade's charts.
func TestMetricIsRoundedOnce(t *testing.T) {
	for _, c := range []struct {
		seamMM float64
		cut    func(System) (float64, Why)
		want   string
	}{
		{7.5, func(s System) (float64, Why) { return s.Half(7.62 / 2.54) }, "10.2 cm"},
		{6.5, func(s System) (float64, Why) { return s.Quarter(10.16 / 2.54) }, "13.3 cm"},
	} {
		s := Centimetres(c.seamMM / 25.4)
		in, why := c.cut(s)
		require.Equal(t, c.want, s.Format(in))
		require.Contains(t, why.Text, "up to "+c.want)
	}
	half, _ := Inches().Half(3)
	quarter, _ := Inches().Quarter(4)
	require.Equal(t, []float64{3.875, 5.25}, []float64{half, quarter})
}

func TestDivisionsAreTrue(t *testing.T) {
	require.Equal(t, "40 ÷ 5¼ = 7.62, so 7", Inches().DividedDown(40, 5.25))
	require.Equal(t, "40 ÷ 2½ = 16", Inches().DividedDown(40, 2.5))
	require.Equal(t, "36 ÷ 8 = 4.5, so 5", dividedUp(36, 8))
	require.Equal(t, "36 ÷ 4 = 9", dividedUp(36, 4))
}

func TestSeamWords(t *testing.T) {
	s := Inches()
	require.Equal(t, "¼", s.SeamWords())
	s.Scant = IsScant(" Scant")
	require.Equal(t, "a scant ¼", s.SeamWords())
}

// A word is offered only where it is near.
func TestMeant(t *testing.T) {
	require.Equal(t, `the nearest is "straight"; `, meant("strait", settingKinds))
	require.Equal(t, `the nearest is "ohio-star"; `, meant("ohio", Names()))
	require.Empty(t, meant("alternate", settingKinds))
	require.Empty(t, meant("colour", []string{"about", "name"}))
	require.Empty(t, meant("foo", Names()))
	require.Empty(t, meant("foo", nil))
	_, err := Read("b.toml", []byte("name = \"b\"\nwidth = 4\ngrid = [1, 1]\n[setting]\nkind = \"alternate\"\n[[patch]]\nat = [[1, 1]]\n"))
	var bad *fault.Error
	require.ErrorAs(t, err, &bad)
	require.Equal(t, "all are straight, on-point, shifted", bad.Remedy)
}
