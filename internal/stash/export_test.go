package stash

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

func exports(t *testing.T, s *Stash) (asCSV, asJSON string) {
	t.Helper()
	var c, j bytes.Buffer
	require.NoError(t, s.ExportCSV(ctx, &c))
	require.NoError(t, s.ExportJSON(ctx, &j))
	return c.String(), j.String()
}

func TestJSONGoesBothWaysWithoutLoss(t *testing.T) {
	from := full(t, t.TempDir())
	asCSV, asJSON := exports(t, from)
	to := open(t, t.TempDir())
	got, err := to.Import(ctx, "stash.json", []byte(asJSON))
	require.NoError(t, err)
	require.Zero(t, got.Skipped)
	csv2, json2 := exports(t, to)
	require.Equal(t, asJSON, json2)
	require.Equal(t, asCSV, csv2)
	healthy(t, to)
	// All that a later look needs came along.
	_, err = relook(to, Hash([]byte("the bytes of a.jpg")), sheet(squares(9)...))
	require.NoError(t, err)
	require.Equal(t, cloth.Teal, holdings(t, to, Filter{})[0].Family)

	again, err := to.Import(ctx, "a copy.json", []byte(asJSON))
	require.NoError(t, err)
	require.True(t, again.Known)
	for range 2 {
		_, err = to.Undo(ctx)
		require.NoError(t, err)
	}
	require.Empty(t, holdings(t, to, Filter{}))
	again, err = to.Import(ctx, "a copy.json", []byte(asJSON))
	require.NoError(t, err)
	require.False(t, again.Known)
}

func TestCSVGoesBothWaysWithoutLoss(t *testing.T) {
	from := full(t, t.TempDir())
	asCSV, asJSON := exports(t, from)
	to := open(t, t.TempDir())
	in, err := to.Import(ctx, "stash.csv", []byte(asCSV))
	require.NoError(t, err)
	again, all := exports(t, to)
	require.Equal(t, asCSV, again)
	require.Equal(t, asJSON, all) // floors, photos, plans and the like among it
	require.Equal(t, []int{11, 0, 11, 2, 13}, []int{in.Added, in.Skipped, in.Pieces, in.Photos, in.Prints})
	require.Equal(t, "stash.csv: 11 pieces, 2 photos, 13 prints", in.Sum.What)
	require.Empty(t, in.Notes)
	healthy(t, to)
	a, b := holdings(t, from, Filter{}), holdings(t, to, Filter{})
	require.Len(t, b, len(a))
	for i := range a {
		a[i].ID, b[i].ID = 0, 0
	}
	require.Equal(t, a, b)
	// Columns in another order, parted by semicolons, after a byte order mark.
	lines, err := csv.NewReader(strings.NewReader(asCSV)).ReadAll()
	require.NoError(t, err)
	var other bytes.Buffer
	w := csv.NewWriter(&other)
	w.Comma = ';'
	for _, l := range lines {
		for i, j := 0, len(l)-1; i < j; i, j = i+1, j-1 {
			l[i], l[j] = l[j], l[i]
		}
		require.NoError(t, w.Write(l))
	}
	w.Flush()
	third := open(t, t.TempDir())
	_, err = third.Import(ctx, "other.csv", append([]byte("\uFEFF"), other.Bytes()...))
	require.NoError(t, err)
	again, all = exports(t, third)
	require.Equal(t, asCSV, again)
	require.Equal(t, asJSON, all)
	// What the stash knows by its photo does not come in twice.
	got, err := from.Import(ctx, "other.csv", other.Bytes())
	require.NoError(t, err)
	require.Equal(t, 9, got.Skipped)
}

// A stash not filled yet goes both ways too.
func TestAnEmptyStashGoesBothWays(t *testing.T) {
	asCSV, asJSON := exports(t, open(t, t.TempDir()))
	for _, text := range []string{asCSV, asJSON} {
		to := open(t, t.TempDir())
		got, err := to.Import(ctx, "empty", []byte(text))
		require.NoError(t, err)
		require.Equal(t, "empty: 0 pieces, 0 photos, 0 prints", got.Sum.What)
	}
}

// A column that is not read was once passed over in silence.
func TestColumnsPassedOverAreSaid(t *testing.T) {
	s := open(t, t.TempDir())
	got, err := s.Import(ctx, "squares.csv", []byte("colour,size,remarks,,count\nblue,2½,from aunt,,3\n"))
	require.NoError(t, err)
	require.Equal(t, []string{`column "remarks" was not read`}, got.Notes)
	require.Equal(t, 3, got.Pieces)
	got, err = s.Import(ctx, "ours.csv", []byte("form,count,width_in,remarks\nsquare,1,2,\n"))
	require.NoError(t, err)
	require.Equal(t, []string{`column "remarks" was not read`}, got.Notes)
}

