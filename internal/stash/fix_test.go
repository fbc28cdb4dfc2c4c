package stash

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/family"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
	"piecebag/internal/stash/stashtest"
)

// What lay between merged pieces was once gone at the next look.
func TestAMergeTakesNoNeighbour(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", squares(25)...) // 20 in the first row
	hash := stow(t, s, p).Hash
	id := func(piece int) int64 { return holdings(t, s, Filter{Photo: hash})[piece-1].ID }

	_, err := s.Correct(ctx, id(1), Correction{Merge: []int64{id(3)}})
	require.ErrorIs(t, err, ErrRefused)
	require.ErrorContains(t, err, "piece 2 lies between the pieces to merge")
	_, err = s.Correct(ctx, id(1), Correction{Merge: []int64{id(20)}})
	require.ErrorContains(t, err, "lie apart in the photo")
	require.Len(t, holdings(t, s, Filter{}), 25)

	// Where you give the outline it is yours to say, and still takes none unnamed.
	correct(t, s, id(5), Correction{Merge: []int64{id(7)}, Outline: box(480, 0, 340, 100)})
	correct(t, s, id(21), Correction{Merge: []int64{id(22)}})
	for range 2 {
		c, err := relook(s, hash, p.Sheet)
		require.NoError(t, err)
		require.Empty(t, c.Difference)
		require.Len(t, holdings(t, s, Filter{}), 23)
		healthy(t, s)
	}
	_, err = s.Add(ctx, byHand(12, cloth.Red, cloth.Dark, 2.5), byHand(5, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	_, err = s.Correct(ctx, 26, Correction{Merge: []int64{27}}) // counts are no parts of a piece
	require.ErrorIs(t, err, ErrRefused)
}

// What only brushes the whole is no part of it, and what is gone lies nowhere.
func TestWhatDoesNotLieBetweenIsLeft(t *testing.T) {
	s := open(t, t.TempDir())
	found := squares(4)
	found[3].Polygon = box(330, 0, 100, 100) // a tenth of it over the third
	stow(t, s, photo("a.jpg", found...))
	correct(t, s, 2, Correction{NotAPiece: true})
	correct(t, s, 1, Correction{Merge: []int64{3}})
	require.Len(t, holdings(t, s, Filter{}), 2)
}

// A size that you name in part leaves the rest; what is square stays so where it can.
func TestASizeIsCorrectedInPart(t *testing.T) {
	s := open(t, t.TempDir())
	strip := cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 18, Family: cloth.Red, Trust: 1}
	_, err := s.Add(ctx, strip, byHand(1, cloth.Red, cloth.Dark, 2.5), byHand(1, cloth.Blue, cloth.Dark, 2.5))
	require.NoError(t, err)
	correct(t, s, 1, Correction{WidthIn: 3})
	correct(t, s, 2, Correction{WidthIn: 3})
	correct(t, s, 3, Correction{LengthIn: 4})
	for i, want := range []cloth.Holding{
		{Form: cloth.Strip, WidthIn: 3, LengthIn: 18}, {Form: cloth.Square, WidthIn: 3, LengthIn: 3}, {Form: cloth.Rectangle, WidthIn: 2.5, LengthIn: 4},
	} {
		h := holdings(t, s, Filter{IDs: []int64{int64(i + 1)}})[0]
		require.Equal(t, want, cloth.Holding{Form: h.Form, WidthIn: h.WidthIn, LengthIn: h.LengthIn})
	}
	_, err = s.Correct(ctx, 1, Correction{Form: cloth.Strip, WidthIn: 2.5, LengthIn: 2.25})
	require.ErrorContains(t, err, "a strip is longer than it is wide")
	for _, c := range []Correction{{WidthIn: -2.5}, {LengthIn: -0.1}} {
		_, err = s.Correct(ctx, 1, c)
		require.ErrorContains(t, err, "no cloth has a side below 0")
	}
	correct(t, s, 1, Correction{Form: cloth.Strip, WidthIn: 2.5, LengthIn: 2.5})
}

// What was done is said with the name as it is kept.
func TestACorrectionIsSaidWithTheNameAsKept(t *testing.T) {
	s := open(t, t.TempDir())
	_, err := s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	name := " a\x00\"b\" "
	change, err := s.Correct(ctx, 1, Correction{Basket: &name})
	require.NoError(t, err)
	require.Contains(t, change.What, `basket "a "b""`)
}

func TestAnOutlineLiesInThePhoto(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", squares(3)...)) // 2400 × 2400
	for _, g := range []geom.Polygon{
		{{X: -10, Y: 10}, {X: 99999, Y: 10}, {X: 200, Y: 200}}, {{X: 0, Y: 0}, {X: 2401, Y: 10}, {X: 200, Y: 200}}, {{X: 0, Y: 0}, {X: 10, Y: 10}, {X: 2, Y: 2400.5}},
	} {
		_, err := s.Correct(ctx, 1, Correction{Outline: g})
		require.ErrorIs(t, err, ErrRefused)
		require.ErrorContains(t, err, "it lies outside the photo")
	}
	correct(t, s, 1, Correction{Outline: geom.Polygon{{}, {X: 2400}, {X: 2400, Y: 2400}, {Y: 2400}}})
}

// A part of a piece you corrected, found beside the whole, does not take its place.
func TestAPartIsNotTheCorrectedPiece(t *testing.T) {
	s := open(t, t.TempDir())
	hash := stow(t, s, photo("a.jpg", squares(3)...)).Hash
	correct(t, s, 3, Correction{Family: cloth.Teal})
	part := square(2)
	part.Polygon = box(240, 0, 50, 50)
	_, err := relook(s, hash, sheet(append(squares(3), part)...))
	require.NoError(t, err)
	require.Len(t, holdings(t, s, Filter{}), 3)
	outlines, err := s.Outlines(ctx)
	require.NoError(t, err)
	require.Equal(t, square(2).Polygon, outlines[3])
}

// A piece you corrected and a later look finds otherwise is still one piece.
func TestACorrectedPieceIsNotDoubled(t *testing.T) {
	for name, c := range map[string]struct {
		say   Correction
		found []geom.Polygon // in the place of the piece at 240..340
		want  int
	}{
		"moved far":        {Correction{Outline: box(1000, 1000, 200, 200)}, []geom.Polygon{box(240, 0, 100, 100)}, 3},
		"found as said":    {Correction{Outline: box(240, 0, 100, 300)}, []geom.Polygon{box(240, 0, 100, 300)}, 3},
		"found larger":     {Correction{Family: cloth.Teal}, []geom.Polygon{box(240, 0, 100, 200)}, 3},
		"found smaller":    {Correction{Family: cloth.Teal}, []geom.Polygon{box(240, 0, 50, 100)}, 3},
		"found in halves":  {Correction{Outline: box(240, 0, 100, 300)}, []geom.Polygon{box(240, 0, 100, 150), box(240, 150, 100, 150)}, 3},
		"not found at all": {Correction{Family: cloth.Teal}, nil, 3},
		"two of them":      {Correction{Family: cloth.Teal}, []geom.Polygon{box(240, 0, 50, 100), box(290, 0, 50, 100)}, 4},
	} {
		s := open(t, t.TempDir())
		hash := stow(t, s, photo("a.jpg", squares(3)...)).Hash
		correct(t, s, 3, c.say)
		later := squares(2)
		for _, g := range c.found {
			p := square(2)
			p.Polygon = g
			later = append(later, p)
		}
		for range 2 {
			_, err := relook(s, hash, sheet(later...))
			require.NoError(t, err)
			require.Len(t, holdings(t, s, Filter{}), c.want, name)
			if c.say.Family != "" {
				require.Equal(t, c.say.Family, holdings(t, s, Filter{IDs: []int64{3}})[0].Family, name)
			}
		}
		healthy(t, s)
	}
}

// Weighed cloth once kept the area of the weight that cloth had before.
func TestWeighedClothGoesByTheYardWeighedLast(t *testing.T) {
	s := open(t, t.TempDir())
	_, err := s.Add(ctx, cloth.Holding{Form: cloth.Weighed, Count: 1, Grams: 300, Family: cloth.Brown, Trust: 1},
		cloth.Holding{Form: cloth.Weighed, Count: 1, AreaIn2: DefaultSettings.AreaIn2(150), Family: cloth.Red, Trust: 1})
	require.NoError(t, err)
	areas := func() []float64 {
		var out []float64
		for _, h := range holdings(t, s, Filter{}) {
			out = append(out, h.AreaIn2)
		}
		return out
	}
	squareMetre := 1 / squareInch
	require.InDeltaSlice(t, []float64{2 * squareMetre, squareMetre}, areas(), 1e-6)
	before := dump(t, s)
	c, err := s.SetSettings(ctx, Settings{TrimIn: 0.5, GSM: 300})
	require.NoError(t, err)
	require.Len(t, c.Difference, 2)
	require.InDeltaSlice(t, []float64{squareMetre, squareMetre / 2}, areas(), 1e-6)
	healthy(t, s)
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, before, dump(t, s))

	c, err = s.Use(ctx, Removal{Filter: Filter{Family: cloth.Brown}, Grams: 100})
	require.NoError(t, err)
	require.Equal(t, "100 g of weighed brown cloth", c.What)
	require.InDelta(t, 200, holdings(t, s, Filter{})[0].Grams, 1e-9)
	require.InDelta(t, 4./3*squareMetre, areas()[0], 1e-6)
	_, err = s.Use(ctx, Removal{Grams: 351})
	require.ErrorIs(t, err, ErrShort)
	require.EqualError(t, err, "351 g of weighed cloth: the stash holds 350 g, which is 1 g too little; nothing was taken out")
	_, err = s.Use(ctx, Removal{Grams: 250})
	require.NoError(t, err)
	require.Len(t, holdings(t, s, Filter{}), 1)
	_, err = s.Use(ctx, Removal{Grams: 100})
	require.NoError(t, err)
	require.Empty(t, holdings(t, s, Filter{}))
	healthy(t, s)
	for _, k := range []Removal{{Grams: -1}, {Grams: 5, Count: 2}, {Grams: 5, Filter: Filter{Form: cloth.Square}}} {
		_, err := s.Use(ctx, k)
		require.ErrorIs(t, err, ErrRefused)
	}
}

