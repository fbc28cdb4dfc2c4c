package truth

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// What is said of a piece that is half hidden counts as said, and as right or wrong,
// though nobody asked: such answers were left out, and sizes looked truer than they
// are.
func TestSizesOfHiddenPiecesCount(t *testing.T) {
	c := table()
	c.Pieces[0].Measurable = false
	s := answer(c)
	s.Scale = cloth.ScaleReading{PxPerInch: 10.2, Trust: 0.85}
	s.Pieces[0].WidthIn, s.Pieces[0].SizeTrust = 3.5, 0.7
	s.Pieces[2].WidthIn, s.Pieces[2].LengthIn = 0, 0
	r := plainJudge.Score(c, s)
	require.Equal(t, []int{2, 1}, []int{r.Measurable, r.Answered})
	require.Equal(t, []Claim{{0.7, false}, {0.9, true}}, r.Sizes)
	require.Equal(t, &Claim{0.85, true}, r.Scale)
	s.Scale.PxPerInch = 10.4
	require.False(t, plainJudge.Score(c, s).Scale.Right)
	s.Width, s.Height, s.Scale.PxPerInch = 2*c.W, 2*c.H, 20.2
	require.True(t, plainJudge.Score(c, s).Scale.Right, "of a sheet of another size")
}

func TestSizesOf(t *testing.T) {
	right, wrong := Claim{0.95, true}, Claim{0.85, false}
	got := SizesOf([]Result{
		{Kind: cloth.Spread, HasReference: true, Measurable: 4, Answered: 2, Sizes: []Claim{right, right}, Scale: &Claim{1, true}},
		{Kind: cloth.Spread, Measurable: 3, Answered: 1, Sizes: []Claim{right, wrong}, Scale: &Claim{0.9, false}},
		{Kind: cloth.Spread, Measurable: 3},
	})
	require.Len(t, got.Rows, 5)
	row := got.Rows[1]
	require.Equal(t, "spread without", row.Name)
	require.Equal(t, []int{2, 6, 2}, []int{row.Photos, row.Asked, row.Said})
	require.Equal(t, []float64{0.5, 0, 1.0 / 6, 0.5}, []float64{*row.Scaled, *row.ScaleRight, *row.Answered, *row.Right})
	require.Equal(t, "all", got.Rows[4].Name)
	require.Equal(t, []Calibration{{From: 0.8, Said: 1, Trust: 0.85}, {From: 0.9, Said: 3, Trust: 0.95, Right: 1}}, rounded2(got.Sizes))
	require.Equal(t, []Calibration{{From: 0.9, Said: 2, Trust: 0.95, Right: 0.5}}, rounded2(got.Scales))
	require.InDelta(t, (3*0.05*0.05+0.85*0.85)/4, *got.Brier, 1e-12)
	var b bytes.Buffer
	require.NoError(t, WriteSizes(&b, got))
	require.Regexp(t, `(?m)^spread without +2 +0\.500 +0\.000 +6 +0\.167 +2 +0\.500$`, b.String())
	require.Regexp(t, `(?m)^from 0\.8 +1 +0\.850 +0\.000$`, b.String())
}

func rounded2(c []Calibration) []Calibration {
	for i := range c {
		c[i].Trust = float64(int(c[i].Trust*1e6+0.5)) / 1e6
	}
	return c
}
