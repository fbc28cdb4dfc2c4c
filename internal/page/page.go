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
	"cmp"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"html/template"
	"io"
	"log"
	"mime"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

//go:embed forms/*.html
var formFiles embed.FS

// forms are those of every server. What they say of a request, and which addresses they hold,
// is known when formsFor returns those of one.
var forms = template.Must(template.New("").Funcs(template.FuncMap{
	"at":   func(v mendView, d doubtView) map[string]any { return map[string]any{"View": v, "Doubt": d} },
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

// New is a server of a desk, the only one of its stash until it is closed, as Serve does
// at its end. Photos that are sent and not stowed yet lie in a folder beside the stash, and
// those that lie there are waiting still.
func New(d *desk.Desk) (_ *Server, err error) {
	d.MayBegin()
	clearPassing()
	alone, err := holdAlone(d.BesideItself("serving"), d.Dir())
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, alone.end())
		}
	}()
	w, err := openWaiting(d.Beside("waiting"), d.Beside("stowed"), d.Step)
	if err != nil {
		return nil, err
	}
	cloth := &cropStore{folder: d.Beside("crops")}
	if err := cloth.prune(mostCrops, leastCrops); err != nil {
		return nil, err
	}
	serving, end := context.WithCancel(context.Background())
	s := &Server{
		serving: serving, end: end,
		desk: d.At(desk.Door{}), cloth: cloth, play: &play{}, key: secret(), session: secret(), root: "/" + secret()[:rootLetters], waiting: w, alone: alone, slow: newSlow(), photos: make(chan struct{}, mostAtOnce),
		log: log.New(io.Discard, "", 0), news: &news{}, phones: &phones{now: time.Now}, once: &once{}, enters: &tries{}, listeners: make(chan struct{}, mostListeners),
	}
	s.forms = s.formsFor(&http.Request{})
	_ = s.heal(serving) // of a stash that cannot be read now the pages say what is wrong, and a later start heals
	return s, nil
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

// Serve answers at listeners until ctx ends: the first is of this machine alone, others
// are where phones come to.
func (s *Server) Serve(ctx context.Context, at ...net.Listener) error {
	done := make(chan error, len(at))
	var servers []*http.Server
	for _, l := range at {
		server := &http.Server{Handler: s.Handler(l.Addr()), ReadHeaderTimeout: readTimeout, IdleTimeout: idleTimeout, ConnState: bounded(mostOpen)}
		servers = append(servers, server)
		go func() { done <- server.Serve(l) }()
	}
	ahead, rest := context.WithCancel(ctx)
	var working sync.WaitGroup
	working.Go(func() { s.workAhead(ahead) })
	var err error
	select {
	case err = <-done:
	case <-ctx.Done():
	}
	s.end()
	rest()
	working.Wait()
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	for _, server := range servers {
		err = errors.Join(err, server.Shutdown(stop))
	}
	return cmp.Or(errors.Join(err, s.Close()), ctx.Err())
}

// bounded limits how many connections are open: one that comes while most are open is
// closed at once.
func bounded(most int64) func(net.Conn, http.ConnState) {
	var open atomic.Int64
	return func(c net.Conn, is http.ConnState) {
		switch is {
		case http.StateNew:
			if open.Add(1) > most {
				c.Close() // the server finds it closed, and tells of that
			}
		case http.StateClosed:
			open.Add(-1)
		}
	}
}

// Handler answers for a server that listens at a place, and refuses requests by any
// other name, which is how a page elsewhere would reach it by a name of its own.
func (s *Server) Handler(at net.Addr) http.Handler {
	mux := http.NewServeMux()
	for _, r := range routes() {
		mux.Handle(r.pattern, s.inside(r.answer))
	}
	mux.Handle("/", s.inside(nothingHere))
	mux.HandleFunc("GET /favicon.ico", icon)
	host, port, _ := net.SplitHostPort(at.String())
	hosts := []string{at.String()}
	if host == ownHost {
		hosts = append(hosts, "localhost:"+port, "[::1]:"+port)
		mux.HandleFunc("GET /enter", s.enter)
	} else {
		mux.HandleFunc("/pair", s.pairing)
		mux.HandleFunc("/enter", http.NotFound)
	}
	guarded := http.NewCrossOriginProtection().Handler(mux)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; connect-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin") // with less, a form's Origin is null, and a phone's form would be refused
		h.Set("Cache-Control", "no-store")
		if host == ownHost { // to another machine's address without encryption browsers refuse it aloud
			h.Set("Cross-Origin-Opener-Policy", "same-origin")
		}
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		to := below(below(r, s.root, inRoot{}), playPath, ofPlay{})
		// Photos of who is let in may take long on their way, and files back. No connection: no need.
		until, c := time.Time{}, http.NewResponseController(w)
		if !s.letsIn(to) {
			until = time.Now().Add(readTimeout)
			_ = c.SetReadDeadline(until)
		}
		_ = c.SetWriteDeadline(until) // that of the request before on this connection holds still
		switch {
		case !slices.Contains(hosts, r.Host):
			http.Error(w, "this page answers to "+strings.Join(hosts, " and ")+" alone", http.StatusMisdirectedRequest)
		case fromElsewhere(r):
			http.Error(w, "this page answers to its own pages alone", http.StatusForbidden)
		default:
			defer s.survive(w, to)
			guarded.ServeHTTP(w, to)
		}
	})
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

