package stash

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// What photos look like is noted beside them: missing at first, kept by a backup,
// and gone from the list with the photo.
func TestLikenesses(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("table.png", squares(2)...)
	got := stow(t, s, p)
	all, err := s.Likenesses(ctx)
	require.NoError(t, err)
	require.Len(t, all, 1)
	require.Equal(t, got.Hash, all[0].Hash)
	require.Equal(t, p.Name, all[0].Name)
	require.Empty(t, all[0].Look)
	require.Equal(t, len(p.Sheet.Pieces), all[0].Pieces)
	require.FileExists(t, all[0].Path)

	require.NoError(t, s.KeepLook(ctx, got.Hash, "c0ffee"))
	require.NoError(t, s.KeepLook(ctx, got.Hash, "c0ffef"))
	all, err = s.Likenesses(ctx)
	require.NoError(t, err)
	require.Equal(t, "c0ffef", all[0].Look)
	healthy(t, s)

	dir := t.TempDir()
	_, err = s.CopyLedger(ctx, filepath.Join(dir, LedgerName))
	require.NoError(t, err)
	again, err := open(t, dir).Likenesses(ctx)
	require.NoError(t, err)
	require.Equal(t, "c0ffef", again[0].Look)

	_, err = s.Undo(ctx)
	require.NoError(t, err)
	all, err = s.Likenesses(ctx)
	require.NoError(t, err)
	require.Empty(t, all)
}
