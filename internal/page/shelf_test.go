package page

import (
	"bytes"
	"encoding/json"
	"mime/multipart"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// handed is a visitor of a stash with squares and strips entered by hand.
func handed(t *testing.T) *visitor {
	t.Helper()
	v := visit(t)
	v.enter()
	for _, form := range [][]string{
		{"count", "12", "family", "blue", "value", "dark", "cut", "2½", "print", "anchors"},
		{"count", "3", "family", "blue", "value", "light", "cut", "2½"},
		{"count", "2", "family", "green", "value", "medium", "form", "strip", "cut", "2½", "length", "18"},
	} {
		code, page, _ := v.post("/add", form...)
		require.Equal(t, 200, code, page)
	}
	return v
}

// sendForm posts a form with a file.
func (v *visitor) sendForm(path, field, name string, data []byte, pairs ...string) (int, string, string) {
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for i := 0; i < len(pairs); i += 2 {
		require.NoError(v.t, m.WriteField(pairs[i], pairs[i+1]))
	}
	if name != "" {
		w, err := m.CreateFormFile(field, name)
		require.NoError(v.t, err)
		_, err = w.Write(data)
		require.NoError(v.t, err)
	}
	require.NoError(v.t, m.Close())
	r, err := http.NewRequest("POST", v.to(path), &b)
	require.NoError(v.t, err)
	r.Header.Set("Content-Type", m.FormDataContentType())
	return v.do(r)
}

// The shelf stands by hue family and cut, a thin bin says so in a word, and each bin
// opens to its pieces.
func TestTheShelf(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/shelf")
	require.Contains(t, page, "The shelf is empty")
	require.NotContains(t, page, "How it counts", "there is nothing to count yet")
	v = handed(t)
	_, page, _ = v.get("/shelf")
	require.Regexp(t, `(?s)<details class="bins" open><summary><h3>green <span class="small">2</span></h3>.*<h3>blue <span class="small">15</span></h3>`, page)
	require.Contains(t, page, "12 dark")
	require.Contains(t, page, "gives squares: 14 of 2½", "strips say what they give")
	require.Contains(t, page, "Hue wheel")
	require.Regexp(t, `(?s)style="width: 100%">.*?<p class="small">3 light, 12 dark</p>`, page)
	require.Regexp(t, `(?s)style="width: 13%">.*?<p class="small">2 medium</p>`, page)
	require.NotContains(t, page, `<li class="thin">`)
	to := regexp.MustCompile(`<h4><a href="(/pieces\?[^"]+)">2½ square`).FindStringSubmatch(page)
	require.NotNil(t, to)
	_, list, _ := v.get(strings.ReplaceAll(to[1], "&amp;", "&"))
	require.Contains(t, list, "15 pieces: ")

	code, page, at := v.post("/floor", "family", "blue", "cut", "2½", "least", "20")
	require.Equal(t, []any{200, "/shelf"}, []any{code, at})
	require.Regexp(t, `(?s)<li class="thin">.*<b>thin</b> wants 5 more \(`, page)
	require.Contains(t, page, "floor 20")
	require.Regexp(t, `(?s)<h2>Thin</h2>.*<h3>blue .*?<b>thin</b> 2½ square \(5 more\)</span></summary>`, page)
	_, page, _ = v.post("/floor", "family", "blue", "cut", "2½", "least", "0")
	require.NotContains(t, page, `<li class="thin">`)
	code, _, _ = v.post("/floor", "cut", "9", "least", "0")
	require.Equal(t, http.StatusUnprocessableEntity, code, "no such floor is set")
	for _, bad := range [][]string{{"least", ""}, {"least", "-1"}, {"least", "x"}, {"least", "4", "cut", "wide"}, {"least", "4", "family", "plaid"}} {
		code, _, _ = v.post("/floor", bad...)
		assert.Equal(t, http.StatusBadRequest, code, bad)
	}

	_, page, _ = v.get("/shelf?family=green")
	require.NotContains(t, page, "<h3>blue")
	require.Contains(t, page, "A part of it: ")
	_, page, _ = v.get("/shelf?since=" + time.Now().AddDate(0, 0, -1).Format(time.DateOnly))
	require.Contains(t, page, "&#43;15 blue")
	_, page, _ = v.get("/shelf?trim=9&sizes=2½")
	require.Contains(t, page, "gives squares: 6 of 2½")
	for _, bad := range []string{"since=yesterday", "since=2026-01-01&family=blue", "trim=x", "sizes=x", "family=plaid", "as=docx"} {
		code, _, _ = v.get("/shelf?" + bad)
		assert.Equal(t, http.StatusBadRequest, code, bad)
	}
}

// A shelf of many bins is a row a family, which opens to its bins: the shelf of a full
// stash was twenty screens of a phone long.
func TestTheShelfFolds(t *testing.T) {
	v := handed(t)
	for _, cut := range []string{"3½", "4½", "5", "6½"} {
		v.post("/add", "count", "2", "family", "red", "value", "medium", "cut", cut)
	}
	opened := func(page string) (out []string) {
		for _, m := range regexp.MustCompile(`<details class="bins" open><summary><h3>(\w+)`).FindAllStringSubmatch(page, -1) {
			out = append(out, m[1])
		}
		return out
	}
	_, page, _ := v.get("/shelf")
	require.Len(t, opened(page), 3, "few bins all stand open")
	require.NotContains(t, page, "Open all")
	v.post("/add", "count", "40", "family", "red", "value", "dark", "cut", "7")
	_, page, _ = v.get("/shelf")
	require.Empty(t, opened(page))
	require.Regexp(t, `(?s)<h3>red <span class="small">48</span></h3>.*?style="width: 100%"><span style="flex-grow: 8;[^>]*></span><span style="flex-grow: 40;`, page, "its bins taken together, the lightest first")
	require.Contains(t, page, `name="back" value="/shelf?open=blue"`, "a floor set in it leads back to it open")
	_, page, _ = v.get("/shelf?open=blue")
	require.Equal(t, []string{"blue"}, opened(page))
	_, page, _ = v.get("/shelf?open=all")
	require.Len(t, opened(page), 3)
	_, page, _ = v.get("/shelf?family=red")
	require.Equal(t, []string{"red"}, opened(page), "a part is shown whole")
}

// The shelf can be kept: as a page that needs nothing else, on paper, and as a table.
func TestTheShelfIsSaved(t *testing.T) {
	v := handed(t)
	for as, begins := range map[string]string{"html": "<!DOCTYPE html>", "letter": "%PDF-", "a4": "%PDF-", "csv": "bin,"} {
		a, err := v.client.Get(v.to("/shelf?family=blue&as=" + as))
		require.NoError(t, err)
		defer a.Body.Close()
		var b bytes.Buffer
		_, err = b.ReadFrom(a.Body)
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(b.String(), begins), as)
		require.Contains(t, a.Header.Get("Content-Disposition"), "attachment; filename=shelf.", as)
		require.NotContains(t, b.String(), `href="/`, as)
	}
}

