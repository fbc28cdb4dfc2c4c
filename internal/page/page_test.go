package page

import (
	"bytes"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/disintegration/imaging"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/truth/scene"
)

// visitor is a browser of one page.
type visitor struct {
	t      *testing.T
	at     string
	client *http.Client
	server *Server
	desk   *desk.Desk
	stash  string
	stop   func() // the server
}

func visit(t *testing.T) *visitor {
	t.Helper()
	v := &visitor{t: t, stash: filepath.Join(t.TempDir(), "stash"), stop: func() {}}
	t.Cleanup(func() { v.stop() })
	v.restart()
	return v
}

// restart ends the server, and starts one on the same stash.
func (v *visitor) restart() {
	v.t.Helper()
	v.stop()
	d := desk.New(v.stash, desk.Options{Now: time.Now})
	v.desk = d
	var err error
	v.server, err = New(d)
	require.NoError(v.t, err)
	v.server.slow.soon = time.Hour // so that what is answered hangs on no clock
	h := httptest.NewUnstartedServer(nil)
	h.Config.Handler = v.server.Handler(h.Listener.Addr())
	h.Start()
	v.at = h.URL
	v.stop = func() {
		h.CloseClientConnections()
		h.Close()
		assert.NoError(v.t, errors.Join(v.server.Close(), d.Close()))
	}
	jar, err := cookiejar.New(nil)
	require.NoError(v.t, err)
	v.client = &http.Client{Jar: jar}
}

// enter opens the session, and gives where it led.
func (v *visitor) enter() string {
	r, err := v.client.Get(v.at + "/enter?key=" + v.server.key)
	require.NoError(v.t, err)
	defer r.Body.Close()
	require.Equal(v.t, http.StatusOK, r.StatusCode)
	return strings.TrimPrefix(r.Request.URL.String(), v.at+v.server.root)
}

func (v *visitor) do(r *http.Request) (int, string, string) {
	v.t.Helper()
	a, err := v.client.Do(r)
	require.NoError(v.t, err)
	defer a.Body.Close()
	body, err := io.ReadAll(a.Body)
	require.NoError(v.t, err)
	page := styled.ReplaceAllString(string(body), "")
	for _, m := range pageAddresses.FindAllStringSubmatch(page, -1) {
		require.True(v.t, strings.HasPrefix(m[1], v.server.root+"/") || m[1] == "/pair" || m[1] == staticPath("page.css"), "%s leads out of the root", m[0])
	}
	return a.StatusCode, strings.ReplaceAll(page, v.server.root+"/", "/"), strings.TrimPrefix(a.Request.URL.Path, v.server.root)
}

// to is the address of a path, in the root of the server but for what lets you in.
func (v *visitor) to(path string) string {
	if strings.HasPrefix(path, "/enter") || strings.HasPrefix(path, "/pair") {
		return v.at + path
	}
	return v.at + v.server.root + path
}

// pageAddresses match the attributes of HTML that hold an address of the server.
var pageAddresses = regexp.MustCompile(` (?:href|src|action|formaction)="(/[^"]*)"`)

// styled is a page's style sheet, which no test asks for and every failure would print.
var styled = regexp.MustCompile(`(?s)<style>.*</style>`)

func (v *visitor) get(path string) (int, string, string) {
	r, err := http.NewRequest("GET", v.to(path), nil)
	require.NoError(v.t, err)
	return v.do(r)
}

func (v *visitor) post(path string, pairs ...string) (int, string, string) {
	form := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	r, err := http.NewRequest("POST", v.to(path), strings.NewReader(form.Encode()))
	require.NoError(v.t, err)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return v.do(r)
}

// send uploads files under their names.
func (v *visitor) send(names []string, data ...[]byte) (int, string, string) {
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for i, name := range names {
		w, err := m.CreateFormFile("photo", name)
		require.NoError(v.t, err)
		_, err = w.Write(data[i])
		require.NoError(v.t, err)
	}
	require.NoError(v.t, m.Close())
	r, err := http.NewRequest("POST", v.to("/look"), &b)
	require.NoError(v.t, err)
	r.Header.Set("Content-Type", m.FormDataContentType())
	return v.do(r)
}

func table(t *testing.T) []byte { return spread(t, 5) }

// spreads are those that were made, by their seeds.
var spreads = map[uint64][]byte{}

