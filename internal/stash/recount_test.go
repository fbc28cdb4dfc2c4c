package stash

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// What was said of the photo when it first came in is no longer so.
func TestALaterLookGoesByTheRecount(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", squares(3)...)
	stow(t, s, p)
	p.As, p.Cut = cloth.Strip, 1.5
	_, _, err := s.Recount(ctx, "tin", 1.5, p)
	require.NoError(t, err)
	counted := holdings(t, s, Filter{})
	require.Equal(t, cloth.Strip, counted[0].Form)
	_, err = relook(s, Hash(p.Bytes), p.Sheet)
	require.NoError(t, err)
	require.Equal(t, counted, holdings(t, s, Filter{}))
}

// A piece that you merged, of which a recount finds a part in two, is one piece still.
func TestARecountFindsAMergedPieceInSmallerParts(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", squares(3)...)
	stow(t, s, p)
	correct(t, s, 1, Correction{Merge: []int64{2}})
	found := squares(4)
	found[1].Polygon, found[3].Polygon = box(120, 0, 50, 100), box(170, 0, 50, 100)
	p.Sheet = sheet(found...)
	_, _, err := s.Recount(ctx, "tin", 0, p)
	require.NoError(t, err)
	require.Len(t, holdings(t, s, Filter{}), 2)
}
