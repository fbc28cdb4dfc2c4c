package page

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// eventRoutes tell open pages that what they show has changed.
var eventRoutes = []route{{"GET /events", func(s *Server, _ *http.Request) (answer, error) { return answer{stream: s.tell}, nil }}}

const (
	mostListeners = 64
	looksEvery    = time.Second      // at the stash, for changes
	wakesEvery    = 20 * time.Second // a comment is sent, so that the connection is kept open
)

// version returns a text that changes whenever what the page at a path shows does: the
// photos that wait, or the stash. Empty: it cannot be told now.
func (s *Server) version(ctx context.Context, path string) string {
	if path == "/" {
		return s.waiting.version()
	}
	if rest, ok := strings.CutPrefix(path, "/look/"); ok {
		id, _, _ := strings.Cut(rest, "/")
		if b := s.waiting.find(id); b != nil {
			return b.now.Load().version
		}
		return "gone"
	}
	n, err := s.desk.Latest(ctx)
	if err != nil { // a command may be at work on it: the next look tells
		return ""
	}
	return strconv.FormatInt(n, 10)
}

// tell sends the version of a page, at once and after every change, whoever made it.
func (s *Server) tell(w http.ResponseWriter, r *http.Request) {
	select {
	case s.listeners <- struct{}{}:
		defer func() { <-s.listeners }()
	default:
		http.Error(w, "too many pages are open", http.StatusServiceUnavailable)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	clock := time.NewTicker(looksEvery)
	defer clock.Stop()
	last, said := "", time.Now()
	for s.letsIn(r) { // a phone may be let in no more meanwhile
		var err error
		switch now := s.version(r.Context(), r.URL.Query().Get("of")); {
		case now != "" && now != last:
			last, said = now, time.Now()
			_, err = fmt.Fprintf(w, "data: %s\n\n", now)
		case time.Since(said) > wakesEvery:
			said = time.Now()
			_, err = fmt.Fprint(w, ": still here\n\n")
		}
		if err == nil {
			err = out.Flush()
		}
		if err != nil && r.Context().Err() != nil {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-clock.C:
		}
	}
}
