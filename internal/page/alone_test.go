package page

import (
	"net"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/stash/disk"
)

// Two servers of one stash once overwrote what was said of photos: the second is told where
// the first answers, and breaks nothing; where the first has ended it comes in.
func TestOneServerOfAStash(t *testing.T) {
	v := visit(t)
	v.enter()
	_, before, _ := v.send([]string{"one.jpg"}, table(t))
	second := func() (*Server, error) { return New(desk.New(v.stash, desk.Options{Now: time.Now})) }
	_, err := second()
	require.Equal(t, v.stash, fault.Of(err).About)
	require.Equal(t, "another piecebag serves this stash", fault.Of(err).Why, "it said nowhere yet where")
	address, err := v.server.Announce(&net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 81})
	require.NoError(t, err)
	require.Contains(t, address, "http://127.0.0.1:81/enter?key=")
	_, err = second()
	require.Equal(t, "another piecebag serves this stash, at "+address, fault.Of(err).Why)
	require.NotEmpty(t, before)

	require.NoError(t, v.server.Close())
	s, err := second()
	require.NoError(t, err)
	require.Len(t, s.waiting.all(), 1)
	_, err = second()
	require.NotContains(t, err.Error(), address, "that one has ended")
	require.NoError(t, s.Close())
	require.NoError(t, v.server.Close(), "a second time is no fault")

	// Where no lock can be had nothing can be written that another would overwrite.
	dir := t.TempDir()
	a, err := holdAlone(filepath.Join(dir, "file", "serving"), dir)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "none"), nil, 0o600))
	b, err := holdAlone(filepath.Join(dir, "none", "serving"), dir)
	require.NoError(t, err)
	require.NoError(t, b.says("x"))
	require.NoError(t, b.end())
	require.NoError(t, a.end())
	_, err = disk.Lock(filepath.Join(dir, "none", "serving"))
	require.Error(t, err)
}

// What was taken away outside of the page is said to be gone, and waits no more.
func TestABatchThatIsGone(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"one.jpg"}, table(t))
	require.NoError(t, os.RemoveAll(v.server.waiting.folder))
	code, page, _ := v.post(batchAt(at) + "/stow")
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "these photos are stowed, or were thrown away")
	require.Empty(t, v.server.waiting.all())
}
