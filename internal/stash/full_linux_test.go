package stash

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/stash/stashtest"
)

// A disk of 2 MB that fills up while you work: root alone can make one.
func TestAFullDiskKeepsTheOldState(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=2m"); err != nil {
		t.Skip("no small disk can be made here: ", err)
	}
	defer func() { require.NoError(t, syscall.Unmount(dir, 0)) }()
	s, err := Open(filepath.Join(dir, "stash"), Options{Now: stashtest.Clock()})
	require.NoError(t, err)
	defer s.Close()
	stow(t, s, photo("a.jpg", squares(5)...))
	before := dump(t, s)

	// First the photo does not fit.
	p := photo("b.jpg", squares(5)...)
	p.Bytes = make([]byte, 3<<20)
	_, err = s.Stow(ctx, p)
	require.ErrorIs(t, err, ErrFull)
	require.ErrorContains(t, err, "the disk is full; nothing was changed")
	require.Equal(t, before, dump(t, s))

	// Then the ledger does not.
	ballast := filepath.Join(dir, "ballast")
	room := make([]byte, 3<<20)
	for len(room) > 4096 {
		if os.WriteFile(ballast, room, 0o600) == nil {
			break
		}
		room = room[:len(room)-4096]
	}
	done := 0
	for {
		h := byHand(1, cloth.Red, cloth.Dark, 2.5)
		h.Basket = strings.Repeat("x", mostName)
		if _, err = s.Add(ctx, h); err != nil {
			break
		}
		done++
	}
	require.ErrorIs(t, err, ErrFull)
	require.Len(t, holdings(t, s, Filter{}), 5+done)
	require.NoError(t, os.Remove(ballast))
	_, err = s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	require.Len(t, holdings(t, s, Filter{}), 6+done)
	healthy(t, s)
}

// readAll reads a stash in every way.
func readAll(t *testing.T, dir string, want int) {
	t.Helper()
	s, err := Open(dir, Options{Now: stashtest.Clock(), ReadOnly: true})
	require.NoError(t, err)
	defer s.Close()
	require.Len(t, holdings(t, s, Filter{}), want)
	_, err = s.Counts(ctx)
	require.NoError(t, err)
	_, err = s.History(ctx, 0)
	require.NoError(t, err)
	content(t, s)
	healthy(t, s)
	_, err = s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
	require.ErrorIs(t, err, ErrReadOnly)
}

// On a full disk, and in a folder that cannot be written, the stash could once
// not be looked at.
func TestReadingWritesNothing(t *testing.T) {
	for _, killed := range []bool{false, true} {
		disk := t.TempDir()
		if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=2m"); err != nil {
			t.Skip("no small disk can be made here: ", err)
		}
		defer func() { require.NoError(t, syscall.Unmount(disk, 0)) }()
		dir, elsewhere := filepath.Join(disk, "stash"), t.TempDir()
		s := open(t, elsewhere)
		stow(t, s, photo("a.jpg", squares(5)...))
		if !killed {
			require.NoError(t, s.Close())
		}
		// Of a killed process the log is left, and the index of it is not.
		require.NoError(t, os.MkdirAll(filepath.Join(dir, PhotoFolder), 0o700))
		require.NoError(t, copyFile(filepath.Join(elsewhere, LedgerName), filepath.Join(dir, LedgerName)))
		if killed {
			require.NoError(t, copyFile(filepath.Join(elsewhere, LedgerName+"-wal"), filepath.Join(dir, LedgerName+"-wal")))
		}
		photos, err := filepath.Glob(filepath.Join(elsewhere, PhotoFolder, "*"))
		require.NoError(t, err)
		for _, p := range photos {
			require.NoError(t, copyFile(p, filepath.Join(dir, PhotoFolder, filepath.Base(p))))
		}
		ballast := filepath.Join(disk, "ballast")
		f, err := os.Create(ballast)
		require.NoError(t, err)
		for err == nil {
			_, err = f.Write(make([]byte, 4096))
		}
		require.NoError(t, f.Close())
		readAll(t, dir, 5)
		if !killed { // there is no room for the log
			_, err = Open(dir, Options{Now: stashtest.Clock()})
			require.ErrorIs(t, err, ErrFull)
			require.ErrorContains(t, err, "the disk is full")
		}
		require.NoError(t, os.Remove(ballast))
		require.NoError(t, syscall.Mount("", disk, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
		readAll(t, dir, 5)
		w, err := Open(dir, Options{Now: stashtest.Clock()})
		if err == nil {
			_, err = w.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
			require.NoError(t, w.Close())
		}
		require.ErrorIs(t, err, ErrReadOnly)
		require.ErrorContains(t, err, "the folder cannot be written")
	}
}
