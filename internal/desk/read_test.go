package desk

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// Nobody cuts less than half an inch, and no cloth is wider than 120.
func TestACutHasItsLimits(t *testing.T) {
	for s, want := range map[string]float64{"½": 0.5, "120": 120} {
		in, err := ReadCut(s)
		require.NoError(t, err)
		require.Equal(t, want, in)
	}
	for _, s := range []string{"0.4", "120.1"} {
		_, err := ReadCut(s)
		require.EqualError(t, err, "cloth is not cut to this length", s)
	}
	cuts, err := ReadCuts("1½, 6cm", cloth.Unsaid)
	require.ErrorContains(t, err, `cloth is not cut to "1½"`, "beside centimetres it names no unit")
	require.Nil(t, cuts)
	cuts, err = ReadCuts("1½,2.5", cloth.Inches)
	require.NoError(t, err)
	require.Equal(t, []float64{1.5, 2.5}, cuts)
}

// Corners are pixels with commas or blanks between; what encloses nothing is no outline.
func TestCornersAreReadAsTheyAreWritten(t *testing.T) {
	want := geom.Polygon{{X: 1, Y: 2}, {X: 30, Y: 2}, {X: 30, Y: 40.5}}
	for _, s := range []string{"1,2,30,2,30,40.5", "1,2 30,2\r\n30,40.5", " 1, 2, 30, 2, 30, 40.5 "} {
		got, err := ReadCorners(s)
		require.NoError(t, err, s)
		require.Equal(t, want, got, s)
	}
	for _, s := range []string{"", "1,2,3,4", "1,2,3,4,5", "1,2,3,4,5,x", "0,0,9,0,1e7,9", "0,0,NaN,0,9,9"} {
		_, err := ReadCorners(s)
		require.EqualError(t, err, "this is not an outline", s)
	}
	_, err := ReadCorners("0,0,5,5,9,9")
	require.ErrorIs(t, err, fault.ErrUsage)
	require.EqualError(t, err, "these corners enclose nothing")
}

// Forms are called as people call them, and by no other word.
func TestFormsAreReadAsPeopleCallThem(t *testing.T) {
	for s, want := range map[string]cloth.Form{"squares": cloth.Square, " Odd pieces ": cloth.Irregular, "band": cloth.Band} {
		f, err := ReadForm(s)
		require.NoError(t, err)
		require.Equal(t, want, f)
	}
	_, err := ReadForm("round")
	require.EqualError(t, err, "there is no such form")
}
