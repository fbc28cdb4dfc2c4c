package archive

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/stash"
	"piecebag/internal/stash/stashtest"
)

func TestMain(m *testing.M) {
	stashtest.Main(m, func(before func(string), words []string) error {
		do, dir, file := words[0], words[1], words[2]
		o := stash.Options{Now: time.Now, Before: before}
		if do == "restore" {
			_, err := Restore(ctx, file, dir, o)
			return err
		}
		s, err := stash.Open(dir, o)
		if err != nil {
			return err
		}
		return errors.Join(Backup(ctx, s, file), s.Close())
	})
}

// Killed between any two of its steps, a restore has not happened or is whole, and the
// next leaves nothing behind.
func TestARestoreKilledBetweenAnyTwoSteps(t *testing.T) {
	top := t.TempDir()
	file := filepath.Join(top, "stash.zip")
	s := filled(t, filepath.Join(top, "from"))
	restored := dump(t, s.Dir())
	require.NoError(t, Backup(ctx, s, file))
	for n, done := 0, false; !done; n++ {
		dir := filepath.Join(top, fmt.Sprint("new ", n), "stash")
		if n%2 == 0 {
			require.NoError(t, os.MkdirAll(dir, 0o700))
		}
		done = stashtest.KilledAt(t, n, "restore", dir, file)
		s, err := stash.Open(dir, stash.Options{Now: stashtest.Clock(), ReadOnly: true})
		if err == nil {
			require.NoError(t, s.Close())
		} else {
			require.False(t, done)
			_, err := Restore(ctx, file, dir, stash.Options{Now: stashtest.Later})
			require.NoError(t, err)
		}
		require.Equal(t, restored, dump(t, dir))
		require.Empty(t, workFolders(t, dir))
	}
}

// A backup killed between any two of its steps leaves the one before it, and the next
// clears away what it left.
func TestABackupKilledBetweenAnyTwoSteps(t *testing.T) {
	top := t.TempDir()
	dir, file := filepath.Join(top, "stash"), filepath.Join(top, "stash.zip")
	s := filled(t, dir)
	require.NoError(t, Backup(ctx, s, file))
	require.NoError(t, s.Close())
	for n, done := 0, false; !done; n++ {
		done = stashtest.KilledAt(t, n, "backup", dir, file)
		to := filepath.Join(top, fmt.Sprint("back ", n))
		_, err := Restore(ctx, file, to, stash.Options{Now: stashtest.Clock()})
		require.NoError(t, err)
	}
	s, err := stash.Open(dir, stash.Options{Now: stashtest.Later})
	require.NoError(t, err)
	require.NoError(t, Backup(ctx, s, file))
	require.NoError(t, s.Close())
	left, err := filepath.Glob(filepath.Join(top, backupPrefix+"*"))
	require.NoError(t, err)
	require.Empty(t, left)
}
