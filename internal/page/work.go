package page

import (
	"context"
	"net/http"
	"net/url"
	"slices"
	"sync"

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

// news is what was done and is told on the page that is gone to next, once: a page that is
// loaded again, or come back to, does not say it again.
type news struct {
	mu   sync.Mutex
	keys []string // the oldest first
	of   map[string]string
}

// changed says what a change did, as it is told on the page that follows.
func changed(c stash.Change) string {
	if c.What == "" {
		return ""
	}
	return map[string]string{"add": "added: ", "use": "used: ", "correct": "corrected: ", "setting": "settings now: "}[c.Verb] + c.What
}

// mostNews is how much of it is kept that no page has asked for.
const mostNews = 100

// put keeps words, and returns by what they are asked for.
func (n *news) put(words string) string {
	n.mu.Lock()
	defer n.mu.Unlock()
	key := secret()[:rootLetters]
	if n.of == nil {
		n.of = map[string]string{}
	}
	n.keys, n.of[key] = append(n.keys, key), words
	if len(n.keys) > mostNews {
		delete(n.of, n.keys[0])
		n.keys = n.keys[1:]
	}
	return key
}

// take returns words that were kept, once; empty where there are none.
func (n *news) take(key string) string {
	n.mu.Lock()
	defer n.mu.Unlock()
	words := n.of[key]
	delete(n.of, key)
	n.keys = slices.DeleteFunc(n.keys, func(k string) bool { return k == key })
	return words
}

// toldIn is where a request holds what its page tells.
type toldIn struct{}

// told returns the words, handed on by the page before, on what was done.
func told(r *http.Request) string {
	words, _ := r.Context().Value(toldIn{}).(string)
	return words
}

// leadsTo returns the address that an answer goes to, by which what was done is told there.
func (s *Server) leadsTo(a answer) string {
	if a.Done == "" {
		return s.root + a.to
	}
	return s.root + withQuery(a.to, url.Values{"done": {s.news.put(a.Done)}})
}

// after leads on to a page that says what was done; empty: nothing.
func after(to, done string) answer {
	return answer{to: to, Frame: report.Frame{Done: done}}
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
		v["Undo"] = changeWords(all[:max(1, s.waiting.stowed.made(all))])
	}
	if len(undone) > 0 {
		undone = undone[:max(1, s.waiting.stowed.unmade(undone))]
		slices.Reverse(undone) // what is done again first comes last in time, as in a history
		v["Redo"] = changeWords(undone)
	}
	return answer{document: report.HistoryDocument(all), Frame: report.Frame{After: s.form(r, "history.html", v)}}, nil
}

func undo(s *Server, r *http.Request) (answer, error) {
	all, back, err := s.takeBack(context.WithoutCancel(r.Context()))
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
	all, still, err := s.doAgain(context.WithoutCancel(r.Context()))
	slices.Reverse(all)
	said := taken("done again", all)
	if still != nil {
		said += "; more was said of " + cloth.Few(still) + " since, and " + map[bool]string{true: "it waits", false: "they wait"}[len(still) == 1] + " still"
	}
	if err != nil && said != "" {
		err = fault.In(said, err)
	}
	return after("/history", said), err
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
		out = append(out, report.DoneWords(c))
	}
	return cloth.Few(out)
}
