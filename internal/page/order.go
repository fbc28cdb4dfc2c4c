package page

import (
	"bytes"
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
)

// lookWords are the looks of a layout, as they are offered.
var lookWords = map[arrange.Look]string{
	arrange.Even: "lights, darks and brights all over", arrange.WashAcross: "light to dark, from left to right",
	arrange.WashDown: "light to dark, from top to bottom", arrange.WashOut: "light in the middle, dark at the edges",
	arrange.HueRound: "round the colour wheel", arrange.Random: "by chance",
}

// orderRoutes work quilts out and lay them out.
var orderRoutes = []route{
	{"GET /plan", slowly(theForm, planPage)}, {"POST /plan", slowly(theForm, shownBy(shownWith(planPage, given), keepPlan))},
	{"GET /arrange", slowly(theForm, arrangePage)}, {"POST /arrange", slowly(theForm, shownBy(shownWith(arrangePage, given), keepArranged))},
	{"GET /recipes", recipes}, {"GET /recipes/{name}", recipePage}, {"GET /recipe.svg", recipePicture},
}

const (
	usualRecipe = "nine-patch"
	mostAgain   = 12 // layouts at once
)

// borders are the fields of borders, the innermost first; a border is plain, of keys, or of
// a block by its name.
var borders = []about{{"border", "Border"}, {"border-2", "Second border"}}

const (
	pianoKeys = "keys"
	usualKeys = 2 // inches wide, finished
)

// drawn are the fields that change how a recipe is drawn.
var drawn = []string{
	"recipe", "with", "text", "block", "sashing", "sashing-role", "sashing-edge", "cornerstone", "mitred",
	"border", "border-role", "border-of", "border-keys", "border-corner", "border-2", "border-2-role", "border-2-of", "border-2-keys", "border-2-corner",
}

// ownRoles are what sashing and borders may be cut from; empty: a print of their own.
var ownRoles = slices.Concat([]string{"background", "any", "light", "medium", "dark"}, words(cloth.Families))

// recipe reads the block from the form, built in or as written, with its sashing and
// borders.
func (f *fields) recipe() *recipe.Recipe {
	of := desk.RecipeRequest{Name: f.text("recipe"), BlockIn: f.length("block"), AtATime: read(f, "at-a-time", recipe.ReadAtATime), Matching: f.text("matching")}
	if own := f.text("text"); own != "" {
		of.Name, of.Open = ownRecipe, func(name string) ([]byte, error) {
			if name != ownRecipe {
				return nil, nil
			}
			return []byte(own), nil
		}
	}
	for _, other := range split(f.text("with")) {
		of.Added.Blocks = append(of.Added.Blocks, recipe.AddedBlock{Recipe: other})
	}
	if wide := f.length("sashing"); wide > 0 {
		of.Added.Sashing = &recipe.AddedSashing{
			WidthIn: wide, Role: f.ownRole("sashing-role"), Edge: f.ticked("sashing-edge"), Cornerstone: f.ownRole("cornerstone"),
		}
	}
	for _, border := range borders {
		n := border.Name
		b := recipe.AddedBorder{WidthIn: f.length(n)}
		if b.WidthIn == 0 {
			continue
		}
		b.Role, b.Corner = f.ownRole(n+"-role"), f.ownRole(n+"-corner")
		switch of := f.text(n + "-of"); of {
		case "":
			b.Mitred = f.ticked("mitred")
		case pianoKeys:
			b.KeysIn = cmp.Or(f.length(n+"-keys"), usualKeys)
		default:
			b.Block = of
		}
		of.Added.Borders = append(of.Added.Borders, b)
	}
	if f.err != nil {
		return nil
	}
	if _, err := recipe.Text(of.Name); err != nil && of.Open == nil && !strings.Contains(of.Name, ",") {
		f.err = inField{"recipe", err}
		return nil
	}
	r, err := of.Read()
	if errors.Is(err, recipe.ErrNoBlock) && slices.ContainsFunc(split(f.text("with")), func(name string) bool { return !slices.Contains(recipe.Names(), name) }) {
		err = inField{"with", err}
	}
	f.err = err
	return r
}

// ownRecipe is what a recipe is called that you wrote into a form.
const ownRecipe = "your recipe"

// ownRole reads what sashing or a border is cut from.
func (f *fields) ownRole(name string) string { return read(f, name, readOwnRole) }

