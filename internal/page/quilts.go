package page

import (
	"bytes"
	"cmp"
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/report"
)

// quiltRoutes serve the quilts that are kept.
var quiltRoutes = []route{
	{"GET /quilts", quilts}, {"GET /quilts/{name}", quilt}, {"GET /quilts/{name}/view", quiltView}, {"GET /quilts/{name}/file", quiltFile},
	{"GET /quilts/{name}/others", slowly(quiltAt, shownBy(quilt, otherLayouts))}, {"POST /quilts/{name}/again", slowly(quiltAt, shownBy(quilt, layAgain))},
	{"POST /quilts/{name}/edit", shownBy(shownWith(quilt, picked), editQuilt)}, {"POST /quilts/{name}/mark", shownBy(quilt, markQuilt)},
	{"POST /quilts/{name}/copy", shownBy(quilt, copyQuilt)}, {"POST /quilts/{name}/forget", shownBy(quilt, forgetQuilt)},
}

// quiltPath returns the address of a kept quilt. A mark is put before a name with which an
// address cannot end: browsers take dots for folders, and a slash at the end is lost.
func quiltPath(name string) string {
	if strings.Trim(name, "./") == "" || strings.HasPrefix(name, nameMark) {
		name = nameMark + name
	}
	return "/quilts/" + url.PathEscape(name)
}

const nameMark = "="

func quiltAt(r *http.Request) string { return quiltPath(quiltOf(r)) }

// quiltOf returns the name of the quilt that an address leads to.
func quiltOf(r *http.Request) string { return strings.TrimPrefix(r.PathValue("name"), nameMark) }

func quilts(s *Server, r *http.Request) (answer, error) {
	all, err := s.desk.Quilts(r.Context())
	if err != nil {
		return answer{}, err
	}
	type kept struct {
		Name, To, Recipe, Size, Far, Lacks string
		Laid                               bool
	}
	var v []kept
	for _, q := range all {
		k := kept{Name: q.Name, To: quiltPath(q.Name), Recipe: q.Recipe, Size: cloth.FormatInches(q.WidthIn) + " × " + cloth.FormatInches(q.LengthIn), Lacks: q.Lacking(), Laid: q.Laid > 0}
		if k.Laid {
			k.Far = howFar(q.Laid, q.Stages)
		}
		v = append(v, k)
	}
	return answer{document: report.Titled("The quilts you keep", ""), Frame: report.Frame{Before: s.form(r, "quilts.html", v)}}, nil
}

// howFar says how many pieces of a layout have come to which stage.
func howFar(laid int, stages map[plan.Stage]int) string {
	out := []string{cloth.Count(laid, "piece") + " laid out"}
	for _, stage := range []plan.Stage{plan.PulledStage, plan.CutStage, plan.SewnStage} {
		if n := stages[stage]; n > 0 {
			out = append(out, fmt.Sprintf("%d %s", n, stage))
		}
	}
	return strings.Join(out, ", ")
}

// clothed returns a layout with the crops that it is drawn with.
func (s *Server) clothed(ctx context.Context, laid desk.Arrangement) (report.Arrangement, error) {
	a := report.Arrangement{Wording: wording, Arrangement: laid, Drawn: true}
	return a, s.dress(ctx, &a, report.ChipSide)
}

// dress gives a layout the crops of its cloth.
func (s *Server) dress(ctx context.Context, a *report.Arrangement, side int) error {
	photos, by, err := s.desk.ClothOf(ctx, &a.Arrangement)
	if err == nil {
		a.Crops, err = s.cloth.of(ctx, photos, side)
	}
	a.Crops.Show(by)
	return err
}

// patchView is a patch of a layout that may be picked.
type patchView struct {
	Name, Says, Points string
	To                 string // what picking it leads to
	Picked, Locked     bool
	Stage              plan.Stage
}

