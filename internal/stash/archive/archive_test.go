package archive

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/stash"
)

var ctx = context.Background()

func open(t testing.TB) *stash.Stash {
	t.Helper()
	s, err := stash.Open(t.TempDir(), stash.Options{Now: func() time.Time { return time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC) }})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func holdings(t testing.TB, s *stash.Stash) []cloth.Holding {
	t.Helper()
	h, err := s.Holdings(ctx, stash.Filter{})
	require.NoError(t, err)
	return h
}

func exports(t testing.TB, s *stash.Stash) (asCSV, asJSON string) {
	t.Helper()
	var c, j bytes.Buffer
	require.NoError(t, WriteCSV(ctx, s, &c))
	require.NoError(t, WriteJSON(ctx, s, &j))
	return c.String(), j.String()
}

// full are the two exports of a stash with all that a stash can hold: photos,
// corrections, pieces that are gone, weighed cloth, names like formulas.
func full(t testing.TB) (asCSV, asJSON string) {
	t.Helper()
	c, err := os.ReadFile("testdata/full.csv")
	require.NoError(t, err)
	j, err := os.ReadFile("testdata/full.json")
	require.NoError(t, err)
	return string(c), string(j)
}

func TestBothFormsGoBothWaysWithoutLoss(t *testing.T) {
	asCSV, asJSON := full(t)
	lines, err := csv.NewReader(strings.NewReader(asCSV)).ReadAll()
	require.NoError(t, err)
	// Columns in another order, parted by semicolons, after a byte order mark.
	var other bytes.Buffer
	w := csv.NewWriter(&other)
	w.Comma = ';'
	for _, l := range lines {
		slices.Reverse(l)
		require.NoError(t, w.Write(l))
	}
	w.Flush()
	for what, text := range map[string]string{"json": asJSON, "csv": asCSV, "semicolons": "\uFEFF" + other.String()} {
		s := open(t)
		in, err := Import(ctx, s, what, []byte(text))
		require.NoError(t, err, what)
		require.Equal(t, []int{11, 0, 11, 2, 13}, []int{in.Added, in.Skipped, in.Pieces, in.Photos, in.Prints}, what)
		require.Empty(t, in.Notes, what)
		c, j := exports(t, s)
		require.Equal(t, asCSV, c, what)
		require.Equal(t, asJSON, j, what)
		in, err = Import(ctx, s, "a copy", []byte(text))
		require.NoError(t, err)
		require.True(t, in.Known)
	}
}

// A stash not filled yet goes both ways too.
func TestAnEmptyStashGoesBothWays(t *testing.T) {
	asCSV, asJSON := exports(t, open(t))
	for _, text := range []string{asCSV, asJSON} {
		to := open(t)
		got, err := Import(ctx, to, "empty", []byte(text))
		require.NoError(t, err)
		require.Equal(t, "empty: 0 pieces, 0 photos, 0 prints", got.Sum.What)
	}
}

// A column that is not read was once passed over in silence.
func TestColumnsPassedOverAreSaid(t *testing.T) {
	s := open(t)
	got, err := Import(ctx, s, "squares.csv", []byte("colour,size,remarks,,count\nblue,2½,from aunt,,3\n"))
	require.NoError(t, err)
	require.Equal(t, []string{`column "remarks" was not read`}, got.Notes)
	require.Equal(t, 3, got.Pieces)
	got, err = Import(ctx, s, "ours.csv", []byte("form,count,width_in,remarks\nsquare,1,2,\n"))
	require.NoError(t, err)
	require.Equal(t, []string{`column "remarks" was not read`}, got.Notes)
}

