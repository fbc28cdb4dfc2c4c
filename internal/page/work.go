package page

import (
	"net/http"
	"net/url"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// workRoutes serve what is done with the stash.
var workRoutes = []route{
	{"GET /history", history},
	{"POST /undo", shownBy(history, undo)}, {"POST /redo", shownBy(history, redo)},
}

// told returns the words, handed on by the page before, on what was done.
func (s *Server) told(r *http.Request) string { return r.URL.Query().Get("done") }

// after leads on to a page that says what was done; empty: nothing.
func after(to, done string) answer {
	if done == "" {
		return answer{to: to}
	}
	return answer{to: withQuery(to, url.Values{"done": {done}})}
}

func history(s *Server, r *http.Request) (answer, error) {
	all, err := s.desk.History(r.Context(), stash.Undoable)
	if err != nil {
		return answer{}, err
	}
	undone, err := s.desk.Undone(r.Context())
	if err != nil {
		return answer{}, err
	}
	v := map[string]any{"Waiting": s.waitingViews()}
	if len(all) > 0 && all[0].Undoable {
		v["Undo"] = changeWords(all[:max(1, s.waiting.stowed.press(all))])
	}
	if undone != nil {
		v["Redo"] = changeWords([]stash.Change{*undone})
	}
	return answer{document: report.HistoryDocument(all), Frame: report.Frame{After: form(r, "history.html", v)}}, nil
}

func undo(s *Server, r *http.Request) (answer, error) {
	all, back, err := s.takeBack(r.Context())
	said := taken("taken back", all)
	if back != nil {
		if len(back) == 1 {
			said += "; " + back[0] + " waits again, mended as it was"
		} else {
			said += "; " + cloth.Few(back) + " wait again, mended as they were"
		}
	}
	if err != nil && said != "" {
		err = fault.In(said, err)
	}
	return after("/history", said), err
}

func redo(s *Server, r *http.Request) (answer, error) {
	all, err := s.desk.Redo(r.Context(), 1, nil)
	return after("/history", taken("done again", all)), err
}

func taken(how string, all []stash.Change) string {
	if len(all) == 0 {
		return ""
	}
	return how + ": " + changeWords(all)
}

// changeWords returns changes, which come newest first, in words and in the order they were
// made.
func changeWords(all []stash.Change) string {
	var out []string
	for _, c := range slices.Backward(all) {
		out = append(out, c.Verb+" "+c.What)
	}
	return cloth.Few(out)
}
