package stash

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

func box(x, y, w, h float64) geom.Polygon {
	return geom.Polygon{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// moved is what a later version finds: everything a little elsewhere, in another
// order, and of another colour.
func moved(pieces ...cloth.Piece) cloth.Sheet {
	out := sheet()
	for i := len(pieces) - 1; i >= 0; i-- {
		p := pieces[i]
		for k := range p.Polygon {
			p.Polygon[k].X += 4
			p.Polygon[k].Y -= 3
		}
		p.Family, p.Value = cloth.Brown, cloth.Dark
		out.Pieces = append(out.Pieces, p)
	}
	return out
}

func relook(s *Stash, hash string, found cloth.Sheet) (Change, error) {
	c, _, err := s.Relook(ctx, false, LaterLook{Hash: hash, Sheet: found})
	return c, err
}

func word(s string) *string { return &s }

func correct(t *testing.T, s *Stash, id int64, c Correction) Change {
	t.Helper()
	got, err := s.Correct(ctx, id, c)
	require.NoError(t, err)
	return got
}

// Every correction you can make stays when the photo is looked at again.
func TestCorrectionsStay(t *testing.T) {
	s := open(t, t.TempDir())
	hash := stow(t, s, photo("a.jpg", squares(8)...)).Hash
	id := func(piece int) int64 {
		for _, h := range holdings(t, s, Filter{Photo: hash}) {
			if h.Piece == piece {
				return h.ID
			}
		}
		t.Fatalf("no piece %d", piece)
		return 0
	}
	correct(t, s, id(1), Correction{Family: cloth.Teal, Value: cloth.Light})
	correct(t, s, id(2), Correction{WidthIn: 3.5, LengthIn: 3.5})
	correct(t, s, id(3), Correction{Outline: box(240, 0, 100, 200)})
	correct(t, s, id(4), Correction{Print: word("poppies"), Bin: word("sea greens"), Basket: word("tin")})
	correct(t, s, id(5), Correction{NotAPiece: true})
	correct(t, s, id(6), Correction{Split: 2, Family: cloth.Pink})
	correct(t, s, id(7), Correction{Merge: []int64{id(8)}})
	_, err := s.Use(ctx, Removal{Filter: Filter{IDs: []int64{id(1)}}, Count: 1})
	require.NoError(t, err)

	check := func() {
		t.Helper()
		type seen struct {
			w, l  float64
			f     cloth.Family
			print bool
		}
		var got []seen
		for _, h := range holdings(t, s, Filter{Photo: hash}) {
			got = append(got, seen{h.WidthIn, h.LengthIn, h.Family, h.Print == "poppies" && h.Bin == "sea greens" && h.Basket == "tin"})
		}
		require.ElementsMatch(t, []seen{
			// the first was used
			{3.5, 3.5, got[0].f, false},
			{2.5, 5, got[1].f, false},
			{2.5, 2.5, got[2].f, true},
			// the fifth is no piece
			{1.25, 2.5, cloth.Pink, false}, {1.25, 2.5, cloth.Pink, false},
			{2.5, 5.5, got[3].f, false}, // two of 100 pixels and the gap of 20
		}, got)
		healthy(t, s)
	}
	check()
	before := holdings(t, s, Filter{})
	_, err = relook(s, hash, moved(squares(8)...))
	require.NoError(t, err)
	check()
	after := holdings(t, s, Filter{})
	for i := range before {
		require.Equal(t, before[i].ID, after[i].ID)
		require.Equal(t, before[i].Print, after[i].Print)
	}
	require.Equal(t, cloth.Brown, after[0].Family) // what you did not correct is looked at anew
	_, err = relook(s, hash, moved(moved(squares(8)...).Pieces...))
	require.NoError(t, err)
	check()

	// A later version that finds the halves itself, and the merged piece whole.
	own := squares(8)
	half := own[5]
	own[5].Polygon, half.Polygon = box(600, 0, 50, 100), box(650, 0, 50, 100)
	own[6].Polygon = box(720, 0, 220, 100)
	own[6].LengthIn = 5.5
	_, err = relook(s, hash, sheet(append(own[:7:7], half)...))
	require.NoError(t, err)
	require.Len(t, holdings(t, s, Filter{Photo: hash}), 6)

	// Counting the same photo again keeps them too.
	_, _, err = s.Recount(ctx, "table", 0, photo("a.jpg", squares(8)...))
	require.NoError(t, err)
	require.Len(t, holdings(t, s, Filter{Print: "poppies"}), 1)
	require.Len(t, holdings(t, s, Filter{Photo: hash}), 7) // the used one lies there again
}

func TestALaterLookAddsAndTakesAway(t *testing.T) {
	s := open(t, t.TempDir())
	hash := stow(t, s, photo("a.jpg", squares(5)...)).Hash
	c, err := relook(s, hash, sheet(append(squares(4), square(30))...))
	require.NoError(t, err)
	require.Equal(t, []familyDifference{{cloth.Green, -1}, {cloth.Blue, 1}}, byFamily(c.Difference))
	c, err = relook(s, hash, sheet(squares(5)...))
	require.NoError(t, err)
	require.Equal(t, []familyDifference{{cloth.Green, 1}, {cloth.Blue, -1}}, byFamily(c.Difference))
	_, err = relook(s, Hash(nil), sheet())
	require.ErrorIs(t, err, ErrUnknown)
}

// What a look would change is said without changing anything, and is then what it
// changes: in two photos at once, one of them with a correction that holds.
func TestALookIsTriedFirst(t *testing.T) {
	s := open(t, t.TempDir())
	one := stow(t, s, photo("a.jpg", squares(5)...)).Hash
	two := stow(t, s, photo("b.jpg", square(7), square(8))).Hash
	correct(t, s, 2, Correction{Family: cloth.Teal})
	before := dump(t, s)
	readings := []LaterLook{{Hash: one, Sheet: sheet(append(moved(squares(4)...).Pieces, square(30))...)}, {Hash: two, Sheet: sheet(square(7), square(8))}}
	_, tried, err := s.Relook(ctx, true, readings...)
	require.NoError(t, err)
	require.Equal(t, before, dump(t, s))

	require.Len(t, tried, 2)
	require.Equal(t, "a.jpg", tried[0].Name)
	require.Len(t, tried[0].Before, 5)
	require.Len(t, tried[0].After, 5)
	is := map[int64]cloth.Holding{}
	for _, h := range tried[0].After {
		is[h.ID] = h
	}
	require.Equal(t, cloth.Brown, is[1].Family)
	require.Equal(t, cloth.Teal, is[2].Family, "as corrected")
	require.NotContains(t, is, int64(5), "not found again")
	require.Equal(t, tried[1].Before, tried[1].After)

	c, done, err := s.Relook(ctx, false, readings...)
	require.NoError(t, err)
	require.Equal(t, tried, done)
	require.Equal(t, "2 photos", c.What)
	require.Equal(t, tried[0].After, holdings(t, s, Filter{Photo: one}))
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, before, dump(t, s))
	_, _, err = s.Relook(ctx, true, LaterLook{Hash: Hash(nil)})
	require.ErrorIs(t, err, ErrUnknown)
}

func TestCorrectionsThatSayNothingOrTooMuch(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", square(0), square(1)))
	stow(t, s, photo("b.jpg", square(2)))
	for _, c := range []Correction{
		{}, {NotAPiece: true, Split: 2}, {Split: 1}, {Family: "mauve"}, {Outline: geom.Polygon{{X: 1}, {X: 2}}},
		{Merge: []int64{1}}, {Merge: []int64{3}},
	} {
		_, err := s.Correct(ctx, 1, c)
		require.ErrorIs(t, err, ErrRefused, "%+v", c)
	}
	_, err := s.Correct(ctx, 99, Correction{NotAPiece: true})
	require.ErrorIs(t, err, ErrUnknown)
}

// What is said with a later look goes before what the stash has, also where that was said
// once; what was used stays used, and all of it is taken back at once.
func TestSaidWithALaterLook(t *testing.T) {
	s := open(t, t.TempDir())
	all := squares(7)
	hash := stow(t, s, photo("a.jpg", all...)).Hash
	before := holdings(t, s, Filter{})
	for i, h := range before[:6] { // so that a look alone takes none of them away
		correct(t, s, h.ID, Correction{Print: word(string(rune('a' + i)))})
	}
	_, err := s.TeachPieces(ctx, "tin", map[int64][]byte{before[0].ID: []byte(`{}`)})
	require.NoError(t, err)
	_, err = s.Use(ctx, Removal{Filter: Filter{IDs: []int64{before[6].ID}}, Count: 1})
	require.NoError(t, err)
	was := holdings(t, s, Filter{})

	whole, left, right := box(240, 0, 220, 100), box(480, 0, 50, 100), box(530, 0, 50, 100)
	draw := func(g geom.Polygon) Said { return Said{Outline: g, Correction: Correction{Outline: g}} }
	said := []Said{
		{Outline: all[0].Polygon, Correction: Correction{NotAPiece: true}},
		{Outline: all[1].Polygon, Correction: Correction{Print: word("poppies"), Family: cloth.Teal}},
		draw(whole), draw(left), draw(right),
		{Outline: all[6].Polygon, Correction: Correction{Family: cloth.Pink}},
	}
	later := sheet(all[1], all[2], all[4], all[4], all[5], all[6])
	for i, g := range map[int]geom.Polygon{1: whole, 2: left, 3: right} {
		later.Pieces[i].Polygon = g
	}
	_, _, err = s.Relook(ctx, false, LaterLook{Hash: hash, Sheet: later, Said: said})
	require.NoError(t, err)
	now := holdings(t, s, Filter{})
	require.Len(t, now, 5, "one named anew, one of two, two of one, one as it was")
	require.Equal(t, []any{before[1].ID, "poppies", cloth.Teal}, []any{now[0].ID, now[0].Print, now[0].Family})
	outlines, err := s.Outlines(ctx)
	require.NoError(t, err)
	for i, g := range []geom.Polygon{all[1].Polygon, whole, left, all[5].Polygon, right} {
		require.Equal(t, g, outlines[now[i].ID], i)
	}
	taught, err := s.Taught(ctx)
	require.NoError(t, err)
	require.Empty(t, taught)
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, was, holdings(t, s, Filter{}))
}