// enter opens a session with the key, and leads to the page without it.
func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	if key := r.URL.Query().Get("key"); same(key, s.key) || s.once.take(key) {
		s.opened(w, r, s.session)
		return
	}
	if s.enters.tooMany(time.Now(), wrongEnters) {
		http.Error(w, "that was wrong too often; wait a minute", http.StatusTooManyRequests)
		return
	}
	http.Error(w, "this is not the address that piecebag serve wrote; copy it whole", http.StatusForbidden)
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

// nothingHere answers a request for an address at which there is no page.
func nothingHere(_ *Server, r *http.Request) (answer, error) {
	f := fault.Of(errNoPage(r))
	a := answer{code: http.StatusNotFound, document: report.Titled("Nothing here", "")}
	a.Wrong, a.Remedy = f.Error(), f.Remedy
	return a, nil
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

// file is what is not a page: a picture, or something to keep.
type file struct {
	kind string // its media type
	name string // to save it under; empty: it is shown
	data []byte
	path string // of a file to send in place of data; its folder is removed then
	// kept reports that the address names the content, so that a browser need not ask
	// again.
	kept bool
}

// route is a pattern of http.ServeMux and what answers its requests.
type route struct {
	pattern string
	answer  func(s *Server, r *http.Request) (answer, error)
}

func routes() []route {
	return slices.Concat(staticRoutes, photoRoutes, cropRoutes, pieceRoutes, shelfRoutes, teachRoutes, dataRoutes, shopRoutes, contrastRoutes, playRoutes, workRoutes, orderRoutes, quiltRoutes, ideaRoutes, madeRoutes, eventRoutes, phoneRoutes)
}

// letsIn reports whether a request is of the computer's own session or of a phone's.
func (s *Server) letsIn(r *http.Request) bool {
	return s.own(r) || s.phones.knows(sessionOf(r))
}

// inside lets in requests that carry the session, and turns answers into pages. No other
// place does either.
func (s *Server) inside(do func(*Server, *http.Request) (answer, error)) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.letsIn(r) && r.Pattern != staticRoutes[0].pattern { // who is to be let in is shown how
			if r.Method == http.MethodGet && slices.ContainsFunc(s.phones.at, func(at net.Addr) bool { return at.String() == r.Host }) {
				http.Redirect(w, r, "/pair", http.StatusSeeOther)
				return
			}
			a := answer{document: report.Titled("Not let in", "")}
			a.Wrong, a.Remedy = "this browser is not let in", "open the address that piecebag serve wrote in the terminal; it is another one each time it starts"
			write(w, http.StatusForbidden, a)
			return
		}
		most := int64(mostForm)
		if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
			most = mostUpload
			r.Body = moving{r.Body, http.NewResponseController(w)}
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		own := s
		if key := r.URL.Query().Get("done"); key != "" && r.Method == http.MethodGet {
			r = r.WithContext(context.WithValue(r.Context(), toldIn{}, own.news.take(key)))
		}
		s := s.here()
		if err := ofThisStash(r, s != own); err != nil {
			s.wrong(w, r, err)
			return
		}
		version := "" // of an answer that is no page to come back to: none
		if r.Method == http.MethodGet {
			version = s.version(r.Context(), r.URL.Path) // read before the answer is made, so that no change in between is missed
		}
		a, err := do(s, r)
		if err != nil {
			s.wrong(w, r, err)
			return
		}
		switch {
		case a.to != "" && wantsData(r):
			writeData(w, http.StatusOK, map[string]string{"to": own.leadsTo(a)})
		case a.to != "":
			http.Redirect(w, r, own.leadsTo(a), http.StatusSeeOther)
		case a.data != nil:
			writeData(w, http.StatusOK, a.data)
		case a.file != nil:
			a.file.write(w)
		case a.stream != nil:
			ctx, stop := context.WithCancel(r.Context()) // no stream keeps the server from ending
			defer stop()
			defer context.AfterFunc(s.serving, stop)()
			a.stream(w, r.WithContext(ctx))
		default:
			if a.Done == "" {
				a.Done = told(r)
			}
			a.Wrong, a.Remedy = s.placeless(a.Wrong), s.placeless(a.Remedy)
			a.Version = version
			s.frame(&a, r.URL.Path)
			if words := s.playing(); words != "" {
				a.Before = s.form(r, "playing.html", words) + a.Before
			}
			write(w, cmp.Or(a.code, http.StatusOK), a)
		}
	})
}

// moving is what is sent as long as more of it comes: a phone that fell asleep in the middle
// holds no place for others.
type moving struct {
	io.ReadCloser
	c *http.ResponseController
}

func (m moving) Read(p []byte) (int, error) {
	_ = m.c.SetReadDeadline(time.Now().Add(stallTimeout)) // no connection: no need
	n, err := m.ReadCloser.Read(p)
	if err != nil { // nothing more is to come
		_ = m.c.SetReadDeadline(time.Time{})
	}
	return n, err
}

// wantsData reports whether the request comes from one of our scripts, which takes JSON,
// and not from a form or a link.
func wantsData(r *http.Request) bool { return r.Header.Get("Accept") == "application/json" }

func writeData(w http.ResponseWriter, code int, data any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(data)
}

func (f *file) write(w http.ResponseWriter) {
	h := w.Header()
	h.Set("Content-Type", f.kind)
	if f.kept {
		h.Set("Cache-Control", "private, max-age=31536000, immutable")
	}
	if f.name != "" {
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": f.name}))
	}
	if f.path == "" {
		_, _ = w.Write(f.data)
		return
	}
	defer os.RemoveAll(filepath.Dir(f.path))
	if in, err := os.Open(f.path); err == nil {
		defer in.Close()
		_, _ = io.Copy(w, in)
	}
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
