package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/geom"
	"piecebag/internal/look"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// saying checks an error that you can mend by what it says and what it says to do.
func saying(t *testing.T, err error, why, remedy string) {
	t.Helper()
	require.EqualError(t, err, why)
	require.Equal(t, remedy, fault.Of(err).Remedy)
}

func TestLengthsAreReadToTheirLimits(t *testing.T) {
	const none = "write it as 2½, 2 1/2, 2.5 or 6cm, at most 120 inches, or 0 for none"
	for text, want := range map[string]float64{"0": 0, "¼": 0.25, "120": 120, "5cm": 5 / 2.54} {
		in, err := ReadLengthIn(text, cloth.Inches)
		require.NoError(t, err, text)
		require.InDelta(t, want, in, 1e-12, text)
		trim, err := ReadTrim(text)
		require.NoError(t, err, text)
		require.InDelta(t, want, *trim, 1e-12, text)
	}
	in, err := ReadLengthIn("2.54", cloth.Centimetres)
	require.NoError(t, err)
	require.InDelta(t, 1, in, 1e-12)
	for _, text := range []string{"120.5", "x", "", "-1"} {
		_, err := ReadLengthIn(text, cloth.Inches)
		saying(t, err, "this is not a length", none)
		_, err = ReadTrim(text)
		saying(t, err, "this is not a length", "write what you square off a strip, like ½ or 1cm, or 0")
	}
	_, err = ReadCut("x")
	saying(t, err, "this is not a length", "write it as 2½, 2 1/2, 2.5 or 6cm")
	_, err = ReadCut("121")
	saying(t, err, "cloth is not cut to this length", "write a length from ½ to 120 inches")
	in, err = ReadCutIn("10", cloth.Centimetres)
	require.NoError(t, err)
	require.InDelta(t, 10/2.54, in, 1e-12)
	for _, text := range []string{"2½,x", "2½,121", ""} {
		_, err = ReadCuts(text, cloth.Inches)
		require.ErrorContains(t, err, "cloth is not cut to ")
		require.Equal(t, "write lengths from ½ to 120 inches with commas between, like 1½,2.5,5 or 6cm,9cm", fault.Of(err).Remedy)
	}
	for text, want := range map[string]float64{"350g": 350, "1kg": 1000} {
		grams, err := ReadWeight(text)
		require.NoError(t, err)
		require.Equal(t, want, grams)
	}
	_, err = ReadWeight("1,200g")
	saying(t, err, "a comma before three digits may part thousands", "write the number without a comma")
	_, err = ReadWeight("12")
	saying(t, err, "this is not a weight", "write it with its unit, like 350g, 1.2kg, 12oz or 2lb")
}

func TestWhatIsSaidIsReadToItsLimits(t *testing.T) {
	said, err := ReadSaid("12 squares ½", cloth.Inches)
	require.NoError(t, err)
	require.Equal(t, []any{12, cloth.Square, 0.5, 0.5}, []any{said.Count, said.Form, said.WidthIn, said.LengthIn})
	said, err = ReadSaid("12", cloth.Inches)
	require.NoError(t, err)
	require.Equal(t, 12, said.Count)
	said, err = ReadSized("12", cloth.Inches)
	require.NoError(t, err)
	require.Equal(t, 12.0, said.WidthIn)
	for _, text := range []string{"3 squares 0.4", "rectangle 3 x 0.4", "rectangle 0.4 x 3", "", "sheep"} {
		_, err := ReadSaid(text, cloth.Inches)
		require.ErrorContains(t, err, "this is not a size", text)
		require.Equal(t, text, fault.Of(err).About)
		require.Equal(t, "write it as 2½, 2½ x 18, 6 x 45cm or 3 fat quarters", fault.Of(err).Remedy)
	}
	_, err = ReadSaid("0 fat quarters", cloth.Inches)
	require.ErrorIs(t, err, cloth.ErrCount)
	require.Equal(t, "write it like 3 fat quarters", fault.Of(err).Remedy)
	_, _, err = ReadSizes("11x", cloth.Inches)
	saying(t, err, "this is not a list of widths and lengths", "write each width, x and its length, like 18x22 or 30x50cm, or a word such as fat quarter")
}

func TestSortingsAndSystemsAreRead(t *testing.T) {
	for _, s := range shelf.Sortings {
		got, err := ReadSorting(s.String())
		require.NoError(t, err)
		require.Equal(t, s, got)
	}
	_, err := ReadSorting("size")
	saying(t, err, "size: the shelf is not sorted so", "say family, value or both")

	quarter, err := ReadSystem("¼", cloth.Inches)
	require.NoError(t, err)
	want := recipe.Inches()
	want.Seam = 0.25
	require.Equal(t, want, quarter)
	scant, err := ReadSystem("scant", cloth.Inches)
	require.NoError(t, err)
	require.True(t, scant.Scant)
	require.False(t, scant.Metric)
	metric, err := ReadSystem("7.5mm", cloth.Centimetres)
	require.NoError(t, err)
	require.True(t, metric.Metric)
	require.InDelta(t, 0.75/2.54, metric.Seam, 1e-12)
	_, err = ReadSystem("wide", cloth.Inches)
	saying(t, err, "this is not a seam allowance", "write ¼, scant, 6.5mm or 7.5mm")
	_, err = ReadForm("round")
	saying(t, err, "there is no such form", "write squares, rectangles, strips, odd or bands")
}

