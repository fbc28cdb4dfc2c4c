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

// Bands are no pieces to use, but where you name one by its number.
func TestABandIsTakenByItsNumber(t *testing.T) {
	s := open(t, t.TempDir())
	_, err := s.Add(ctx, cloth.Holding{Form: cloth.Band, Count: 3, Family: cloth.Red})
	require.NoError(t, err)
	_, err = s.Use(ctx, Removal{Filter: Filter{Family: cloth.Red}, Count: 1})
	require.ErrorIs(t, err, ErrShort)
	_, err = s.Use(ctx, Removal{Filter: Filter{IDs: []int64{1}}, Count: 2})
	require.NoError(t, err)
	require.Equal(t, 1, holdings(t, s, Filter{})[0].Count)
}
