package page

import (
	"bytes"
	"image"
	_ "image/jpeg"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/report"
)

// stocked is a visitor of a stash with a photo in it, in the basket sea chest.
func stocked(t *testing.T) *visitor {
	t.Helper()
	v := visit(t)
	v.enter()
	file := filepath.Join(t.TempDir(), "table.jpg")
	require.NoError(t, os.WriteFile(file, table(t), 0o600))
	_, err := v.server.desk.Stow(t.Context(), desk.StowRequest{Files: []string{file}, Basket: "sea chest"})
	require.NoError(t, err)
	return v
}

// held is what the stash holds of some pieces.
func (v *visitor) held(text string) []cloth.Holding {
	v.t.Helper()
	n, err := desk.ReadNumbers(text)
	require.NoError(v.t, err)
	p, err := v.server.desk.Pieces(v.t.Context(), desk.PiecesRequest{})
	require.NoError(v.t, err)
	var out []cloth.Holding
	for _, h := range p.Held {
		for _, id := range n.All {
			if h.ID == id {
				out = append(out, h)
			}
		}
	}
	return out
}

// Each piece is shown by its crop, which is cut out of the photo once: a photo that is
// gone since is not missed, and a browser may keep what it has.
func TestAPieceIsShownAsItsCloth(t *testing.T) {
	v := stocked(t)
	_, page, _ := v.get("/pieces")
	at := regexp.MustCompile(`src="(/cloth/(\d+)/[0-9a-f]+)" alt="piece (\d+): [^"]+"`).FindAllStringSubmatch(page, -1)
	require.Greater(t, len(at), 2)
	cropped := func(path string) image.Config {
		a, err := v.client.Get(v.to(path))
		require.NoError(t, err)
		defer a.Body.Close()
		require.Equal(t, 200, a.StatusCode)
		require.Equal(t, "image/jpeg", a.Header.Get("Content-Type"))
		require.Contains(t, a.Header.Get("Cache-Control"), "immutable")
		c, _, err := image.DecodeConfig(a.Body)
		require.NoError(t, err)
		return c
	}
	first := cropped(at[0][1])
	require.Positive(t, min(first.Width, first.Height))
	photos, err := filepath.Glob(filepath.Join(v.stash, "photos", "*"))
	require.NoError(t, err)
	require.Len(t, photos, 1)
	require.NoError(t, os.Rename(photos[0], photos[0]+".away"))
	for _, m := range at[1:] {
		require.Equal(t, m[2], m[3])
		cropped(m[1])
	}
	_, page, _ = v.get("/pieces/" + at[0][2])
	large := regexp.MustCompile(`src="(/cloth/\d+/[0-9a-f]+\?large=1)"`).FindStringSubmatch(page)
	require.NotNil(t, large)
	code, _, _ := v.get(large[1])
	require.Equal(t, http.StatusBadRequest, code, "what was never cut out cannot be")
	require.NoError(t, os.Rename(photos[0]+".away", photos[0]))
	require.GreaterOrEqual(t, cropped(large[1]).Width, first.Width)

	_, shelf, _ := v.get("/shelf")
	require.Contains(t, shelf, `src="/cloth/`)
	require.NoError(t, v.server.cloth.write(strings.Repeat("0", 32), report.Crop{W: 1, H: 1, JPEG: []byte("not ours")}))
	require.NoError(t, os.Rename(filepath.Join(v.server.cloth.folder, strings.Repeat("0", 32)), filepath.Join(filepath.Dir(v.stash), "elsewhere")))
	for _, bad := range []string{"/cloth/1/..%2felsewhere", "/cloth/1/0000", "/cloth/1/" + strings.Repeat("0", 32), "/cloth/x/" + strings.Repeat("0", 32), "/cloth/1/..%2f..%2fledger", "/photo/..%2f..%2fledger", "/photo/00"} {
		code, _, _ := v.get(bad)
		assert.Equal(t, http.StatusBadRequest, code, bad)
	}
}

// The crops that were used longest ago go when there are too many.
func TestNoCropIsReadElsewhere(t *testing.T) {
	v := stocked(t)
	store := v.server.cloth
	require.NoError(t, store.write(sumOf("here"), report.Crop{W: 1, H: 1}))
	_, ok := store.read(sumOf("here"))
	require.True(t, ok)
	require.NoError(t, os.Rename(filepath.Join(store.folder, sumOf("here")), filepath.Join(store.folder, "..", "elsewhere")))
	_, ok = store.read("../elsewhere")
	require.False(t, ok, "a key is no path")
	code, _, _ := v.get("/cloth/1/..%2Felsewhere")
	require.Equal(t, http.StatusBadRequest, code)
}