// One undo takes back what one command did, examples included.
func TestABinIsCorrectedAndLearntInOneChange(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", squares(4)...))
	before := dump(t, s)
	bins := func() []string {
		taught, err := s.Taught(ctx)
		require.NoError(t, err)
		var out []string
		for _, e := range taught {
			out = append(out, e.Bin+string(e.What))
		}
		return out
	}
	say := func(id int64, bin, example string) {
		c := Correction{Bin: &bin}
		if example != "" {
			c.Example = []byte(example)
		}
		correct(t, s, id, c)
	}
	say(1, "reds", `{"l":1}`)
	require.Equal(t, []string{`reds{"l":1}`}, bins())
	_, err := s.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, before, dump(t, s))

	say(1, "reds", `{"l":1}`)
	say(1, "pinks", `{"l":1}`) // not in the reds after all
	require.Equal(t, []string{`pinks{"l":1}`}, bins())
	say(1, "", "")
	require.Empty(t, bins())
	c, err := s.TeachPieces(ctx, "reds", map[int64][]byte{1: []byte(`{"l":1}`), 2: []byte(`{"l":2}`)})
	require.NoError(t, err)
	require.Equal(t, "reds: 2 examples", c.What)
	require.Len(t, holdings(t, s, Filter{Bin: "reds"}), 2)
	correct(t, s, 2, Correction{NotAPiece: true})
	require.Equal(t, []string{`reds{"l":1}`}, bins())
	for range 2 {
		_, err = s.Undo(ctx)
		require.NoError(t, err)
	}
	require.Empty(t, bins())
	require.Empty(t, holdings(t, s, Filter{Bin: "reds"}))
	_, err = s.Correct(ctx, 1, Correction{Family: cloth.Red, Example: []byte(`{}`)})
	require.ErrorIs(t, err, ErrRefused)

	c, err = s.CorrectAll(ctx, map[int64]Correction{3: {Family: cloth.Teal}, 1: {Print: word("")}})
	require.NoError(t, err)
	require.Equal(t, "piece 1: no print; piece 3: teal", c.What)
	_, err = s.CorrectAll(ctx, map[int64]Correction{1: {Family: cloth.Teal}, 99: {Family: cloth.Teal}})
	require.ErrorIs(t, err, ErrUnknown)
	require.Empty(t, holdings(t, s, Filter{IDs: []int64{1}, Family: cloth.Teal}))
}

