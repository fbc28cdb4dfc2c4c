package stash

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// A disk of 2 MB that fills up while she works: root alone can make one.
func TestAFullDiskKeepsTheOldState(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=2m"); err != nil {
		t.Skip("no small disk can be made here: ", err)
	}
	defer func() { require.NoError(t, syscall.Unmount(dir, 0)) }()
	s, err := Open(filepath.Join(dir, "stash"), Options{Now: clock()})
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
		h.Basket = strings.Repeat("x", 2000)
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