// Where a later look parts a piece that the stash has, both halves are of its cloth: they lie
// in its basket and its bin, are of its print, and are what you said of it, but for its size
// and for what you say of one half alone. The halves of a piece that was used are used.
func TestAPieceThatIsPartedLater(t *testing.T) {
	for _, share := range []float64{50, 70} { // of 100; the larger half may be taken for the whole
		for name, c := range map[string]struct {
			before func(t *testing.T, s *Stash, id int64)
			halves []string
		}{
			"as it came in": {func(*testing.T, *Stash, int64) {}, []string{`blue light 1.25 "print 1" "chest" ""`, `green light 1.25 "print 1" "chest" ""`}},
			"said": {func(t *testing.T, s *Stash, id int64) {
				correct(t, s, id, Correction{Family: cloth.Teal, Value: cloth.Dark, WidthIn: 3.5, Print: word("poppies")})
			}, []string{`teal dark 1.25 "poppies" "chest" ""`, `green dark 1.25 "poppies" "chest" ""`}},
			"drawn": {func(t *testing.T, s *Stash, id int64) {
				correct(t, s, id, Correction{Outline: box(0, 0, 96, 100), Family: cloth.Teal})
			}, []string{`teal light 1.25 "print 1" "chest" ""`, `green light 1.25 "print 1" "chest" ""`}},
			"moved": {func(t *testing.T, s *Stash, id int64) {
				correct(t, s, id, Correction{Basket: word("tin")})
			}, []string{`blue light 1.25 "print 1" "tin" ""`, `green light 1.25 "print 1" "tin" ""`}},
			"in a bin": {func(t *testing.T, s *Stash, id int64) {
				_, err := s.Sort(ctx, map[int64]string{id: "sea greens"})
				require.NoError(t, err)
			}, []string{`blue light 1.25 "print 1" "chest" "sea greens"`, `green light 1.25 "print 1" "chest" "sea greens"`}},
			"used": {func(t *testing.T, s *Stash, id int64) {
				_, err := s.Use(ctx, Removal{Filter: Filter{IDs: []int64{id}}, Count: 1})
				require.NoError(t, err)
			}, nil},
		} {
			s := open(t, t.TempDir())
			p := square(0)
			p.Family, p.Value, p.Polygon = cloth.Blue, cloth.Light, box(0, 0, 100, 100)
			hash := stow(t, s, Photo{Name: "a.jpg", Bytes: []byte("a"), Sheet: sheet(p, square(1)), Basket: "chest"}).Hash
			c.before(t, s, holdings(t, s, Filter{})[0].ID)
			left, right := p, p
			left.Polygon, right.Polygon = box(0, 0, share, 100), box(share, 0, 100-share, 100)
			left.WidthIn, right.WidthIn = 1.25, 1.25
			draw := func(g geom.Polygon) Said { return Said{Outline: g, Correction: Correction{Outline: g}} }
			_, _, err := s.Relook(ctx, false, LaterLook{Hash: hash, Sheet: sheet(left, right, square(1)), Said: []Said{
				draw(left.Polygon), draw(right.Polygon), {Outline: right.Polygon, Correction: Correction{Family: cloth.Green}},
			}})
			require.NoError(t, err)
			var got []string
			for _, h := range holdings(t, s, Filter{}) {
				if h.Piece < 3 { // the third is the one beside it
					got = append(got, fmt.Sprintf("%s %s %g %q %q %q", h.Family, h.Value, h.WidthIn, h.Print, h.Basket, h.Bin))
				}
			}
			require.Equal(t, c.halves, got, "%s, %g of it", name, share)
			_, err = s.Undo(ctx)
			require.NoError(t, err)
		}
	}
}
