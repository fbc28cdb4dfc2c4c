package page

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// shelfRoutes show the shelf, and change how it counts.
var shelfRoutes = []route{
	{"GET /shelf", asking(shelfPage)}, {"POST /floor", shownBy(back("/shelf"), setFloor)}, {"POST /set", shownBy(back("/shelf"), set)},
	{"GET /add", addPage}, {"POST /add", shownBy(addPage, add)}, {"POST /use", shownBy(addPage, use)},
}

const leastBar = 4 // hundredths of the fullest bin's bar, which a finger's breadth of colour needs

// mostSwatches is how many pieces of a bin, and of a family, are shown with it.
const mostSwatches = 5

// fewBins are so few that all of them stand open.
const fewBins = 6

// family is the bins of one hue family, or of one value, or a bin of your own: a row that
// opens to them.
type family struct {
	Name     string
	Pieces   int
	Bins     []binView
	Swatches []tile // of its bins
	Within   []report.Stretch
	Thin     []string // the cuts of which it is thin, and by how many pieces
	Wide     int      // of its bar, in hundredths: the fullest family has the whole
	Open     bool
	Back     string // where a form in it leads back to
}

type binView struct {
	report.Bin
	To       string // its pieces
	Swatches []tile // a piece of each of its prints
	Wide     int    // of its bar, in hundredths: the fullest bin has the whole
	Floor    *floorView
}

// floorView is a floor as a form that changes it.
type floorView struct {
	shelf.Floor
	Of    string // what it speaks of, in words
	Cut   string
	Own   string
	Least int // 0: none is set
}

func floorOf(f shelf.Floor) floorView {
	v := floorView{Floor: f, Of: f.String(), Own: f.Own, Least: f.Least}
	if f.Width > 0 {
		v.Cut = shelf.Length(f.Width)
	}
	return v
}

// shelfPage is the shelf as it stands: each hue family by its cuts, the values within.
func shelfPage(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	ask := desk.ShelfRequest{Which: f.filter(), Colours: true, Trim: read(f, "trim", desk.ReadTrim), Since: read(f, "since", readDay)}
	ask.Sizes = read(f, "sizes", func(s string) ([]float64, error) { return desk.ReadCuts(s, unitOf(s)) })
	if f.err != nil {
		return answer{}, f.err
	}
	filter, err := s.filtering(r.Context(), "/shelf", ask.Which)
	if err != nil {
		return answer{}, err
	}
	if filter.Part != "" && !ask.Since.IsZero() {
		return answer{}, fault.Usage("", "what changed is told of the whole stash, and a part of it is asked for", "leave one of them off")
	}
	v := report.Shelf{Wording: wording}
	if v.Shelf, err = s.desk.Shelf(r.Context(), ask); err != nil {
		return answer{}, err
	}
	if as := f.text("as"); as != "" {
		if v.Crops, err = s.crops(r.Context(), func(h cloth.Holding) string { return v.Stock.Sorted().Of(shelf.AlikeOf(h)).String() }); err != nil {
			return answer{}, err
		}
		return asFile("shelf", as, v.Document, written{asTable, func(w io.Writer) error { return report.StashCSV(w, v) }})
	}
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: ask.Which, Outlines: true})
	if err != nil {
		return answer{}, err
	}
	floors, err := s.desk.Floors(r.Context())
	if err != nil {
		return answer{}, err
	}
	settings, err := s.settings(r.Context())
	if err != nil {
		return answer{}, err
	}
	families, open := familiesOf(v, p.InOrder(), floors), f.text("open")
	for i := range families {
		x := &families[i]
		x.Open = filter.Part != "" || len(v.Stock.Bins) <= fewBins || open == allFamilies || open == x.Name
		x.Back = withQuery(withoutDone(r.URL), url.Values{"open": {cmp.Or(open, x.Name)}})
	}
	colours, bins := v.Thin()
	a := answer{document: v.Around(), Frame: report.Frame{
		Before: s.form(r, "onshelf.html", map[string]any{
			"Filter": filter, "Families": families, "Empty": len(v.Stock.Boxes) == 0, "Lends": s.lends(), "Thin": colours, "ThinBins": bins,
			"Sorted": sortedWords[v.Stock.Sorted()], "OpenAll": withQuery(withoutDone(r.URL), url.Values{"open": {allFamilies}}),
			"Closed": slices.ContainsFunc(families, func(x family) bool { return !x.Open }),
		}),
	}}
	if len(v.Stock.Boxes) > 0 || filter.Part != "" || len(floors) > 0 {
		a.After = s.form(r, "counting.html", map[string]any{
			"Filter": filter, "Floors": floorViews(floors), "Set": settings, "Sortings": shelf.Sortings, "Trim": shelf.Length(settings.TrimIn), "Saving": saving(r, asTable),
		})
	}
	return a, nil
}

