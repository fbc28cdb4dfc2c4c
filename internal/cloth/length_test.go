package cloth

import (
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
	for _, s := range []string{"2½", "2 ½", "2 1/2", "2-1/2", "2.5", "2,5", "5/2", "2½\"", "2½″", "2.5in", "2 1/2 inches", " 2½ IN ", "2 1⁄2", "6.35cm", "6,35 cm", "63.5mm"} {
		got, err := ParseLength(s)
		require.NoError(t, err, s)
		require.InDelta(t, 2.5, got, 1e-12, s)
	}
	for s, want := range map[string]float64{"½": 0.5, "⅞": 0.875, ".5": 0.5, "7/8": 0.875, "40": 40, "6cm": 6 / 2.54, "25.4mm": 1} {
		got, err := ParseLength(s)
		require.NoError(t, err, s)
		require.InDelta(t, want, got, 1e-12, s)
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for _, s := range []string{"", " ", "x", "0", "0cm", "-2", "2½½", "2 3", "1/0", "0/8", "2.5.5", "1,000,0", "inf", "nan", "1e3", "99999", "2 yards", "½/2", "in", "2½ 1/2"} {
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
