package page

import (
	"bufio"
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
	a, err := v.client.Get(v.at + "/events")
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
	require.Contains(t, page, `data-stash="`+first+`"`)
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
