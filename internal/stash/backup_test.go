package stash

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
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
	_, err = s.Use(ctx, Take{Filter: Filter{IDs: []int64{5}}, Count: 1})
	require.NoError(t, err)
	_, err = s.SetFloor(ctx, Floor{Family: cloth.Blue, N: 7})
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

func TestBackupAndRestore(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := full(t, dir)
	before := dump(t, s)
	require.NoError(t, s.Backup(ctx, file))
	_, err := s.Add(ctx, byHand(3, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	later := dump(t, s)
	require.NoError(t, s.Close())

	kept, err := Restore(ctx, file, dir, Options{Now: clock()})
	require.NoError(t, err)
	back := open(t, dir)
	require.Equal(t, before, dump(t, back))
	healthy(t, back)
	c, err := back.Undo(ctx) // what could be undone can be
	require.NoError(t, err)
	require.Equal(t, "teach", c.Verb)
	require.Equal(t, later, dump(t, open(t, kept)))

	elsewhere := filepath.Join(t.TempDir(), "new")
	kept, err = Restore(ctx, file, elsewhere, Options{Now: clock()})
	require.NoError(t, err)
	require.Empty(t, kept)
	require.Equal(t, before, dump(t, open(t, elsewhere)))
}

func TestARestoreCutShortIsFinished(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "stash")
	s := full(t, dir)
	before := dump(t, s)
	require.NoError(t, s.Close())
	require.NoError(t, os.Rename(dir, ready(dir))) // between the two renames
	require.Equal(t, before, dump(t, open(t, dir)))
}

// What such a restore left behind once kept every later one from being made.
func TestARestoreCutShortHindersNoOther(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := full(t, dir)
	before := dump(t, s)
	require.NoError(t, s.Backup(ctx, file))
	require.NoError(t, s.Close())
	require.NoError(t, os.MkdirAll(filepath.Join(ready(dir), photoFolder), 0o700)) // before the first rename
	_, err := Restore(ctx, file, dir, Options{Now: clock()})
	require.NoError(t, err)
	require.Equal(t, before, dump(t, open(t, dir)))
	require.NoDirExists(t, ready(dir))
}

// A photo gone bad on the disk once made backups that could not be restored.
func TestAChangedPhotoSpoilsNoBackup(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := full(t, dir)
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(photos[1].Path, []byte("something else"), 0o600))
	require.NoError(t, s.Backup(ctx, file))
	elsewhere := filepath.Join(t.TempDir(), "new")
	_, err = Restore(ctx, file, elsewhere, Options{Now: clock()})
	require.NoError(t, err)
	back := open(t, elsewhere)
	require.Equal(t, dump(t, s), dump(t, back))
	h, err := back.Check(ctx)
	require.NoError(t, err)
	require.Len(t, h.Faults, 1)
	require.Equal(t, ChangedPhoto, h.Faults[0].Kind)
}

func TestABackupWhileInUse(t *testing.T) {
	s := open(t, t.TempDir())
	file := filepath.Join(t.TempDir(), "stash.zip")
	var wg sync.WaitGroup
	var worked error
	wg.Go(func() {
		for i := range 30 {
			p := photo(string(rune('a'+i))+".jpg", squares(5)...)
			_, err := s.Stow(ctx, p)
			if i%3 == 0 {
				_, undone := s.Undo(ctx)
				err = errors.Join(err, undone)
			}
			worked = errors.Join(worked, err)
		}
	})
	for i := range 6 {
		require.NoError(t, s.Backup(ctx, file))
		dir := filepath.Join(t.TempDir(), "back")
		_, err := Restore(ctx, file, dir, Options{Now: clock()})
		require.NoError(t, err)
		back := open(t, dir)
		healthy(t, back)
		photos, err := back.Photos(ctx)
		require.NoError(t, err)
		require.Len(t, holdings(t, back, Filter{}), 5*len(photos), "backup %d", i)
	}
	wg.Wait()
	require.NoError(t, worked)
}