func readOwnRole(s string) (string, error) {
	if !slices.Contains(ownRoles, s) {
		return "", fault.Usage("", "there is no such cloth", "choose one of the list")
	}
	return s, nil
}

// order reads which quilt is meant, how it is cut and from what: one that a page can show.
func (f *fields) order() desk.PlanRequest {
	out := desk.PlanRequest{NoStash: f.ticked("without"), Background: f.text("background"), Save: f.text("save"), Choose: f.ticked("choose"), Fixed: f.text("block") != ""}
	o, s := &out.Order, &out.Shop
	o.Recipe = f.recipe()
	layout, size := read(f, "layout", desk.ReadLayout), read(f, "size", func(s string) ([2]float64, error) { return desk.ReadSize(s, f.metric()) })
	o.Columns, o.Rows, o.WidthIn, o.LengthIn = layout[0], layout[1], size[0], size[1]
	o.Blocks, o.Bed = read(f, "blocks", desk.ReadBlocks), strings.TrimSpace(f.text("bed")+" "+f.text("mattress")) // of both there is no bed
	o.Shrinks = f.shrinkage("wash", plan.MostWash)
	*s = f.shop()
	s.BindingFrom, s.BorderFrom = read(f, "binding-from", oneOf(plan.Sources)), read(f, "border-from", oneOf(plan.Sources))
	s.StripSets = f.ticked("strip-sets")
	out.BetweenIn = f.length("between")
	out.Prefer = cmp.Or(read(f, "prefer", oneOf(cutting.Prefers)), cutting.Scraps)
	if f.err == nil {
		f.err = atField(out.Check())
	}
	if f.err == nil {
		f.err = atField(drawable(out))
	}
	return out
}

// orderFields are the fields of an order that faults of these kinds are about.
var orderFields = []struct {
	kind error
	name string
}{
	{plan.ErrExtents, "layout"}, {plan.ErrExtentsFixed, "layout"}, {plan.ErrLayoutFixed, "layout"}, {plan.ErrBlockCount, "blocks"}, {plan.ErrBed, "bed"},
	{plan.ErrBlockSmall, "block"}, {plan.ErrShrinks, "wash"}, {desk.ErrNoGround, "background"}, {desk.ErrNoPrint, "background"}, {desk.ErrWithout, "without"}, {desk.ErrBetween, "between"},
}

func atField(err error) error {
	if several := (inFields{}); errors.As(err, &several) {
		return err
	}
	for _, f := range orderFields {
		if errors.Is(err, f.kind) {
			return inField{f.name, err}
		}
	}
	return err
}

func oneOf[T ~string](all []T) func(string) (T, error) {
	return func(s string) (T, error) {
		if !slices.Contains(all, T(s)) {
			return "", fault.Usage("", "there is no such choice", "choose one of the list")
		}
		return T(s), nil
	}
}

// arrangement reads how a quilt is to be laid out.
func (f *fields) arrangement() desk.ArrangeRequest {
	out := desk.ArrangeRequest{
		Whole: true, PlanRequest: f.order(), Look: cmp.Or(read(f, "look", oneOf(arrange.Looks)), arrange.Even), Corners: f.ticked("corners"),
		Seed: uint64(cmp.Or(read(f, "seed", number(1, 1_000_000_000)), 1)), Again: read(f, "again", number(1, mostAgain)), //nolint:gosec // at least 1
	}
	out.Keep, out.Apart = read(f, "keep", desk.ReadKept), read(f, "apart", desk.ReadApart)
	return out
}

