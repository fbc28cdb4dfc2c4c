package page

import (
	"net/http"
	"net/url"

	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// workRoutes serve what is done with the stash.
var workRoutes = []route{
	{"GET /shelf", shelfPage},
	{"GET /refill", refill}, {"GET /buy", buy}, {"GET /history", history},
	{"POST /undo", undo}, {"POST /redo", redo},
}

// told is what the page before says was done.
func (s *Server) told(r *http.Request) string { return r.URL.Query().Get("done") }

func after(to, done string) answer { return answer{to: withQuery(to, url.Values{"done": {done}})} }

func shelfPage(s *Server, r *http.Request) (answer, error) {
	v, err := s.desk.Shelf(r.Context(), desk.ShelfRequest{Colours: true})
	if err != nil {
		return answer{}, err
	}
	return answer{document: report.Stash{Shelf: v}.Document(), Frame: report.Frame{After: form("shelf.html", nil)}}, nil
}

func refill(s *Server, r *http.Request) (answer, error) {
	v, err := s.desk.Refill(r.Context(), desk.RefillRequest{System: recipe.Inches()})
	if err != nil {
		return answer{}, err
	}
	return answer{document: report.Refilling{Refill: v}.Document()}, nil
}

func buy(s *Server, r *http.Request) (answer, error) {
	v, err := s.desk.Buy(r.Context(), desk.BuyRequest{Habits: plan.Habits{Shop: plan.Defaults(recipe.Inches())}})
	if err != nil {
		return answer{}, err
	}
	return answer{document: report.Buying{Buying: v}.Document()}, nil
}

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