func TestCropsAreBounded(t *testing.T) {
	v := stocked(t)
	_, page, _ := v.get("/pieces")
	v.get(regexp.MustCompile(`/cloth/\d+/[0-9a-f]+`).FindString(page))
	kept := func() int {
		all, err := os.ReadDir(v.server.cloth.folder)
		require.NoError(t, err)
		return len(all)
	}
	n := kept()
	require.Greater(t, n, 2)
	require.NoError(t, v.server.cloth.prune(1<<20, 1<<20))
	require.Equal(t, n, kept())
	require.NoError(t, v.server.cloth.prune(1<<10, 1<<13))
	require.Less(t, kept(), n)
	require.Positive(t, kept(), "as many stay as there is room for")
	require.NoError(t, (&cropStore{folder: filepath.Join(v.stash, "none")}).prune(1, 1), "nothing was kept yet")
}

// A part of the stash is shown by what its forms ask, and a word that means nothing is
// refused with what may be written.
func TestPiecesAreFiltered(t *testing.T) {
	v := stocked(t)
	v.post("/fix", "pieces", "1", "family", "teal", "value", "dark", "cut", "2½", "form", "square", "print", "anchors")
	for query, want := range map[string]bool{
		"family=teal": true, "family=teal&value=light": false, "value=dark&family=teal": true, "cut=2½&family=teal": true, "cut=3&family=teal": false,
		"print=anchors": true, "basket=sea+chest&family=teal": true, "basket=elsewhere": false, "form=strip&family=teal": false, "family=dark+teal": true,
	} {
		code, page, _ := v.get("/pieces?" + query)
		assert.Equal(t, 200, code, query)
		assert.Equal(t, want, strings.Contains(page, `href="/pieces/1"`), query)
	}
	for _, bad := range []string{"family=plaid", "value=loud", "form=round", "cut=wide", "cut=0.1", "from=x"} {
		code, page, _ := v.get("/pieces?" + bad)
		assert.Equal(t, http.StatusBadRequest, code, bad)
		assert.Contains(t, page, `role="alert"`, bad)
	}
	_, page, _ := v.get("/pieces?doubted=1")
	require.NotContains(t, page, `href="/pieces/1"`, "what you corrected the size of is not doubted")
}

// Every correction that there is can be made by a form, of one piece or of those ticked,
// and leads back to where it was made.
func TestPiecesAreCorrected(t *testing.T) {
	v := stocked(t)
	code, page, at := v.post("/fix", "piece", "1", "pieces", "2", "family", "teal", "value", "dark", "cut", "2½", "length", "18", "form", "strips",
		"print", "anchors", "bin", "sea greens", "basket", "attic", "back", "/pieces?family=teal&done=old")
	require.Equal(t, 200, code, page)
	require.Equal(t, "/pieces", at)
	require.Regexp(t, `class="done"[^>]*>corrected: pieces 1, 2: teal, dark`, page)
	for _, h := range v.held("1,2") {
		require.Equal(t, []any{cloth.Teal, cloth.Dark, 2.5, 18.0, cloth.Strip, "anchors", "sea greens", "attic"},
			[]any{h.Family, h.Value, h.WidthIn, h.LengthIn, h.Form, h.Print, h.Bin, h.Basket})
	}
	v.post("/fix", "pieces", "1", "no-print", "1", "no-bin", "1")
	require.Equal(t, []string{"", ""}, []string{v.held("1")[0].Print, v.held("1")[0].Bin})
	code, page, _ = v.post("/fix", "pieces", "1", "cut", "6cm", "length", "45")
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "45: it is not said whether these are inches or centimetres")
	v.post("/fix", "pieces", "1", "cut", "6cm", "length", "45cm")
	require.InDelta(t, 45/2.54, v.held("1")[0].LengthIn, 1e-9)
	code, page, _ = v.post("/fix", "pieces", "1", "outline", "10,10\r\n60,10\r\n60,70", "back", "/pieces/1")
	require.Equal(t, 200, code, page)
	require.Contains(t, page, "60,70")
	before := len(v.held("1-999"))
	v.post("/fix", "pieces", "1", "split", "3")
	require.Len(t, v.held("1-999"), before+2)
	v.post("/fix", "pieces", "2", "merge", "3")
	require.Len(t, v.held("1-999"), before+1)
	_, _, at = v.post("/fix", "pieces", "2", "none", "1", "back", "/pieces/2")
	require.Equal(t, "/pieces", at)
	require.Empty(t, v.held("2"))

	for _, bad := range [][]string{
		{"family", "teal"}, {"pieces", "x", "family", "teal"}, {"pieces", "1", "cut", "wide"}, {"pieces", "1", "split", "1"}, {"pieces", "1", "split", "x"},
		{"pieces", "1", "outline", "1,2"}, {"pieces", "1", "merge", "x"}, {"pieces", "1", "form", "round"}, {"pieces", "1", "family", "plaid"},
	} {
		code, page, _ := v.post("/fix", bad...)
		assert.Equal(t, http.StatusBadRequest, code, bad)
		assert.Contains(t, page, `role="alert"`, bad)
	}
	for _, away := range []string{"//elsewhere.example", "https://elsewhere.example", "/undo", "/piecesx"} {
		_, _, at = v.post("/fix", "pieces", "4", "value", "light", "back", away)
		require.Equal(t, "/pieces", at, away)
	}
}

