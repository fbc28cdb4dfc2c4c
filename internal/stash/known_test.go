package stash

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// A stash is known by its ledger, and by its photos where that is damaged.
func TestAFolderIsKnownForAStash(t *testing.T) {
	dir := t.TempDir()
	require.False(t, isFolder(dir))
	s := open(t, dir)
	_, err := s.Add(ctx, byHand(1, cloth.Blue, cloth.Dark, 2.5))
	require.NoError(t, err)
	require.NoError(t, s.Close())
	require.True(t, isFolder(dir))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, PhotoFolder)))
	require.True(t, isFolder(dir), "without photos")
	require.NoError(t, os.WriteFile(filepath.Join(dir, LedgerName), []byte("no ledger any more"), 0o600))
	require.False(t, isFolder(dir), "a file that has its name")
	require.NoError(t, os.Mkdir(filepath.Join(dir, PhotoFolder), 0o700))
	require.True(t, isFolder(dir), "a damaged ledger with its photos")
	require.NoError(t, os.Remove(filepath.Join(dir, LedgerName)))
	require.False(t, isFolder(dir))
}

// A shelf is not sorted in a way that there is none of, whoever asks for it.
func TestNoSortingThatThereIsNot(t *testing.T) {
	s := open(t, t.TempDir())
	v := DefaultSettings
	v.Bins = shelf.Sorting(len(shelf.Sortings))
	_, err := s.SetSettings(ctx, v)
	require.ErrorIs(t, err, ErrRefused)
	_, err = settingsOf(map[string]float64{"bins": 0.5})
	require.ErrorIs(t, err, ErrRefused)
	v.Bins = shelf.ByValue
	_, err = s.SetSettings(ctx, v)
	require.NoError(t, err)
	got, err := s.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, shelf.ByValue, got.Bins)
}
