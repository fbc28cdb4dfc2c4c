package page

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Photos that came while others did, so that there is no room for one more batch, are
// refused and leave nothing; those that are taken back are not.
func TestNoMoreBatchesThanMayBe(t *testing.T) {
	dir := t.TempDir()
	w, err := openWaiting(filepath.Join(dir, "waiting"), filepath.Join(dir, "stowed"), nowhere)
	require.NoError(t, err)
	begin := func() *batch {
		b, err := w.begin()
		require.NoError(t, err)
		require.NoError(t, b.add("a.jpg", strings.NewReader("four")))
		return b
	}
	one, two := begin(), begin()
	shown := func(in *batch, most int) error {
		b, err := w.join(in, nil)
		require.NoError(t, err)
		defer b.mu.Unlock()
		return w.show(b, most)
	}
	require.NoError(t, shown(one, 1))
	require.ErrorIs(t, shown(two, 1), errFull)
	w.drop(two)
	require.NoDirExists(t, two.dir)
	require.NoError(t, shown(begin(), math.MaxInt))
	require.Len(t, w.all(), 2)

	// All that waits is bounded, what nobody sees yet with it.
	_, err = w.room(nil)
	require.NoError(t, err)
	data, err := os.ReadFile(filepath.Join(one.dir, batchFile))
	require.NoError(t, err)
	w.count()
	w.most = int64(2*(4+len(data))) + 4
	_, err = w.room(nil)
	require.NoError(t, err)
	hidden := begin()
	_, err = w.room(nil)
	require.ErrorIs(t, err, errFull)
	again, err := openWaiting(w.folder, filepath.Join(dir, "stowed"), nowhere)
	require.NoError(t, err)
	again.most = w.most
	_, err = again.room(nil)
	require.ErrorIs(t, err, errFull, "what waited before the program was started")
	w.drop(hidden)
	_, err = w.room(nil)
	require.NoError(t, err)
	require.NoError(t, os.RemoveAll(again.all()[0].dir), "deleted outside of the page")
	_, err = again.room(nil)
	require.NoError(t, err)
}
