package page

import (
	"net/http"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// shopRoutes say what to cut for thin bins, how to cut what is left, and what to buy.
var shopRoutes = []route{{"GET /refill", asking(refillPage)}, {"GET /leftovers", asking(leftoversPage)}, {"GET /buy", asking(buyPage)}}

// system reads the lengths you work in, by a seam allowance.
func (f *fields) system() recipe.System {
	seam := f.text("seam")
	if seam == "" {
		seam = "¼"
	}
	s, err := desk.ReadSystem(seam, f.metric())
	if x := fault.Of(err); x != nil {
		f.wrongIn("seam", x.Named(seam))
	}
	return s
}

// sewnBy are the fields that shop reads, the seam first.
var sewnBy = []string{"seam", "metric", "wof", "back-wof", "squaring", "trim", "shrink", "one-way"}

func (f *fields) shrinkage(name string, most float64) float64 {
	return read(f, name, func(s string) (float64, error) { return desk.ReadShrinkage(s, most) })
}

// shop reads how you sew and buy.
func (f *fields) shop() plan.Shop {
	s := plan.Defaults(f.system())
	s.System.Trim = f.length("trim")
	if w := f.length("wof"); w > 0 {
		s.WOFIn = w
	}
	s.BackWOFIn, s.SquaringIn = f.length("back-wof"), f.length("squaring")
	s.Shrink = f.shrinkage("shrink", plan.MostShrink)
	s.OneWay = split(f.text("one-way"))
	return s
}

// asked fills a form with what it was asked before.
func (f *fields) asked(more map[string]any) map[string]any {
	_ = f.r.ParseForm() // what cannot be parsed asks nothing
	more["Is"] = f.r.Form
	return more
}

// answered is a page with its form before and the form to save it after, or the answer
// as a file where that is asked for.
func (f *fields) answered(s *Server, name string, document func() report.Document, formName string, data map[string]any, besides ...written) (answer, error) {
	if as := f.text("as"); as != "" {
		return asFile(name, as, document, besides...)
	}
	var ways []report.Way
	for _, b := range besides {
		ways = append(ways, b.Way)
	}
	return answer{document: document(), Frame: report.Frame{Before: s.form(f.r, formName, f.asked(data)), After: s.form(f.r, "saving", saving(f.r, ways...))}}, nil
}

func refillPage(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	ask := desk.RefillRequest{System: f.system(), Prefer: read(f, "prefer", oneOf(cutting.Prefers))}
	if f.err != nil {
		return answer{}, f.err
	}
	v := report.Refill{Why: f.ticked("why")}
	var err error
	if v.Refill, err = s.desk.Refill(r.Context(), ask); err != nil {
		return answer{}, err
	}
	if v.Crops, err = s.crops(r.Context(), desk.Pulled(v.Cover)); err != nil {
		return answer{}, err
	}
	return f.answered(s, "refill", v.Document, "refill.html", map[string]any{"Prefers": cutting.Prefers})
}

func leftoversPage(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	filter, err := s.filtering(r.Context(), "", stash.Filter{})
	if err != nil {
		return answer{}, err
	}
	data := map[string]any{"Filter": filter}
	if f.text("sizes") == "" {
		return answer{document: report.Titled("Leftovers", "How to cut what a project leaves into the sizes you keep."), Frame: report.Frame{Before: s.form(r, "leftovers.html", f.asked(data))}}, nil
	}
	unit := f.metric()
	if unit == cloth.Inches {
		unit = unitOf(f.text("sizes"), f.text("cuts"), f.text("strips"), f.text("squaring"))
	}
	each := cutting.Leftover{Loss: f.length("squaring"), OneWay: f.ticked("one-way")}
	ask := desk.LeftoversRequest{System: f.system(), Of: shelf.Alike{Own: f.text("bin")}}
	cuts := func(s string) ([]float64, error) { return desk.ReadCuts(s, unit) }
	ask.Cuts, ask.Strips = read(f, "cuts", cuts), read(f, "strips", cuts)
	ask.Of.Family, ask.Of.Value = f.colour()
	for _, size := range read(f, "sizes", func(s string) ([][2]float64, error) {
		all, as, err := desk.ReadSizes(s, unit)
		ask.As = as
		return all, err
	}) {
		each.W, each.L = size[0], size[1]
		ask.Cloths = append(ask.Cloths, each)
	}
	if f.err != nil {
		return answer{}, f.err
	}
	v := report.CuttingUp{Why: f.ticked("why")}
	if v.Leftovers, err = s.desk.Leftovers(r.Context(), ask); err != nil {
		return answer{}, err
	}
	return f.answered(s, "leftovers", v.Document, "leftovers.html", data)
}

func buyPage(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	ask := desk.BuyRequest{Habits: plan.Habits{Shop: f.shop(), NoQuarters: f.ticked("no-quarters"), EachPrint: read(f, "each", number(1, mostPieces))}}
	if f.err != nil {
		return answer{}, f.err
	}
	v := report.Buying{Wording: wording, Why: f.ticked("why")}
	var err error
	if v.Buying, err = s.desk.Buy(r.Context(), ask); err != nil {
		return answer{}, err
	}
	if v.Crops, err = s.crops(r.Context(), func(h cloth.Holding) string { return string(h.Value) + " " + string(h.Family) }); err != nil {
		return answer{}, err
	}
	return f.answered(s, "shopping-list", v.Document, "buy.html", map[string]any{}, written{asPicture, v.Picture})
}