// rezip copies a backup with each entry's bytes put through edit.
func rezip(t *testing.T, file string, edit func(name string, data []byte) (string, []byte)) string {
	t.Helper()
	in, err := zip.OpenReader(file)
	require.NoError(t, err)
	defer in.Close()
	var buf bytes.Buffer
	out := zip.NewWriter(&buf)
	for _, f := range in.File {
		r, err := f.Open()
		require.NoError(t, err)
		data, err := io.ReadAll(r)
		require.NoError(t, err)
		name, data := edit(f.Name, data)
		w, err := out.Create(name)
		require.NoError(t, err)
		_, err = w.Write(data)
		require.NoError(t, err)
	}
	require.NoError(t, out.Close())
	path := filepath.Join(t.TempDir(), "changed.zip")
	require.NoError(t, os.WriteFile(path, buf.Bytes(), 0o600))
	return path
}

func TestADamagedBackupChangesNothing(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := full(t, dir)
	require.NoError(t, s.Backup(ctx, file))
	before := dump(t, s)
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	torn := filepath.Join(t.TempDir(), "torn.zip")
	require.NoError(t, os.WriteFile(torn, whole[:len(whole)/2], 0o600))
	replace := func(old, with string) func(string, []byte) (string, []byte) {
		return func(name string, data []byte) (string, []byte) {
			if name == manifestName {
				data = bytes.ReplaceAll(data, []byte(old), []byte(with))
			}
			return strings.ReplaceAll(name, old, with), data
		}
	}
	for what, c := range map[string]struct {
		file string
		want error
	}{
		"torn":  {torn, ErrDamaged},
		"none":  {filepath.Join(dir, "none.zip"), ErrRefused},
		"other": {rezip(t, file, replace(backupFormat, "something else")), ErrDamaged},
		"newer": {rezip(t, file, replace(`"version": 2`, `"version": 3`)), ErrNewer},
		"path":  {rezip(t, file, replace(photoFolder+"/", "../")), ErrDamaged},
		"bytes": {rezip(t, file, func(name string, data []byte) (string, []byte) {
			if strings.HasPrefix(name, photoFolder) {
				data = append(data, 'x')
			}
			return name, data
		}), ErrDamaged},
		"missing": {rezip(t, file, func(name string, data []byte) (string, []byte) {
			return strings.TrimSuffix(name, ".png"), data
		}), ErrDamaged},
	} {
		_, err := Restore(ctx, c.file, dir, Options{Now: clock()})
		require.ErrorIs(t, err, c.want, what)
		var e *Error
		require.ErrorAs(t, err, &e, what)
		require.NotEmpty(t, e.Remedy)
		require.NoDirExists(t, dir+".restoring")
		require.Equal(t, before, dump(t, s))
	}
}

func TestCheckFindsAndRepairLosesNothing(t *testing.T) {
	dir := t.TempDir()
	s := full(t, dir)
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.NoError(t, os.Remove(photos[0].Path))
	require.NoError(t, os.WriteFile(photos[1].Path, []byte("something else"), 0o600))
	orphan := s.photoPath("holiday.jpg")
	require.NoError(t, os.WriteFile(orphan, []byte("the sea"), 0o600))
	require.NoError(t, os.WriteFile(s.photoPath(partPrefix+"1"), []byte("half"), 0o600))
	_, err = s.w.ExecContext(ctx, `UPDATE tally SET n = n + 1`)
	require.NoError(t, err)
	pieces := holdings(t, s, Filter{})

	h, err := s.Check(ctx)
	require.NoError(t, err)
	var kinds []FaultKind
	for _, f := range h.Faults {
		kinds = append(kinds, f.Kind)
		require.NotEmpty(t, f.Remedy)
	}
	// The clock of the tests stands before the half photo was written: it may be
	// under way.
	require.Equal(t, []FaultKind{CountsFault, MissingPhoto, ChangedPhoto, OrphanPhoto}, kinds)

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
	require.Equal(t, LedgerFault, h.Faults[0].Kind)
	require.Equal(t, "a row of holding names a photo that is not there", h.Faults[0].Reason)
}