// A photo once moved aside could not be brought back by stowing it.
func TestALostPhotoComesBack(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	for _, name := range []string{"a.jpg", "b.jpg", "c.jpg"} {
		stow(t, s, photo(name, square(0)))
	}
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(photos[0].Path, []byte("spoilt"), 0o600))
	h, err := s.Repair(ctx)
	require.NoError(t, err)
	require.Empty(t, h.Faults)
	require.Len(t, h.Mended, 1)
	require.ErrorIs(t, h.Mended[0], ErrChangedPhoto)
	require.Equal(t, []string{"a.jpg"}, h.NotKept)
	require.NoError(t, os.Remove(photos[1].Path))                             // lost without a repair
	require.NoError(t, os.WriteFile(photos[2].Path, []byte("spoilt"), 0o600)) // and damaged

	for i, name := range []string{"a.jpg", "b.jpg", "c.jpg"} {
		p := photo(name)
		c, kept, err := s.Keep(ctx, p.Name, p.Bytes)
		require.NoError(t, err)
		require.True(t, kept)
		require.Equal(t, name+": the photo is kept again", c.What)
		data, err := os.ReadFile(photos[i].Path)
		require.NoError(t, err)
		require.Equal(t, p.Bytes, data)
		_, kept, err = s.Keep(ctx, p.Name, p.Bytes)
		require.NoError(t, err)
		require.False(t, kept)
	}
	_, kept, err := s.Keep(ctx, "d.jpg", []byte("of no photo"))
	require.NoError(t, err)
	require.False(t, kept)
	healthy(t, s)
	require.Len(t, holdings(t, s, Filter{}), 3)
	aside, err := filepath.Glob(filepath.Join(dir, asideFolder, "*", "*"))
	require.NoError(t, err)
	require.Len(t, aside, 2)
}

