package stash

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
	"piecebag/internal/stash/stashtest"
)

var ctx = context.Background()

// familyDifference is one line of "+3 blue, −5 green".
type familyDifference struct {
	Family cloth.Family // "" where it is not known
	N      int
}

// byFamily adds up a difference by hue family, in shelf order, what is of no
// known family last; weighed cloth is no piece and is left out. Families that did
// not change are not listed.
func byFamily(d []shelf.Count) []familyDifference {
	sum := map[cloth.Family]int{}
	for _, c := range d {
		if c.Form != cloth.Weighed {
			sum[c.Family] += c.Count
		}
	}
	var out []familyDifference
	for _, f := range append(slices.Clone(cloth.Families), "") {
		if sum[f] != 0 {
			out = append(out, familyDifference{f, sum[f]})
		}
	}
	return out
}

func open(t testing.TB, dir string) *Stash {
	t.Helper()
	s, err := Open(dir, Options{Now: stashtest.Clock()})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s
}

// square is a piece of 2½ inches at a place of its own, of a colour of its own.
func square(i int) cloth.Piece {
	x, y := float64(i%20)*120, float64(i/20)*120
	mean := colour.Lab{L: 30 + float64(i%7)*9, A: float64(i%11)*9 - 45, B: float64(i%13)*8 - 48}.Linear()
	return cloth.Piece{
		ID: i + 1, Polygon: geom.Polygon{{X: x, Y: y}, {X: x + 100, Y: y}, {X: x + 100, Y: y + 100}, {X: x, Y: y + 100}},
		Mean: mean, ReadsAs: mean, Colours: []cloth.Ink{{Colour: mean, Share: 1}},
		Family: cloth.Families[i%12], Value: cloth.Values[i%5], Lightness: mean.Lab().L,
		WidthIn: 2.5, LengthIn: 2.5, Cut: "2½ square", Print: fmt.Sprint("p", i), Trust: 0.9,
	}
}

func sheet(pieces ...cloth.Piece) cloth.Sheet {
	return cloth.Sheet{Kind: cloth.Spread, Width: 2400, Height: 2400, Scale: cloth.ScaleReading{PxPerInch: 40}, Pieces: pieces}
}

func squares(n int) []cloth.Piece {
	out := make([]cloth.Piece, n)
	for i := range out {
		out[i] = square(i)
	}
	return out
}

func photo(name string, pieces ...cloth.Piece) Photo {
	return Photo{Name: name, Bytes: []byte("the bytes of " + name), Sheet: sheet(pieces...)}
}

func stow(t testing.TB, s *Stash, p Photo) Stowed {
	t.Helper()
	got, err := s.Stow(ctx, p)
	require.NoError(t, err)
	return got
}

func holdings(t testing.TB, s *Stash, f Filter) []cloth.Holding {
	t.Helper()
	h, err := s.Holdings(ctx, f)
	require.NoError(t, err)
	return h
}

func healthy(t testing.TB, s *Stash) {
	t.Helper()
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, h.Faults)
}

func byHand(n int, f cloth.Family, v cloth.Value, cut float64) cloth.Holding {
	return cloth.Holding{Form: cloth.Square, Count: n, WidthIn: cut, Family: f, Value: v, Trust: 1}
}

func TestEveryConnectionIsSafe(t *testing.T) {
	s := open(t, t.TempDir())
	want := map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "10000"}
	for range 4 { // held together, so that each is another one
		c, err := s.r.Conn(ctx)
		require.NoError(t, err)
		defer c.Close()
		for name, v := range want {
			var got string
			require.NoError(t, c.QueryRowContext(ctx, "PRAGMA "+name).Scan(&got))
			require.Equal(t, v, got, name)
		}
	}
	for name, v := range want {
		var got string
		require.NoError(t, s.w.QueryRowContext(ctx, "PRAGMA "+name).Scan(&got))
		require.Equal(t, v, got, name)
	}
	require.Equal(t, 1, s.w.Stats().MaxOpenConnections)
}

