package page

import (
	"fmt"
	"net/http"
	"time"
)

// eventRoutes tell open pages that the stash has changed.
var eventRoutes = []route{{"GET /events", func(s *Server, _ *http.Request) (answer, error) { return answer{stream: s.tell}, nil }}}

const (
	mostListeners = 64
	looksEvery    = time.Second      // at the stash, for changes
	wakesEvery    = 20 * time.Second // what is between, so that the way stays open
)

// tell sends the number of the last change of the stash, now and whenever it is another,
// whoever made it.
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
	last, said := int64(-1), time.Now()
	for {
		n, err := s.desk.Latest(r.Context())
		switch {
		case err != nil: // a command may be at work on it: the next look tells
		case n != last:
			last, said = n, time.Now()
			_, err = fmt.Fprintf(w, "data: %d\n\n", n)
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
		case <-s.ending:
			return
		case <-clock.C:
		}
	}
}