// split returns what stands between the commas of a text.
func split(s string) (out []string) {
	for part := range strings.SplitSeq(s, ",") {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}

// ordering is what the form of a quilt shows.
type ordering struct {
	Action, Heading, Button string
	Is                      url.Values // as written
	Recipes                 []about
	Looks, Roles            []string
	Beds                    []plan.Bed
	Prefers                 []string
	Prints                  []about
	Picture                 string // of the recipe
	Drawn                   string // the fields that change it
	Borders                 []about
	Shown, Arrange          bool
	Answered                bool       // what was asked for stands below, and the form is folded
	Given                   url.Values // all that was written, to keep what was worked out
	Files                   []report.Way
	MoreSewn                bool // part of the form stands open
}

type about struct{ Name, Words string }

func (s *Server) ordering(r *http.Request, o ordering) (ordering, error) {
	_ = r.ParseForm() // what cannot be parsed is not there
	o.Is, o.Looks, o.Roles, o.Prefers, o.Borders, o.Arrange = r.Form, words(arrange.Looks), ownRoles, words(cutting.Prefers), borders, o.Action == "/arrange"
	for _, name := range recipe.Names() {
		built, err := recipe.BuiltIn(name)
		if err != nil {
			return o, err
		}
		o.Recipes = append(o.Recipes, about{name, built.About})
	}
	o.Beds = plan.Beds
	prints, err := s.desk.Prints(r.Context())
	if err != nil {
		return o, err
	}
	for _, h := range prints {
		o.Prints = append(o.Prints, about{h.Print, report.PrintWords(h)})
	}
	o.Shown = (o.Is.Get("recipe") != "" || o.Is.Get("text") != "") && o.Is.Get("stop") == ""
	of := url.Values{}
	for _, name := range drawn {
		if v := o.Is.Get(name); v != "" {
			of.Set(name, v)
		}
	}
	if of.Get("recipe") == "" {
		o.Is.Set("recipe", usualRecipe)
		of.Set("recipe", usualRecipe)
	}
	o.Picture = "/recipe.svg?" + of.Encode()
	any := func(names ...string) bool {
		return slices.ContainsFunc(names, func(n string) bool { return o.Is.Get(n) != "" })
	}
	o.Drawn = strings.Join(drawn, " ")
	o.MoreSewn = any("at-a-time", "wash", "strip-sets") || any(sewnBy[1:]...) || !slices.Contains([]string{"", "¼"}, o.Is.Get("seam")) || !slices.Contains([]string{"", string(cutting.Scraps)}, o.Is.Get("prefer"))
	if o.Shown {
		o.Given = given(o.Is)
		q := given(o.Is)
		for _, x := range documentFiles {
			q.Set("as", x.To)
			o.Files = append(o.Files, report.Way{Words: x.Words, To: o.Action + "?" + q.Encode()})
		}
	}
	return o, nil
}

// given returns the fields that describe a quilt and were not left empty.
func given(is url.Values) url.Values {
	out := url.Values{}
	for name, v := range is {
		if !slices.Contains([]string{"save", "as", "done", "stop", "made"}, name) && v[0] != "" {
			out.Set(name, v[0])
		}
	}
	return out
}

// wrongForm shows a form again with what is wrong in it.
func (o ordering) wrongForm(s *Server, r *http.Request, err error, d report.Document) (answer, error) {
	f := fault.Of(err)
	if f == nil || errors.Is(err, desk.ErrNoStash) && !errors.Is(err, fault.ErrUsage) { // nothing in the form is wrong
		return answer{}, err
	}
	f = remedies.Worded(f)
	r = r.WithContext(s.withRefusal(r.Context(), r, atField(err), f.Full()))
	return answer{document: d, code: http.StatusBadRequest, Frame: report.Frame{Before: s.form(r, "order.html", o), Scripts: []string{"order.js"}, Wrong: f.Error(), Remedy: f.Remedy}}, nil
}

func planPage(s *Server, r *http.Request) (answer, error) {
	o, err := s.ordering(r, ordering{Action: "/plan", Heading: "A quilt from the stash", Button: "Work it out"})
	if err != nil {
		return answer{}, err
	}
	empty := report.Titled("Plan", "What a quilt is cut from, what the stash has of it, what is to be bought.")
	if !o.Shown {
		return answer{document: empty, Frame: report.Frame{Before: s.form(r, "order.html", o), Scripts: []string{"order.js"}}}, nil
	}
	f := fields{r: r}
	ask := f.order()
	ask.Save = ""
	if f.err != nil {
		return o.wrongForm(s, r, f.err, empty)
	}
	p := report.Plan{Wording: wording, Why: f.ticked("why")}
	sewing := f.ticked("sewing")
	ask.Picture = !sewing
	if p.Plan, err = s.desk.Plan(r.Context(), ask); err != nil {
		return o.wrongForm(s, r, err, empty)
	}
	if p.Pull != nil {
		if p.Crops, err = s.crops(r.Context(), desk.Pulled(p.Pull.Cover)); err != nil {
			return answer{}, err
		}
	}
	if sewing {
		return o.answered(s, r, p.Sewing().Document, "to-sew")
	}
	return o.answered(s, r, p.Document, "plan")
}

// answered is a document with its form before it, or as a file.
func (o ordering) answered(s *Server, r *http.Request, document func() report.Document, name string) (answer, error) {
	if as := r.FormValue("as"); as != "" {
		return asFile(name, as, document)
	}
	o.Answered = true
	return answer{document: document(), Frame: report.Frame{Before: s.form(r, "order.html", o), After: s.form(r, "keep", o), Scripts: []string{"order.js"}}}, nil
}

func keepPlan(s *Server, r *http.Request) (answer, error) {
	f := fields{r: r}
	ask := f.order()
	if f.err == nil && ask.Save == "" {
		f.err = inField{"save", errNoName}
	}
	if f.err != nil {
		return answer{}, f.err
	}
	p, err := s.desk.Plan(r.Context(), ask)
	return after("/quilts", "kept as "+p.Kept), err
}

var errNoName = fault.Usage("", "it has no name to keep it by", "write one")

func arrangePage(s *Server, r *http.Request) (answer, error) {
	o, err := s.ordering(r, ordering{Action: "/arrange", Heading: "A quilt laid out with your cloth", Button: "Lay it out"})
	if err != nil {
		return answer{}, err
	}
	empty := report.Titled("Arrange", "Nothing alike touches, and the darks are spread.")
	if !o.Shown {
		return answer{document: empty, Frame: report.Frame{Before: s.form(r, "order.html", o), Scripts: []string{"order.js"}}}, nil
	}
	f := fields{r: r}
	ask := f.arrangement()
	ask.Save = ""
	if f.err != nil {
		return o.wrongForm(s, r, f.err, empty)
	}
	laid, err := s.desk.Arrange(r.Context(), ask)
	if err != nil {
		return o.wrongForm(s, r, err, empty)
	}
	a, err := s.clothed(r.Context(), laid)
	if err != nil {
		return answer{}, err
	}
	return o.answered(s, r, a.Document, "layout")
}

func keepArranged(s *Server, r *http.Request) (answer, error) {
	f := fields{r: r}
	ask := f.arrangement()
	if f.err == nil && ask.Save == "" {
		f.err = inField{"save", errNoName}
	}
	if f.err != nil {
		return answer{}, f.err
	}
	a, err := s.desk.Arrange(r.Context(), ask)
	return after(quiltPath(a.Kept), "kept, with its cloth"), err
}

// recipePicture draws the block that a form means, and where it has sashing or borders
// some blocks with them.
func recipePicture(_ *Server, r *http.Request) (answer, error) {
	f := fields{r: r}
	is := f.recipe()
	if f.err != nil {
		return answer{}, f.err
	}
	var b bytes.Buffer
	draw := report.RecipeDrawing
	if is.Sashing.WidthIn > 0 || len(is.Borders) > 0 {
		draw = report.SettingDrawing
	}
	err := draw(&b, is)
	return answer{file: &file{kind: "image/svg+xml", data: b.Bytes()}}, err
}

// recipes shows the blocks that are built in.
func recipes(s *Server, r *http.Request) (answer, error) {
	var all []about
	for _, name := range recipe.Names() {
		is, err := recipe.BuiltIn(name)
		if err != nil {
			return answer{}, err
		}
		all = append(all, about{name, is.About})
	}
	return answer{document: report.Titled("Recipes", "Blocks that are built in. Take one as it is, or write your own from it."), Frame: report.Frame{Before: s.form(r, "recipes.html", all)}}, nil
}

// recipePage shows a recipe, or one as you wrote it, with its text to go on from.
func recipePage(s *Server, r *http.Request) (answer, error) {
	name := r.PathValue("name")
	text := []byte(r.FormValue("text"))
	if len(text) == 0 {
		var err error
		if text, err = recipe.Text(name); err != nil {
			return answer{}, err
		}
	}
	a := answer{document: report.Titled(name, "")}
	is, err := recipe.Read(name, text)
	a.After = s.form(r, "recipe.html", map[string]any{"Name": name, "Text": string(text), "Own": r.FormValue("text") != "", "Sewing": r.FormValue("sewing") != "", "Format": recipe.Format(), "Only": err == nil && is.Setting.Columns > 0})
	if err == nil {
		err = is.LosesRows()
	}
	if f := fault.Of(err); f != nil {
		a.Wrong, a.Remedy = f.Error(), remedies.Worded(f).Remedy
		return a, nil
	}
	if err == nil {
		a.document = report.RecipeDocument(is, recipe.Inches())
		if r.FormValue("sewing") != "" {
			a.document = report.Sewing{Recipe: is, System: recipe.Inches()}.Document()
		}
	}
	return a, err
}
