package stash

import (
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// full is a stash with something in every table.
func full(t testing.TB, dir string) *Stash {
	t.Helper()
	s := open(t, dir)
	p := photo("a.jpg", squares(9)...)
	p.Basket, p.Bins = "=box", []string{"sea greens", "", "", "", "", "'quoted"}
	stow(t, s, p)
	stow(t, s, photo("b.png", squares(3)...))
	strip := cloth.Holding{Form: cloth.Strip, Count: 2, WidthIn: 6 / 2.54, LengthIn: 18.1, Family: cloth.Red, Print: `poppies, "large"`, Trust: 1}
	_, err := s.Add(ctx, strip, cloth.Holding{Form: cloth.Weighed, Count: 1, AreaIn2: 1234.567, Trust: 1})
	require.NoError(t, err)
	correctOne := func(id int64, c Correction) {
		_, err := s.Correct(ctx, id, c)
		require.NoError(t, err)
	}
	correctOne(1, Correction{Family: cloth.Teal})
	correctOne(2, Correction{NotAPiece: true})
	correctOne(3, Correction{Merge: []int64{4}})
	_, err = s.Use(ctx, Removal{Filter: Filter{IDs: []int64{5}}, Count: 1})
	require.NoError(t, err)
	_, err = s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Blue}, Least: 7})
	require.NoError(t, err)
	_, err = s.SetSettings(ctx, Settings{TrimIn: 0.25, GSM: 143.5})
	require.NoError(t, err)
	_, err = s.SavePlan(ctx, "library", []byte(`{"blocks":24}`))
	require.NoError(t, err)
	_, err = s.Teach(ctx, "sea greens", []byte(`{"l":0.5}`), []byte(`{"l":0.7}`))
	require.NoError(t, err)
	_, err = s.TeachPieces(ctx, "sea greens", map[int64][]byte{7: []byte(`{"l":0.6}`)})
	require.NoError(t, err)
	return s
}

func TestCheckFindsAndRepairLosesNothing(t *testing.T) {
	dir := t.TempDir()
	s := full(t, dir)
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.NoError(t, os.Remove(photos[0].Path))
	require.NoError(t, os.WriteFile(photos[1].Path, []byte("something else"), 0o600))
	orphan := s.PhotoPath("holiday.jpg")
	require.NoError(t, os.WriteFile(orphan, []byte("the sea"), 0o600))
	require.NoError(t, os.WriteFile(s.PhotoPath(partPrefix+"1"), []byte("half"), 0o600))
	_, err = s.w.ExecContext(ctx, `UPDATE tally SET n = n + 1`)
	require.NoError(t, err)
	pieces := holdings(t, s, Filter{})

	h, err := s.Check(ctx)
	require.NoError(t, err)
	// The clock of the tests stands before the half photo was written: it may be
	// under way.
	kinds := []error{ErrCounts, ErrMissingPhoto, ErrChangedPhoto, ErrOrphan}
	require.Len(t, h.Faults, len(kinds))
	for i, f := range h.Faults {
		require.ErrorIs(t, f, kinds[i])
		require.NotEmpty(t, f.Remedy)
	}

	h, err = s.Repair(ctx)
	require.NoError(t, err)
	require.Len(t, h.Repaired, 5-1)
	healthy(t, s)
	require.Equal(t, pieces, holdings(t, s, Filter{}))
	aside, err := filepath.Glob(filepath.Join(dir, asideFolder, "*", "*"))
	require.NoError(t, err)
	require.Len(t, aside, 2)
	data, err := os.ReadFile(aside[len(aside)-1])
	require.NoError(t, err)
	require.Equal(t, "the sea", string(data))

	// The photo comes back when it is stowed again, and its pieces not twice.
	require.True(t, stow(t, s, photo("a.jpg", squares(9)...)).Known)
	require.FileExists(t, photos[0].Path)
	require.Equal(t, pieces, holdings(t, s, Filter{}))
	healthy(t, s)
	for range 8 {
		_, err = s.Undo(ctx)
		require.NoError(t, err)
	}
	healthy(t, s)
}

func TestADamagedLedgerIsSaid(t *testing.T) {
	dir := t.TempDir()
	s := full(t, dir)
	_, err := s.w.ExecContext(ctx, `PRAGMA foreign_keys = OFF; UPDATE holding SET photo = 99 WHERE photo = 2`)
	require.NoError(t, err)
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.ErrorIs(t, h.Faults[0], ErrLedger)
	require.Equal(t, "a row of holding names a photo that is not there", h.Faults[0].Why)
}