func TestFoldersOfAnyNameHoldAStash(t *testing.T) {
	for _, name := range []string{"plain", "with space", "what?x=1", "100%25", "a#b", "café ½", "semi;colon&amp"} {
		dir := filepath.Join(t.TempDir(), name)
		s := open(t, dir)
		stow(t, s, photo("a.jpg", square(0)))
		require.FileExists(t, filepath.Join(dir, LedgerName), name)
		require.NoError(t, s.Close())
		require.Len(t, holdings(t, open(t, dir), Filter{}), 1, name)
	}
}

func TestThePhotoIsKnownByItsBytes(t *testing.T) {
	s := open(t, t.TempDir())
	got := stow(t, s, photo("a.jpg", squares(12)...))
	require.Equal(t, 12, got.Added)
	require.False(t, got.Known)
	require.Equal(t, "a.jpg: 12 pieces", got.Sum.What)
	again := photo("a.jpg", squares(12)...)
	again.Name = "copy of a.jpg"
	got = stow(t, s, again)
	require.True(t, got.Known)
	require.Zero(t, got.Added)
	require.Len(t, holdings(t, s, Filter{}), 12)
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.Len(t, photos, 1)
	data, err := os.ReadFile(photos[0].Path)
	require.NoError(t, err)
	require.Equal(t, "the bytes of a.jpg", string(data))
	require.Equal(t, Hash(data)+".jpg", filepath.Base(photos[0].Path))
	healthy(t, s)
}

func TestWhatWasStowedComesBackAsItWas(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", square(3))
	p.Basket, p.Bins = "blue box", []string{"sea greens"}
	p.Sheet.Pieces[0].Motif = 0.75
	stow(t, s, p)
	got := holdings(t, s, Filter{})[0]
	c := p.Sheet.Pieces[0]
	require.Equal(t, c.Mean, got.Mean)
	require.Equal(t, c.ReadsAs, got.ReadsAs)
	require.InDelta(t, c.Mean[0], got.Colours[0].Colour[0], colourStep)
	got.Colours, got.ID = nil, 0
	require.Equal(t, cloth.Holding{
		Form: cloth.Square, Count: 1, WidthIn: 2.5, LengthIn: 2.5, Family: c.Family, Value: c.Value, Bin: "sea greens",
		Print: "print 1", Basket: "blue box", Measured: true, Mean: c.Mean, ReadsAs: c.ReadsAs, Lightness: c.Lightness, Motif: 0.75,
		Photo: Hash(p.Bytes), Piece: 1, Trust: 0.9,
	}, got)
}

func TestPiecesAreWhatYouSayTheyAre(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", cloth.Piece{WidthIn: 2.4, LengthIn: 12})
	p.As, p.Cut = cloth.Strip, 2.5
	stow(t, s, p)
	h := holdings(t, s, Filter{})[0]
	require.Equal(t, cloth.Strip, h.Form)
	require.Equal(t, 2.5, h.WidthIn)
	require.InDelta(t, 12.5, h.LengthIn, 1e-9) // by the same scale
	stack := photo("b.jpg", cloth.Piece{Family: cloth.Red})
	stack.Sheet.Kind = cloth.Stack
	stow(t, s, stack)
	require.Equal(t, cloth.Band, holdings(t, s, Filter{Family: cloth.Red})[0].Form)
}