// spread is a photo of pieces apart, as a seed makes it.
func spread(t *testing.T, seed uint64) []byte {
	t.Helper()
	if spreads[seed] == nil {
		var b bytes.Buffer
		require.NoError(t, imaging.Encode(&b, scene.Make(cloth.Spread, 1, seed, scene.Options{Long: 512}).Image, imaging.JPEG))
		spreads[seed] = b.Bytes()
	}
	return bytes.Clone(spreads[seed])
}

// From an upload to a quilt that is partly sewn, by plain forms alone.
func TestTheWholeJob(t *testing.T) {
	v := visit(t)
	require.Equal(t, "/", v.enter(), "the key stays in no address")
	code, page, at := v.send([]string{`../../etc/passwd`}, table(t))
	require.Equal(t, 200, code, page)
	require.Regexp(t, `^/look/[0-9a-f]+/1$`, at)
	require.Contains(t, page, "<h1>passwd</h1>")
	require.NotContains(t, page, "..")
	_, page, _ = v.post(at+"/say", "do", "photo", "kind", "spread", "scale", "20")
	require.Contains(t, page, "20.0 pixels an inch")
	code, page, at = v.post(batchAt(at)+"/stow", "basket", "sea chest")
	require.Equal(t, 200, code)
	require.Equal(t, "/shelf", at)
	require.Regexp(t, `\d+ pieces stowed`, page)
	require.NoDirExists(t, v.server.waiting.folder, "what is stowed is kept in the stash alone")

	_, page, _ = v.get("/pieces")
	require.Contains(t, page, `href="/pieces/1"`)
	code, page, _ = v.get("/pieces/1")
	require.Equal(t, 200, code)
	require.Contains(t, page, `name="pieces" value="1"`)
	code, _, _ = v.get("/pieces/999")
	require.Equal(t, http.StatusBadRequest, code)
	code, page, _ = v.post("/fix", "pieces", "1", "family", "teal", "value", "dark")
	require.Equal(t, 200, code)
	require.Regexp(t, `class="done"[^>]*>[^<]*teal`, page)
	code, page, _ = v.post("/fix", "pieces", "999", "family", "teal")
	require.Equal(t, http.StatusUnprocessableEntity, code)
	require.Contains(t, page, `role="alert"`)

	_, page, _ = v.get("/plan?recipe=four-patch&layout=1x1")
	require.Contains(t, page, "Before you cut")
	_, page, _ = v.get("/arrange?recipe=plain-squares&layout=1x2&block=1&look=even&seed=3")
	require.Contains(t, page, "The layout")
	code, page, at = v.post("/arrange", "recipe", "plain-squares", "layout", "1x2", "block", "1", "look", "even", "seed", "3", "save", "mat / 1")
	require.Equal(t, 200, code, page)
	require.Equal(t, "/quilts/mat / 1", at)
	_, page, _ = v.post(quiltPath("mat / 1")+"/edit", "do", "swap", "a", "A1", "b", "B1")
	require.Contains(t, page, "A1 and B1 have changed places")
	_, page, _ = v.post(quiltPath("mat / 1")+"/mark", "stage", "sewn", "which", "A")
	require.Contains(t, page, "1 piece sewn")
	_, page, _ = v.get("/quilts")
	require.Contains(t, page, "mat / 1")
	_, page, _ = v.post("/undo")
	require.Contains(t, page, "taken back: sewed 1 piece of mat / 1")
	_, page, _ = v.post("/redo")
	require.Contains(t, page, "done again: sewed 1 piece of mat / 1")
	for _, path := range []string{"/refill", "/buy", "/history", "/ideas", "/ideas?all=1"} {
		code, _, _ = v.get(path)
		require.Equal(t, 200, code, path)
	}
}

