package stash

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/stash/stashtest"
)

// A ledger without a table is refused as empty, and nothing is made of it.
func TestNothingIsRebuiltFromAnEmptyLedger(t *testing.T) {
	dir := t.TempDir()
	from, to := filepath.Join(dir, "empty.db"), filepath.Join(dir, "new.db")
	require.NoError(t, os.WriteFile(from, nil, 0o600))
	require.ErrorContains(t, Rebuild(ctx, from, to), "it is empty")
	require.NoFileExists(t, to)
}

// copyOf makes a stash like the one in a folder, which nobody has open: it is what
// Replace takes.
func copyOf(from string, o Options) func(fresh string) error {
	return func(fresh string) error {
		o.Step("copy")
		if err := os.CopyFS(filepath.Join(fresh, PhotoFolder), os.DirFS(filepath.Join(from, PhotoFolder))); err != nil {
			return err
		}
		ledger := filepath.Join(fresh, "copied.db")
		if err := copyFile(filepath.Join(from, LedgerName), ledger); err != nil {
			return err
		}
		o.Step("make the ledger anew")
		return errors.Join(Rebuild(ctx, ledger, filepath.Join(fresh, LedgerName)), os.Remove(ledger))
	}
}

// putBack puts a copy of a stash in the place of another.
func putBack(dir, from string) (kept string, err error) {
	o := Options{Now: stashtest.Clock()}
	return Replace(ctx, dir, o, copyOf(from, o))
}

// closed makes a stash with something in every table, and gives what is in it.
func closed(t *testing.T, dir string) map[string][]string {
	t.Helper()
	s := full(t, dir)
	rows := dump(t, s)
	require.NoError(t, s.Close())
	return rows
}

// What is no empty folder was once deleted as one: a file, a link, the very backup
// that --stash named.
func TestRestoreDeletesNothing(t *testing.T) {
	top := t.TempDir()
	at := func(name string) string { return filepath.Join(top, name) }
	before := closed(t, at("from"))
	closed(t, at("stash"))
	restore := func(dir string) (string, error) { return putBack(dir, at("from")) }

	require.NoError(t, os.WriteFile(at("notes.txt"), []byte("mine"), 0o600))
	require.NoError(t, os.Symlink(at("nowhere"), at("dangling")))
	require.NoError(t, os.Symlink(at("notes.txt"), at("to a file")))
	require.NoError(t, os.Symlink("circle", at("circle")))
	require.NoError(t, os.MkdirAll(at("letters"), 0o700))
	require.NoError(t, os.WriteFile(at("letters/a.txt"), []byte("mine"), 0o600))
	for _, name := range []string{"notes.txt", "dangling", "to a file", "circle", "letters", workPrefix + "x"} {
		_, err := restore(at(name))
		require.ErrorIs(t, err, ErrRefused, name)
		_, err = Open(at(name), Options{Now: stashtest.Clock()})
		if name != "letters" {
			require.ErrorIs(t, err, ErrRefused, name)
		}
	}
	require.FileExists(t, at("notes.txt"))
	require.FileExists(t, at("letters/a.txt"))
	for _, name := range []string{"dangling", "to a file"} {
		_, err := os.Readlink(at(name))
		require.NoError(t, err)
	}

	// A link is followed and stays; an empty folder is filled, also with what a
	// system leaves there.
	require.NoError(t, os.Symlink("stash", at("link")))
	kept, err := restore(at("link"))
	require.NoError(t, err)
	require.Equal(t, at("stash"), strings.Split(kept, ".before-")[0])
	_, err = os.Readlink(at("link"))
	require.NoError(t, err)
	require.Equal(t, before, dump(t, open(t, at("stash"))))
	require.NoError(t, os.MkdirAll(at("empty"), 0o700))
	require.NoError(t, os.WriteFile(at("empty/.DS_Store"), []byte("x"), 0o600))
	kept, err = restore(at("empty"))
	require.NoError(t, err)
	require.Empty(t, kept)
	require.Equal(t, before, dump(t, open(t, at("empty"))))
}

// A stash named X.restored or X.restoring once was deleted by a restore of X, and
// X.restored was taken for X where X was gone.
func TestARestoreTakesNoOtherStash(t *testing.T) {
	top := t.TempDir()
	u, from := filepath.Join(top, "u"), filepath.Join(top, "from")
	closed(t, u)
	closed(t, from)
	for _, name := range []string{".restored", ".restoring", ".before"} {
		_, err := open(t, u+name).Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
		require.NoError(t, err)
	}
	_, err := putBack(u, from)
	require.NoError(t, err)
	for _, name := range []string{".restored", ".restoring", ".before"} {
		require.Len(t, holdings(t, open(t, u+name), Filter{}), 1)
	}
	require.NoError(t, os.RemoveAll(u))
	require.Empty(t, holdings(t, open(t, u), Filter{})) // a new one

	// So is one in the place of a stash that its owner moved away, though a restore
	// was killed beside it.
	require.NoError(t, os.Rename(u, u+" of May"))
	work := filepath.Join(top, filepath.Base(workName(u))+"1")
	require.NoError(t, os.MkdirAll(filepath.Join(work, PhotoFolder), 0o700))
	there, err := Exists(u)
	require.NoError(t, err)
	require.False(t, there)
}

// A stash whose ledger was emptied, or gone, was once begun afresh over its photos.
func TestALostLedgerIsNotBegunAfresh(t *testing.T) {
	for what, lose := range map[string]func(ledger string) error{
		"gone": os.Remove, "empty": func(ledger string) error { return os.WriteFile(ledger, nil, 0o600) },
	} {
		top := t.TempDir()
		dir, from := filepath.Join(top, "stash"), filepath.Join(top, "from")
		closed(t, dir)
		before := closed(t, from)
		require.NoError(t, lose(filepath.Join(dir, LedgerName)))
		for _, readOnly := range []bool{true, false} {
			_, err := Open(dir, Options{Now: stashtest.Clock(), ReadOnly: readOnly})
			require.ErrorIs(t, err, ErrDamaged, what)
			require.ErrorContains(t, err, "the ledger is "+what+", but photos of a stash are there")
		}
		kept, err := putBack(dir, from)
		require.NoError(t, err)
		require.NotEmpty(t, kept)
		require.Equal(t, before, dump(t, open(t, dir)))
	}
	// A folder of your photos is no stash.
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, PhotoFolder), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(dir, PhotoFolder, "holiday.jpg"), []byte("the sea"), 0o600))
	open(t, dir)
}
