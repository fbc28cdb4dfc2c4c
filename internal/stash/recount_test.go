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
