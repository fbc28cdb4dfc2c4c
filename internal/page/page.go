// Package page serves the work of package desk as a local page: plain forms, the
// documents of package report as answers. Scripts of its own make it pleasant, and
// everything is done without them too. Nothing is loaded from anywhere else.
//
// Who may come in: whoever opened the address with the key, from this machine's own
// name. A browser then holds the session in a cookie, so that other users of the machine,
// and pages in other tabs, are not let in. Cookies know no ports: a browser would send it
// to any server of this machine that it is led to, another user's too. So all addresses of
// the page begin with a root that nobody can guess, and the cookie is for that root alone
// (RFC 6265, section 5.4): a server that does not know it is never sent the cookie. The
// root by itself lets nobody in.
package page

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"embed"
	"encoding/hex"
	"encoding/json"
	"html/template"
	"log"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"piecebag/internal/arrange"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

//go:embed forms/*.html
var formFiles embed.FS

// forms are those of every server. What they say of a request, and which addresses they hold,
// is known when formsFor returns those of one.
var forms = template.Must(template.New("").Funcs(template.FuncMap{
	"at":   func(v, d any) map[string]any { return map[string]any{"View": v, "Doubt": d} },
	"look": func(look string) string { return lookWords[arrange.Look(look)] },
	"in":   func(f filling, of any) map[string]any { return map[string]any{"Sent": f, "Of": of} },
	"sent": sentTo(&http.Request{}), "root": func() string { return "" }, "postRoot": func() string { return "" },
}).ParseFS(formFiles, "forms/*.html"))

// formsFor returns the forms as they answer a request: {{root}} is what the addresses of links
// begin with, {{postRoot}} those to which a form posts.
func (s *Server) formsFor(r *http.Request) *template.Template {
	return template.Must(forms.Clone()).Funcs(template.FuncMap{
		"sent": sentTo(r), "root": func() string { return s.root }, "postRoot": func() string { return s.root + s.marked },
	})
}

const (
	mostUpload   = 512 << 20 // bytes of one request: ten photos of a good camera, twice over
	mostForm     = 1 << 20   // bytes of a request without photos
	mostAtOnce   = 2         // requests with photos that are worked on at once
	mostBatches  = 20        // of photos looked at and not stowed
	mostOpen     = 256       // connections at one listener; each page that is open has a few
	readTimeout  = 10 * time.Second
	idleTimeout  = 2 * time.Minute
	stallTimeout = time.Minute // of photos on their way, of which nothing more comes
	secretBytes  = 32
	rootLetters  = 32 // of the root, in hex: 128 bits
	shutdownTime = 5 * time.Second
)

// Server serves one desk.
type Server struct {
	desk    *desk.Desk
	key     string // opens a session
	once    *once
	session string // what its cookie holds
	root    string // what all addresses begin with, and the cookie is for
	marked  string // what follows the root where forms post to: playPath in the stash to play in
	forms   *template.Template
	waiting *waiting
	alone   alone

	cloth *cropStore
	play  *play // a stash to play in

	slow      *slow
	news      *news
	photos    chan struct{} // one place for each request with photos that is worked on
	phones    *phones
	log       *log.Logger     // what only those who mend the program want to know
	enters    *tries          // attempts with a wrong key
	listeners chan struct{}   // one place for each page that is told of changes
	serving   context.Context // ends when the server does
	end       context.CancelFunc
}

// OnceAddress returns an address that opens a session, as that of Announce does, but works
// one time and within a minute: other users of this machine can see what a program is
// started with, such as a browser with an address.
func (s *Server) OnceAddress(at net.Addr) string {
	return "http://" + at.String() + "/enter?key=" + s.once.renew()
}

// once is a key that works one time, within a minute.
type once struct {
	mu    sync.Mutex
	key   string
	until time.Time
}

func (o *once) renew() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.key, o.until = secret(), time.Now().Add(time.Minute)
	return o.key
}

// take reports whether key is the right one, and if so uses it up.
func (o *once) take(key string) bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.key == "" || !same(key, o.key) || time.Now().After(o.until) {
		return false
	}
	o.key = ""
	return true
}

func secret() string {
	b := make([]byte, secretBytes)
	_, _ = rand.Read(b) // crypto/rand ends the program rather than fail
	return hex.EncodeToString(b)
}

// inRoot marks a request whose address begins with the root.
type inRoot struct{}

// below removes the prefix with from a request's address and marks the request by a key. A
// request whose address begins otherwise is returned as it is.
func below(r *http.Request, with string, key any) *http.Request {
	rest, ok := strings.CutPrefix(r.URL.Path, with+"/")
	if !ok {
		return r
	}
	r = r.WithContext(context.WithValue(r.Context(), key, true))
	to := *r.URL
	to.Path, to.RawPath = "/"+rest, strings.TrimPrefix(to.RawPath, with)
	r.URL = &to
	return r
}