// allFamilies asks that all of them stand open.
const allFamilies = "all"

var sortedWords = map[shelf.Sorting]string{
	shelf.ByFamily: "Bins by hue family and cut, the values within each.",
	shelf.ByValue:  "Bins by value and cut, the hue families within each.",
	shelf.ByBoth:   "Bins by hue family, value and cut.",
}

// familiesOf gathers the bins of the shelf, with pieces of each to show.
func familiesOf(v report.Shelf, all []desk.OutlinedPiece, floors []shelf.Floor) []family {
	by := v.Stock.Sorted()
	type place struct {
		shelf.Alike
		shelf.Cut
	}
	swatches, prints := map[place][]tile{}, map[place]map[string]bool{}
	for _, x := range all {
		at := place{by.Of(shelf.AlikeOf(x.Holding)), shelf.CutOf(x.Holding)}
		if prints[at] == nil {
			prints[at] = map[string]bool{}
		}
		if len(swatches[at]) < mostSwatches && (x.Print == "" || !prints[at][x.Print]) && x.Form != cloth.Weighed {
			prints[at][x.Print] = true
			swatches[at] = append(swatches[at], tileOf(x))
		}
	}
	most := 1
	for _, b := range v.Stock.Bins {
		most = max(most, b.Count)
	}
	var out []family
	for _, b := range v.Bins() {
		name := b.Alike.String()
		if len(out) == 0 || out[len(out)-1].Name != name {
			out = append(out, family{Name: name})
			for _, x := range v.Stock.Short {
				if x.Alike == b.Alike {
					out[len(out)-1].Thin = append(out[len(out)-1].Thin, fmt.Sprintf("%s (%d more)", cmp.Or(x.Cut.String(), "any cut"), x.By()))
				}
			}
		}
		x := binView{Bin: b, To: withQuery("/pieces", binQuery(b.Box)), Swatches: swatches[place{b.Alike, b.Cut}], Wide: max(leastBar, 100*b.Count/most)}
		if b.Form == cloth.Square && b.Width > 0 {
			floor := shelf.Floor{Alike: b.Alike, Cut: shelf.Square(b.Width)}
			if i := slices.IndexFunc(floors, func(f shelf.Floor) bool { return f.Alike == floor.Alike && f.Cut == floor.Cut }); i >= 0 {
				floor = floors[i]
			}
			view := floorOf(floor)
			x.Floor = &view
		}
		last := &out[len(out)-1]
		last.Bins, last.Pieces = append(last.Bins, x), last.Pieces+b.Count
		last.Swatches = append(last.Swatches, x.Swatches...)
	}
	most = 1
	for _, x := range out {
		most = max(most, x.Pieces)
	}
	for i := range out {
		x := &out[i]
		x.Swatches, x.Wide = x.Swatches[:min(len(x.Swatches), mostSwatches)], max(leastBar, 100*x.Pieces/most)
		bins := make([]report.Bin, len(x.Bins))
		for k, b := range x.Bins {
			bins[k] = b.Bin
		}
		x.Within = report.Together(bins)
	}
	return out
}

// binQuery asks for the pieces of a bin.
func binQuery(b shelf.Box) url.Values {
	return asQuery(stash.Filter{Family: b.Family, Value: b.Value, Bin: b.Own, Form: b.Form, Cut: b.Width, Length: b.Length})
}

func floorViews(all []shelf.Floor) []floorView {
	out := make([]floorView, len(all))
	for i, f := range all {
		out[i] = floorOf(f)
	}
	return out
}

// readDay reads a day, which begins at midnight where you are.
func readDay(s string) (time.Time, error) {
	day, err := time.ParseInLocation(time.DateOnly, s, time.Local)
	if err != nil {
		return day, fault.Usage("", "this is not a day", "write it as year-month-day, like 2026-01-31")
	}
	return day, nil
}

// unitOf returns the unit of lengths that name none: inches, or Unsaid where one of the
// texts is metric.
func unitOf(texts ...string) cloth.Unit {
	if slices.ContainsFunc(texts, cloth.IsMetric) {
		return cloth.Unsaid
	}
	return cloth.Inches
}

