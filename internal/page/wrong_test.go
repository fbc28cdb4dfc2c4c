package page

import (
	"bytes"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
)

// Whatever goes wrong is said in plain words; no page names a place of this machine's
// disk, and what only who mends the program can use is in the log.
func TestNoPageNamesAPlace(t *testing.T) {
	v := stocked(t)
	var log bytes.Buffer
	v.server.LogTo(&log)
	place := filepath.Dir(v.stash)
	torn := table(t)[:900]
	says := func(code int, page, words string) {
		t.Helper()
		require.Contains(t, page, words)
		require.NotContains(t, page, place)
		require.NotContains(t, page, os.TempDir()+"/")
	}
	code, page, _ := v.sendForm("/teach/photos", "photo", "my torn photo.jpg", torn, "to", "sea greens")
	says(code, page, "my torn photo.jpg")
	code, page, _ = v.sendForm("/contrast", "photo", "my torn photo.jpg", torn)
	says(code, page, "my torn photo.jpg")
	code, page, at := v.send([]string{"my torn photo.jpg", "table.jpg"}, torn, table(t))
	says(code, page, "my torn photo.jpg")
	code, page, _ = v.post(batchAt(at) + "/stow")
	says(code, page, "known already")
	for _, path := range []string{"/data/import", "/data/restore"} {
		code, page, _ = v.sendForm(path, "file", "quilts.backup", torn, "sure", "1")
		says(code, page, "quilts.backup")
	}

	require.NoError(t, os.WriteFile(filepath.Join(v.stash, "photos", "stray.jpg"), torn, 0o600))
	photos, err := filepath.Glob(filepath.Join(v.stash, "photos", "*.jpg"))
	require.NoError(t, err)
	for _, p := range photos {
		require.NoError(t, os.WriteFile(p, torn, 0o600))
	}
	code, page, _ = v.post("/data/check")
	says(code, page, "stray.jpg")
	code, page, _ = v.post("/data/check", "repair", "1")
	says(code, page, "moved to")

	require.Empty(t, log.String(), "until now all was said")
	require.NoError(t, os.RemoveAll(v.server.cloth.folder))
	require.NoError(t, os.WriteFile(v.server.cloth.folder, nil, 0o600))
	_, _, at = v.send([]string{"b.jpg"}, spread(t, 9))
	v.post(batchAt(at) + "/stow")
	code, page, _ = v.get("/shelf?as=html")
	require.Equal(t, http.StatusInternalServerError, code)
	says(code, page, "something failed that should not have")
	require.Contains(t, log.String(), "GET /shelf: mkdir "+v.server.cloth.folder)

	require.NoError(t, os.RemoveAll(v.server.waiting.folder))
	require.NoError(t, os.WriteFile(v.server.waiting.folder, nil, 0o600))
	code, page, _ = v.send([]string{"c.jpg"}, table(t))
	says(code, page, "the folder of photos not stowed yet")
}

// What a machine lacks is said so that you can see to it.
func TestTheUnforeseenInPlainWords(t *testing.T) {
	v := visit(t)
	r, err := http.NewRequest("POST", "/stow", nil)
	require.NoError(t, err)
	for err, words := range map[error]string{
		syscall.ENOSPC: "the disk is full", syscall.EROFS: "may not write", os.ErrDeadlineExceeded: "did not come whole", os.ErrPermission: "may not write", os.ErrClosed: "should not have",
	} {
		_, f := v.server.unforeseen(r, fmt.Errorf("write %s: %w", v.stash, err))
		require.Contains(t, f.Error(), words)
		require.NotContains(t, f.Full(), v.stash)
	}
	wrong, _ := v.server.said(fault.New(v.stash+"/photos/x.jpg", "it is not in "+v.stash+".crops/aa, nor in "+v.stash+"x", ""))
	require.Equal(t, "the stash: it is not in the stash, nor in the stashx", wrong)
}

// A panic cut the connection with no answer at all.
func TestAPanicIsAnswered(t *testing.T) {
	v := stocked(t)
	var log bytes.Buffer
	v.server.LogTo(&log)
	whole := v.server.cloth
	v.server.cloth = nil
	code, page, _ := v.get("/shelf?as=html")
	require.Equal(t, http.StatusInternalServerError, code)
	require.Contains(t, page, "something failed that should not have")
	require.Contains(t, page, `>Shelf</a>`, "and leads on")
	require.Contains(t, log.String(), "GET /shelf: panic: ")
	require.Contains(t, log.String(), ".go:", "where it was")
	v.server.cloth = whole
	code, _, _ = v.get("/shelf?as=html")
	require.Equal(t, http.StatusOK, code, "the server goes on")
}

// An answer that broke off would pass for a whole one.
func TestAPanicInTheMiddleOfAnAnswerCutsIt(t *testing.T) {
	v := visit(t)
	w := httptest.NewRecorder()
	require.PanicsWithValue(t, http.ErrAbortHandler, func() {
		defer v.server.survive(w, httptest.NewRequest(http.MethodGet, "/", nil))
		writeData(w, http.StatusOK, "half")
		panic("no more of it")
	})
}
