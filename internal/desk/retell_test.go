package desk

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/stash"
)

// What is said of a photo that the stash has is put onto its pieces, as one change; what
// was used since is told apart, and what was said before is not said again.
func TestRetell(t *testing.T) {
	d := newDesk(t, filepath.Join(t.TempDir(), "stash"))
	file := filepath.Join(t.TempDir(), "a.jpg")
	require.NoError(t, os.WriteFile(file, []byte("a photo"), 0o600))
	s := mendable()
	s.Pieces = append(s.Pieces, cloth.Piece{ID: 4, Polygon: box(310, 10, 60, 100), Family: cloth.Red, Value: cloth.Light, WidthIn: 2, LengthIn: 2})
	var before Mend
	before.Say(stash.Correction{Family: cloth.Green}, false, s.Pieces[0].Polygon)
	looked := Looked{Sheet: s, Said: before.Stow()}
	in, err := d.StowLooked(ctx, file, looked, StowRequest{Basket: "tin"})
	require.NoError(t, err)
	_, err = d.Use(ctx, stash.Removal{Filter: stash.Filter{IDs: []int64{in.IDs[2]}}, Count: 1})
	require.NoError(t, err)
	held := func() []cloth.Holding {
		p, err := d.Pieces(ctx, PiecesRequest{})
		require.NoError(t, err)
		return p.Held
	}
	was := held()
	hash, err := d.Knows(ctx, stash.Hash([]byte("a photo")))
	require.NoError(t, err)
	require.Equal(t, in.Hash, hash)
	none, err := d.Knows(ctx, stash.Hash([]byte("another")))
	require.NoError(t, err)
	require.Empty(t, none)

	r := RetellRequest{Hash: hash, Looked: looked, Mend: *before.Clone(), Before: &before}
	same, err := d.Retell(ctx, r)
	require.NoError(t, err)
	require.Zero(t, same.Change.ID, "nothing is said that was not said before")
	require.Empty(t, same.Put)

	name := "stripes"
	r.Mend.Say(stash.Correction{Value: cloth.Medium, Print: &name}, false, s.Pieces[2].Polygon)
	r.Mend.Say(stash.Correction{WidthIn: 3}, false, s.Pieces[1].Polygon)
	r.Mend.Say(stash.Correction{NotAPiece: true}, false, s.Pieces[3].Polygon)
	r.Mend.Say(stash.Correction{Family: cloth.Pink}, false, box(0, 150, 40, 40))
	told, err := d.Retell(ctx, r)
	require.NoError(t, err)
	require.Equal(t, []Told{{3, in.IDs[3], "medium, print stripes"}, {4, 0, "no cloth"}}, told.Put)
	require.Equal(t, []Told{{2, 0, "cut 3"}, {0, 0, "pink"}}, told.Not)
	require.Empty(t, told.More)
	require.Len(t, told.Fewer, 1)
	now := held()
	require.Len(t, now, 2)
	require.Equal(t, []any{cloth.Green, "tin", cloth.Medium, "stripes"}, []any{now[0].Family, now[0].Basket, now[1].Value, now[1].Print})
	_, err = d.Undo(ctx, 1, nil)
	require.NoError(t, err)
	require.Equal(t, was, held())

	// Where pieces are drawn anew, the stash has them so.
	require.NoError(t, r.Mend.Split(s, 2, geom.Point{X: 250, Y: 0}, geom.Point{X: 250, Y: 150}))
	again := mendable()
	again.Pieces = nil
	for i, g := range r.Mend.Drawn {
		again.Pieces = append(again.Pieces, cloth.Piece{ID: i + 1, Polygon: g, Family: cloth.Blue, Value: cloth.Dark})
	}
	r.Looked.Sheet = again
	told, err = d.Retell(ctx, r)
	require.NoError(t, err)
	require.Contains(t, told.Put, Told{3, told.Put[0].ID, "drawn"})
	stripes := 0
	for _, h := range held() {
		if h.Print == name && h.Value == cloth.Medium {
			stripes++
		}
	}
	require.Equal(t, 2, stripes)
	_, err = d.Retell(ctx, RetellRequest{Hash: stash.Hash(nil)})
	require.ErrorIs(t, err, stash.ErrUnknown)
}