// What the shelf counts with is set in place.
func TestTheShelfCountsAsYouSay(t *testing.T) {
	v := handed(t)
	v.post("/set", "bins", "value", "trim", "1")
	set, err := v.server.desk.Settings(t.Context())
	require.NoError(t, err)
	require.Equal(t, []any{shelf.ByValue, 1.0}, []any{set.Bins, set.TrimIn})
	v.post("/set", "yard", "140g", "width", "42")
	set, err = v.server.desk.Settings(t.Context())
	require.NoError(t, err)
	require.InDelta(t, stash.GSMOfYard(140, 42), set.GSM, 1e-9)
	_, page, _ := v.get("/shelf")
	require.Contains(t, page, "<h3>dark ")
	for _, bad := range [][]string{{}, {"bins", "size"}, {"trim", "x"}, {"yard", "140"}, {"yard", "2kg"}, {"yard", "140g", "width", "x"}} {
		code, _, _ := v.post("/set", bad...)
		assert.Equal(t, http.StatusBadRequest, code, bad)
	}
}

// What no photo shows goes in and out by hand.
func TestAddAndUseByHand(t *testing.T) {
	v := handed(t)
	h := v.held("1,3")
	require.Equal(t, []any{12, cloth.Blue, cloth.Dark, 2.5, "anchors"}, []any{h[0].Count, h[0].Family, h[0].Value, h[0].WidthIn, h[0].Print})
	require.Equal(t, []any{cloth.Strip, 18.0}, []any{h[1].Form, h[1].LengthIn})
	// a word of the trade is a size, and what it is counted as is said
	_, page, _ := v.post("/add", "count", "3", "cut", "fat quarter", "family", "teal")
	require.Contains(t, page, "3 teal 18 × 21 rectangles; a fat quarter is counted as 18 × 21 inches")
	_, page, _ = v.post("/add", "weight", "350g", "family", "brown")
	require.Contains(t, page, `class="done"`)
	v.post("/use", "count", "4", "family", "dark blue")
	require.Equal(t, 8, v.held("1")[0].Count)
	v.post("/use", "count", "1", "pieces", "2")
	require.Equal(t, 2, v.held("2")[0].Count)
	code, _, _ := v.post("/use", "weight", "100g", "family", "brown")
	require.Equal(t, 200, code)
	code, _, _ = v.post("/use", "count", "400", "family", "blue")
	require.Equal(t, http.StatusUnprocessableEntity, code)
	for _, bad := range [][]string{{}, {"count", "2"}, {"family", "blue"}, {"count", "2", "weight", "1kg", "family", "blue"}, {"count", "x", "family", "blue"}, {"count", "1", "pieces", "x"}} {
		code, _, _ = v.post("/use", bad...)
		assert.Equal(t, http.StatusBadRequest, code, bad)
	}
	for _, bad := range [][]string{{}, {"count", "0", "cut", "2½"}, {"count", "1", "cut", "wide"}, {"weight", "350"}, {"weight", "1kg", "count", "2", "family", "blue"}, {"count", "1", "form", "rectangle", "cut", "2½"}} {
		code, _, _ = v.post("/add", bad...)
		assert.Equal(t, http.StatusBadRequest, code, bad)
	}
}