// Bands and weighed cloth are no pieces to be taken out with the others.
func TestWhatWasOnlySeenIsToldApart(t *testing.T) {
	s := open(t, t.TempDir())
	set, err := s.Settings(ctx)
	require.NoError(t, err)
	weighed := cloth.Holding{Form: cloth.Weighed, Count: 1, AreaIn2: set.AreaIn2(350), Family: cloth.Blue}
	band := cloth.Holding{Form: cloth.Band, Count: 5, Family: cloth.Blue}
	_, err = s.Add(ctx, weighed, band, byHand(3, cloth.Blue, cloth.Dark, 2.5))
	require.NoError(t, err)
	_, err = s.Use(ctx, Removal{Filter: Filter{Family: cloth.Blue}, Count: 4})
	require.ErrorIs(t, err, ErrShort)
	require.ErrorContains(t, err, "4 blue pieces: the stash holds 3, which is 1 too few")
	require.Len(t, holdings(t, s, Filter{Sized: true}), 1)
	counts, err := s.Counts(ctx)
	require.NoError(t, err)
	require.Len(t, counts, 3)
	_, err = s.Use(ctx, Removal{Filter: Filter{Family: cloth.Blue, Form: cloth.Band}, Count: 2})
	require.NoError(t, err)
	_, err = s.Use(ctx, Removal{Filter: Filter{Family: cloth.Blue}, Count: 3})
	require.NoError(t, err)
}

// 1 oz of 4.4 oz/yd² cotton is 294.5 in² by arithmetic: 1296/4.4. An ounce is
// 28.349523125 g exactly (NIST Handbook 44, appendix C).
func TestWeightIsArea(t *testing.T) {
	const ounce = 28.349523125
	v := Settings{GSM: 4.4 * ounce / (36 * 36 * squareInch)}
	require.InDelta(t, 294.5, v.AreaIn2(ounce), 0.05)
	require.InDelta(t, 350/150.*1550.0031, DefaultSettings.AreaIn2(350), 0.01) // 1 m² = 1550.0031 in²
	// A yard of 44 inches that weighs 140 g.
	own := Settings{GSM: GSMOfYard(140, 44)}
	require.InDelta(t, 36*44, own.AreaIn2(140), 1e-6)
}