// Cookies know no ports: another server of this machine, of another user perhaps, is sent
// the session by no address that it can know; and who has the session comes in by the
// root alone.
func TestNoOtherServerIsSentTheSession(t *testing.T) {
	v := visit(t)
	v.enter()
	other := elsewhere(t, "no cookie")
	for _, path := range []string{"/", "/shelf", "/enter", "/" + strings.Repeat("0", rootLetters) + "/shelf"} {
		a, err := v.client.Get(other + path) // which fails where it is sent one
		require.NoError(t, err)
		require.NoError(t, a.Body.Close())
	}
	at, err := url.Parse(v.to("/shelf"))
	require.NoError(t, err)
	cookies := v.client.Jar.Cookies(at)
	require.Len(t, cookies, 1)
	code, _, _ := v.get("/shelf")
	require.Equal(t, http.StatusOK, code)
	r, err := http.NewRequest("GET", v.at+"/shelf", nil)
	require.NoError(t, err)
	r.AddCookie(cookies[0])
	code, _, _ = v.do(r)
	require.Equal(t, http.StatusForbidden, code)
	v.client.Jar = nil
	code, _, _ = v.get("/shelf")
	require.Equal(t, http.StatusForbidden, code, "the root by itself lets nobody in")
}

// Nobody comes in without the key; nor by another name of the machine, nor from a page
// elsewhere; and no page runs a script but our own or asks anyone else for anything.
func TestNobodyElseComesIn(t *testing.T) {
	v := visit(t)
	for _, path := range []string{"/", "/shelf", "/pieces", "/enter", "/enter?key=" + strings.Repeat("0", 64)} {
		code, _, _ := v.get(path)
		assert.Equal(t, http.StatusForbidden, code, path)
	}
	for _, path := range []string{"/enter?key=" + v.server.once.renew()} {
		code, _, at := v.get(path)
		assert.Equal(t, http.StatusOK, code)
		assert.Equal(t, "/", at)
		jar, err := cookiejar.New(nil)
		require.NoError(t, err)
		v.client.Jar = jar
		code, _, _ = v.get(path)
		assert.Equal(t, http.StatusForbidden, code, "it is for one time")
	}
	for range wrongEnters {
		v.get("/enter?key=0")
	}
	code, _, _ := v.get("/enter?key=0")
	assert.Equal(t, http.StatusTooManyRequests, code)
	v.enter()
	for header, value := range map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": "http://elsewhere.example"} {
		r, err := http.NewRequest("POST", v.to("/undo"), nil)
		require.NoError(t, err)
		r.Header.Set(header, value)
		code, _, _ := v.do(r)
		assert.Equal(t, http.StatusForbidden, code, header)
	}
	r, err := http.NewRequest("GET", v.to("/shelf"), nil)
	require.NoError(t, err)
	r.Host = "elsewhere.example:" + r.URL.Port()
	code, _, _ = v.do(r)
	assert.Equal(t, http.StatusMisdirectedRequest, code)

	// A page elsewhere may lead here, and no more: not show it in a frame, nor have it as a picture.
	for _, x := range []struct {
		site, mode, dest string
		code             int
	}{
		{"cross-site", "navigate", "document", http.StatusOK}, {"same-origin", "cors", "empty", http.StatusOK}, {"none", "navigate", "document", http.StatusOK},
		{"same-site", "navigate", "iframe", http.StatusForbidden}, {"same-site", "no-cors", "image", http.StatusForbidden}, {"cross-site", "cors", "empty", http.StatusForbidden},
	} {
		r, err := http.NewRequest("GET", v.to("/shelf"), nil)
		require.NoError(t, err)
		for header, value := range map[string]string{"Sec-Fetch-Site": x.site, "Sec-Fetch-Mode": x.mode, "Sec-Fetch-Dest": x.dest} {
			r.Header.Set(header, value)
		}
		code, _, _ := v.do(r)
		assert.Equal(t, x.code, code, x)
	}

	a, err := v.client.Get(v.to("/shelf"))
	require.NoError(t, err)
	defer a.Body.Close()
	body, err := io.ReadAll(a.Body)
	require.NoError(t, err)
	policy := a.Header.Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "form-action 'self'", "frame-ancestors 'none'"} {
		assert.Contains(t, policy, want)
	}
	assert.Contains(t, policy, "script-src 'self';")
	assert.NotRegexp(t, `<script[^>]*>[^<]`, string(body), "no script stands in a page")
	assert.NotRegexp(t, `<[^>]+ on[a-z]+=`, string(body))
	assert.Empty(t, regexp.MustCompile(`(?:src|href)="(?:https?:)?//`).FindString(string(body)))
	assert.NotContains(t, string(body), v.server.key)
}

// batchAt is the batch of a photo's address.
func batchAt(photo string) string { return photo[:strings.LastIndex(photo, "/")] }