// ownHost is the address of this machine alone.
const ownHost = "127.0.0.1"

// fromElsewhere reports whether the request was sent by a page of another server, other
// than by a link that leads here (https://www.w3.org/TR/fetch-metadata/).
func fromElsewhere(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "none", "same-origin":
		return false
	}
	return r.Header.Get("Sec-Fetch-Mode") != "navigate" || r.Header.Get("Sec-Fetch-Dest") != "document"
}

// cookieOf returns the name of the session's cookie. Each server has a name of its own,
// because browsers send a cookie to every port of a host.
func cookieOf(host string) string {
	_, port, _ := net.SplitHostPort(host)
	return "piecebag-" + port
}

// sessionOf returns the session in a request's cookie, empty where it has none.
func sessionOf(r *http.Request) string {
	c, err := r.Cookie(cookieOf(r.Host))
	if err != nil || r.Context().Value(inRoot{}) == nil {
		return ""
	}
	return c.Value
}

// errNoPage is the error for an address at which there is no page.
func errNoPage(r *http.Request) error {
	return fault.Usage(r.URL.Path, "there is nothing here", "go on from one of the pages above")
}

func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// answer is what a request is answered with: a document in a frame, another page to go
// to, data for a script, or a file.
type answer struct {
	document report.Document
	report.Frame
	code int    // of the page; 0: all is well
	to   string // where to go; empty: here is what was asked for
	data any    // written as JSON; nil: none
	file *file
	// stream writes the answer itself, until it is done or the server ends.
	stream http.HandlerFunc
}

// route is a pattern of http.ServeMux and what answers its requests.
type route struct {
	pattern string
	answer  func(s *Server, r *http.Request) (answer, error)
}

// letsIn reports whether a request is of the computer's own session or of a phone's.
func (s *Server) letsIn(r *http.Request) bool {
	return s.own(r) || s.phones.knows(sessionOf(r))
}

// wantsData reports whether the request comes from one of our scripts, which takes JSON,
// and not from a form or a link.
func wantsData(r *http.Request) bool { return r.Header.Get("Accept") == "application/json" }

func writeData(w http.ResponseWriter, code int, data any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(data)
}

// write writes a page.
func write(w http.ResponseWriter, code int, a answer) {
	page := a.page()
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(code)
	_, _ = w.Write(page)
}

// page is an answer as a page.
func (a answer) page() []byte {
	var b bytes.Buffer
	if err := a.document.Framed(&b, a.Frame); err != nil {
		panic(err) // the template is our own
	}
	return b.Bytes()
}

// frame puts round a page what only those who are let in get: the ways to every part, the style
// sheet and the scripts, whose addresses tell the root. path is the one that is open.
func (s *Server) frame(a *answer, path string) {
	a.Ways, a.Sheet = s.ways(path), s.staticAt("page.css")
	scripts := []string{s.staticAt("page.js")}
	for _, name := range a.Scripts {
		scripts = append(scripts, s.staticAt(name))
	}
	a.Scripts = scripts
}

// ways leads to every part; path is the one that is open.
func (s *Server) ways(path string) []report.Way {
	all := []report.Way{
		{Words: "Photos", To: "/"}, {Words: "Shelf", To: "/shelf"}, {Words: "Plan", To: "/plan"}, {Words: "Buy", To: "/buy"},
	}
	for _, w := range []report.Way{
		{Words: "Pieces", To: "/pieces"}, {Words: "Ideas", To: "/ideas"}, {Words: "Arrange", To: "/arrange"}, {Words: "Quilts", To: "/quilts"},
		{Words: "Contrast", To: "/contrast"}, {Words: "Refill", To: "/refill"}, {Words: "Teach", To: "/teach"},
		{Words: "Your data", To: "/data"}, {Words: "Phone", To: "/phone"}, {Words: "What was done", To: "/history"},
	} {
		w.More = true
		all = append(all, w)
	}
	for i, w := range all {
		all[i].Here = path == w.To || w.To != "/" && strings.HasPrefix(path, w.To+"/")
		all[i].To = s.root + w.To
	}
	return all
}

// form executes the template of one of the forms, which says what was written into it where
// the request is one that was refused.
func (s *Server) form(r *http.Request, name string, data any) template.HTML {
	all := s.forms
	if refusalOf(r) != nil {
		all = s.formsFor(r)
	}
	var b bytes.Buffer
	if err := all.ExecuteTemplate(&b, name, data); err != nil {
		panic(err) // the forms are our own
	}
	return template.HTML(b.String()) //nolint:gosec // filled by html/template
}

// words returns a list's members as strings, for the options of a select.
func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = string(v)
	}
	return out
}