// Saved again by a spreadsheet, a file holds what it held.
func TestALayoutIsNoOtherImport(t *testing.T) {
	s := open(t, t.TempDir())
	got, err := s.Import(ctx, "a.csv", []byte("colour,size,count\nblue,2½,3\n"))
	require.NoError(t, err)
	require.False(t, got.Known)
	for _, text := range []string{
		"colour,size,count\nblue,2½,3\n\n", "colour,size,count\nblue,2½,3\n,,\n", "colour;size;count\r\nblue; 2½;3", "\uFEFFcolour,size,count\nblue,2½,3,,\n",
	} {
		got, err := s.Import(ctx, "b.csv", []byte(text))
		require.NoError(t, err)
		require.True(t, got.Known, "%q", text)
	}
	got, err = s.Import(ctx, "c.csv", []byte("colour,size,count\nblue,2½,4\n"))
	require.NoError(t, err)
	require.False(t, got.Known)
	_, err = s.Import(ctx, "d.csv", []byte("colour,size,count\n\nblue,2½,4\n\nmauve,2½,4\n"))
	require.ErrorContains(t, err, "d.csv, line 5: ") // as a spreadsheet numbers them
}

// Weighed cloth from another stash is of the weight, not of the area it had
// there.
func TestWeightsAreImported(t *testing.T) {
	s := open(t, t.TempDir())
	_, err := s.Import(ctx, "w.csv", []byte("form,count,width_in,grams,area_in2\nweighed,1,,150,10\n"))
	require.NoError(t, err)
	require.InDelta(t, 1/squareInch, holdings(t, s, Filter{})[0].AreaIn2, 1e-6)
	healthy(t, s)
}

// Two stashes may each have a print 1.
func TestPrintsOfTwoStashesAreNotMixedUp(t *testing.T) {
	for _, asJSON := range []bool{false, true} {
		one, two := open(t, t.TempDir()), open(t, t.TempDir())
		stow(t, one, photo("a.jpg", of(t, "a", cream, navy, 3, day, 1), of(t, "b", navy, rust, 5, day, 2)))
		stow(t, two, photo("b.jpg", of(t, "a", cream, sage, 6, dusk, 3), of(t, "b", navy, rust, 5, dusk, 4)))
		c, j := exports(t, two)
		text := c
		if asJSON {
			text = j
		}
		_, err := one.Import(ctx, "two", []byte(text))
		require.NoError(t, err)
		require.Equal(t, []string{"print 1", "print 2", "print 3", "print 2"}, printsIn(t, one))
		healthy(t, one)
	}
}

// The new name of one print of a CSV was once the old name of the next.
func TestANewNameIsNoneThatTheFileHas(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", square(0)))
	_, err := s.Import(ctx, "two.csv", []byte("form,count,width_in,print,mean,colours\n"+
		"square,1,2.5,print 1,0.9 0.1 0.1,0.9 0.1 0.1 1\n"+
		"square,1,2.5,print 2,0.1 0.9 0.1,0.1 0.9 0.1 1\n"))
	require.NoError(t, err)
	all := holdings(t, s, Filter{})
	require.Equal(t, []string{"print 1", "print 3", "print 2"}, []string{all[0].Print, all[1].Print, all[2].Print})
	healthy(t, s)
}

// A cell that a spreadsheet would run is written as text.
func TestNoCellIsAFormula(t *testing.T) {
	asCSV, _ := exports(t, full(t, t.TempDir()))
	require.NotContains(t, asCSV, ",=box,")
	require.Contains(t, asCSV, ",'=box,")
	require.Contains(t, asCSV, ",''quoted,")
}

// The places of photos stay in the photos.
func TestNothingOfThePhotosBytesIsExported(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", square(0))
	p.Bytes = []byte("GPS 51.5007N 0.1246W")
	stow(t, s, p)
	asCSV, asJSON := exports(t, s)
	require.NotContains(t, asCSV+asJSON, "51.5007")
	require.NotContains(t, asCSV+asJSON, s.Dir())
}