// What a ledger of the stash itself names outside its folder is not touched.
func TestNoPhotoLiesOutsideTheFolder(t *testing.T) {
	top := t.TempDir()
	dir, victim := filepath.Join(top, "stash"), filepath.Join(top, "victim.txt")
	s := open(t, dir)
	require.NoError(t, os.WriteFile(victim, []byte("mine"), 0o600))
	stow(t, s, photo("a.jpg", square(0)))
	_, err := s.w.ExecContext(ctx, `UPDATE photo SET file = '../../victim.txt'`)
	require.NoError(t, err)
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.ErrorIs(t, h.Faults[0], ErrLedger)
	_, err = s.Repair(ctx)
	require.NoError(t, err)
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	require.FileExists(t, victim)
}

// A ledger that others gave once kept its own triggers, and none missed what was
// taken away.
func TestStrangeTriggersAreSaidAndMended(t *testing.T) {
	for _, script := range []string{
		`CREATE TRIGGER "the""irs" AFTER INSERT ON holding BEGIN DELETE FROM floor; END`,
		`DROP TRIGGER journal_holding_insert`,
		`CREATE VIEW spy AS SELECT * FROM holding`,
		`DROP TRIGGER tally_insert; CREATE TRIGGER tally_insert AFTER INSERT ON holding BEGIN SELECT 1; END`,
	} {
		s := full(t, t.TempDir())
		_, err := s.w.ExecContext(ctx, script)
		require.NoError(t, err)
		h, err := s.Check(ctx)
		require.NoError(t, err)
		require.Len(t, h.Faults, 1, script)
		require.ErrorIs(t, h.Faults[0], ErrScripts)
		h, err = s.Repair(ctx)
		require.NoError(t, err)
		require.Empty(t, h.Faults)
		healthy(t, s)
		before := dump(t, s)
		_, err = s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
		require.NoError(t, err)
		_, err = s.Undo(ctx)
		require.NoError(t, err)
		require.Equal(t, before, dump(t, s))
	}
}

// Check once found a ledger whole that export refused.
func TestCheckReadsWhatExportReads(t *testing.T) {
	for _, script := range []string{
		`UPDATE holding SET outline = '[[1,' WHERE id = 1`, `UPDATE holding SET colours = 'x' WHERE id = 1`,
		`UPDATE plan SET what = '{'`, `UPDATE taught SET what = ''`,
		`UPDATE correction SET what = 'x'`, `UPDATE holding SET width_in = 9e999 WHERE id = 1`,
		`UPDATE holding SET lightness = 'light' WHERE id = 1`,
	} {
		s := full(t, t.TempDir())
		healthy(t, s)
		_, err := s.w.ExecContext(ctx, script)
		require.NoError(t, err)
		c, err := s.Content(ctx)
		if err == nil {
			_, err = json.Marshal(c)
		}
		require.Error(t, err, script)
		h, err := s.Check(ctx)
		require.NoError(t, err)
		require.NotEmpty(t, h.Faults, script)
		require.ErrorIs(t, h.Faults[0], ErrLedger)
		_, err = s.CopyLedger(ctx, filepath.Join(t.TempDir(), "b.db"))
		require.ErrorIs(t, err, ErrDamaged)
	}
}

// Only its owner may read a ledger: it was once written as any file is.
func TestALedgerIsItsOwners(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("permissions are another thing there")
	}
	top := t.TempDir()
	private := func(path string) {
		t.Helper()
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm(), path)
	}
	dir := version1(t)
	require.NoError(t, os.Chmod(filepath.Join(dir, LedgerName), 0o644))
	s := open(t, dir)
	private(s.file)
	private(s.file + "-wal")
	copies, err := filepath.Glob(filepath.Join(dir, olderPrefix+"*"))
	require.NoError(t, err)
	private(copies[0])
	file := filepath.Join(top, "b.db")
	_, err = s.CopyLedger(ctx, file)
	require.NoError(t, err)
	private(file)
}

// Indexes that do not hold what they say are found, no copy is made of such a ledger, and
// repair makes them again.
func TestBrokenIndexesAreMadeAgain(t *testing.T) {
	dir := t.TempDir()
	s := full(t, dir)
	_, err := s.w.ExecContext(ctx, `PRAGMA writable_schema = ON;
		UPDATE sqlite_schema SET sql = replace(sql, '(family, value,', '(value, family,') WHERE name = 'holding_bin'`)
	require.NoError(t, err)
	require.NoError(t, s.Close())
	s = open(t, dir)
	_, err = s.CopyLedger(ctx, filepath.Join(t.TempDir(), "b.db"))
	require.ErrorIs(t, err, ErrDamaged)
	require.ErrorContains(t, err, "index")
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.NotEmpty(t, h.Faults)
	require.ErrorIs(t, h.Faults[0], ErrLedger)
	h, err = s.Repair(ctx)
	require.NoError(t, err)
	require.Contains(t, h.Repaired, "the indexes were made again")
	require.Empty(t, h.Faults)
	healthy(t, s)
}