// setFloor sets a floor, or takes it away where it is 0.
func setFloor(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	floor := shelf.Floor{Alike: shelf.Alike{Own: f.text("bin")}}
	floor.Family, floor.Value = f.colour()
	if cut := f.cut("cut"); cut > 0 {
		floor.Cut = shelf.Square(cut)
	}
	if f.text("least") == "" {
		f.wrongIn("least", fault.Usage("", "it is not said how many pieces are wanted", "write a whole number; 0 takes the floor away"))
	}
	floor.Least = read(f, "least", number(0, mostPieces))
	if f.err != nil {
		return answer{}, f.err
	}
	do := func() (stash.Change, error) { return s.desk.SetFloor(r.Context(), floor, f.ticked("new")) }
	if floor.Least == 0 {
		do = func() (stash.Change, error) { return s.desk.ClearFloor(r.Context(), floor) }
	}
	change, err := do()
	return after(f.back("/shelf"), changed(change)), err
}

// set changes what the shelf counts with.
func set(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	ask := desk.SetRequest{TrimIn: read(f, "trim", desk.ReadTrim), YardGrams: read(f, "yard", desk.ReadWeight), YardWidthIn: f.cut("width")}
	if by := read(f, "bins", desk.ReadSorting); f.text("bins") != "" {
		ask.Bins = &by
	}
	if f.err != nil {
		return answer{}, f.err
	}
	if ask == (desk.SetRequest{}) {
		return answer{}, fault.Usage("", "nothing was said", "fill in what is to change")
	}
	change, err := s.desk.Set(r.Context(), ask)
	if errors.Is(err, desk.ErrYardWeight) {
		err = inField{"yard", err}
	}
	return after("/shelf", changed(change)), err
}

// addPage adds and takes out by hand.
func addPage(s *Server, r *http.Request) (answer, error) {
	filter, err := s.filtering(r.Context(), "", stash.Filter{})
	return answer{document: report.Titled("Add and take out by hand", "What no photo shows, and what you have used."), Frame: report.Frame{Before: s.form(r, "add.html", filter)}}, err
}

func add(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	ask := desk.AddRequest{Grams: read(f, "weight", desk.ReadWeight), New: f.ticked("new")}
	h := &ask.Holding
	h.Count = read(f, "count", number(1, mostPieces))
	h.Form = read(f, "form", desk.ReadForm)
	said := cloth.Described{}
	if f.text("length") != "" {
		h.WidthIn, h.LengthIn = f.sides("cut", "length")
	} else if said = read(f, "cut", func(s string) (cloth.Described, error) { return desk.ReadSized(s, cloth.Inches) }); said.WidthIn > 0 {
		h.WidthIn, h.LengthIn, h.Form = said.WidthIn, said.LengthIn, cmp.Or(h.Form, said.Form)
	}
	h.Family, h.Value = f.colour()
	h.Bin, h.Basket, h.Print = f.text("bin"), f.text("basket"), f.text("print")
	if f.err == nil && ask.Grams > 0 && (h.WidthIn > 0 || h.LengthIn > 0 || h.Count > 0) {
		f.err = fault.Usage("", "a weight is for cloth without pieces, and a number or a size is given too", "leave one of them off")
	}
	if f.err != nil {
		return answer{}, f.err
	}
	change, err := s.desk.Add(r.Context(), ask)
	if said.As != "" {
		change.What += "; " + said.As
	}
	return after("/add", changed(change)), err
}

func use(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	take := stash.Removal{Filter: f.filter(), Grams: read(f, "weight", desk.ReadWeight), Count: read(f, "count", number(1, mostPieces))}
	if f.text("pieces") != "" {
		n := f.numbers()
		take.IDs, take.Named = n.All, n.Said
	}
	said := strings.Join([]string{f.text("family"), f.text("value"), f.text("cut"), f.text("form"), f.text("bin"), f.text("basket"), f.text("print"), f.text("pieces")}, "")
	switch {
	case f.err != nil:
	case said == "":
		f.err = fault.Usage("", "it is not said which pieces you used", "name them by their colour, cut, basket or number")
	case (take.Count > 0) == (take.Grams > 0):
		f.err = fault.Usage("", "say how many pieces you used, or what the cloth weighed", "fill in one of the two")
	}
	if f.err != nil {
		return answer{}, f.err
	}
	change, err := s.desk.Use(r.Context(), take)
	if errors.Is(err, desk.ErrNoPiece) {
		err = inField{"pieces", err}
	}
	return after("/add", changed(change)), err
}

// settings is what the stash counts with; the usual where there is none yet.
func (s *Server) settings(ctx context.Context) (stash.Settings, error) {
	set, err := s.desk.Settings(ctx)
	if errors.Is(err, desk.ErrNoStash) {
		return stash.DefaultSettings, nil
	}
	return set, err
}
