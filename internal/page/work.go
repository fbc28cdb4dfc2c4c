package page

import (
	"net/http"
	"net/url"

	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// workRoutes serve what is done with the stash.
var workRoutes = []route{
	{"GET /history", history},
	{"POST /undo", undo}, {"POST /redo", redo},
}

// told is what the page before says was done.
func (s *Server) told(r *http.Request) string { return r.URL.Query().Get("done") }

func after(to, done string) answer { return answer{to: withQuery(to, url.Values{"done": {done}})} }

func history(s *Server, r *http.Request) (answer, error) {
	all, err := s.desk.History(r.Context(), 100)
	return answer{document: report.HistoryDocument(all), Frame: report.Frame{After: form("shelf.html", nil)}}, err
}

func undo(s *Server, r *http.Request) (answer, error) {
	all, err := s.desk.Undo(r.Context(), 1, nil)
	return after("/history", taken("taken back", all)), err
}

func redo(s *Server, r *http.Request) (answer, error) {
	all, err := s.desk.Redo(r.Context(), 1, nil)
	return after("/history", taken("done again", all)), err
}

func taken(how string, all []stash.Change) string {
	if len(all) == 0 {
		return ""
	}
	return how + ": " + all[0].Verb + " " + all[0].What
}