// Your data go out as files and come back; a file that is no such thing is refused.
func TestDataGoOutAndComeBack(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/data")
	require.Contains(t, page, "There is no stash yet")
	for _, name := range []string{"stash.json", "stash.csv", "stash.backup"} {
		_, page, _ := v.get("/data/" + name)
		require.Contains(t, page, "<h1>Nothing yet</h1>", name)
	}
	v = handed(t)
	files := map[string][]byte{}
	for _, name := range []string{"stash.json", "stash.csv", "stash.backup"} {
		code, data, _ := v.get("/data/" + name)
		require.Equal(t, 200, code)
		files[name] = []byte(data)
	}
	require.True(t, json.Valid(files["stash.json"]))
	code, _, _ := v.get("/data/ledger")
	require.Equal(t, http.StatusBadRequest, code)

	other := visit(t)
	other.enter()
	code, page, at := other.sendForm("/data/import", "file", "stash.json", files["stash.json"])
	require.Equal(t, []any{200, "/shelf"}, []any{code, at}, page)
	require.Contains(t, page, "stash.json: 3 added (17 pieces")
	_, page, _ = other.sendForm("/data/import", "file", "stash.json", files["stash.json"])
	require.Contains(t, page, "already known")
	_, page, _ = other.sendForm("/data/import", "file", "mine.csv", []byte("colour,size,count\nred,2.5,4\n"))
	require.Contains(t, page, "mine.csv: 1 added")
	for name, data := range map[string][]byte{"": nil, "no.csv": []byte("no table"), "no.json": []byte("{")} {
		code, _, _ = other.sendForm("/data/import", "file", name, data)
		assert.GreaterOrEqual(t, code, 400, name)
	}

	code, page, _ = other.sendForm("/data/restore", "file", "stash.backup", files["stash.backup"])
	require.Equal(t, http.StatusBadRequest, code, "not without a word: "+page)
	code, page, _ = other.sendForm("/data/restore", "file", "stash.backup", files["stash.backup"], "sure", "1")
	require.Equal(t, 200, code, page)
	require.Contains(t, page, "what was there before is kept beside it")
	require.Empty(t, other.held("4"), "the red squares are in what was there before")
	require.Len(t, other.held("1-9"), 3)
	code, _, _ = other.sendForm("/data/restore", "file", "no.backup", []byte("no backup"), "sure", "1")
	require.GreaterOrEqual(t, code, 400)
	_, page, _ = other.post("/data/check")
	require.Contains(t, page, "The stash is whole")
}

// What was done is told on the page that follows, once: not when that is loaded again, and
// no link from elsewhere puts words there.
func TestWhatWasDoneIsToldOnce(t *testing.T) {
	v := handed(t)
	told := func(page string) string {
		m := regexp.MustCompile(`class="done"[^>]*>([^<]*)<`).FindStringSubmatch(page)
		if m == nil {
			return ""
		}
		return m[1]
	}
	_, page, _ := v.post("/use", "family", "blue", "cut", "2½", "count", "2")
	require.Contains(t, told(page), "used: 2 blue")
	key := v.server.news.put("a basket was found")
	_, page, _ = v.get("/shelf?done=" + key)
	require.Equal(t, "a basket was found", told(page))
	_, page, _ = v.get("/shelf?done=" + key)
	require.Empty(t, told(page), "it was told")
	_, page, _ = v.get("/shelf?done=All+your+cloth+is+gone")
	require.Empty(t, told(page))
	first := v.server.news.put("first")
	for range mostNews {
		v.server.news.put("more")
	}
	require.Empty(t, v.server.news.take(first))
	require.Len(t, v.server.news.of, mostNews)
}