func TestUseTakesAllOrNothing(t *testing.T) {
	s := open(t, t.TempDir())
	_, err := s.Add(ctx, byHand(12, cloth.Blue, cloth.Dark, 2.5), byHand(2, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	dark := func(f cloth.Family) Filter { return Filter{Family: f, Value: cloth.Dark, Cut: 2.5} }
	_, err = s.Use(ctx, Removal{Filter: dark(cloth.Blue), Count: 5}, Removal{Filter: dark(cloth.Red), Count: 3})
	require.ErrorIs(t, err, ErrShort)
	require.EqualError(t, err, "3 dark red 2½ pieces: the stash holds 2, which is 1 too few; nothing was taken out")
	c, err := s.Use(ctx, Removal{Filter: dark(cloth.Blue), Count: 5}, Removal{Filter: dark(cloth.Red), Count: 2})
	require.NoError(t, err)
	require.Equal(t, []familyDifference{{cloth.Red, -2}, {cloth.Blue, -5}}, byFamily(c.Difference))
	require.Equal(t, 7, holdings(t, s, Filter{})[0].Count)
	require.Len(t, holdings(t, s, Filter{}), 1)
	healthy(t, s)
}

func TestRecountReplacesABasket(t *testing.T) {
	s := open(t, t.TempDir())
	in := func(p Photo, basket string) Photo { p.Basket = basket; return p }
	stow(t, s, in(photo("a.jpg", squares(6)...), "box"))
	stow(t, s, in(photo("b.jpg", squares(4)...), "tin"))
	h := byHand(5, cloth.Green, cloth.Dark, 2.5)
	h.Basket = "box"
	weighed := cloth.Holding{Form: cloth.Weighed, Count: 1, AreaIn2: 500, Basket: "box"}
	_, err := s.Add(ctx, h, weighed)
	require.NoError(t, err)
	c, _, err := s.Recount(ctx, "box", 0, photo("c.jpg", square(6), square(18), square(30)))
	require.NoError(t, err)
	// red pink orange yellow green teal went, and five greens; three blues came:
	// 6 mod 12 is blue.
	require.Equal(t, []familyDifference{{cloth.Red, -1}, {cloth.Pink, -1}, {cloth.Orange, -1}, {cloth.Yellow, -1}, {cloth.Green, -6}, {cloth.Teal, -1}, {cloth.Blue, 3}}, byFamily(c.Difference))
	require.Len(t, holdings(t, s, Filter{Basket: "box"}), 4) // the weighed cloth stays
	require.Len(t, holdings(t, s, Filter{Basket: "tin"}), 4)
	// The same photo again changes nothing, and never twice.
	c, _, err = s.Recount(ctx, "box", 0, photo("c.jpg", square(6), square(18), square(30)))
	require.NoError(t, err)
	require.Empty(t, c.Difference)
	// By cut: all of that cut, wherever they are.
	c, _, err = s.Recount(ctx, "", 2.5, photo("d.jpg", square(0)))
	require.NoError(t, err)
	require.Len(t, holdings(t, s, Filter{Cut: 2.5}), 1)
	require.True(t, stow(t, s, photo("a.jpg")).Known)
	_, _, err = s.Recount(ctx, "", 0)
	require.ErrorIs(t, err, ErrRefused)
	for range 4 {
		_, err = s.Undo(ctx)
		require.NoError(t, err)
	}
	require.Len(t, holdings(t, s, Filter{Basket: "box"}), 6)
	healthy(t, s)
}

// Counting the squares of a cut takes no strips of that width away.
func TestRecountOfOneForm(t *testing.T) {
	s := open(t, t.TempDir())
	strip := cloth.Holding{Form: cloth.Strip, Count: 2, WidthIn: 2.5, LengthIn: 18}
	_, err := s.Add(ctx, strip, byHand(9, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	p := photo("a.jpg", squares(4)...)
	p.As = cloth.Square
	_, _, err = s.Recount(ctx, "", 2.5, p)
	require.NoError(t, err)
	require.Len(t, holdings(t, s, Filter{Form: cloth.Strip}), 1)
	require.Len(t, holdings(t, s, Filter{Form: cloth.Square}), 4)
}

func TestFloorsSettingsPlansAndBins(t *testing.T) {
	s := open(t, t.TempDir())
	blue := shelf.Alike{Family: cloth.Blue}
	for _, f := range []shelf.Floor{{Least: 5}, {Alike: blue, Cut: shelf.Square(2.5), Least: 12}, {Alike: blue, Cut: shelf.Square(2.5), Least: 20}} {
		_, err := s.SetFloor(ctx, f)
		require.NoError(t, err)
	}
	got, err := s.Floors(ctx)
	require.NoError(t, err)
	require.Equal(t, []shelf.Floor{{Least: 5}, {Alike: blue, Cut: shelf.Square(2.5), Least: 20}}, got)
	_, err = s.SetFloor(ctx, shelf.Floor{})
	require.NoError(t, err)
	got, err = s.Floors(ctx)
	require.NoError(t, err)
	require.Len(t, got, 1)
	_, err = s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: "mauve"}, Least: 1})
	require.ErrorIs(t, err, ErrRefused)

	_, err = s.SetSettings(ctx, Settings{TrimIn: 0.25, GSM: 140})
	require.NoError(t, err)
	v, err := s.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, Settings{TrimIn: 0.25, GSM: 140}, v)
	_, err = s.SetSettings(ctx, Settings{TrimIn: 0.25})
	require.ErrorIs(t, err, ErrRefused)

	_, err = s.SavePlan(ctx, "library", []byte(`{"blocks": 24}`))
	require.NoError(t, err)
	plans, err := s.Plans(ctx)
	require.NoError(t, err)
	require.Equal(t, `{"blocks": 24}`, string(plans[0].Plan))
	_, err = s.SavePlan(ctx, "library", nil)
	require.NoError(t, err)

	_, err = s.Teach(ctx, "sea greens", []byte(`{"l":1}`), []byte(`{"l":2}`))
	require.NoError(t, err)
	_, err = s.Teach(ctx, "sea greens", []byte(`{`))
	require.ErrorIs(t, err, ErrRefused)
	taught, err := s.Taught(ctx)
	require.NoError(t, err)
	require.Equal(t, []ExampleRecord{{Bin: "sea greens", What: []byte(`{"l":1}`)}, {Bin: "sea greens", What: []byte(`{"l":2}`)}}, taught)
	_, err = s.Unteach(ctx, "sea greens")
	require.NoError(t, err)
	_, err = s.Unteach(ctx, "sea greens")
	require.ErrorIs(t, err, ErrUnknown)
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	taught, err = s.Taught(ctx)
	require.NoError(t, err)
	require.Len(t, taught, 2)
}