func TestAPlainSpreadsheetOfSquares(t *testing.T) {
	type line struct {
		form   cloth.Form
		n      int
		w, l   float64
		family cloth.Family
		value  cloth.Value
		basket string
	}
	for name, c := range map[string]struct {
		text string
		want []line
	}{
		"usual": {"Colour,Value,Size,Count\nBlue,dark,2½,12\nred,Light,5\",3\n", []line{
			{cloth.Square, 12, 2.5, 2.5, cloth.Blue, cloth.Dark, ""}, {cloth.Square, 3, 5, 5, cloth.Red, cloth.Light, ""},
		}},
		"another order": {"How many;Box;Cut size;COLOR\n4;tin 1;2 1/2 squares;dark green\n\n7;;2½ x 4½;tan\n", []line{
			{cloth.Square, 4, 2.5, 2.5, cloth.Green, cloth.Dark, "tin 1"}, {cloth.Rectangle, 7, 2.5, 4.5, cloth.Brown, "", ""},
		}},
		"strips": {"shape\twidth\tlength\tqty\tremarks\nstrip\t2.5\t40\t2.0\tthe long ones\nstrips\t6cm\t\t1\t\n", []line{
			{cloth.Strip, 2, 2.5, 40, "", "", ""}, {cloth.Strip, 1, 6 / 2.54, 0, "", "", ""},
		}},
		"in one cell": {"hue,size\nmedium-dark grey,2½ strip x 18\nmedium light navy,3½ by 3½\n", []line{
			{cloth.Strip, 1, 2.5, 18, cloth.Grey, cloth.MediumDark, ""}, {cloth.Square, 1, 3.5, 3.5, cloth.Blue, cloth.MediumLight, ""},
		}},
	} {
		s := open(t, t.TempDir())
		_, err := s.Import(ctx, "squares.csv", []byte(c.text))
		require.NoError(t, err, name)
		var got []line
		for _, h := range holdings(t, s, Filter{}) {
			got = append(got, line{h.Form, h.Count, h.WidthIn, h.LengthIn, h.Family, h.Value, h.Basket})
		}
		require.Equal(t, c.want, got, name)
	}
}

func TestAFileWithAFaultIsRefusedWhole(t *testing.T) {
	for text, want := range map[string]string{
		"":                                              "x.csv: it has no line to import",
		"colour,size\n":                                 "x.csv: it has no line to import",
		"dear,diary\ntoday,it\n":                        "x.csv: its first line names no column of colours or sizes",
		"colour,size\nblue,2½\nmauve,2½\n":              "x.csv, line 3: \"mauve\" is not a hue family",
		"colour,size\nblue,wide\n":                      "x.csv, line 2: \"wide\" is not a length",
		"size,count\n2½,some\n":                         "x.csv, line 2: \"some\" is not a number of pieces",
		"size,count\n2½,0\n":                            "x.csv, line 2: \"0\" is not a number of pieces",
		"size,shape\n2½,heart\n":                        "x.csv, line 2: \"heart\" is not a form of piece",
		"colour,tone\nblue,dim\n":                       "x.csv, line 2: \"dim\" is not a value",
		"size,shape\n2 x 3,square\n":                    "x.csv, line 2: a square has one size",
		"form,count,width_in\nsquare,x,2\n":             "x.csv, line 2: column count: \"x\" is not a number",
		"form,count,width_in,record\n,,,hat\n":          "x.csv, line 2: column record: \"hat\" is no record of a stash",
		"form,count,width_in,record\n,,,floor\n":        "x.csv, line 2: column data: this is not a floor",
		"form,count,width_in,colours\nsquare,1,2,1 2\n": "x.csv, line 2: column colours: \"1 2\" is not 4 numbers",
		"{":  "x.csv: it cannot be read: this is not JSON",
		"{}": "x.csv: this is not an export of a stash",
		`{"format":"piecebag stash","version":1,"photos":[{"hash":"../x"}]}`:  "x.csv: \"../x\" is not the SHA-256 of a photo",
		`{"format":"piecebag stash","version":1,"settings":{"gsm":0}}`:        "weight of cloth: no cloth weighs so much or so little",
		`{"format":"piecebag stash","version":1,"floors":[{"n":-1}]}`:         "floor: it is not a number of pieces",
		`{"format":"piecebag stash","version":1,"taught":[{"bin":"reds"}]}`:   "x.csv: an example in it has no bin",
		`{"format":"piecebag stash","version":1,"plans":[{"name":"picnic"}]}`: "x.csv: a plan in it has no name",
	} {
		s := open(t, t.TempDir())
		_, err := s.Import(ctx, "x.csv", []byte(text))
		require.ErrorContains(t, err, want)
		require.ErrorIs(t, err, ErrRefused)
		past, err := s.History(ctx, 0)
		require.NoError(t, err)
		require.Empty(t, past)
		require.NoError(t, s.Close())
	}
}

func FuzzImport(f *testing.F) {
	f.Add("Colour,Value,Size,Count\nBlue,dark,2½,12\n")
	f.Add("form,count,width_in,colours,outline\nsquare,1,2,1 0 0 1,0 0;1 1\n")
	f.Add(`{"format":"piecebag stash","version":1,"holdings":[{"form":"square","count":1,"outline":[[1,2]]}]}`)
	s := open(f, f.TempDir())
	f.Fuzz(func(t *testing.T, text string) {
		got, err := s.Import(ctx, "x", []byte(text))
		if err == nil && !got.Known {
			_, err := s.Undo(ctx)
			require.NoError(t, err)
		}
		require.Empty(t, holdings(t, s, Filter{}))
	})
}