// The photos show each piece where it lies, with its number, and lead to it.
func TestThePhotosLeadToTheirPieces(t *testing.T) {
	v := stocked(t)
	_, page, _ := v.get("/photos")
	to := regexp.MustCompile(`/photos/[0-9a-f]{64}`).FindString(page)
	require.NotEmpty(t, to)
	code, page, _ := v.get(to)
	require.Equal(t, 200, code)
	require.Regexp(t, `<a href="/pieces/1" aria-label="piece 1: [^"]+"><polygon`, page)
	require.Contains(t, page, ">1</text>")
	picture := regexp.MustCompile(`/photo/[0-9a-f]{64}`).FindString(page)
	for range 2 {
		_, data, _ := v.get(picture)
		m, _, err := image.DecodeConfig(bytes.NewReader([]byte(data)))
		require.NoError(t, err)
		require.Equal(t, 512, max(m.Width, m.Height))
	}
	_, page, _ = v.get("/pieces/1")
	require.Regexp(t, `aria-label="piece 1: [^"]+" aria-current="true"`, page)
	code, _, _ = v.get("/photos/" + strings.Repeat("0", 64))
	require.Equal(t, http.StatusBadRequest, code)
}

// BenchmarkShelf opens the shelf and the pieces of a stash, named by PIECEBAG_BENCH, such
// as the demo's: cold, when no crop was cut out yet, and warm.
func BenchmarkShelf(b *testing.B) {
	dir := os.Getenv("PIECEBAG_BENCH")
	if dir == "" {
		b.Skip("PIECEBAG_BENCH names no stash")
	}
	d := desk.New(dir, desk.Options{Now: time.Now})
	defer d.Close()
	s, err := New(d)
	require.NoError(b, err)
	defer s.Close()
	ask := func(b *testing.B, path string) string {
		r := httptest.NewRequest("GET", "http://127.0.0.1:80"+path, nil)
		r.AddCookie(&http.Cookie{Name: cookieOf(r.Host), Value: s.session})
		w := httptest.NewRecorder()
		s.Handler(&net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80}).ServeHTTP(w, r)
		require.Equal(b, 200, w.Code, w.Body.String())
		return w.Body.String()
	}
	for _, path := range []string{"/shelf", "/pieces"} {
		crops := regexp.MustCompile(`/cloth/\d+/[0-9a-f]+`).FindAllString(ask(b, path), -1)
		b.Run(path+" page", func(b *testing.B) {
			for b.Loop() {
				ask(b, path)
			}
		})
		all := func(b *testing.B) {
			for _, c := range crops {
				ask(b, c)
			}
			b.ReportMetric(float64(len(crops)), "crops")
		}
		b.Run(path+" crops, cold", func(b *testing.B) {
			for b.Loop() {
				s.cloth.folder = b.TempDir()
				all(b)
			}
		})
		b.Run(path+" crops, warm", func(b *testing.B) {
			all(b)
			for b.Loop() {
				all(b)
			}
		})
	}
}

// Many pieces open family by family; those of a part, and few, stand open.
func TestManyPiecesFold(t *testing.T) {
	v := visit(t)
	v.enter()
	add := func(n int) {
		for i := range n {
			v.post("/add", "count", "1", "family", []string{"red", "blue"}[i%2], "value", "dark", "cut", "2½")
		}
	}
	count := func(path string) (all, open int) {
		_, page, _ := v.get(path)
		return strings.Count(page, `<details class="bins family"`), strings.Count(page, `<details class="bins family" open>`)
	}
	add(openTiles)
	all, open := count("/pieces")
	require.Equal(t, []int{2, 2}, []int{all, open})
	add(2)
	all, open = count("/pieces")
	require.Equal(t, []int{2, 0}, []int{all, open})
	_, page, _ := v.get("/pieces")
	require.Equal(t, 2*mostSwatches, strings.Count(page, `<span class="cloth">`), "what is in it is seen before it is opened")
	to := regexp.MustCompile(`href="([^"]*)">Open all`).FindStringSubmatch(page)
	require.NotNil(t, to)
	all, open = count("/pieces?open=all")
	require.Equal(t, []int{2, 2}, []int{all, open})
	all, open = count("/pieces?family=red")
	require.Equal(t, []int{1, 1}, []int{all, open})
}