// fitView is a piece of the stash that could lie in the picked patch.
type fitView struct {
	ID             int64
	Says, To, Fill string
	Here           bool
}

// layoutView is a kept layout, to look at and to change.
type layoutView struct {
	At, View              string
	Views                 []report.Way
	Box, Left, Wide, High string
	Picture, Alt          string
	Patches               []patchView
	Picked, With          *patchView
	Row, Block            string // of the picked patch
	Why                   []string
	Rows                  []string
	Verdict, Far          string
	Said                  []string
	Files                 []report.Way
	Seed                  uint64 // that others begin with
	Looks                 []string
	Look                  string
	Line, Thick           string
	Nothing               bool // nothing is laid out yet
	Fits                  []fitView
	Tried                 int64 // the piece that is tried in the picked patch; 0: none
}

// quilt shows a kept quilt: what is picked, and how it is seen, the address says.
func quilt(s *Server, r *http.Request) (answer, error) {
	name := quiltOf(r)
	f := fields{r: r}
	laid, tried, err := s.seen(&f, name)
	if errors.Is(err, desk.ErrNotLaid) {
		a := answer{document: report.Titled(name, "It is planned, and not laid out yet.")}
		a.Before = s.form(r, "layout.html", layoutView{At: quiltPath(name), Nothing: true})
		return a, nil
	}
	if err != nil {
		return answer{}, err
	}
	a, err := s.clothed(r.Context(), laid)
	if err != nil {
		return answer{}, err
	}
	a.Apart = true
	v, err := s.layoutOf(a, tried, name, f)
	return answer{document: a.Document(), Frame: report.Frame{Before: s.form(r, "layout.html", v), Scripts: []string{"layout.js"}, Swap: "main"}}, err
}

// mostFitting is how many pieces are offered for a patch.
const mostFitting = 40

// seen returns a kept layout as the address asks to see it: as it is kept, or with a piece
// of the stash tried in a patch; tried is the number of that piece, else 0.
func (s *Server) seen(f *fields, name string) (laid desk.Arrangement, tried int64, err error) {
	tried = int64(read(f, "try", number(1, mostPieces)))
	if f.err != nil {
		return laid, 0, f.err
	}
	if tried == 0 {
		laid, err = s.desk.Quilt(f.r.Context(), name)
		return laid, 0, err
	}
	laid, err = s.desk.EditQuilt(f.r.Context(), name, desk.Edit{Lay: desk.KeptPatch{Patch: f.text("patch"), Holding: tried}, Try: true})
	return laid, tried, err
}

