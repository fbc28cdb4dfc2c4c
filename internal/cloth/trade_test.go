package cloth

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// American Patchwork & Quilting, "Red, White, and Blue Bricks", cuts from fat quarters of
// 18 × 21; half a yard is 18 inches ("lesson two", quilterscache.com). Bolts of 44 inches
// have 40 to 42 without their selvages ("More quilt fabric talk", snugglesquilts.com);
// precut squares of 5 measured 4¾ to 5⅛ (delawarequilts.blogspot.com, 4 Aug 2013).
func TestClothAsItIsSaid(t *testing.T) {
	const cm = 1 / 2.54
	for text, want := range map[string]Described{
		"12":                          {Count: 12},
		"2½":                          {WidthIn: 2.5},
		"2 1/2":                       {WidthIn: 2.5},
		"12 2½":                       {Count: 12, WidthIn: 2.5},
		"5 inch squares":              {Form: Square, WidthIn: 5, LengthIn: 5},
		"42 5-inch squares":           {Count: 42, Form: Square, WidthIn: 5, LengthIn: 5},
		"40 2 1/2 inch strips":        {Count: 40, Form: Strip, WidthIn: 2.5},
		"40 precut 2½-inch strips":    {Count: 40, Form: Strip, WidthIn: 2.5, LengthIn: 42},
		"precut 10-inch squares":      {Form: Square, WidthIn: 10, LengthIn: 10},
		"strip 2½ x wof":              {Form: Strip, WidthIn: 2.5, LengthIn: 42},
		"3 width-of-fabric strips 2½": {Count: 3, Form: Strip, WidthIn: 2.5, LengthIn: 42},
		"2½ strip x 18":               {Form: Strip, WidthIn: 2.5, LengthIn: 18},
		"3 fat quarters":              {Count: 3, Form: Rectangle, WidthIn: 18, LengthIn: 21},
		"a fat quarter":               {Count: 1, Form: Rectangle, WidthIn: 18, LengthIn: 21},
		"Fat-Quarter":                 {Form: Rectangle, WidthIn: 18, LengthIn: 21},
		"2 FQs":                       {Count: 2, Form: Rectangle, WidthIn: 18, LengthIn: 21},
		"fat eighth":                  {Form: Rectangle, WidthIn: 9, LengthIn: 21},
		"fat quarter of a metre":      {Form: Rectangle, WidthIn: 50 * cm, LengthIn: 53 * cm},
		"metric fat eighth":           {Form: Rectangle, WidthIn: 25 * cm, LengthIn: 53 * cm},
		"20 charm squares":            {Count: 20, Form: Square, WidthIn: 5, LengthIn: 5},
		"half a yard":                 {Form: Rectangle, WidthIn: 18, LengthIn: 42},
		"2 half yards":                {Count: 2, Form: Rectangle, WidthIn: 18, LengthIn: 42},
		"2 yards":                     {Form: Rectangle, WidthIn: 72, LengthIn: 42},
		"1 1/4 yd":                    {Form: Rectangle, WidthIn: 45, LengthIn: 42},
		"3 of ¼ yard":                 {Count: 3, Form: Rectangle, WidthIn: 9, LengthIn: 42},
		"three":                       {Count: 3},
		"two yards":                   {Form: Rectangle, WidthIn: 72, LengthIn: 42},
		"twelve 5-inch squares":       {Count: 12, Form: Square, WidthIn: 5, LengthIn: 5},
		"¼ yard width of fabric":      {Form: Strip, WidthIn: 9, LengthIn: 42},
		"a yard":                      {Form: Rectangle, WidthIn: 36, LengthIn: 42},
		"half metre":                  {Form: Rectangle, WidthIn: 50 * cm, LengthIn: 106 * cm},
		"1.5m":                        {Form: Rectangle, WidthIn: 150 * cm, LengthIn: 106 * cm},
		"6 x 45cm":                    {WidthIn: 6 * cm, LengthIn: 45 * cm},
	} {
		got, err := ParseSaid(text, Inches)
		require.NoError(t, err, text)
		require.Equal(t, [2]any{want.Count, want.Form}, [2]any{got.Count, got.Form}, text)
		require.InDeltaSlice(t, []float64{want.WidthIn, want.LengthIn}, []float64{got.WidthIn, got.LengthIn}, 1e-9, text)
		asked := strings.Contains(text, "x 18") || strings.Contains(text, "6 x")
		require.Equal(t, want.LengthIn > 0 && want.Form != Square && !asked, got.As != "", "%s: %s", text, got.As)
	}
	metric, err := ParseSaid("fat quarter", Centimetres)
	require.NoError(t, err)
	require.Equal(t, "a fat quarter is counted as 50 × 53 cm: half a metre, cut down the middle of 106 usable centimetres", metric.As)
	charm, err := ParseSaid("charm square", Centimetres)
	require.NoError(t, err)
	require.Equal(t, 5.0, charm.WidthIn, "it is sold in inches everywhere")
	for _, text := range []string{"", "0", "hexagon 3", "fat", "quarter", "12 13 14", "2½ x 3 x 4", "half", "fat quarter 3", "metric charm square"} {
		_, err := ParseSaid(text, Inches)
		require.Error(t, err, text)
	}
	for _, text := range []string{"0 fat quarters", "0 squares 2½", "0 precut 2½-inch strips", "0 of ½ yard", "0 charm squares"} {
		_, err := ParseSaid(text, Inches)
		require.ErrorContains(t, err, "say how many", text)
	}
	for text, why := range map[string]string{
		"3/2 fat quarters": "3/2 is no whole number of pieces, and a fat quarter is counted whole", "1½ fat quarters": "1½ is no whole", "1 1/2 fat quarters": "1 1/2 is no whole",
		"½ fat quarter": "½ is no whole", "2.5 FQs": "2.5 is no whole number of pieces, and a fat quarter", "1½ charm squares": "1½ is no whole",
	} {
		_, err := ParseSaid(text, Inches)
		require.ErrorIs(t, err, ErrCount, text)
		require.ErrorContains(t, err, why)
		_, _, err = ParseSizes(text, Inches)
		require.ErrorContains(t, err, why)
	}
	said, err := ParseSized("5", Inches)
	require.NoError(t, err)
	require.Equal(t, Described{WidthIn: 5}, said, "of one piece a number is its size")
	said, err = ParseSized("½ yard", Inches)
	require.NoError(t, err)
	require.Equal(t, []float64{18, 42}, []float64{said.WidthIn, said.LengthIn}, "yards are across the width of fabric")
}

