package stash

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// A name of a megabyte came in by every door, and every page and answer was as
// long as it.
func TestNamesAreNotLong(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	square := cloth.Holding{Form: cloth.Square, Count: 3, WidthIn: 2.5, Trust: 1}
	_, err := s.Add(ctx, square)
	require.NoError(t, err)
	fits, long := strings.Repeat("½", mostName), strings.Repeat("½", mostName+1)
	with := func(bin, print, basket string) cloth.Holding {
		h := square
		h.Bin, h.Print, h.Basket = bin, print, basket
		return h
	}
	imported := func(format string, v ...any) func() error {
		return func() error {
			_, err := loaded(s, fmt.Sprintf("{"+format+"}", v...))
			return err
		}
	}
	hash := strings.Repeat("a", 64)
	for what, try := range map[string]func() error{
		"bin":       func() error { _, err := s.Add(ctx, with(long, "", "")); return err },
		"print":     func() error { _, err := s.Add(ctx, with("", long, "")); return err },
		"basket":    func() error { _, err := s.Add(ctx, with("", "", long)); return err },
		"sorted":    func() error { _, err := s.Sort(ctx, map[int64]string{1: long}); return err },
		"corrected": func() error { _, err := s.Correct(ctx, 1, Correction{Basket: &long}); return err },
		"floor": func() error {
			_, err := s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Own: long}, Least: 3})
			return err
		},
		"plan":      func() error { _, err := s.SavePlan(ctx, long, []byte("1")); return err },
		"taught":    func() error { _, err := s.Teach(ctx, long, []byte("1")); return err },
		"taught by": func() error { _, err := s.TeachPieces(ctx, long, map[int64][]byte{1: []byte("1")}); return err },
		"photo": func() error {
			_, err := s.Stow(ctx, Photo{Name: "a.jpg", Bytes: []byte("a"), Basket: long})
			return err
		},
		"in holdings": imported(`"holdings":[{"form":"square","count":3,"width_in":2.5,"bin":%q,"trust":1}]`, long),
		"in prints":   imported(`"prints":[{"name":%q,"inks":[]}]`, long),
		"in photos":   imported(`"photos":[{"hash":%q,"name":"a","basket":%q}]`, hash, long),
		"in taught":   imported(`"taught":[{"bin":%q,"example":1}]`, long),
		"in plans":    imported(`"plans":[{"name":%q,"plan":1}]`, long),
		"in floors":   imported(`"floors":[{"bin":%q,"n":3}]`, long),
	} {
		err := try()
		require.ErrorIs(t, err, ErrRefused, what)
		require.ErrorContains(t, err, fmt.Sprintf("this name is %d characters long", mostName+1), what)
	}
	left, err := os.ReadDir(filepath.Join(dir, PhotoFolder))
	require.NoError(t, err)
	require.Empty(t, left)
	_, err = s.Add(ctx, with(fits, fits, fits))
	require.NoError(t, err)
	require.NoError(t, imported(`"photos":[{"hash":%q,"name":%q}]`, hash, long+"!")(), "a photo's name is only shown")
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.Equal(t, fits, photos[0].Name)
}