// layoutOf is a layout as the page shows it.
func (s *Server) layoutOf(a report.Arrangement, tried int64, name string, f fields) (layoutView, error) {
	first := a.Laid[0]
	look := report.Viewing(cmp.Or(f.text("view"), string(report.InColour)))
	at := quiltPath(name)
	here := func(pairs ...string) string {
		q := url.Values{}
		if look != report.InColour {
			q.Set("view", string(look))
		}
		for i := 0; i < len(pairs); i += 2 {
			q.Set(pairs[i], pairs[i+1])
		}
		return at + strings.TrimSuffix("?"+q.Encode(), "?")
	}
	short := func(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }
	wide, high := a.Top.WidthIn+2*report.Margin, a.Top.HeightIn+2*report.Margin
	v := layoutView{
		At: at, View: string(look), Left: short(-report.Margin), Wide: short(wide), High: short(high), Seed: first.Seed + 1, Looks: words(arrange.Looks), Look: string(a.Problem.Look),
		Box:  strings.Join([]string{short(-report.Margin), short(-report.Margin), short(wide), short(high)}, " "),
		Line: short(0.003 * max(wide, high)), Thick: short(0.008 * max(wide, high)),
	}
	stages := map[plan.Stage]int{}
	rows := map[string]bool{}
	for _, part := range slices.Concat(a.Parts...) {
		one := a.Saved.Laid.Of(a.Names[part.Patches[0]])
		for _, i := range part.Patches {
			p := patchView{Name: a.Names[i], Says: a.PatchWords(first, i), Points: points(a.Top.Patches[i].Polygon)}
			if one != nil {
				p.Locked, p.Stage = one.Locked, one.Stage
			}
			if row := desk.RowOf(p.Name); a.Top.Patches[i].Block >= 0 && !rows[row] {
				rows[row] = true
				v.Rows = append(v.Rows, row)
			}
			v.Patches = append(v.Patches, p)
		}
		if one != nil {
			stages[one.Stage]++
		}
	}
	slices.SortFunc(v.Rows, func(a, b string) int { return cmp.Or(len(a)-len(b), strings.Compare(a, b)) })
	slices.SortStableFunc(v.Patches, func(p, q patchView) int { return report.CompareNames(p.Name, q.Name) })
	for i := range v.Patches {
		p := &v.Patches[i]
		switch p.Name {
		case f.text("patch"):
			p.Picked, v.Picked = true, p
		case f.text("with"):
			p.Picked, v.With = true, p
		}
	}
	for i := range v.Patches {
		p := &v.Patches[i]
		switch {
		case v.Picked == nil:
			p.To = here("patch", p.Name)
		case p == v.Picked:
			p.To = here()
		default:
			p.To = here("patch", v.Picked.Name, "with", p.Name)
		}
	}
	if v.Picked != nil {
		v.Row = desk.RowOf(v.Picked.Name)
		if block, _, parted := strings.Cut(v.Picked.Name, "."); parted {
			v.Block = block
		}
		if why, err := a.Why(v.Picked.Name); err == nil { // none where no cloth lies there
			v.Why = report.WhyHere(why).Lines()
		}
		fit, err := s.desk.Fitting(f.r.Context(), name, v.Picked.Name)
		if err != nil {
			return v, err
		}
		for _, h := range fit[:min(len(fit), mostFitting)] {
			one := fitView{ID: h.ID, Says: report.HoldingWords(h), To: here("patch", v.Picked.Name, "try", strconv.FormatInt(h.ID, 10)), Here: h.ID == tried}
			if h.Measured {
				one.Fill = h.Mean.Hex()
			}
			v.Fits = append(v.Fits, one)
		}
		v.Tried = tried
	}
	for _, w := range []struct {
		how   report.Viewing
		words string
	}{{report.InColour, "In colour"}, {report.InGrey, "In grey"}, {report.FromAfar, "From across the room"}} {
		v.Views = append(v.Views, report.Way{Words: w.words, To: at + strings.TrimSuffix("?"+url.Values{"view": {string(w.how)}}.Encode(), "?view=colour"), Here: w.how == look})
	}
	sum := sumOf(a.Top.WidthIn, a.Top.HeightIn, a.Saved.Laid.Pieces, a.Saved.Top, first.Touches, clothOf(a, first))
	shown := url.Values{"how": {string(look)}, "sum": {sum}}
	if tried != 0 {
		shown.Set("patch", v.Picked.Name)
		shown.Set("try", strconv.FormatInt(tried, 10))
	}
	v.Picture = at + "/view?" + shown.Encode()
	v.Alt = "the quilt " + name + map[report.Viewing]string{report.InColour: " in its cloth", report.InGrey: " in grey", report.FromAfar: " from across the room"}[look]
	v.Verdict, v.Said = a.Said(first)
	v.Far = howFar(a.Pieces()-a.Empty, stages)
	for _, x := range slices.Concat(documentFiles, []report.Way{asPicture, asDrawing}) {
		v.Files = append(v.Files, report.Way{Words: x.Words, To: at + "/file?as=" + x.To})
	}
	return v, nil
}