func TestCountsAreThoseOfThePieces(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", squares(60)...))
	strip := cloth.Holding{Form: cloth.Strip, Count: 2, WidthIn: 2.5, LengthIn: 18, Family: cloth.Red}
	longer := strip
	longer.LengthIn = 40
	longer.Print = "poppies"
	_, err := s.Add(ctx, strip, longer)
	require.NoError(t, err)
	counts, err := s.Counts(ctx)
	require.NoError(t, err)
	total, prints := 0, 0
	for _, c := range counts {
		total += c.Count
		prints += c.Prints
	}
	require.Equal(t, 64, total)
	require.Equal(t, 61, prints)
	require.Contains(t, counts, shelf.Count{Alike: shelf.Alike{Family: cloth.Red}, Cut: shelf.Cut{Form: cloth.Strip, Width: 2.5}, Count: 4, Prints: 1})
	stock, err := s.Stock(ctx)
	require.NoError(t, err)
	require.Contains(t, stock, cloth.Holding{Family: cloth.Red, Form: cloth.Strip, WidthIn: 2.5, LengthIn: 40, Count: 2})
}

// Your own bin is one box of the shelf, whatever colours lie in it.
func TestYourOwnBinIsCountedWhole(t *testing.T) {
	s := open(t, t.TempDir())
	red, blue := byHand(3, cloth.Red, cloth.Dark, 2.5), byHand(4, cloth.Blue, cloth.Light, 2.5)
	red.Bin, blue.Bin = "flags", "flags"
	c, err := s.Add(ctx, red, blue)
	require.NoError(t, err)
	counts, err := s.Counts(ctx)
	require.NoError(t, err)
	require.Equal(t, []shelf.Count{{Alike: shelf.Alike{Own: "flags"}, Cut: shelf.Square(2.5), Count: 7}}, counts)
	require.Equal(t, counts, c.Difference)
	c, err = s.Correct(ctx, 1, Correction{Family: cloth.Blue})
	require.NoError(t, err)
	require.Empty(t, c.Difference, "it lies where it lay")
}