func TestOnlyWhatIsMendedIsCalledSo(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", square(0)))
	_, err := s.w.ExecContext(ctx, `PRAGMA foreign_keys = OFF; UPDATE holding SET photo = 99; UPDATE tally SET n = 7`)
	require.NoError(t, err)
	h, err := s.Repair(ctx)
	require.NoError(t, err)
	require.Len(t, h.Mended, 1)
	require.ErrorIs(t, h.Mended[0], ErrCounts)
	require.Len(t, h.Faults, 1)
	require.ErrorIs(t, h.Faults[0], ErrLedger)
	require.Equal(t, []string{"the pieces were counted again"}, h.Repaired)
}

// A path that cannot be is your slip, not a fault of the program.
func TestPathsThatCannotBe(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "a.csv")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for _, at := range []string{file, filepath.Join(file, "z"), filepath.Join(dir, strings.Repeat("x", 300))} {
		for _, readOnly := range []bool{false, true} {
			_, err := Open(at, Options{Now: stashtest.Clock(), ReadOnly: readOnly})
			stashtest.Said(t, err)
		}
		_, err := putBack(at, dir)
		stashtest.Said(t, err)
	}
}

func TestChangesAreSaidClearly(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", squares(2)...))
	for _, c := range []struct {
		want string
		do   func() (Change, error)
	}{
		{"12 dark blue 2½ squares", func() (Change, error) { return s.Add(ctx, byHand(12, cloth.Blue, cloth.Dark, 2.5)) }},
		{"1 blue square", func() (Change, error) { return s.Add(ctx, byHand(1, cloth.Blue, "", 0)) }},
		{"350 g of weighed brown cloth", func() (Change, error) {
			return s.Add(ctx, cloth.Holding{Form: cloth.Weighed, Count: 1, Grams: 350, Family: cloth.Brown})
		}},
		{"150 g of weighed cloth", func() (Change, error) {
			return s.Add(ctx, cloth.Holding{Form: cloth.Weighed, Count: 1, AreaIn2: DefaultSettings.AreaIn2(150)})
		}},
		{"2 odd pieces", func() (Change, error) { return s.Add(ctx, cloth.Holding{Form: cloth.Irregular, Count: 2}) }},
		{"1 blue piece", func() (Change, error) { return s.Use(ctx, Removal{Filter: Filter{Family: cloth.Blue}, Count: 1}) }},
		{"at least 5 in every bin of nope pieces", func() (Change, error) { return s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Own: "nope"}, Least: 5}) }},
		{"at least 9 in the bin of dark blue 2½ squares", func() (Change, error) {
			return s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 9})
		}},
		{"at least 1 in every bin", func() (Change, error) { return s.SetFloor(ctx, shelf.Floor{Least: 1}) }},
		{"no floor for nope pieces", func() (Change, error) { return s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Own: "nope"}}) }},
		{"1 piece into tin", func() (Change, error) { return s.Sort(ctx, map[int64]string{1: "tin"}) }},
		{"2 pieces into bins of your own", func() (Change, error) { return s.Sort(ctx, map[int64]string{1: "tin", 2: "box"}) }},
		{"2 pieces out of bins", func() (Change, error) { return s.Sort(ctx, map[int64]string{1: "", 2: ""}) }},
		{"q1: saved", func() (Change, error) { return s.SavePlan(ctx, "q1", []byte(`{}`)) }},
		{"q1: taken away", func() (Change, error) { return s.SavePlan(ctx, "q1", nil) }},
		{"reds: 1 example", func() (Change, error) { return s.Teach(ctx, "reds", []byte(`{}`)) }},
		{"piece 1: no print", func() (Change, error) { return s.Correct(ctx, 1, Correction{Print: word("")}) }},
		{`piece 1: a strip, 2½ wide, bin "reds"`, func() (Change, error) {
			return s.Correct(ctx, 1, Correction{Form: cloth.Strip, WidthIn: 2.5, Bin: word("reds")})
		}},
	} {
		got, err := c.do()
		require.NoError(t, err, c.want)
		require.Equal(t, c.want, got.What)
	}
}

