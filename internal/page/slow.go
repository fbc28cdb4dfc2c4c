package page

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"html/template"
	"net/http"
	"net/url"
	"sync"
	"sync/atomic"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/report"
)

const (
	soon        = time.Second     // what takes longer says that it is at work
	saysEvery   = time.Second     // how far it is
	mostSlow    = 4               // that are at work at once
	mostMade    = 4               // answers that wait to be fetched
	mostPatches = 20_000          // of a quilt on a page: one of a king's bed has ten thousand of an inch
	madeLasts   = 5 * time.Minute // for those who come back to the page late
)

// work is what is at work for a page, and how far it is.
type work struct {
	steps atomic.Int64 // of all; 0: not known
	done  atomic.Int64
}

// made is an answer that is ready to be fetched, once.
type made struct {
	id     string
	at     time.Time
	answer answer
	err    error
}

// slow holds the work that takes long, and its answers.
type slow struct {
	at    chan struct{} // a place for each that is at work
	soon  time.Duration
	mu    sync.Mutex
	ready []made
}

func newSlow() *slow { return &slow{at: make(chan struct{}, mostSlow), soon: soon} }

// keep keeps an answer to be fetched, and returns the id to fetch it by.
func (s *slow) keep(a answer, err error) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	for len(s.ready) > 0 && (len(s.ready) >= mostMade || time.Since(s.ready[0].at) > madeLasts) {
		s.ready = s.ready[1:]
	}
	m := made{secret()[:16], time.Now(), a, err}
	s.ready = append(s.ready, m)
	return m.id
}

// fetch returns a kept answer, and forgets it.
func (s *slow) fetch(id string) (m made, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, m := range s.ready {
		if m.id == id {
			s.ready = append(s.ready[:i:i], s.ready[i+1:]...)
			return m, true
		}
	}
	return m, false
}

var errBusy = fault.New("", fmt.Sprintf("%d quilts are worked out already", mostSlow), "wait for one of them, or stop it, and ask again")

// madeRoutes give what was asked for by a form that no address says.
var madeRoutes = []route{{"GET /made", slowly(theForm, func(_ *Server, r *http.Request) (answer, error) { return answer{}, errNoPage(r) })}}

// slowly answers as do does. Where that takes longer than soon, a page says how far the
// work is and then leads on to the answer; leaving that page stops the work, and back is
// where its link leads. This needs no script: the page is sent piece by piece.
func slowly(back func(*http.Request) string, do func(*Server, *http.Request) (answer, error)) func(*Server, *http.Request) (answer, error) {
	return func(s *Server, r *http.Request) (answer, error) {
		if m, ok := s.slow.fetch(r.URL.Query().Get("made")); ok {
			return m.answer, m.err
		}
		to := back(r)
		waits := r.FormValue("as") != "" // a file to keep
		if mode := r.Header.Get("Sec-Fetch-Mode"); mode != "" && mode != "navigate" {
			waits = true // a script
		}
		select {
		case s.slow.at <- struct{}{}:
		default:
			return answer{}, errBusy
		}
		ctx, stop := context.WithCancel(r.Context())
		of := &work{}
		at := *s
		at.desk = s.desk.At(desk.Door{
			Begin: func(_ desk.Work, steps int) { of.done.Store(0); of.steps.Store(int64(steps)) },
			Step:  func() { of.done.Add(1) },
		})
		done := make(chan made, 1)
		go func() {
			defer func() { <-s.slow.at }()
			m := made{}
			defer func() {
				if p := recover(); p != nil {
					m.err = panicked(p)
				}
				done <- m
			}()
			m.answer, m.err = do(&at, r.WithContext(ctx))
		}()
		clock := time.NewTimer(s.slow.soon)
		defer clock.Stop()
		select {
		case m := <-done:
			stop()
			return m.answer, m.err
		case <-clock.C:
		}
		if waits {
			defer stop()
			m := <-done
			return m.answer, m.err
		}
		return answer{stream: func(w http.ResponseWriter, r *http.Request) {
			defer stop()
			s.atWork(w, r, to, of, done)
		}}, nil
	}
}

// atWork says how far it is until it is done.
func (s *Server) atWork(w http.ResponseWriter, r *http.Request, back string, of *work, done <-chan made) {
	before, after := s.aroundWork(r, back)
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	out := http.NewResponseController(w)
	_, _ = w.Write(before)
	clock := time.NewTicker(saysEvery)
	defer clock.Stop()
	begun := time.Now()
	for s.letsIn(r) { // a phone may be let in no more meanwhile
		_, _ = fmt.Fprint(w, of.words(time.Since(begun)))
		if out.Flush() != nil || r.Context().Err() != nil {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case m := <-done:
			to := html.EscapeString(s.leadsOn(r, m))
			_, _ = fmt.Fprintf(w, `<p role="status">It is done: <a class="way" href="%[1]s">show it</a></p><meta http-equiv="refresh" content="0;url=%[1]s"/>`, to)
			_, _ = w.Write(after)
			return
		case <-clock.C:
		}
	}
}

// leadsOn returns the address where an answer is shown.
func (s *Server) leadsOn(r *http.Request, m made) string {
	if m.err == nil && m.answer.to != "" {
		return s.leadsTo(m.answer)
	}
	id := url.Values{"made": {s.slow.keep(m.answer, m.err)}}
	if r.Method != http.MethodGet {
		return s.root + withQuery("/made", id)
	}
	return s.root + withQuery(r.URL.RequestURI(), id) + "#answer"
}

// theForm returns the address of the form that sent a request, with all that was written
// into it.
func theForm(r *http.Request) string {
	_ = r.ParseForm() // what cannot be parsed asks nothing
	q := given(r.Form)
	q.Set("stop", "1")
	return r.URL.Path + "?" + q.Encode()
}

// aroundWork is what stands on a page before and after how far the work is.
func (s *Server) aroundWork(r *http.Request, back string) (before, after []byte) {
	const mark = "<!-- how far -->"
	a := answer{document: report.Titled("At work", "It takes some time. Leave this page to stop it.")}
	a.Before = s.form(r, "working.html", map[string]any{"Back": back, "Mark": template.HTML(mark)})
	s.frame(&a, r.URL.Path)
	page := a.page()
	before, after, _ = bytes.Cut(page, []byte(mark))
	return before, after
}

// words say how far it is.
func (o *work) words(since time.Duration) string {
	steps, done := o.steps.Load(), o.done.Load()
	if steps == 0 {
		return fmt.Sprintf(`<p class="far" role="status">%s</p>`+"\n", cloth.Count(int(since.Seconds()), "second"))
	}
	return fmt.Sprintf(`<p class="far" role="status"><progress max="%[1]d" value="%[2]d" aria-label="how far it is"></progress> %[3]d %%</p>`+"\n", steps, min(done, steps), 100*min(done, steps)/steps)
}

// drawable refuses a quilt with more patches or blocks than a page can show.
func drawable(ask desk.PlanRequest) error {
	n, err := plan.Need(ask.Order, ask.Shop)
	if err != nil {
		return err
	}
	if patches := len(n.Recipe.QuiltLayout(n.Columns, n.Rows).Patches); patches > mostPatches {
		return fault.Usage("", fmt.Sprintf("this quilt has %d patches, and a page shows %d at most", patches, mostPatches), "ask for fewer or larger blocks; the command plans it as it is")
	}
	return nil
}