// Whichever corner comes first and whichever way round, the board begins at its upper left.
func TestABoardBeginsAtItsUpperLeftCorner(t *testing.T) {
	want := geom.Polygon{{X: 11, Y: 12}, {X: 205, Y: 8}, {X: 210, Y: 160}, {X: 9, Y: 150}}
	for i := range want {
		turned := slices.Concat(want[i:], want[:i])
		got, err := Board(turned)
		require.NoError(t, err)
		require.Equal(t, want, got)
		slices.Reverse(turned)
		got, err = Board(turned)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	for _, corners := range []geom.Polygon{want[:3], append(slices.Clone(want), geom.Point{X: 300, Y: 80}), {{}, {X: 9}, {X: 9, Y: 9}, {X: 8, Y: 5}}} {
		_, err := Board(corners)
		saying(t, err, "these corners do not enclose a board", "give the four corners of the board: X,Y,X,Y,X,Y,X,Y")
	}
}

func TestCornersToTheirLimits(t *testing.T) {
	const how = "write three corners or more in pixels of the photo: X,Y,X,Y,X,Y"
	_, err := ReadCorners("0,0,1000000,0,-1000000,1000000")
	require.NoError(t, err, "as far as a photo is wide")
	for _, s := range []string{"0,0,9,0,1000001,9", "0,0,9,0,9,-1000001", "0,0,x,0,9,9", "0,0,9,x,9,9", "0,0,9,0,9"} {
		_, err := ReadCorners(s)
		saying(t, err, "this is not an outline", how)
	}
	_, err = ReadCorners(strings.Repeat("0,0 9,0 9,9 ", mostPoints/3+1))
	saying(t, err, "this is not an outline", how)
	_, err = ReadCorners("0,0,5,5,9,9")
	saying(t, err, "these corners enclose nothing", "write them in order round the piece: X,Y,X,Y,X,Y")
}

func TestWhatAQuiltIsAskedBySaysWhatToWrite(t *testing.T) {
	_, err := ReadBlocks("x")
	saying(t, err, "this is not a number of blocks", "write a whole number, like 24")
	_, err = ReadLayout("x")
	saying(t, err, "this is not a number of blocks across and down", "write it like 4x5")
	most := fmt.Sprint(find.MostCells)
	grid, err := ReadGrid(most + "x" + most)
	require.NoError(t, err)
	require.Equal(t, [2]int{find.MostCells, find.MostCells}, grid)
	_, err = ReadGrid(fmt.Sprint(find.MostCells+1, "x1"))
	saying(t, err, "this is not a number of rows and columns", "write the rows, x and the columns, each from 1 to "+most+", like 6x8")
	_, err = ReadSize("60", cloth.Inches)
	saying(t, err, "this is not a size", "write the width, x and the length, like 60x72 or 150x200cm, of a few hundred inches at most")
	for text, want := range map[string]float64{"0": 0, "20%": 0.2, "2.5": 0.025} {
		share, err := ReadShrinkage(text, 0.2)
		require.NoError(t, err)
		require.InDelta(t, want, share, 1e-12)
	}
	_, err = ReadShrinkage("21", 0.2)
	saying(t, err, "cloth does not shrink by so much", "write a percentage from 0 to 20, like 5")
	_, err = ReadShrinkage("0x", 0.2)
	saying(t, err, "this is not a percentage", "write a percentage from 0 to 20, like 5")
	_, err = ReadApart("7")
	saying(t, err, "these are not two pieces", "write their numbers like 12,30")
	_, err = ReadKept("A5")
	saying(t, err, "this is not a patch and a piece", "write it like A5=12")
	n, err := ReadNumbers("1-1000000")
	require.NoError(t, err)
	require.Len(t, n.All, mostNumbers)
	_, err = ReadNumbers("1-1000001")
	require.ErrorIs(t, err, ErrNoNumbers)
	require.Equal(t, "write numbers like 12 or 12,15 or 13-60", fault.Of(err).Remedy)
	n, err = ReadNumbers("4-4")
	require.NoError(t, err)
	require.Equal(t, Numbers{All: []int64{4}}, n, "a range of one")
}

// What is given by hand of the pieces of a photo: every form, and every way to be wrong.
func TestOutlinesThatAreNone(t *testing.T) {
	const how = `write {"pieces":[{"polygon":[[x,y],[x,y],[x,y]]}]}, in pixels of the upright photo`
	for text, why := range map[string]string{
		`[`:             "this is not JSON of outlines",
		`{}`:            "it holds no outline",
		`{"pieces":[]}`: "it holds no outline",
		`{"photos":[{"file":"a.jpg"},{"file":"b.jpg","pieces":[{"point":[1,2]}]}]}`: "it holds no outline of table.jpg",
		`{"photos":[{"file":"a.jpg"}]}`:                                             "it holds no outline",
		`{"pieces":[{}]}`:                                                           "outline 1 has no polygon, point or box",
		`{"pieces":[{"point":[1,2]},{"polygon":[[1,2],[3,4]]}]}`:                    "outline 2 has fewer than three points",
		`{"pieces":[{"polygon":[]}]}`:                                               "outline 1 has fewer than three points",
		`{"pieces":[{"box":[1,2,0,4]}]}`:                                            "outline 1 is a box without width and height",
		`{"pieces":[{"box":[1,2,4,0]}]}`:                                            "outline 1 is a box without width and height",
		`{"pieces":[{"box":[1,2,4]}]}`:                                              "outline 1 is a box without width and height",
		`{"pieces":[{"point":[1]}]}`:                                                "outline 1 holds what is no point of a photo",
		`{"pieces":[{"point":[1,2,3]}]}`:                                            "outline 1 holds what is no point of a photo",
		`{"pieces":[{"point":[1000001,2]}]}`:                                        "outline 1 holds what is no point of a photo",
		`{"pieces":[{"point":[1,-1000001]}]}`:                                       "outline 1 holds what is no point of a photo",
		`{"pieces":[{"polygon":[[0,0],[9],[9,9]]}]}`:                                "outline 1 holds what is no point of a photo",
	} {
		_, err := Outlines("by-hand.json", []byte(text), "photos/table.jpg")
		saying(t, err, "by-hand.json: "+why, how)
	}
	_, err := Outlines("by-hand.json", []byte(`{"pieces":[{"point":[1,2]},{"polygon":[[10,20],[90,90],[90,20],[10,90]]}]}`), "table.jpg")
	saying(t, err, "by-hand.json: outline 2, from 10,20, crosses itself", "give its corners in order, one round of it")
	got, err := Outlines("one.json", []byte(`{"photos":[{"file":"other.jpg","pieces":[{"point":[1000000,-1000000]}]}]}`), "table.jpg")
	require.NoError(t, err, "one photo alone is meant, whatever its name")
	require.Equal(t, []geom.Polygon{{{X: 1e6, Y: -1e6}}}, got)
	many := func(n, corners int) []byte {
		ring := strings.TrimSuffix(strings.Repeat("[0,0],[9,0],[9,9],[0,9],", corners/4), ",")
		one := `{"polygon":[` + ring + `]}`
		if corners == 0 {
			one = `{"point":[1,2]}`
		}
		return []byte(`{"pieces":[` + strings.TrimSuffix(strings.Repeat(one+",", n), ",") + `]}`)
	}
	_, err = Outlines("many.json", many(mostOutlined, 0), "table.jpg")
	require.NoError(t, err)
	_, err = Outlines("many.json", many(mostOutlined+1, 0), "table.jpg")
	saying(t, err, "many.json: it holds 1001 outlines of 0 points in all; at most 1000 of 50000 are read", "give a photo of fewer pieces, or its outlines with fewer points")
	_, err = Outlines("many.json", many(1, mostPoints+4), "table.jpg")
	saying(t, err, "many.json: it holds 1 outline of 50004 points in all; at most 1000 of 50000 are read", "give a photo of fewer pieces, or its outlines with fewer points")
	_, err = Outlines("many.json", many(10, mostPoints/10), "table.jpg")
	require.NotContains(t, fmt.Sprint(err), "at most")
}

func TestOutlinesCoverThePhotoSoOften(t *testing.T) {
	require.InDelta(t, 1.5, overlapping([]geom.Polygon{box(0, 0, 20, 10), box(5, 0, 10, 10)}, 20, 10), 1e-12)
	require.InDelta(t, 0.5, overlapping([]geom.Polygon{{{X: 0, Y: 0}, {X: 20, Y: 10}, {X: 20, Y: 0}}, {{X: 3, Y: 3}}}, 20, 10), 1e-12)
	require.Zero(t, overlapping(nil, 20, 10))
}

// What reaches beyond the photo is cut off, and said where it is more than a hundredth.
func TestWhatIsGivenLiesInThePhoto(t *testing.T) {
	in := func(pieces ...geom.Polygon) ([]geom.Polygon, string, error) {
		return inPhoto(look.Options{Pieces: pieces, PiecesFrom: "by hand"}, 200, 100)
	}
	inside := []geom.Polygon{box(0, 0, 200, 100), {{X: 199, Y: 99}}, {{X: 5, Y: 5}, {X: 30, Y: 40}}, box(150, 10, 50.4, 50)}
	given, note, err := in(inside...)
	require.NoError(t, err)
	require.Equal(t, inside, given, "by a hundredth it may reach beyond")
	require.Empty(t, note)
	given, note, err = in(box(-10, 20, 30, 30), geom.Polygon{{X: 150, Y: 50}, {X: 250, Y: 150}}, geom.Polygon{{X: -50, Y: -10}, {X: 50, Y: 10}}, box(10, 10, 20, 20), box(190, 40, 20, 20))
	require.NoError(t, err)
	require.Equal(t, []geom.Polygon{{{X: 150, Y: 50}, {X: 200, Y: 100}}, {{X: 0, Y: 0}, {X: 50, Y: 10}}, box(10, 10, 20, 20)}, given[1:4])
	require.InDelta(t, 600, given[0].Area(), 1e-9)
	require.InDelta(t, 200, given[4].Area(), 1e-9)
	require.Equal(t, "by hand: what reaches beyond the photo was cut off at its edge: entry 1; entry 2; entry 3; entry 5", note)
	for _, g := range []geom.Polygon{
		{{X: 200, Y: 50}}, {{X: 50, Y: 100}}, {{X: -1, Y: 50}}, {{X: 50, Y: -1}}, {{X: 210, Y: 10}, {X: 220, Y: 20}}, {{X: 10, Y: 110}, {X: 20, Y: 120}}, box(201, 10, 9, 9), box(10, -20, 9, 9), box(10, 101, 9, 9), box(-30, 1, 9, 9),
	} {
		_, _, err := in(box(1, 1, 20, 20), g)
		saying(t, err, "it lies outside the photo of 200 × 100 pixels", "give places in pixels of the upright photo at full size")
		entry := find.Entry(0)
		require.ErrorAs(t, err, &entry)
		require.Equal(t, find.Entry(2), entry)
	}
	o := look.Options{PiecesFrom: "by hand", Pieces: []geom.Polygon{{{X: 7, Y: 8}}, {{X: 30, Y: 9}, {X: 10, Y: 40}}, box(5, 6, 10, 10)}}
	for i, want := range []string{"by hand: entry 1, the point at 7,8", "by hand: entry 2, the box from 10,9", "by hand: entry 3, the outline from 5,6"} {
		require.Equal(t, want, entryOf(o, i+1))
	}
}

// Two thirds of a name that is nearly known are asked about, numbers and single letters never.
func TestNamesThatAreAlike(t *testing.T) {
	for _, c := range []struct {
		a, b  string
		alike bool
	}{
		{"blues", "Blues", true}, {"blues", "blue", true}, {"blues", "blu", false}, {"tin", "tins", true}, {"tin", "bin", false}, {"tan", "tan", true},
		{"box 1", "box 2", false}, {"box 1", "Box  1", true}, {"tin a", "tin b", false}, {"sea greens", "see greens", true}, {"sea greens", "tea graens", true},
		{"shelf", "shelve", false}, {"abcd", "abce", true}, {"abcdefgh", "abcdefxy", true}, {"abcdefghijkl", "abcdefghixyz", false}, {"", "", true}, {"abc", "abd", false}, {"b3x", "b3y", false},
	} {
		require.Equal(t, c.alike, alikeNames(c.a, c.b), "%q, %q", c.a, c.b)
		require.Equal(t, c.alike, alikeNames(c.b, c.a), "%q, %q", c.b, c.a)
	}
}

func TestAnUnknownNameSaysWhatIsNear(t *testing.T) {
	d := newDesk(t, t.TempDir())
	var notes []Note
	d = d.At(Door{Note: func(n Note) { notes = append(notes, n) }})
	h := squares(1, cloth.Blue, cloth.Dark)
	h.Basket, h.Print, h.Bin = "Sewing Room", "anchors", "sea greens"
	add(t, d, h)
	require.Len(t, notes, 3)
	for _, c := range []struct {
		which stash.Filter
		want  *UnknownName
	}{
		{stash.Filter{Basket: "Sewing Room"}, nil},
		{stash.Filter{}, nil},
		{stash.Filter{Basket: "sewing rooms"}, &UnknownName{BasketName, "sewing rooms", "Sewing Room"}},
		{stash.Filter{Print: "anchor"}, &UnknownName{PrintName, "anchor", "anchors"}},
		{stash.Filter{Print: "anxxors"}, &UnknownName{PrintName, "anxxors", "anchors"}},
		{stash.Filter{Print: "anxxorz"}, &UnknownName{PrintName, "anxxorz", ""}},
		{stash.Filter{Bin: "sea greens ab"}, &UnknownName{BinName, "sea greens ab", "sea greens"}},
		{stash.Filter{Bin: "sea greens abc"}, &UnknownName{BinName, "sea greens abc", "sea greens"}},
		{stash.Filter{Bin: "sea greens abcde"}, &UnknownName{BinName, "sea greens abcde", ""}},
		{stash.Filter{Bin: "wool", Print: "x"}, &UnknownName{BinName, "wool", ""}},
	} {
		notes = nil
		_, err := d.Pieces(ctx, PiecesRequest{Which: c.which})
		require.NoError(t, err)
		if c.want == nil {
			require.Empty(t, notes)
			continue
		}
		require.Equal(t, []Note{*c.want}, notes)
		remedy := "name one that there is"
		if c.want.Near != "" {
			remedy = "write " + c.want.Near
		}
		_, err = d.Use(ctx, stash.Removal{Count: 1, Filter: c.which})
		saying(t, err, fmt.Sprintf("there is no %s %q", c.want.Kind, c.want.Name), remedy)
		require.ErrorIs(t, err, fault.ErrUsage)
	}
	saying(t, second(d.Use(ctx, stash.Removal{Count: 1, Filter: stash.Filter{IDs: []int64{9}, Named: []int64{9}}})), "piece 9: the stash holds no such piece", "give numbers that the stash has")
	saying(t, second(d.Fix(ctx, FixRequest{Pieces: Numbers{All: []int64{7, 8, 9}}, Correction: stash.Correction{Family: cloth.Teal}})), "pieces 7 to 9: the stash holds none of them", "give numbers that the stash has")
}

func TestWhatIsDoubted(t *testing.T) {
	piece := func(id int, trust float64) cloth.Piece { return cloth.Piece{ID: id, Trust: trust} }
	for _, c := range []struct {
		piece cloth.Piece
		of    []Doubt
		trust float64
	}{
		{piece(1, 0.69), []Doubt{OutlineDoubt}, 0.69},
		{piece(1, 0.7), nil, 0}, {piece(1, 0), nil, 0},
		{cloth.Piece{SizeTrust: 0.69}, []Doubt{SizeDoubt}, 0.69}, {cloth.Piece{SizeTrust: 0.7}, nil, 0},
		{cloth.Piece{FamilyOr: cloth.Teal, FamilyTrust: 0.5}, []Doubt{FamilyDoubt}, 0.5},
		{cloth.Piece{FamilyOr: cloth.Teal, With: cloth.Teal, FamilyTrust: 0.5}, nil, 0},
		{cloth.Piece{ValueOr: cloth.Dark, ValueTrust: 0.9, FamilyOr: cloth.Teal, FamilyTrust: 0.9}, []Doubt{FamilyDoubt, ValueDoubt}, 0.9},
		{cloth.Piece{ValueOr: cloth.Dark, ValueTrust: 0.4, SizeTrust: 0.2, Trust: 0.3, FamilyOr: cloth.Red, FamilyTrust: 0.1}, []Doubt{FamilyDoubt, SizeDoubt, OutlineDoubt, ValueDoubt}, 0.1},
	} {
		d := doubtedOf(c.piece)
		require.Equal(t, c.of, d.Of, "%+v", c.piece)
		require.Equal(t, c.trust, d.Trust)
	}
	all := Doubts([]Seen{
		{File: "a", Found: []cloth.Piece{piece(1, 0.6), piece(2, 0.9), piece(3, 0.2)}, IDs: map[int]int64{1: 11, 3: 13}},
		{File: "b", Found: []cloth.Piece{piece(1, 0.4)}},
	})
	var got []string
	for _, d := range all {
		got = append(got, fmt.Sprint(d.File, d.Piece.ID, " ", d.ID, " ", d.Trust))
	}
	require.Equal(t, []string{"a3 13 0.2", "b1 0 0.4", "a1 11 0.6"}, got)
	_, ok := DoubtOf(cloth.Holding{Trust: 1})
	require.False(t, ok)
	d, ok := DoubtOf(cloth.Holding{Trust: 0.5})
	require.True(t, ok)
	require.Equal(t, 0.5, d.Trust)
}

// Every part of a correction, alone and where the piece is right.
func TestWhatYouSayOfAPiece(t *testing.T) {
	print := "stripes"
	g := box(10, 10, 50, 50)
	was := cloth.Piece{
		ID: 3, Polygon: g, Family: cloth.Blue, With: cloth.White, FamilyTrust: 0.4, FamilyOr: cloth.Teal, Value: cloth.Dark, ValueTrust: 0.3, ValueOr: cloth.Medium,
		WidthIn: 2.5, LengthIn: 2.5, Cut: "2½ square", SizeTrust: 0.5, Print: "print 1", Trust: 0.6,
	}
	for name, c := range map[string]struct {
		say   stash.Correction
		right bool
		want  func(*cloth.Piece)
	}{
		"another family": {stash.Correction{Family: cloth.Teal}, false, func(p *cloth.Piece) { p.Family, p.With, p.FamilyOr, p.FamilyTrust = cloth.Teal, "", "", 1 }},
		"its own family": {stash.Correction{Family: cloth.Blue}, false, func(p *cloth.Piece) { p.FamilyOr, p.FamilyTrust = "", 1 }},
		"another value":  {stash.Correction{Value: cloth.Light}, false, func(p *cloth.Piece) { p.Value, p.ValueOr, p.ValueTrust = cloth.Light, "", 1 }},
		"a print":        {stash.Correction{Print: &print}, false, func(p *cloth.Piece) { p.Print = print }},
		"a width":        {stash.Correction{WidthIn: 3}, false, func(p *cloth.Piece) { p.WidthIn, p.LengthIn, p.Cut, p.SizeTrust = 3, 3, "3 square", 1 }},
		"that it is right": {stash.Correction{}, true, func(p *cloth.Piece) {
			p.FamilyOr, p.FamilyTrust, p.ValueOr, p.ValueTrust, p.SizeTrust, p.Trust = "", 1, "", 1, 1, 1
		}},
	} {
		s := cloth.Sheet{Pieces: []cloth.Piece{was}}
		var m Mend
		m.Say(c.say, c.right, g)
		shown, none := m.Apply(s)
		require.Empty(t, none, name)
		want := was
		c.want(&want)
		require.Equal(t, []cloth.Piece{want}, shown.Pieces, name)
		require.Equal(t, was, s.Pieces[0], "the look stays")
		require.True(t, m.Differs(nil), name)
		require.False(t, m.Differs(m.Clone()), name)
		require.True(t, m.Differs(&Mend{}), name)
		m.TakeBack(g)
		require.Empty(t, m.Said)
	}
	require.False(t, Mend{}.Differs(nil))
	require.False(t, Mend{}.Differs(&Mend{Kind: cloth.Pile}), "to say nothing is to differ in nothing")

	unsized := was
	unsized.WidthIn, unsized.LengthIn, unsized.SizeTrust, unsized.Cut = 2, 0, 0, ""
	SaidOfLook{Right: true}.apply(&unsized)
	require.Zero(t, unsized.SizeTrust, "what has no size has no trust in it")
	SaidOfLook{Said: stash.Said{Correction: stash.Correction{WidthIn: 4}}}.apply(&unsized)
	require.Equal(t, []float64{4, 4}, []float64{unsized.WidthIn, unsized.LengthIn})
	for length, want := range map[float64]float64{2.55: 3, 2.5625: 2.5625, 2.44: 3, 9: 9} {
		p := was
		p.LengthIn = length
		SaidOfLook{Said: stash.Said{Correction: stash.Correction{WidthIn: 3}}}.apply(&p)
		require.Equal(t, want, p.LengthIn, "a sixteenth of an inch is square")
	}

	// What is said twice of a piece is added up; no cloth takes the place of all, and cloth of that.
	var m Mend
	m.Say(stash.Correction{Family: cloth.Red, WidthIn: 2}, true, g)
	m.Say(stash.Correction{Value: cloth.Light}, false, box(11, 10, 50, 50))
	require.Equal(t, []SaidOfLook{{Said: stash.Said{Outline: box(11, 10, 50, 50), Correction: stash.Correction{Family: cloth.Red, Value: cloth.Light, WidthIn: 2}}, Right: true}}, m.Said)
	m.Say(stash.Correction{NotAPiece: true}, true, g)
	require.Equal(t, []SaidOfLook{{Said: stash.Said{Outline: g, Correction: stash.Correction{NotAPiece: true}}}}, m.Said)
	m.Say(stash.Correction{Print: &print}, false, g)
	require.Equal(t, stash.Correction{Print: &print}, m.Said[0].Correction)
	require.False(t, m.Said[0].Right)
	m.Say(stash.Correction{}, true, box(200, 200, 9, 9))
	require.Len(t, m.Stow(), 1, "that it is right alone is not kept")
}

// What no longer has its form by a cut is called by its width; the shorter side is named first.
func TestCutsAreNamedByTheirSides(t *testing.T) {
	for _, c := range []struct {
		was           string
		width, length float64
		want          string
	}{
		{"2½ square", 3, 3, "3 square"}, {"2½ × 4 rectangle", 5, 4, "4 × 5 rectangle"}, {"2½ strip", 2, 30, "2 strip"}, {"2½ × 4 rectangle", 4, 4, "4 square"},
		{"hexagon", 3, 3, "3"}, {"", 2.5, 9, "2½"},
	} {
		require.Equal(t, c.want, cutNamed(c.was, c.width, c.length), "%+v", c)
	}
}

func TestWhatIsDrawnIsLookedAtAlone(t *testing.T) {
	crop := &look.Window{X: 1, Y: 2, W: 30, H: 40}
	white := &geom.Point{X: 3, Y: 4}
	m := Mend{Rows: 3, Cols: 4, White: white, PxPerInch: 50, Cuts: []float64{2.5}, Crop: crop, Board: box(0, 0, 9, 9), FoundKind: cloth.Board}
	require.Equal(t, look.Options{Rows: 3, Cols: 4, White: white, PxPerInch: 50, Cuts: []float64{2.5}, Crop: crop, Outline: m.Board}, m.Options())
	m.Drawn = []geom.Polygon{box(1, 1, 20, 20)}
	require.Equal(t, look.Options{Kind: cloth.Board, White: white, PxPerInch: 50, Cuts: []float64{2.5}, Pieces: m.Drawn, PiecesFrom: "what you drew"}, m.Options())
	m.Kind = cloth.Pile
	require.Equal(t, cloth.Pile, m.Options().Kind)
}

func TestOutlinesThatCanBeDrawn(t *testing.T) {
	s := cloth.Sheet{Width: 400, Height: 200}
	const corners = "tap its corners in order, one round of it"
	const near = "tap its corners where the edge of the piece is, or come nearer with the camera"
	for _, g := range []geom.Polygon{{{X: 0, Y: 0}}, {{X: 400, Y: 200}}, {{X: 10, Y: 10}, {X: 20, Y: 20}}, box(0, 0, 400, 200), box(5, 5, 10, 10)} {
		require.NoError(t, drawable(s, g, 1), "%v", g)
	}
	long := make(geom.Polygon, mostPoints+1)
	for i := range long {
		y, x := math.Sincos(2 * math.Pi * float64(i) / float64(len(long)))
		long[i] = geom.Point{X: 100 + 50*x, Y: 100 + 50*y}
	}
	require.NoError(t, drawable(s, long[1:], 3))
	for _, c := range []struct {
		g           geom.Polygon
		least       int
		why, remedy string
	}{
		{nil, 1, "it has 0 corners", corners}, {geom.Polygon{{X: 1, Y: 1}}, 3, "it has 1 corner", corners}, {long, 3, "it has 50001 corners", corners},
		{geom.Polygon{{X: 400.5, Y: 1}}, 1, "a corner lies outside the photo of 400 × 200 pixels", corners}, {geom.Polygon{{X: 1, Y: 200.5}}, 1, "a corner lies outside the photo of 400 × 200 pixels", corners},
		{geom.Polygon{{X: -1, Y: 1}}, 1, "a corner lies outside the photo of 400 × 200 pixels", corners}, {geom.Polygon{{X: 1, Y: -0.5}}, 1, "a corner lies outside the photo of 400 × 200 pixels", corners},
		{geom.Polygon{{X: math.NaN(), Y: 1}}, 1, "a corner lies outside the photo of 400 × 200 pixels", corners},
		{geom.Polygon{{X: 10, Y: 10}, {X: 90, Y: 90}, {X: 90, Y: 10}, {X: 10, Y: 90}}, 1, "it crosses itself", corners},
		{geom.Polygon{{X: 10, Y: 10}, {X: 19, Y: 21}}, 1, "it encloses next to nothing, 99 pixels of the photo; a piece has 100 or more", near},
		{box(5, 5, 9, 11), 1, "it encloses next to nothing, 99 pixels of the photo; a piece has 100 or more", near},
	} {
		saying(t, drawable(s, c.g, c.least), "the outline: "+c.why, c.remedy)
	}
}

func TestMendsThatAreRefusedSayWhy(t *testing.T) {
	s := mendable()
	var m Mend
	saying(t, m.Split(s, 0, geom.Point{X: 5, Y: 5}, geom.Point{X: 5, Y: 5}), "the line: its two places are one", "give two places, one on each side of the piece")
	saying(t, m.Split(s, 2, geom.Point{X: 1, Y: 1}, geom.Point{X: 1, Y: 9}), "the line: it does not cross piece 3", "draw it across the piece, from one side to the other")
	saying(t, m.Merge(s, []int{1}), "one piece cannot be merged", "choose two or more that are parts of one piece")
	far := mendable()
	far.Pieces[2].Polygon = box(340, 10, 50, 100)
	saying(t, m.Merge(far, []int{0, 2}), "they lie apart in the photo; parts of one piece lie side by side", "choose the parts alone, or draw the whole piece")
	require.Zero(t, m)

	// Three into one: the first named keeps its place, the rest go, whatever their order.
	row := cloth.Sheet{Width: 400, Height: 200}
	for i := range 5 {
		row.Pieces = append(row.Pieces, cloth.Piece{ID: i + 1, Polygon: box(10+30*float64(i), 10, 29, 50)})
	}
	for _, which := range [][]int{{3, 1, 2}, {3, 2, 1}} {
		var m Mend
		require.NoError(t, m.Merge(row, which))
		require.Len(t, m.Drawn, 3)
		require.Equal(t, []geom.Polygon{row.Pieces[0].Polygon, row.Pieces[4].Polygon}, []geom.Polygon{m.Drawn[0], m.Drawn[2]})
		lo, hi := m.Drawn[1].Bounds()
		require.Equal(t, [2]geom.Point{{X: 40, Y: 10}, {X: 129, Y: 60}}, [2]geom.Point{lo, hi})
	}
	require.Equal(t, []int{2}, MayJoin(cloth.Sheet{Pieces: []cloth.Piece{{ID: 1, Print: "a", Polygon: box(0, 0, 50, 100)}, {ID: 2, Print: "a", Polygon: box(60, 0, 50, 100)}, {ID: 3, Polygon: box(0, 101, 50, 100)}}}, cloth.Piece{ID: 1, Print: "a", Polygon: box(0, 0, 50, 100)}), "100 of 110")
	require.Empty(t, MayJoin(cloth.Sheet{Pieces: []cloth.Piece{{ID: 2, Print: "a", Polygon: box(68, 0, 50, 100)}}}, cloth.Piece{ID: 1, Print: "a", Polygon: box(0, 0, 50, 100)}), "100 of 118")
	require.Empty(t, MayJoin(cloth.Sheet{Pieces: []cloth.Piece{{ID: 2, Polygon: box(51, 0, 50, 100)}}}, cloth.Piece{ID: 1, Polygon: box(0, 0, 50, 100)}), "of no known print")

	point := Mend{Drawn: []geom.Polygon{{{X: 20, Y: 20}}, {{X: 70, Y: 20}, {X: 80, Y: 30}}, s.Pieces[0].Polygon, {{X: 1, Y: 1}}}}
	point.Settle(s)
	require.Equal(t, []geom.Polygon{s.Pieces[0].Polygon, s.Pieces[1].Polygon, s.Pieces[0].Polygon, {{X: 1, Y: 1}}}, point.Drawn, "what was drawn stays, and what nothing was found for")
}

func TestWhatIsSaidInWords(t *testing.T) {
	mine, numbered := "stripes", "print 12"
	for _, c := range []struct {
		c    stash.Correction
		want []string
	}{
		{stash.Correction{}, nil}, {stash.Correction{NotAPiece: true}, []string{"no cloth"}}, {stash.Correction{Outline: box(0, 0, 1, 1)}, []string{"drawn"}},
		{stash.Correction{Family: cloth.Red, Value: cloth.Dark, Print: &mine, WidthIn: 2.5}, []string{"red", "dark", "print stripes", "cut 2½"}},
		{stash.Correction{Print: &numbered}, []string{"print 12"}},
	} {
		require.Equal(t, c.want, correctionWords(c.c))
	}
	h := stash.Shown{Holding: cloth.Holding{Family: cloth.Red, Value: cloth.Dark, WidthIn: 2.5, Print: "stripes"}}
	other, spaced := "dots", " stripes "
	for _, c := range []struct {
		c  stash.Correction
		so bool
	}{
		{stash.Correction{}, true}, {stash.Correction{NotAPiece: true}, false}, {stash.Correction{Family: cloth.Red}, true}, {stash.Correction{Family: cloth.Blue}, false},
		{stash.Correction{Value: cloth.Dark}, true}, {stash.Correction{Value: cloth.Light}, false}, {stash.Correction{WidthIn: 2.55}, true}, {stash.Correction{WidthIn: 2.5625}, false}, {stash.Correction{WidthIn: 2.43}, false},
		{stash.Correction{Print: &spaced}, true}, {stash.Correction{Print: &other}, false},
	} {
		require.Equal(t, c.so, isSo(c.c, h), "%+v", c.c)
	}
	require.Equal(t, -1, likest([]geom.Polygon{box(0, 0, 10, 10)}, func(g geom.Polygon) geom.Polygon { return g }, box(5, 0, 10, 10)), "a third in common")
	require.Equal(t, 1, likest([]geom.Polygon{box(0, 0, 10, 8), box(0, 0, 10, 9), box(0, 0, 10, 7)}, func(g geom.Polygon) geom.Polygon { return g }, box(0, 0, 10, 10)))
	require.Equal(t, 0, likest([]geom.Polygon{box(0, 0, 100, 62)}, func(g geom.Polygon) geom.Polygon { return g }, box(0, 0, 100, 100)))
	require.Equal(t, -1, likest([]geom.Polygon{box(0, 0, 100, 58)}, func(g geom.Polygon) geom.Polygon { return g }, box(0, 0, 100, 100)))
}

func TestWhatALaterLookFindsDifferent(t *testing.T) {
	h := func(id int64, f cloth.Family) cloth.Holding {
		return cloth.Holding{ID: id, Form: cloth.Square, Family: f, Value: cloth.Dark, WidthIn: 2.5, LengthIn: 2.5, Print: "a"}
	}
	d := Compare(stash.Reread{Before: []cloth.Holding{h(1, cloth.Red), h(2, cloth.Red), h(3, cloth.Red)}, After: []cloth.Holding{h(2, cloth.Red), h(4, cloth.Teal), h(3, cloth.Blue), h(5, cloth.Teal)}})
	require.Equal(t, Difference{More: []cloth.Holding{h(4, cloth.Teal), h(5, cloth.Teal)}, Fewer: []cloth.Holding{h(1, cloth.Red)}, Stay: []Pair{{h(2, cloth.Red), h(2, cloth.Red)}, {h(3, cloth.Red), h(3, cloth.Blue)}}}, d)
	require.True(t, d.Any())
	require.False(t, Difference{Stay: d.Stay[:1]}.Any())
	require.True(t, Difference{Stay: d.Stay}.Any())
	require.True(t, Difference{More: d.More}.Any())
	require.True(t, Difference{Fewer: d.Fewer}.Any())
	for name, change := range map[string]func(*cloth.Holding){
		"family": func(h *cloth.Holding) { h.Family = cloth.Blue }, "value": func(h *cloth.Holding) { h.Value = cloth.Light }, "print": func(h *cloth.Holding) { h.Print = "b" },
		"size": func(h *cloth.Holding) { h.LengthIn = 5 },
	} {
		other := h(1, cloth.Red)
		change(&other)
		for _, a := range Aspects {
			require.Equal(t, a.Name == name, a.Of(h(1, cloth.Red)) != a.Of(other), "%s of %s", a.Name, name)
		}
	}
	size := Aspects[2].Of
	require.Equal(t, "2½ × 5 rectangle", size(cloth.Holding{Form: cloth.Rectangle, WidthIn: 2.5, LengthIn: 5}))
	require.Equal(t, "strip", size(cloth.Holding{Form: cloth.Strip, WidthIn: 2.5}))
	require.Equal(t, "band", size(cloth.Holding{Form: cloth.Band, LengthIn: 5}))
}

func TestColoursOfFamiliesAndRefusals(t *testing.T) {
	for _, f := range cloth.Families {
		if f == cloth.Many {
			continue
		}
		c, err := ReadColour(string(f))
		require.NoError(t, err, f)
		require.Equal(t, f, NameOf(c).Family)
	}
	black := NameOf(colour.Linear{})
	require.Equal(t, Named{Munsell: "N 0/", Family: cloth.Black, Value: cloth.Dark}, black)
	_, err := ReadColour("many")
	saying(t, err, `"many" is not one colour`, "name one of them")
	_, err = ReadColour("light black")
	saying(t, err, "no black is light", "leave the value off, or name another")
}