func TestWhatChangedSince(t *testing.T) {
	s := open(t, t.TempDir())
	_, err := s.Add(ctx, byHand(12, cloth.Blue, cloth.Dark, 2.5))
	require.NoError(t, err)
	add, err := s.Add(ctx, byHand(3, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	_, err = s.Use(ctx, Removal{Filter: Filter{Family: cloth.Blue}, Count: 5})
	require.NoError(t, err)
	d, err := s.ChangedSince(ctx, add.At)
	require.NoError(t, err)
	require.Equal(t, []familyDifference{{cloth.Red, 3}, {cloth.Blue, -5}}, byFamily(d))
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	d, err = s.ChangedSince(ctx, add.At)
	require.NoError(t, err)
	require.Equal(t, []familyDifference{{cloth.Red, 3}}, byFamily(d))
}

func TestOnlyTheLastHundredAreUndone(t *testing.T) {
	s := open(t, t.TempDir())
	for i := range 130 {
		_, err := s.Add(ctx, byHand(i+1, cloth.Blue, cloth.Dark, 2.5))
		require.NoError(t, err)
	}
	past, err := s.History(ctx, 0)
	require.NoError(t, err)
	require.Len(t, past, 130)
	require.True(t, past[99].Undoable)
	require.False(t, past[100].Undoable)
	for i := range 60 {
		c, err := s.Undo(ctx)
		require.NoError(t, err)
		require.Equal(t, fmt.Sprintf("%d dark blue 2½ squares", 130-i), c.What)
	}
	_, err = s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	for range 41 {
		_, err := s.Undo(ctx)
		require.NoError(t, err)
	}
	_, err = s.Undo(ctx)
	require.ErrorIs(t, err, ErrUnknown)
	require.Len(t, holdings(t, s, Filter{}), 30)
	healthy(t, s)
}

func TestUndoTakesThePhotoBackToo(t *testing.T) {
	s := open(t, t.TempDir())
	got := stow(t, s, photo("a.jpg", squares(3)...))
	path := s.PhotoPath(got.Hash + ".jpg")
	require.FileExists(t, path)
	c, err := s.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, "stow", c.Verb)
	require.NoFileExists(t, path)
	require.False(t, stow(t, s, photo("a.jpg", squares(3)...)).Known)
	require.FileExists(t, path)
}

func TestANewerOrForeignLedgerIsRefused(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	_, err := s.w.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", Version+1))
	require.NoError(t, err)
	require.NoError(t, s.Close())
	_, err = Open(dir, Options{Now: stashtest.Clock()})
	require.ErrorIs(t, err, ErrNewer)
	require.ErrorContains(t, err, fmt.Sprintf("written by a newer piecebag (version %d; this one knows %d)", Version+1, Version))

	dir = t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, LedgerName), []byte(strings.Repeat("no ledger ", 1000)), 0o600))
	_, err = Open(dir, Options{Now: stashtest.Clock()})
	require.ErrorIs(t, err, ErrDamaged)
}

func TestReadingMakesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "none")
	_, err := Open(dir, Options{Now: stashtest.Clock(), ReadOnly: true})
	require.ErrorIs(t, err, ErrNone)
	require.NoDirExists(t, dir)
	s := open(t, dir)
	stow(t, s, photo("a.jpg", square(0)))
	r, err := Open(dir, Options{Now: stashtest.Clock(), ReadOnly: true})
	require.NoError(t, err)
	defer r.Close()
	require.Len(t, holdings(t, r, Filter{}), 1)
	_, err = r.Add(ctx, byHand(1, cloth.Blue, cloth.Dark, 2.5))
	require.ErrorIs(t, err, ErrReadOnly)
}

func TestWhatCannotBeIsRefused(t *testing.T) {
	s := open(t, t.TempDir())
	for _, h := range []cloth.Holding{
		{}, {Form: cloth.Square}, {Form: cloth.Square, Count: -1}, {Form: "round", Count: 1},
		{Form: cloth.Square, Count: 1, Family: "mauve"}, {Form: cloth.Square, Count: 1, Value: "dim"},
		{Form: cloth.Weighed, Count: 1}, {Form: cloth.Square, Count: 1, AreaIn2: 3}, {Form: cloth.Strip, Count: 1, WidthIn: -2},
	} {
		_, err := s.Add(ctx, h)
		require.ErrorIs(t, err, ErrRefused, "%+v", h)
		stashtest.Said(t, err)
	}
	past, err := s.History(ctx, 0)
	require.NoError(t, err)
	require.Empty(t, past)
}

// A half-square triangle on a board is an odd piece and no square, which it was counted
// as.
func TestTriangleOnABoard(t *testing.T) {
	s := open(t, t.TempDir())
	pieces := squares(3)
	pieces[0].Cut, pieces[0].WidthIn, pieces[0].LengthIn = "3⅞ half-square triangle", 3.875, 3.875
	pieces[1].Cut, pieces[1].WidthIn, pieces[1].LengthIn = "", 0, 0 // not measured: what a board is made of
	p := photo("board.jpg", pieces...)
	p.Sheet.Kind = cloth.Board
	stow(t, s, p)
	require.Len(t, holdings(t, s, Filter{Form: cloth.Irregular}), 1)
	require.Len(t, holdings(t, s, Filter{Form: cloth.Square}), 2)
}
