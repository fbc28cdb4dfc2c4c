package page

import (
	"cmp"
	"context"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

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

// nothingHere answers a request for an address at which there is no page.
func nothingHere(_ *Server, r *http.Request) (answer, error) {
	f := fault.Of(errNoPage(r))
	a := answer{code: http.StatusNotFound, document: report.Titled("Nothing here", "")}
	a.Wrong, a.Remedy = f.Error(), f.Remedy
	return a, nil
}

func routes() []route {
	return slices.Concat(staticRoutes, photoRoutes, cropRoutes, pieceRoutes, shelfRoutes, teachRoutes, dataRoutes, shopRoutes, contrastRoutes, playRoutes, workRoutes, orderRoutes, quiltRoutes, ideaRoutes, madeRoutes, eventRoutes, phoneRoutes)
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