// clothOf returns all about the cloth of a layout that its picture depends on.
func clothOf(a report.Arrangement, l desk.Variant) (out []any) {
	for _, k := range append([]int{a.GroundAt}, l.Cloth...) {
		if k >= 0 {
			h := a.Holdings[k]
			out = append(out, h.ID, h.Photo, h.Piece, h.Mean, h.Colours)
		}
	}
	return out
}

// quiltView is the picture of a layout. Its address names what it shows.
func quiltView(s *Server, r *http.Request) (answer, error) {
	laid, _, err := s.seen(&fields{r: r}, quiltOf(r))
	if err != nil {
		return answer{}, err
	}
	a, err := s.clothed(r.Context(), laid)
	if err != nil {
		return answer{}, err
	}
	var b bytes.Buffer
	err = a.View(&b, a.Laid[0], report.Viewing(r.FormValue("how")))
	return answer{file: &file{kind: "image/jpeg", data: b.Bytes(), kept: true}}, err
}

// quiltFile is a layout to print or to keep.
func quiltFile(s *Server, r *http.Request) (answer, error) {
	name, as := quiltOf(r), r.FormValue("as")
	laid, err := s.desk.Quilt(r.Context(), name)
	if err != nil {
		return answer{}, err
	}
	a := report.Arrangement{Wording: wording, Arrangement: laid, Drawn: true}
	side := report.ChipSide
	if as == asPicture.To {
		side = a.CropSide()
	}
	if err = s.dress(r.Context(), &a, side); err != nil {
		return answer{}, err
	}
	return asFile(name, as, a.Document, written{asPicture, a.Picture}, written{asDrawing, a.SVG})
}

// edits are the changes that a form may make to a layout, each with the words that tell of
// it.
var edits = map[string]struct {
	make func(a, b string) desk.Edit
	said string
	stay bool // the patch stays picked
}{
	"swap":   {func(a, b string) desk.Edit { return desk.Edit{Swap: [2]string{a, b}} }, "%s and %s have changed places", false},
	"turn":   {func(a, _ string) desk.Edit { return desk.Edit{Turn: a, By: 1} }, "the cloth of %s is turned", true},
	"lock":   {func(a, _ string) desk.Edit { return desk.Edit{Lock: []string{a}} }, "%s is locked", true},
	"unlock": {func(a, _ string) desk.Edit { return desk.Edit{Unlock: []string{a}} }, "%s is free again", true},
}

func editQuilt(s *Server, r *http.Request) (answer, error) {
	name, one, other := quiltOf(r), strings.TrimSpace(r.FormValue("a")), strings.TrimSpace(r.FormValue("b"))
	e, ok := edits[r.FormValue("do")]
	if r.FormValue("do") == "lay" {
		id, err := strconv.ParseInt(other, 10, 64)
		if err != nil {
			return answer{}, fault.Usage(other, "this is no piece of the stash", "choose one of the list")
		}
		_, err = s.desk.EditQuilt(r.Context(), name, desk.Edit{Lay: desk.KeptPatch{Patch: one, Holding: id}})
		return after(withQuery(quiltPath(name), url.Values{"patch": {one}}), fmt.Sprintf("piece %d lies in %s now", id, one)), err
	}
	if !ok {
		return answer{}, fault.Usage(r.FormValue("do"), "nothing like this can be done to a layout", "press one of its buttons")
	}
	if _, err := s.desk.EditQuilt(r.Context(), name, e.make(one, other)); err != nil {
		switch {
		case errors.Is(err, desk.ErrSecondPatch):
			err = inField{"b", err}
		case errors.Is(err, fault.ErrUsage):
			err = inField{"a", err}
		}
		return answer{}, err
	}
	said := fmt.Sprintf(e.said, []any{one, other}[:strings.Count(e.said, "%s")]...)
	back := quiltPath(name)
	if e.stay {
		back = withQuery(back, url.Values{"patch": {one}})
	}
	if view := r.FormValue("view"); view != "" && view != string(report.InColour) {
		back = withQuery(back, url.Values{"view": {view}})
	}
	return after(back, said), nil
}

