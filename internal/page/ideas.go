package page

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
)

// ideaRoutes say which quilts the stash covers now.
var ideaRoutes = []route{{"GET /ideas", ideasPage}}

// mostIdeas are told at once: they fit on a screen.
const mostIdeas = 8

func ideasPage(s *Server, r *http.Request) (answer, error) {
	ask := desk.IdeasRequest{Shop: plan.Defaults(recipe.Inches()), Most: mostIdeas}
	if r.URL.Query().Get("all") != "" {
		ask.Most = 0
	}
	found, err := s.desk.Ideas(r.Context(), ask)
	if errors.Is(err, desk.ErrNoStash) { // nothing can be cut from nothing
		err = nil
	}
	if err != nil {
		return answer{}, err
	}
	i := report.Ideas{Ideas: found}
	if i.Crops, err = s.crops(r.Context(), i.Used(), report.ChipSide); err != nil {
		return answer{}, err
	}
	type way struct{ Name, Plan, Arrange string }
	v := struct {
		Ways []way
		More int
	}{More: found.More}
	for _, x := range found.Ideas {
		n := x.Needs
		q := url.Values{"recipe": {n.Recipe.File}, "layout": {strconv.Itoa(n.Columns) + "x" + strconv.Itoa(n.Rows)}, "block": {strconv.FormatFloat(n.Recipe.WidthIn, 'g', -1, 64)}}.Encode()
		v.Ways = append(v.Ways, way{n.Recipe.Name, "/plan?" + q, "/arrange?" + q})
	}
	return answer{document: i.Document(), Frame: report.Frame{After: form("ideas.html", v)}}, nil
}