func TestSizesInARowByWordsOfTheTrade(t *testing.T) {
	got, as, err := ParseSizes("2 fat quarters, 11 x 42 half a yard 3 of 7½x9 5-inch square", Inches)
	require.NoError(t, err)
	require.Equal(t, [][2]float64{{18, 21}, {18, 21}, {11, 42}, {18, 42}, {7.5, 9}, {7.5, 9}, {7.5, 9}, {5, 5}}, got)
	require.Len(t, as, 2)
	for _, text := range []string{"9 11x42", "1 11x42", "2 fat", "12 2½"} { // a forgotten x is no count
		_, _, err := ParseSizes(text, Inches)
		require.ErrorContains(t, err, "no width and length", text)
	}
	got, _, err = ParseSizes("4 5-inch squares, 11x42", Inches)
	require.NoError(t, err)
	require.Equal(t, [][2]float64{{5, 5}, {5, 5}, {5, 5}, {5, 5}, {11, 42}}, got)
	for _, text := range []string{"40 2½-inch strips", "strip 2½", "40 strips 2½"} {
		_, _, err = ParseSizes(text, Inches)
		require.EqualError(t, err, "their length is missing", text)
	}
	_, _, err = ParseSizes("0 fat quarters", Inches)
	require.ErrorContains(t, err, "say how many")
	_, _, err = ParseSizes("30 x 50", Unsaid)
	require.ErrorIs(t, err, ErrUnit)
	_, _, err = ParseSizes("201 fat quarters", Inches)
	require.ErrorContains(t, err, "more than 200 alike")
	got, _, err = ParseSizes("200 fat quarters", Inches)
	require.NoError(t, err)
	require.Len(t, got, 200)
}
