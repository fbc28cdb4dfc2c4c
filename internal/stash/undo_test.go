package stash

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
	"piecebag/internal/stash/stashtest"
)

// dump writes every row of every table but the journal and what was taken back, to the last bit, and the
// names of the photos kept.
func dump(t require.TestingT, s *Stash) map[string][]string {
	out := map[string][]string{}
	tables, err := rowsOf(ctx, s.r, itself[string], `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%' AND name NOT IN ('journal', 'undone')`)
	require.NoError(t, err)
	for _, table := range tables {
		columns, err := rowsOf(ctx, s.r, itself[string], `SELECT 'quote(' || name || ')' FROM pragma_table_info(?) ORDER BY cid`, table)
		require.NoError(t, err)
		out[table], err = rowsOf(ctx, s.r, itself[string], `SELECT `+strings.Join(columns, ` || '|' || `)+` AS r FROM `+table+` ORDER BY r`)
		require.NoError(t, err)
	}
	// A difference that came to nothing may be there or not.
	out["delta"] = slices.DeleteFunc(out["delta"], func(r string) bool { return strings.HasSuffix(r, "|0|0") })
	files, err := os.ReadDir(filepath.Join(s.dir, PhotoFolder))
	require.NoError(t, err)
	for _, f := range files {
		out["files"] = append(out["files"], f.Name())
	}
	return out
}

// step makes some change; it may fail, and must then change nothing.
func step(t *rapid.T, s *Stash, i int) error {
	ids := func(least int) []int64 {
		h, err := s.Holdings(ctx, Filter{})
		require.NoError(t, err)
		if len(h) < least {
			return nil
		}
		var out []int64
		for _, k := range rapid.SliceOfNDistinct(rapid.IntRange(0, len(h)-1), least, least, rapid.ID).Draw(t, "which") {
			out = append(out, h[k].ID)
		}
		return out
	}
	name := func() string {
		return rapid.SampledFrom([]string{"", "sea greens", "box ½", `a "b", 'c'`, "=1"}).Draw(t, "name")
	}
	count := rapid.IntRange(1, 9).Draw(t, "n")
	some := func() Photo {
		p := photo(fmt.Sprintf("%d.jpg", rapid.IntRange(0, 5).Draw(t, "photo")), squares(count)...)
		for k := range p.Sheet.Pieces {
			p.Sheet.Pieces[k].WidthIn = rapid.Float64Range(0.1, 12).Draw(t, "width")
			p.Sheet.Pieces[k].Polygon = p.Sheet.Pieces[k].Polygon.Scale(rapid.Float64Range(1, 1.1).Draw(t, "shift"))
			p.Sheet.Pieces[k].Print = rapid.SampledFrom([]string{"a", "b", ""}).Draw(t, "label")
		}
		p.Basket = name()
		return p
	}
	var err error
	switch rapid.IntRange(0, 12).Draw(t, "kind") {
	case 0, 1:
		_, err = s.Stow(ctx, some())
	case 2:
		p := some()
		_, _, err = s.Recount(ctx, p.Basket, float64(rapid.IntRange(0, 2).Draw(t, "cut")), p)
	case 3, 4:
		h := byHand(count, rapid.SampledFrom(cloth.Families).Draw(t, "family"), cloth.Dark, rapid.Float64Range(0, 30).Draw(t, "width"))
		h.Print, h.Bin = name(), name()
		weighed := cloth.Holding{Form: cloth.Weighed, Count: count, AreaIn2: rapid.Float64Range(0.1, 1e6).Draw(t, "area")}
		_, err = s.Add(ctx, h, weighed)
	case 5:
		_, err = s.Use(ctx, Removal{Filter: Filter{}, Count: count})
	case 6:
		if k := ids(1); k != nil {
			bin := name()
			c := rapid.SampledFrom([]Correction{
				{Family: cloth.Teal}, {NotAPiece: true}, {Split: 3}, {Bin: &bin, WidthIn: 1. / 3},
				{Outline: geom.Polygon{{X: 1, Y: 1}, {X: 90.123, Y: 3}, {X: 4, Y: 77}}, Print: &bin},
			}).Draw(t, "correction")
			_, err = s.Correct(ctx, k[0], c)
		}
	case 7:
		if k := ids(2); k != nil {
			_, err = s.Correct(ctx, k[0], Correction{Merge: k[1:]})
		}
	case 8:
		p := some()
		_, err = relook(s, Hash(p.Bytes), p.Sheet)
	case 9:
		_, err = s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Blue}, Cut: shelf.Square(rapid.Float64Range(0, 3).Draw(t, "cut")), Least: count - 1})
	case 10:
		_, err = s.SetSettings(ctx, Settings{TrimIn: rapid.Float64Range(0, 1).Draw(t, "trim"), GSM: 140})
	case 11:
		if rapid.Bool().Draw(t, "plan") {
			_, err = s.SavePlan(ctx, "p", []byte(fmt.Sprintf(`{"n": %d}`, count)))
		} else {
			_, err = s.Teach(ctx, "t", []byte(`{"x": 1.5}`))
		}
	case 12:
		_, err = loaded(s, fmt.Sprintf(`{"holdings":[{"form":"square","count":%d,"width_in":2.5,"family":"blue","value":"dark"}]}`, count))
	}
	return err
}