// picked asks for a quilt as it was seen when a form to change it was sent.
func picked(sent url.Values) url.Values {
	return url.Values{"patch": sent["a"], "view": sent["view"]}
}

func markQuilt(s *Server, r *http.Request) (answer, error) {
	name, stage := quiltOf(r), plan.Stage(r.FormValue("stage"))
	m, err := s.desk.MarkQuilt(r.Context(), desk.MarkRequest{Quilt: name, Stage: stage, Blocks: strings.Fields(strings.ReplaceAll(r.FormValue("which"), ",", " "))})
	if errors.Is(err, fault.ErrUsage) {
		err = inField{"which", err}
	}
	return after(quiltPath(name), report.Marked(m, stage)), err
}

func copyQuilt(s *Server, r *http.Request) (answer, error) {
	as := (&fields{r: r}).text("as")
	if as == "" {
		return answer{}, inField{"as", errNoName}
	}
	a, err := s.desk.CopyQuilt(r.Context(), quiltOf(r), as)
	if errors.Is(err, fault.ErrUsage) {
		err = inField{"as", err}
	}
	return after(quiltPath(a.Kept), "kept too, from what is left of the stash"), err
}

func forgetQuilt(s *Server, r *http.Request) (answer, error) {
	_, err := s.desk.ForgetPlan(r.Context(), quiltOf(r))
	return after("/quilts", "kept no more; its cloth is free"), err
}

// anew returns the request to lay a kept quilt out again, apart from patches that are
// locked or begun.
func (s *Server) anew(r *http.Request) (desk.ArrangeRequest, error) {
	f := fields{r: r}
	out := desk.ArrangeRequest{
		Whole: true,
		Look:  cmp.Or(read(&f, "look", oneOf(arrange.Looks)), arrange.Even), Seed: uint64(cmp.Or(read(&f, "seed", number(1, 1_000_000_000)), 1)), //nolint:gosec // at least 1
		Again: read(&f, "again", number(1, mostAgain)),
	}
	if f.err != nil {
		return out, f.err
	}
	return s.desk.LayAgain(r.Context(), quiltOf(r), out)
}

// layAgain lays a kept quilt out again, and keeps that.
func layAgain(s *Server, r *http.Request) (answer, error) {
	ask, err := s.anew(r)
	if err != nil {
		return answer{}, err
	}
	ask.Again = 1
	_, err = s.desk.Arrange(r.Context(), ask)
	return after(quiltPath(ask.Save), "laid out again"), err
}

// otherLayouts shows other layouts of a kept quilt, to keep one of them.
func otherLayouts(s *Server, r *http.Request) (answer, error) {
	ask, err := s.anew(r)
	if err != nil {
		return answer{}, err
	}
	ask.Try, ask.Again = true, max(ask.Again, 2)
	laid, err := s.desk.Arrange(r.Context(), ask)
	if err != nil {
		return answer{}, err
	}
	a, err := s.clothed(r.Context(), laid)
	if err != nil {
		return answer{}, err
	}
	type other struct {
		Picture template.URL
		Verdict string
		Said    []string
		Seed    uint64
	}
	v := struct {
		At, Look string
		Others   []other
	}{quiltPath(ask.Save), string(ask.Look), nil}
	for _, l := range laid.Laid {
		var b bytes.Buffer
		if err := a.Small(&b, l); err != nil {
			return answer{}, err
		}
		o := other{Picture: template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(b.Bytes())), Seed: l.Seed} //nolint:gosec // our own bytes
		o.Verdict, o.Said = a.Said(l)
		v.Others = append(v.Others, o)
	}
	return answer{document: report.Titled(ask.Save+": other layouts", "Nothing is changed yet. What is locked, cut or sewn stays where it is."), Frame: report.Frame{Before: s.form(r, "others.html", v)}}, nil
}
