package cloth

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The sizes are cut sizes in common use (common practice, no source).
func TestFormatInches(t *testing.T) {
	for in, want := range map[float64]string{
		0: "0", 0.05: "0", 0.125: "⅛", 0.25: "¼", 0.375: "⅜", 0.5: "½", 0.625: "⅝", 0.75: "¾", 0.875: "⅞",
		1: "1", 1.5: "1½", 2.5: "2½", 2.47: "2½", 2.99: "3", 0.96: "1", 11.5: "11½", 42: "42", 0.0625: "⅛",
	} {
		require.Equal(t, want, FormatInches(in), "%v", in)
	}
}

func TestParseLength(t *testing.T) {
	for _, s := range []string{"2½", "2 ½", "2 1/2", "2-1/2", "2.5", "2,5", "2½\"", "2½″", "2.5in", "2 1/2 inches", " 2½ IN ", "2 1⁄2", "6.35cm", "6,35 cm", "63.5mm"} {
		got, err := ParseLength(s)
		require.NoError(t, err, s)
		require.InDelta(t, 2.5, got, 1e-12, s)
	}
	for s, want := range map[string]float64{"½": 0.5, "⅞": 0.875, ".5": 0.5, "7/8": 0.875, "40": 40, "6cm": 6 / 2.54, "25.4mm": 1, "2½-inch": 2.5, "1 yd": 36, "⅜ yard": 13.5, "1 1/4 yds": 45, "0.75yd": 27, "half a yard": 18, "half yard": 18, "a yard": 36, "three-quarter yard": 27,
		"eighth of a yard": 4.5, "½ metre": 50 / 2.54, "half a meter": 50 / 2.54, "2 m": 200 / 2.54, "1.5m": 150 / 2.54, "wof": 42, "width of fabric": 42} {
		got, err := ParseLength(s)
		require.NoError(t, err, s)
		require.InDelta(t, want, got, 1e-12, s)
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for _, s := range []string{"", " ", "x", "0", "0cm", "-2", "2½½", "2 3", "31/2", "2 3/2", "8/8", "1/0", "0/8", "2.5.5", "1,000,0", "inf", "nan", "1e3", "99999", "half", "2 half yards", "yards 2", "quarter", "½/2", "in", "2½ 1/2"} {
		_, err := ParseLength(s)
		require.Error(t, err, s)
		require.ErrorContains(t, err, "2 1/2", s)
	}
}

func TestLengthThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := float64(rapid.IntRange(1, 79999).Draw(t, "eighths")) / 8
		got, err := ParseLength(FormatInches(in))
		require.NoError(t, err)
		require.Equal(t, in, got)
	})
}

func FuzzParseLength(f *testing.F) {
	for _, s := range []string{"2½", "2 1/2", "2.5", "6cm", "1/0", "0", "½\"", "99999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if v, err := ParseLength(s); err == nil {
			require.True(t, v > 0 && !math.IsInf(v, 0), "%q gave %v", s, v)
		}
	})
}

// 150x200cm was once 150 inches by 200 cm.
func TestAUnitCountsForTheLengthsBesideIt(t *testing.T) {
	const cm = 1 / 2.54
	for s, want := range map[string][]float64{
		"150x200cm": {150 * cm, 200 * cm}, "150 cm × 200": {150 * cm, 200 * cm}, "150CM by 200 cm": {150 * cm, 200 * cm},
		"60x72": {60, 72}, "60 x 72in": {60, 72}, "2 1/2*18": {2.5, 18}, "7½": {7.5}, "6mmx1cm": {0.6 * cm, 1 * cm}, "3 x 4 x 5cm": {3 * cm, 4 * cm, 5 * cm},
	} {
		got, err := ParseSides(s, Inches)
		require.NoError(t, err, s)
		require.InDeltaSlice(t, want, got, 1e-12, s)
	}
	got, err := ParseSides("60 x 72", Centimetres)
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{60 * cm, 72 * cm}, got, 1e-12)
	got, err = ParseSides(`60" x 72`, Centimetres)
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{60, 72}, got, 1e-12)
	got, err = ParseLengths([]string{"6", "9cm", "2in", "3"}, Inches)
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{6 * cm, 9 * cm, 2, 3}, got, 1e-12)
	for s, named := range map[string]bool{"60x72": false, "¼": false, "60x72cm": true, "60in x 72": true} {
		_, err := ParseSides(s, Unsaid)
		require.Equal(t, !named, errors.Is(err, ErrUnit), s)
	}
	for _, s := range []string{"", "x", "3x", "x3", "3xx4"} {
		_, err := ParseSides(s, Inches)
		require.Error(t, err, s)
	}
}

// A shell makes several words of 11 x 42.
func TestSizesInARow(t *testing.T) {
	for s, want := range map[string][][2]float64{
		"11 x 42":                       {{11, 42}},
		"11x42 7½x9":                    {{11, 42}, {7.5, 9}},
		"11 x 42 7 1/2 x 9":             {{11, 42}, {7.5, 9}},
		"11 1/2x42 7½ × 9 3/4 18by22":   {{11.5, 42}, {7.5, 9.75}, {18, 22}},
		"11x42, 7½x9":                   {{11, 42}, {7.5, 9}},
		"1/2 x 3 4 x 5\" ":              {{0.5, 3}, {4, 5}},
		"11x42 1/2x9":                   {{11, 42}, {0.5, 9}},
		"25.4cmx50.8":                   {{10, 20}},
		"25.4x50.8cm 2 in x 3 6 x 10mm": {{10, 20}, {2, 3}, {6 / 25.4, 10 / 25.4}},
	} {
		got, _, err := ParseSizes(s, Inches)
		require.NoError(t, err, s)
		require.Len(t, got, len(want), s)
		for i := range want {
			require.InDeltaSlice(t, want[i][:], got[i][:], 1e-12, s)
		}
	}
	for _, s := range []string{"18", "18x", "11x42 9", "11x42x9", "a x b", "11x42cmm"} {
		_, _, err := ParseSizes(s, Inches)
		require.ErrorContains(t, err, "no width and length", s)
	}
}

func TestIsMetric(t *testing.T) {
	for s, want := range map[string]bool{"15cm": true, "7.5 MM": true, "150x200cm": true, "150cm x 200": true, "6,9cm": true, "½cm": true, "half a metre": true, "2 m": true, "1.5m x 2": true, "2 medium": false, "": false, "9": false, "9in": false, "scant": false} {
		require.Equal(t, want, IsMetric(s), s)
	}
}