// What is sent and is no photo is refused by name, and the others are looked at;
// nothing is left lying about.
func TestWhatIsNoPhoto(t *testing.T) {
	v := visit(t)
	v.enter()
	code, page, at := v.send([]string{"torn.jpg", "good.jpg"}, []byte("no photo"), table(t))
	require.Equal(t, 200, code)
	require.Contains(t, page, "<h1>good.jpg</h1>", "the first that can be read is shown")
	require.Contains(t, page, "not read")
	_, page, _ = v.get(batchAt(at) + "/1")
	require.Contains(t, page, "<h1>torn.jpg</h1>")
	require.Contains(t, page, `role="alert"><p>this is not a picture</p>`)
	code, _, _ = v.get(batchAt(at) + "/3")
	require.Equal(t, http.StatusBadRequest, code)
	code, page, to := v.post(batchAt(at) + "/stow")
	require.Equal(t, 200, code)
	require.Equal(t, batchAt(at)+"/1", to)
	require.Contains(t, page, "1 photo waiting still", "what could not be read is not thrown away with what was stowed")
	code, page, _ = v.post(batchAt(at) + "/stow")
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "nothing was found to stow")
	_, page, _ = v.post(batchAt(at) + "/drop")
	require.Contains(t, page, "thrown away")
	require.NoDirExists(t, v.server.waiting.folder)
	code, page, _ = v.post(batchAt(at) + "/stow")
	require.Equal(t, http.StatusBadRequest, code, "a second tap finds nothing, which is no fault of the program")
	require.Contains(t, page, "are stowed, or were thrown away")

	code, page, at = v.send([]string{strings.Repeat("布", 95) + ".jpg"}, table(t))
	require.Equal(t, 200, code, "a long name is cut short")
	require.Contains(t, page, ".jpg</h1>")
	code, page, _ = v.get("/nowhere")
	require.Equal(t, http.StatusNotFound, code)
	require.Contains(t, page, "there is nothing here")
	for _, wrong := range [][]string{{"do", "photo", "kind", "banana"}, {"do", "fix", "pieces", "1", "cut", "0.0001"}, {"do", "fix", "pieces", "1", "cut", "1e308"}} {
		code, _, _ = v.post(at+"/say", wrong...)
		require.Equal(t, http.StatusBadRequest, code, wrong)
	}
	v.post(batchAt(at) + "/drop")

	code, _, _ = v.send(nil)
	require.Equal(t, http.StatusBadRequest, code)
	require.NoDirExists(t, v.server.waiting.folder, "nothing came, nothing is kept")
	code, _, _ = v.get("/look/0000")
	require.Equal(t, http.StatusBadRequest, code)
	for name, data := range map[string][]byte{"photos.json": []byte("{}"), "empty.jpg": nil} {
		code, page, _ = v.send([]string{name}, data)
		require.Equal(t, http.StatusUnprocessableEntity, code)
		require.Contains(t, page, name+": ")
		require.NoDirExists(t, v.server.waiting.folder, "what cannot be read does not wait")
	}
	for range mostBatches {
		code, _, _ = v.send([]string{"one.jpg"}, table(t))
		require.Equal(t, 200, code)
	}
	code, page, _ = v.send([]string{"more.jpg"}, table(t))
	require.Equal(t, 200, code)
	require.Contains(t, page, "more.jpg", "there is room with the newest")
	v.server.waiting.most = 1
	code, page, _ = v.send([]string{"no.jpg"}, table(t))
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "stow some of them")
	require.Len(t, v.server.waiting.all(), mostBatches, "none is thrown away unasked")
	r, err := http.NewRequest("POST", v.to("/fix"), strings.NewReader(strings.Repeat("x", mostForm+1)))
	require.NoError(t, err)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	code, _, _ = v.do(r)
	require.GreaterOrEqual(t, code, 400)
}

// The card to measure by is printed from the page.
func TestTheCard(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/")
	require.Contains(t, page, "/card?paper=letter")
	code, file, _ := v.get("/card?paper=a4")
	require.Equal(t, http.StatusOK, code)
	require.True(t, strings.HasPrefix(file, "%PDF-"))
	code, _, _ = v.get("/card?paper=napkin")
	require.Equal(t, http.StatusBadRequest, code)
}