// Saved again by a spreadsheet, a file holds what it held.
func TestALayoutIsNoOtherImport(t *testing.T) {
	s := open(t)
	got, err := Import(ctx, s, "a.csv", []byte("colour,size,count\nblue,2½,3\n"))
	require.NoError(t, err)
	require.False(t, got.Known)
	for _, text := range []string{
		"colour,size,count\nblue,2½,3\n\n", "colour,size,count\nblue,2½,3\n,,\n", "colour;size;count\r\nblue; 2½;3", "\uFEFFcolour,size,count\nblue,2½,3,,\n",
	} {
		got, err := Import(ctx, s, "b.csv", []byte(text))
		require.NoError(t, err)
		require.True(t, got.Known, "%q", text)
	}
	got, err = Import(ctx, s, "c.csv", []byte("colour,size,count\nblue,2½,4\n"))
	require.NoError(t, err)
	require.False(t, got.Known)
	_, err = Import(ctx, s, "d.csv", []byte("colour,size,count\n\nblue,2½,4\n\nplaid,2½,4\n"))
	require.ErrorContains(t, err, "d.csv, line 5: ") // as a spreadsheet numbers them
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
		s := open(t)
		_, err := Import(ctx, s, "squares.csv", []byte(c.text))
		require.NoError(t, err, name)
		var got []line
		for _, h := range holdings(t, s) {
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
		"colour,size\nblue,2½\nplaid,2½\n":              "x.csv, line 3: \"plaid\" is not a hue family",
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
		`{"format":"piecebag stash","version":1,"holdings":[{"count":3.9}]}`:  "x.csv: it cannot be read: holdings.count is 3.9, where a whole number is wanted",
		`{"format":"piecebag stash","version":1,"photos":[{"hash":"../x"}]}`:  "x.csv: \"../x\" is not the SHA-256 of a photo",
		`{"format":"piecebag stash","version":1,"settings":{"gsm":0}}`:        "weight of cloth: no cloth weighs so much or so little",
		`{"format":"piecebag stash","version":1,"floors":[{"n":-1}]}`:         "floor: it is not a number of pieces",
		`{"format":"piecebag stash","version":1,"taught":[{"bin":"reds"}]}`:   "x.csv: an example in it has nothing to show",
		`{"format":"piecebag stash","version":1,"plans":[{"name":"picnic"}]}`: "x.csv: a plan in it has no name",
	} {
		s := open(t)
		_, err := Import(ctx, s, "x.csv", []byte(text))
		require.ErrorContains(t, err, want)
		require.ErrorIs(t, err, stash.ErrRefused)
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
	s := open(f)
	f.Fuzz(func(t *testing.T, text string) {
		got, err := Import(ctx, s, "x", []byte(text))
		if err == nil && !got.Known {
			_, err := s.Undo(ctx)
			require.NoError(t, err)
		}
		require.Empty(t, holdings(t, s))
	})
}

// A cell that a spreadsheet would run is written as text.
func TestNoCellIsAFormula(t *testing.T) {
	asCSV, _ := full(t)
	require.NotContains(t, asCSV, ",=box,")
	require.Contains(t, asCSV, ",'=box,")
	require.Contains(t, asCSV, ",''quoted,")
}

// A spreadsheet of a million lines once kept it at work for minutes.
func TestTooManyEntriesAreRefused(t *testing.T) {
	s := open(t)
	line := "1,red\n"
	_, err := Import(ctx, s, "a.csv", []byte("count,colour\n"+strings.Repeat(line, mostEntries+1)))
	require.ErrorIs(t, err, stash.ErrRefused)
	require.EqualError(t, err, "a.csv: it holds more than 300000 entries")
	table, err := readTable("a.csv", []byte("count,colour\n"+strings.Repeat(line, mostEntries)))
	require.NoError(t, err)
	require.Len(t, table.Lines, mostEntries)
	one := []byte(`{},`)
	_, err = Import(ctx, s, "a.json", append(append([]byte(`{"format":"piecebag stash","version":1,"holdings":[`), bytes.Repeat(one, mostEntries)...), []byte("{}]}")...))
	require.EqualError(t, err, "a.json: it holds more than 300000 entries")
}
