package page

import (
	"bufio"
	"context"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
)

// An open page is told of changes, also of those by another program, and by which its
// own page was made.
func TestPagesAreToldOfChanges(t *testing.T) {
	v := visit(t)
	code, _, _ := v.get("/events")
	require.Equal(t, http.StatusForbidden, code)
	v.enter()
	a, err := v.client.Get(v.to("/events?of=/shelf"))
	require.NoError(t, err)
	defer a.Body.Close()
	lines := bufio.NewScanner(a.Body)
	next := func() string {
		for lines.Scan() {
			if n, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				return n
			}
		}
		return ""
	}
	require.Equal(t, "0", next())
	other := desk.New(v.stash, desk.Options{Now: time.Now})
	defer other.Close()
	_, err = other.Add(t.Context(), desk.AddRequest{Holding: cloth.Holding{Form: cloth.Square, Count: 4, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Teal, Value: cloth.Dark}})
	require.NoError(t, err)
	first := next()
	require.NotEqual(t, "0", first)
	_, page, _ := v.get("/shelf")
	require.Contains(t, page, `data-version="`+first+`"`)
	_, err = other.Undo(t.Context(), 1, nil)
	require.NoError(t, err)
	require.NotEqual(t, first, next())
}

// Every script and style sheet that a page names is there.
func TestWhatPagesNameIsThere(t *testing.T) {
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, source := range sources {
		text, err := os.ReadFile(source)
		require.NoError(t, err)
		for _, m := range regexp.MustCompile(`staticAt\("([^"]+)"\)`).FindAllStringSubmatch(string(text), -1) {
			require.FileExists(t, filepath.Join("static", m[1]), source)
		}
	}
}

// A page of photos that wait is told of what is said of them, and of nothing else.
func TestPagesAreToldOfWhatWaits(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, at := v.send([]string{"table.jpg"}, table(t))
	now := func(path string) string { return v.server.version(t.Context(), path) }
	photo, list, stash := now(at), now("/"), now("/shelf")
	require.Contains(t, page, `data-version="`+photo+`"`)
	v.post(at+"/say", "do", "right", "pieces", "1")
	require.NotEqual(t, photo, now(at))
	photo = now(at)
	v.again()
	require.Equal(t, photo, now(at), "another start of the server is no change")
	require.Equal(t, []string{list, stash}, []string{now("/"), now("/shelf")})
	_, _, other := v.send([]string{"table.jpg"}, table(t))
	require.NotEqual(t, list, now("/"))
	require.Equal(t, photo, now(at))
	v.post(batchAt(other) + "/drop")
	require.Equal(t, list, now("/"))
	_, _, two := v.send([]string{"table.jpg", "notes.jpg"}, table(t), []byte("notes"))
	both := now("/")
	v.post(batchAt(two)+"/drop", "photo", "2")
	require.NotEqual(t, both, now("/"), "one photo fewer waits")
	v.post(batchAt(two) + "/drop")
	v.post(batchAt(at) + "/stow")
	require.NotEqual(t, photo, now(at))
	require.NotEqual(t, stash, now("/shelf"))
	_, page, _ = v.post("/data/check")
	require.NotContains(t, page, "data-version", "what was sent by a form is not asked for again")
}

// A page that listens does not keep the server from ending.
func TestStreamsEndWithTheServer(t *testing.T) {
	v := filled(t)
	l, err := net.Listen("tcp", ownHost+":0")
	require.NoError(t, err)
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- v.server.Serve(ctx, l) }()
	at := "http://" + l.Addr().String()
	r, err := http.NewRequest(http.MethodGet, at+v.server.root+"/events?of=/shelf", nil)
	require.NoError(t, err)
	r.AddCookie(&http.Cookie{Name: cookieOf(r.URL.Host), Value: v.server.session})
	a, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer a.Body.Close()
	require.Equal(t, http.StatusOK, a.StatusCode)
	end()
	require.ErrorIs(t, <-ended, context.Canceled)
}