func TestUndoPutsBackEveryBit(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "")
		require.NoError(rt, err)
		s, err := Open(dir, Options{Now: stashtest.Clock()})
		require.NoError(rt, err)
		defer s.Close()
		// Nobody pulls the plug here.
		_, err = s.w.ExecContext(ctx, `PRAGMA synchronous = OFF`)
		require.NoError(rt, err)
		var states []map[string][]string
		n := rapid.IntRange(1, 12).Draw(rt, "steps")
		for i := range n {
			before := dump(rt, s)
			if err := step(rt, s, i); err != nil {
				require.Equal(rt, before, dump(rt, s), "a change that failed left something: %v", err)
				var known *fault.Error
				require.ErrorAs(rt, err, &known, "%v", err)
				continue
			}
			if after := dump(rt, s); len(after["change"]) > len(before["change"]) {
				states = append(states, before)
			} else {
				require.Equal(rt, before, after)
			}
		}
		h, err := s.Check(ctx)
		require.NoError(rt, err)
		require.Empty(rt, h.Faults)
		// Done again a change has a number and a time of its own, and nothing else does.
		again := func(state map[string][]string) map[string][]string {
			delete(state, "change")
			delete(state, "delta")
			return state
		}
		for i := len(states) - 1; i >= 0; i-- {
			after := again(dump(rt, s))
			c, err := s.Undo(ctx)
			require.NoError(rt, err)
			require.Equal(rt, states[i], dump(rt, s))
			switch redone, err := s.Redo(ctx); {
			case err == nil:
				require.Equal(rt, after, again(dump(rt, s)))
				require.Equal(rt, []any{c.Verb, c.What, c.Difference}, []any{redone.Verb, redone.What, redone.Difference})
				_, err = s.Undo(ctx)
				require.NoError(rt, err)
				require.Equal(rt, states[i], dump(rt, s))
			default: // its photo left with it
				require.ErrorIs(rt, err, ErrUnknown)
				require.Greater(rt, len(after["photo"]), len(states[i]["photo"]), "%s", c.What)
			}
		}
	})
}

// What was taken back is done again in its order, until the stash is changed otherwise.
func TestRedo(t *testing.T) {
	s := open(t, t.TempDir())
	for n := range 3 {
		_, err := s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Blue}, Cut: shelf.Square(2.5), Least: n + 1})
		require.NoError(t, err)
	}
	least := func() int {
		f, err := s.Floors(ctx)
		require.NoError(t, err)
		if len(f) == 0 {
			return 0
		}
		return f[0].Least
	}
	var again []int64
	for range 3 {
		c, err := s.Undo(ctx)
		require.NoError(t, err)
		again = append(again, c.Again)
	}
	require.IsIncreasing(t, again)
	for want := 1; want <= 2; want++ {
		left, err := s.Undone(ctx)
		require.NoError(t, err)
		require.Len(t, left, 4-want)
		require.Equal(t, again[3-want], left[0].Again)
		c, err := s.Redo(ctx)
		require.NoError(t, err)
		require.Equal(t, again[3-want], c.Again)
		require.Equal(t, want, least())
	}
	_, err := s.SavePlan(ctx, "p", []byte(`{}`))
	require.NoError(t, err)
	_, err = s.Redo(ctx)
	require.ErrorIs(t, err, ErrUnknown)
	require.Equal(t, 2, least())
}

// The last change of a photo is known, and none that was taken back.
func TestTheChangeOfAPhoto(t *testing.T) {
	s := open(t, t.TempDir())
	of := func(hash string, after int64) int64 {
		id, err := s.ChangeOf(ctx, hash, after)
		require.NoError(t, err)
		return id
	}
	one, err := s.Stow(ctx, photo("one.jpg", squares(3)...))
	require.NoError(t, err)
	require.Zero(t, one.Sum.Again)
	other, err := s.Stow(ctx, photo("other.jpg", squares(2)...))
	require.NoError(t, err)
	require.Equal(t, one.Sum.ID, of(one.Hash, 0))
	require.Zero(t, of(one.Hash, one.Sum.ID))
	c, _, err := s.Recount(ctx, "new", 0, photo("one.jpg", squares(3)...))
	require.NoError(t, err)
	require.Equal(t, c.ID, of(one.Hash, one.Sum.ID))
	require.Equal(t, other.Sum.ID, of(other.Hash, 0))
	undone, err := s.Undo(ctx)
	require.NoError(t, err)
	require.NotZero(t, undone.Again)
	require.Zero(t, of(one.Hash, one.Sum.ID))
	undone, err = s.Undo(ctx)
	require.NoError(t, err)
	require.Zero(t, undone.Again, "it brought in a photo, which is gone")
}