// What you say a piece is called is drawn in a colour of that name, and so it is after
// another look; it kept the colour of the name it had. The value alone changes nothing.
func TestWhatYouSayIsDrawnSo(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", squares(2)...)
	hash := stow(t, s, p).Hash
	before := holdings(t, s, Filter{})
	require.NotEqual(t, cloth.Teal, before[0].Family)
	correct(t, s, before[0].ID, Correction{Family: cloth.Teal})
	correct(t, s, before[1].ID, Correction{Value: cloth.Dark})
	for range 2 {
		after := holdings(t, s, Filter{})
		require.Equal(t, cloth.Teal, family.Of(after[0].ReadsAs))
		require.Equal(t, before[0].Mean, after[0].Mean)
		require.Equal(t, before[1].ReadsAs, after[1].ReadsAs)
		_, err := relook(s, hash, p.Sheet)
		require.NoError(t, err)
	}
}

// What is said of a photo before it comes in holds of its pieces, and when it is looked
// at again.
func TestSaidBeforeItCameIn(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", squares(3)...)
	p.Said = []Said{
		{Outline: p.Sheet.Pieces[0].Polygon, Correction: Correction{Family: cloth.Teal}},
		{Outline: p.Sheet.Pieces[1].Polygon, Correction: Correction{NotAPiece: true}},
	}
	hash := stow(t, s, p).Hash
	for range 2 {
		held := holdings(t, s, Filter{})
		require.Len(t, held, 2)
		require.Equal(t, cloth.Teal, held[0].Family)
		_, err := relook(s, hash, p.Sheet)
		require.NoError(t, err)
	}
	bad := photo("b.jpg", squares(1)...)
	bad.Said = []Said{{Outline: bad.Sheet.Pieces[0].Polygon, Correction: Correction{Split: 1}}}
	_, err := s.Stow(ctx, bad)
	require.ErrorIs(t, err, ErrRefused)
	require.Len(t, holdings(t, s, Filter{}), 2, "what cannot be said brings nothing in")
}
