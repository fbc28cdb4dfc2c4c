package desk

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/recipe"
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

// What is no list of sizes is refused in one way, what is one but cannot be in its own words.
func TestSizesAreReadAsTheyAreSaid(t *testing.T) {
	sizes, as, err := ReadSizes("11x42, 2 fat quarters", cloth.Inches)
	require.NoError(t, err)
	require.Equal(t, [][2]float64{{11, 42}, {18, 21}, {18, 21}}, sizes)
	require.Len(t, as, 1)
	for text, why := range map[string]string{
		"18": "not a list of widths and lengths", "0 fat quarters": "this is none: say how many", "201 fat quarters": "more than 200 alike",
	} {
		_, _, err := ReadSizes(text, cloth.Inches)
		require.ErrorContains(t, err, why, text)
		require.ErrorIs(t, err, fault.ErrUsage)
	}
	_, _, err = ReadSizes("30 x 50", cloth.Unsaid)
	require.ErrorIs(t, err, cloth.ErrUnit)
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

func TestWhatAQuiltIsAskedByIsRead(t *testing.T) {
	for s, want := range map[string][2]int{"4x5": {4, 5}, " 4 × 5": {4, 5}, "1X1": {1, 1}} {
		got, err := ReadLayout(s)
		require.NoError(t, err, s)
		require.Equal(t, want, got, s)
		got, err = ReadGrid(s)
		require.NoError(t, err, s)
		require.Equal(t, want, got, s)
	}
	for _, s := range []string{"", "4", "4x", "x5", "4x5x6", "0x5", "4x-5", "four x five"} {
		_, err := ReadLayout(s)
		require.ErrorIs(t, err, fault.ErrUsage, s)
	}
	_, err := ReadGrid("4x101")
	require.ErrorContains(t, err, "not a number of rows and columns", "no board has so many")
	_, err = ReadLayout("4x101")
	require.NoError(t, err, "a quilt may")

	n, err := ReadBlocks(" 24 ")
	require.NoError(t, err)
	require.Equal(t, 24, n)
	for _, s := range []string{"", "0", "-1", "2.5"} {
		_, err := ReadBlocks(s)
		require.ErrorIs(t, err, fault.ErrUsage, s)
	}

	size, err := ReadSize("60 x 72", cloth.Inches)
	require.NoError(t, err)
	require.Equal(t, [2]float64{60, 72}, size)
	size, err = ReadSize("127x254", cloth.Centimetres)
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{50, 100}, size[:], 1e-9)
	for _, s := range []string{"60", "60x72x3", "wide"} {
		_, err := ReadSize(s, cloth.Inches)
		require.ErrorIs(t, err, fault.ErrUsage, s)
	}

	share, err := ReadShrinkage(" 5 %", 0.2)
	require.NoError(t, err)
	require.Equal(t, 0.05, share)
	_, err = ReadShrinkage("20", 0.2)
	require.NoError(t, err)
	_, err = ReadShrinkage("20.1", 0.2)
	require.EqualError(t, err, "cloth does not shrink by so much")
	for _, s := range []string{"", "much", "-1", "NaN"} {
		_, err := ReadShrinkage(s, 0.2)
		require.EqualError(t, err, "this is not a percentage", s)
	}
}

// Two pieces apart once were written with a comma to the command and with a dash to the
// page.
func TestPairsAreReadAsPeopleWriteThem(t *testing.T) {
	for s, want := range map[string][][2]int64{
		"12,30": {{12, 30}}, "12-30": {{12, 30}}, " 12 – 30 ": {{12, 30}}, "12 30": {{12, 30}}, "12, 30": {{12, 30}},
		"12-30, 12-41": {{12, 30}, {12, 41}}, "12,30,4,5": {{12, 30}, {4, 5}}, "12-30,4,5": {{12, 30}, {4, 5}},
	} {
		got, err := ReadApart(s)
		require.NoError(t, err, s)
		require.Equal(t, want, got, s)
	}
	for _, s := range []string{"", "12", "12,30,4", "12-30-41", "12-", "a,b", "12,,30", "99999999999999999999,1"} {
		_, err := ReadApart(s)
		require.EqualError(t, err, "these are not two pieces", s)
	}
}

func TestWhatLiesWhereIsRead(t *testing.T) {
	for s, want := range map[string][]KeptPatch{"A5=12": {{"A5", 12}}, " A5 = 12, b1=30": {{"A5", 12}, {"b1", 30}}} {
		got, err := ReadKept(s)
		require.NoError(t, err, s)
		require.Equal(t, want, got, s)
	}
	for _, s := range []string{"", "A5", "A5=", "=12", "A5=0", "A5=12,", "A5=x"} {
		_, err := ReadKept(s)
		require.ErrorIs(t, err, ErrNoPatch, s)
	}
}

// A recipe is built in, your own, or several; what yours takes blocks from is read as it
// names it, and lies in its text.
func TestARecipeIsReadByItsName(t *testing.T) {
	own := map[string]string{
		"mine.toml":  "name = \"mine\"\nwidth = 6\n[[block]]\nrecipe = \"other.toml\"\n[[block]]\nrecipe = \"ohio-star\"\n",
		"other.toml": "name = \"other\"\nwidth = 6\ngrid = [2, 2]\n[[patch]]\nat = [[1, 1], [1, 2], [2, 1], [2, 2]]\nrole = \"dark\"\n",
	}
	var opened []string
	open := func(name string) ([]byte, error) {
		opened = append(opened, name)
		if text := own[name]; text != "" {
			return []byte(text), nil
		}
		return nil, nil
	}
	r, err := RecipeRequest{Name: "mine.toml", Open: open}.Read()
	require.NoError(t, err)
	require.Equal(t, []string{"mine.toml", "other.toml"}, opened)
	require.Len(t, r.Blocks, 2)
	again, err := recipe.Read("mine.toml", r.Text)
	require.NoError(t, err, "it can be read alone")
	require.Equal(t, r.Blocks, again.Blocks)

	r, err = RecipeRequest{Name: "Ohio star", Open: open}.Read()
	require.NoError(t, err)
	require.Equal(t, []string{"mine.toml", "other.toml"}, opened, "what is built in goes before your own")
	require.Equal(t, "Ohio star", r.File)
	r, err = RecipeRequest{Name: "ohio-star, other.toml", Open: open}.Read()
	require.NoError(t, err)
	require.Len(t, r.Blocks, 2)

	r, err = RecipeRequest{Name: "pinwheel", Added: recipe.Added{Borders: []recipe.AddedBorder{{WidthIn: 2}}}, BlockIn: 9, Matching: recipe.UsualMatching, AtATime: map[recipe.Make]int{recipe.HalfSquare: 8}}.Read()
	require.NoError(t, err)
	require.Equal(t, 9.0, r.WidthIn)
	require.Len(t, r.Borders, 1)
	require.Equal(t, recipe.UsualMatching, r.MatchedBy)
	require.Equal(t, 8, r.AtATime[recipe.HalfSquare])

	for _, name := range []string{"", "no such", "mine.toml", "ohio-star, no such"} {
		_, err := RecipeRequest{Name: name}.Read()
		require.NotNil(t, fault.Of(err), name)
	}
	torn := errors.New("torn")
	_, err = RecipeRequest{Name: "mine.toml", Open: func(string) ([]byte, error) { return nil, torn }}.Read()
	require.ErrorIs(t, err, torn)
}
