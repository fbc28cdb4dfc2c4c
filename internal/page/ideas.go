package page

import (
	"errors"
	"maps"
	"net/http"
	"net/url"
	"strconv"

	"piecebag/internal/desk"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
)

// ideaRoutes say which quilts the stash covers now.
var ideaRoutes = []route{{"GET /ideas", slowly(func(*http.Request) string { return "/shelf" }, asking(ideasPage))}}

// mostIdeas are told at once: they fit on a screen.
const mostIdeas = 8

func ideasPage(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	ask := desk.IdeasRequest{Shop: f.shop(), Most: mostIdeas, Matching: f.text("matching"), Only: f.ticked("only")}
	own := f.text("text")
	if own != "" {
		ask.Recipes = []*recipe.Recipe{f.recipe()}
	}
	if f.err != nil {
		return answer{}, f.err
	}
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
	i := report.Ideas{Ideas: found, Wording: wording}
	if i.Crops, err = s.crops(r.Context(), i.Used()); err != nil {
		return answer{}, err
	}
	type way struct{ Name, Plan, Arrange string }
	v := struct {
		Ways []way
		All  string // where all are told; empty: here
	}{}
	sewn, inches := url.Values{}, ""
	if f.ticked("metric") {
		inches = "in"
	}
	for _, name := range append([]string{"matching"}, sewnBy...) {
		if s := f.text(name); s != "" {
			sewn.Set(name, s)
		}
	}
	if found.More > 0 {
		all := maps.Clone(sewn)
		for _, name := range []string{"text", "only"} {
			if s := f.text(name); s != "" {
				all.Set(name, s)
			}
		}
		v.All = withQuery("/ideas?all=1", all)
	}
	for _, x := range found.Ideas {
		n := x.Needs
		sewn.Del("recipe")
		sewn.Del("text")
		if n.Recipe.File == ownRecipe {
			sewn.Set("text", own)
		} else {
			sewn.Set("recipe", n.Recipe.File)
		}
		sewn.Set("layout", strconv.Itoa(n.Columns)+"x"+strconv.Itoa(n.Rows))
		sewn.Set("block", strconv.FormatFloat(n.Recipe.WidthIn, 'g', -1, 64)+inches)
		v.Ways = append(v.Ways, way{n.Recipe.Name, "/plan?" + sewn.Encode(), "/arrange?" + sewn.Encode()})
	}
	return answer{document: i.Document(), Frame: report.Frame{Before: s.form(r, "sewn", f.asked(map[string]any{})), After: s.form(r, "ideas.html", v)}}, nil
}
