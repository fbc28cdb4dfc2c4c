package page

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/desk"
	"piecebag/internal/shelf"
)

// The first run lends a stash to play in. What is done to it is never in yours, and it
// goes with the server.
func TestTheStashToPlayInNeverMixesWithYours(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/shelf")
	require.NotContains(t, page, `action="/play"`, "nobody lends one")
	code, _, _ := v.post("/play")
	require.Equal(t, 400, code)
	v.server.Lend(Loan{Whose: "our neighbours", Photos: fstest.MapFS{"tin-of-squares.jpg": {Data: table(t)}}, Floor: shelf.Floor{Least: 3},
		As: func(name string) desk.StowRequest { return desk.StowRequest{Basket: "of " + name, New: true} }})
	t.Cleanup(func() { require.NoError(t, v.server.play.end()) })
	for range 2 { // without a folder, and with an empty one
		for _, path := range []string{"/", "/shelf", "/buy", "/refill"} { // wherever a newcomer comes first
			code, page, _ = v.get(path)
			require.Equal(t, 200, code)
			require.Contains(t, page, `action="/play"`, path)
			require.NotContains(t, page, "did not work", path)
		}
		require.NoError(t, os.MkdirAll(v.stash, 0o700))
	}
	_, page, _ = v.post("/play")
	require.Contains(t, page, "You play with the stash of our neighbours")
	require.Eventually(t, func() bool {
		_, page, _ = v.get("/pieces")
		return strings.Contains(page, "nothing of it is in yours") && strings.Contains(page, `alt="piece 1: `)
	}, time.Minute, 50*time.Millisecond)
	require.Contains(t, page, `value="of tin-of-squares"`)
	require.Contains(t, page, `method="post" action="/at-play/fix"`)
	code, page, _ = v.post("/fix", "pieces", "1", "bin", "borrowed")
	require.Equal(t, 400, code, "a page of your own stash that was left open")
	require.Contains(t, page, "of your own stash")
	v.post("/at-play/fix", "pieces", "1", "bin", "borrowed")
	v.post("/at-play/add", "count", "4", "family", "red", "cut", "2½")
	yours, err := os.ReadDir(v.stash)
	require.NoError(t, err)
	require.Empty(t, yours, "yours is not even begun")

	_, page, _ = v.post("/play/leave")
	require.Contains(t, page, "The shelf is empty")
	code, page, at := v.send([]string{"first.jpg"}, table(t))
	require.Equal(t, 200, code, "a first photo is mended in an empty folder as well")
	require.Contains(t, page, `action="`+batchAt(at)+`/stow"`)
	v.post(batchAt(at) + "/drop")
	code, page, _ = v.post("/at-play/add", "count", "4", "family", "red", "cut", "2½")
	require.Equal(t, 400, code, "a page of the other stash that was left open")
	require.Contains(t, page, "the stash you played with")
	_, page, _ = v.post("/play")
	require.Contains(t, page, "<h3>borrowed", "it is as you left it")
	folder := v.server.play.folder
	v.post("/play/leave")
	require.NoError(t, v.server.play.end())
	_, err = os.Stat(folder)
	require.ErrorIs(t, err, os.ErrNotExist)
	left, err := filepath.Glob(v.stash + ".*/*")
	require.NoError(t, err)
	require.Empty(t, left, "nothing of it lies beside yours")
}

// A stash that is named and not there yet is begun by what is first put in.
func TestANamedStashMayBegin(t *testing.T) {
	d := desk.New(filepath.Join(t.TempDir(), "new"), desk.Options{Now: time.Now, Named: true})
	t.Cleanup(func() { require.NoError(t, d.Close()) })
	_, err := d.Shelf(t.Context(), desk.ShelfRequest{})
	require.ErrorIs(t, err, desk.ErrNoStash)
	s, err := New(d)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	_, err = d.Shelf(t.Context(), desk.ShelfRequest{})
	require.NoError(t, err)
}
