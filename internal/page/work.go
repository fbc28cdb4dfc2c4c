package page

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// workRoutes serve what is done with the stash.
var workRoutes = []route{
	{"GET /shelf", shelfPage},
	{"GET /plan", planPage}, {"POST /plan", keepPlan},
	{"GET /arrange", arrangePage}, {"POST /arrange", keepArranged},
	{"GET /quilts", quilts}, {"GET /quilts/{name}", quilt},
	{"POST /quilts/{name}/edit", editQuilt}, {"POST /quilts/{name}/mark", markQuilt}, {"POST /quilts/{name}/forget", forgetQuilt},
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

// asked is the quilt that a form asks for, as written.
type asked struct {
	Action, Heading, Button string
	Recipes                 []string
	Recipe, Layout, Block   string
	Looks                   []string
	Look                    string
	Seed                    string
	Corners, Shown          bool
}

func askedFor(r *http.Request, action, heading, button string) asked {
	a := asked{Action: action, Heading: heading, Button: button, Recipes: recipe.Names(), Recipe: r.FormValue("recipe"), Layout: r.FormValue("layout"), Block: r.FormValue("block")}
	if action == "/arrange" {
		a.Looks, a.Look, a.Seed, a.Corners = words(arrange.Looks), r.FormValue("look"), r.FormValue("seed"), r.FormValue("corners") != ""
		if a.Seed == "" {
			a.Seed = "1"
		}
	}
	a.Shown = a.Recipe != ""
	return a
}

// request reads a form.
func (a asked) request() (desk.PlanRequest, error) {
	var out desk.PlanRequest
	r, err := recipe.BuiltIn(a.Recipe)
	if err != nil {
		return out, err
	}
	if a.Block != "" {
		in, err := cloth.ParseLengths([]string{a.Block}, cloth.Inches)
		if err != nil {
			return out, fault.Usage(a.Block, "this is not a width", "write the width of the finished block, like 9 or 15cm")
		}
		if r, err = r.Resize(in[0]); err != nil {
			return out, err
		}
	}
	out.Order.Recipe, out.Shop = r, plan.Defaults(recipe.Inches())
	if _, err := fmt.Sscanf(strings.ReplaceAll(strings.ToLower(a.Layout), "×", "x"), "%dx%d", &out.Order.Columns, &out.Order.Rows); err != nil {
		return out, fault.Usage(a.Layout, "this is not a number of blocks across and down", "write it like 4x5")
	}
	return out, nil
}

func planPage(s *Server, r *http.Request) (answer, error) {
	a := askedFor(r, "/plan", "A quilt from the stash", "Plan")
	frame := report.Frame{Before: form("quilt.html", a)}
	if !a.Shown {
		return answer{document: report.Titled("Plan", "What a quilt is cut from, what the stash has of it, what is to be bought."), Frame: frame}, nil
	}
	ask, err := a.request()
	if err != nil {
		return answer{}, err
	}
	p := report.Plan{}
	if p.Plan, err = s.desk.Plan(r.Context(), ask); err != nil {
		return answer{}, err
	}
	if p.Pull != nil {
		if p.Crops, err = s.crops(r.Context(), desk.Pulled(p.Pull.Cover), report.ChipSide); err != nil {
			return answer{}, err
		}
	}
	return answer{document: p.Document(), Frame: frame}, nil
}

func keepPlan(s *Server, r *http.Request) (answer, error) {
	ask, err := askedFor(r, "/plan", "", "").request()
	if err != nil {
		return answer{}, err
	}
	ask.Save = r.FormValue("save")
	_, err = s.desk.Plan(r.Context(), ask)
	return after("/quilts", "kept as "+ask.Save), err
}

func (a asked) arrangement() (desk.ArrangeRequest, error) {
	ask, err := a.request()
	if err != nil {
		return desk.ArrangeRequest{}, err
	}
	seed, err := strconv.ParseUint(a.Seed, 10, 64)
	if err != nil {
		return desk.ArrangeRequest{}, fault.Usage(a.Seed, "this is not a number", "write a whole number")
	}
	return desk.ArrangeRequest{PlanRequest: ask, Look: arrange.Look(a.Look), Seed: seed, Corners: a.Corners}, nil
}

func arrangePage(s *Server, r *http.Request) (answer, error) {
	a := askedFor(r, "/arrange", "A quilt laid out with your cloth", "Lay it out")
	frame := report.Frame{Before: form("quilt.html", a)}
	if !a.Shown {
		return answer{document: report.Titled("Arrange", "Nothing alike touches, and the darks are spread."), Frame: frame}, nil
	}
	ask, err := a.arrangement()
	if err != nil {
		return answer{}, err
	}
	laid, err := s.desk.Arrange(r.Context(), ask)
	if err != nil {
		return answer{}, err
	}
	d, err := s.drawn(r.Context(), laid)
	return answer{document: d, Frame: frame}, err
}

// drawn is a layout drawn in its cloth.
func (s *Server) drawn(ctx context.Context, laid desk.Arrangement) (report.Document, error) {
	a := report.Arrangement{Arrangement: laid, Drawn: true}
	var err error
	if a.Crops, err = s.crops(ctx, a.Used(), report.ChipSide); err != nil {
		return report.Document{}, err
	}
	a.Crops.Lend(a.Holdings)
	return a.Document(), nil
}

func keepArranged(s *Server, r *http.Request) (answer, error) {
	ask, err := askedFor(r, "/arrange", "", "").arrangement()
	if err != nil {
		return answer{}, err
	}
	ask.Save = r.FormValue("save")
	_, err = s.desk.Arrange(r.Context(), ask)
	return after(quiltPath(ask.Save), "kept, with its cloth"), err
}

func quiltPath(name string) string { return "/quilts/" + url.PathEscape(name) }

func quilts(s *Server, r *http.Request) (answer, error) {
	all, err := s.desk.Quilts(r.Context())
	if err != nil {
		return answer{}, err
	}
	type link struct{ Name, To string }
	var links []link
	for _, q := range all {
		if q.Laid > 0 {
			links = append(links, link{q.Name, quiltPath(q.Name)})
		}
	}
	return answer{document: report.QuiltsDocument(all), Frame: report.Frame{After: form("quilts.html", links)}}, nil
}

func quilt(s *Server, r *http.Request) (answer, error) {
	laid, err := s.desk.Quilt(r.Context(), r.PathValue("name"))
	if err != nil {
		return answer{}, err
	}
	d, err := s.drawn(r.Context(), laid)
	return answer{document: d, Frame: report.Frame{Before: form("kept.html", map[string]string{"At": quiltPath(r.PathValue("name"))})}}, err
}

func editQuilt(s *Server, r *http.Request) (answer, error) {
	name, one, other := r.PathValue("name"), r.FormValue("a"), r.FormValue("b")
	var e desk.Edit
	switch r.FormValue("do") {
	case "swap":
		e.Swap = [2]string{one, other}
	case "turn":
		e.Turn, e.By = one, 1
	case "lock":
		e.Lock = []string{one}
	case "unlock":
		e.Unlock = []string{one}
	}
	_, err := s.desk.EditQuilt(r.Context(), name, e)
	return after(quiltPath(name), "changed"), err
}

func markQuilt(s *Server, r *http.Request) (answer, error) {
	name := r.PathValue("name")
	m, err := s.desk.MarkQuilt(r.Context(), desk.MarkRequest{Quilt: name, Stage: plan.Stage(r.FormValue("stage")), Blocks: strings.Fields(r.FormValue("which"))})
	return after(quiltPath(name), cloth.Count(m.Pieces, "piece")+" "+r.FormValue("stage")), err
}

func forgetQuilt(s *Server, r *http.Request) (answer, error) {
	_, err := s.desk.ForgetPlan(r.Context(), r.PathValue("name"))
	return after("/quilts", "kept no more"), err
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
