// Package page serves the work of package desk as a local page: plain forms, the
// documents of package report as answers. Scripts of its own make it pleasant, and
// everything is done without them too. Nothing is loaded from anywhere else.
//
// Who may come in: whoever opened the address with the key, from this machine's own
// name. A browser then holds the session in a cookie, so that other users of the machine,
// and pages in other tabs, are not let in.
package page

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"html/template"
	"mime"
	"net"
	"net/http"
	"slices"
	"strings"
	"time"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

//go:embed forms/*.html
var formFiles embed.FS

var forms = template.Must(template.New("").Funcs(template.FuncMap{"at": func(v mendView, d doubtView) map[string]any {
	return map[string]any{"View": v, "Doubt": d}
}}).ParseFS(formFiles, "forms/*.html"))

const (
	cookie       = "piecebag"
	mostUpload   = 512 << 20 // bytes of one request: ten photos of a good camera, twice over
	mostForm     = 1 << 20   // bytes of a request without photos
	mostAtOnce   = 2         // requests with photos that are worked on at once
	mostBatches  = 20        // of photos looked at and not stowed
	readTimeout  = 10 * time.Second
	idleTimeout  = 2 * time.Minute
	secretBytes  = 32
	shutdownTime = 5 * time.Second
)

// Server serves one desk.
type Server struct {
	desk    *desk.Desk
	key     string // opens a session
	session string // what its cookie holds
	waiting *waiting

	cloth *cropStore

	photos chan struct{} // as many as may be worked on at once
}

// New is a server of a desk. Photos that are sent and not stowed yet lie in a folder
// beside the stash, and those that lie there are waiting still.
func New(d *desk.Desk) (*Server, error) {
	w, err := openWaiting(d.Beside("waiting"))
	if err != nil {
		return nil, err
	}
	cloth := &cropStore{folder: d.Beside("crops")}
	if err := cloth.prune(mostCrops, leastCrops); err != nil {
		return nil, err
	}
	return &Server{desk: d.At(desk.Door{}), cloth: cloth, key: secret(), session: secret(), waiting: w, photos: make(chan struct{}, mostAtOnce)}, nil
}

// Address is where a session is opened, of a server that listens at a place.
func (s *Server) Address(at net.Addr) string { return "http://" + at.String() + "/enter?key=" + s.key }

func secret() string {
	b := make([]byte, secretBytes)
	_, _ = rand.Read(b) // crypto/rand ends the program rather than fail
	return hex.EncodeToString(b)
}

// Serve answers at a listener of this machine until ctx ends.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{Handler: s.Handler(l.Addr()), ReadHeaderTimeout: readTimeout, IdleTimeout: idleTimeout}
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	if err := server.Shutdown(stop); err != nil {
		return err
	}
	return ctx.Err()
}

// Handler answers for a server that listens at a place, and refuses requests by any
// other name, which is how a page elsewhere would reach it by a name of its own.
func (s *Server) Handler(at net.Addr) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /enter", s.enter)
	for _, r := range slices.Concat(staticRoutes, photoRoutes, cropRoutes, pieceRoutes, workRoutes) {
		mux.Handle(r.pattern, s.inside(r.answer))
	}
	_, port, _ := net.SplitHostPort(at.String())
	hosts := []string{"127.0.0.1:" + port, "localhost:" + port, "[::1]:" + port}
	guarded := http.NewCrossOriginProtection().Handler(mux)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; connect-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cache-Control", "no-store")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		if !slices.Contains(hosts, r.Host) {
			http.Error(w, "this page answers to 127.0.0.1 and localhost alone", http.StatusMisdirectedRequest)
			return
		}
		guarded.ServeHTTP(w, r)
	})
}

// enter opens a session with the key, and leads to the page without it.
func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	if !same(r.URL.Query().Get("key"), s.key) {
		http.Error(w, "this is not the address that piecebag serve wrote; copy it whole", http.StatusForbidden)
		return
	}
	http.SetCookie(w, &http.Cookie{Name: cookie, Value: s.session, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// errNoPage is that nothing is at an address.
func errNoPage(r *http.Request) error {
	return fault.Usage(r.URL.Path, "there is nothing here", "go on from one of the pages above")
}

func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// answer is what a request is answered with: a document in a frame, another page to go
// to, data for a script, or a file.
type answer struct {
	document report.Document
	report.Frame
	to   string // where to go; empty: here is what was asked for
	data any    // written as JSON; nil: none
	file *file
}

// file is what is not a page: a picture, or something to keep.
type file struct {
	kind string // its media type
	name string // to save it under; empty: it is shown
	data []byte
	// kept says that the address names the content, so that a browser need not ask again.
	kept bool
}

// route answers requests of a pattern.
type route struct {
	pattern string
	answer  func(s *Server, r *http.Request) (answer, error)
}

// inside lets in who has the session, and turns answers into pages. It is the only
// place that does.
func (s *Server) inside(do func(*Server, *http.Request) (answer, error)) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		c, err := r.Cookie(cookie)
		if err != nil || !same(c.Value, s.session) {
			http.Error(w, "open the address that piecebag serve wrote in the terminal", http.StatusForbidden)
			return
		}
		most := int64(mostForm)
		if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
			most = mostUpload
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		a, err := do(s, r)
		if err != nil {
			s.wrong(w, r, err)
			return
		}
		switch {
		case a.to != "" && wantsData(r):
			writeData(w, http.StatusOK, map[string]string{"to": a.to})
		case a.to != "":
			http.Redirect(w, r, a.to, http.StatusSeeOther)
		case a.data != nil:
			writeData(w, http.StatusOK, a.data)
		case a.file != nil:
			a.file.write(w)
		default:
			if a.Done == "" {
				a.Done = s.told(r)
			}
			write(w, r, http.StatusOK, a)
		}
	})
}

// wrong says what went wrong: file, reason and remedy.
func (s *Server) wrong(w http.ResponseWriter, r *http.Request, err error) {
	code := http.StatusInternalServerError
	a := answer{document: report.Titled("That did not work", "")}
	var large *http.MaxBytesError
	switch f := fault.Of(err); {
	case errors.As(err, &large):
		code, a.Wrong, a.Remedy = http.StatusRequestEntityTooLarge, "that is more than can be sent at once", "send fewer photos"
	case f != nil:
		code, a.Wrong, a.Remedy = http.StatusUnprocessableEntity, strings.TrimPrefix(f.About+": "+f.Why, ": "), f.Remedy
		if errors.Is(err, fault.ErrUsage) {
			code = http.StatusBadRequest
		}
	default:
		a.Wrong, a.Remedy = err.Error(), "this is a fault in piecebag; please report it"
	}
	if wantsData(r) {
		writeData(w, code, map[string]string{"wrong": a.Wrong, "remedy": a.Remedy})
		return
	}
	write(w, r, code, a)
}

// wantsData tells whether a script asks, and not a person.
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
	_, _ = w.Write(f.data)
}

// write writes a page whole, or none.
func write(w http.ResponseWriter, r *http.Request, code int, a answer) {
	a.Ways = ways(r.URL.Path)
	a.Sheet = staticAt("page.css")
	a.Scripts = append([]string{staticAt("page.js")}, a.Scripts...)
	var b bytes.Buffer
	if err := a.document.Framed(&b, a.Frame); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(code)
	_, _ = w.Write(b.Bytes())
}

// ways leads to every part; path is the one that is open.
func ways(path string) []report.Way {
	var out []report.Way
	for _, w := range []report.Way{
		{Words: "Photos", To: "/"}, {Words: "Shelf", To: "/shelf"}, {Words: "Pieces", To: "/pieces"},
		{Words: "Plan", To: "/plan"}, {Words: "Arrange", To: "/arrange"}, {Words: "Quilts", To: "/quilts"},
		{Words: "Refill", To: "/refill"}, {Words: "Buy", To: "/buy"}, {Words: "What was done", To: "/history"},
	} {
		w.Here = path == w.To || w.To != "/" && strings.HasPrefix(path, w.To+"/")
		out = append(out, w)
	}
	return out
}

// form fills one of the forms.
func form(name string, data any) template.HTML {
	var b bytes.Buffer
	if err := forms.ExecuteTemplate(&b, name, data); err != nil {
		panic(err) // the forms are our own
	}
	return template.HTML(b.String()) //nolint:gosec // filled by html/template
}

// words are options of a list.
func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = string(v)
	}
	return out
}
