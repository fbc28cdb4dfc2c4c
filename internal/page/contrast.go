package page

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// contrastRoutes hold prints against a background, and name colours.
var contrastRoutes = []route{{"GET /contrast", asking(contrastPage)}, {"POST /contrast", shownBy(contrastPage, contrastPhotos)}, {"GET /name", namePage}}

// lines splits a text into its lines; a semicolon ends a line too.
func lines(text string) []string {
	var out []string
	for _, s := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' || r == ';' }) {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// ground returns the background that a text names: a colour, or a print of the stash.
func ground(text string) desk.Sample {
	out := desk.Sample{Name: text}
	if c, err := desk.ReadColour(text); err == nil {
		out.Colour = &c
	}
	return out
}

// contrast reads the form, all but its photos.
func (f *fields) contrast() desk.ContrastRequest {
	ask := desk.ContrastRequest{Which: f.filter(), Blocks: max(1, read(f, "blocks", number(1, mostPieces)))}
	ask.Recipe = read(f, "recipe", recipe.BuiltIn)
	ask.Pieces = read(f, "pieces", desk.ReadNumbers)
	for _, text := range lines(f.text("colours")) {
		c, err := desk.ReadColour(text)
		if x := fault.Of(err); x != nil {
			f.wrongIn("colours", x.Named(text))
		}
		ask.Pull = append(ask.Pull, desk.Sample{Name: text, Colour: &c})
	}
	if b := f.text("background"); b != "" {
		x := ground(b)
		ask.Background = &x
	}
	for _, b := range lines(f.text("among")) {
		ask.Among = append(ask.Among, ground(b))
	}
	if f.err == nil && ask.Background != nil && ask.Among != nil {
		f.err = fault.Usage("", "one background is named, and others to choose among", "leave one of them empty")
	}
	return ask
}

func contrastPage(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	if len(r.URL.Query()) == 0 || len(r.URL.Query()) == 1 && r.URL.Query().Has("done") {
		v, err := s.contrastForm(r.Context(), f)
		return answer{document: report.Titled("Contrast", "Which prints stand clear of a background, and which sink into it."), Frame: report.Frame{Before: s.form(r, "contrast.html", v)}}, err
	}
	ask := f.contrast()
	if f.err != nil {
		return answer{}, f.err
	}
	return s.contrasted(f, ask)
}

func (s *Server) contrastForm(ctx context.Context, f *fields) (map[string]any, error) {
	filter, err := s.filtering(ctx, "", stash.Filter{})
	return f.asked(map[string]any{"Filter": filter, "Recipes": recipe.Names()}), err
}

func (s *Server) contrasted(f *fields, ask desk.ContrastRequest) (answer, error) {
	v := report.Contrast{Why: f.ticked("why")}
	var err error
	if v.Contrast, err = s.desk.Contrast(f.r.Context(), ask); err != nil {
		switch {
		case errors.Is(err, desk.ErrNoPiece):
			err = inField{"pieces", err}
		case errors.Is(err, desk.ErrEmptyBasket):
			err = inField{"basket", err}
		case ask.Background != nil && errors.Is(err, desk.ErrNotCloth):
			err = inField{"background", err}
		case errors.Is(err, desk.ErrNotCloth):
			err = inField{"among", err}
		}
		return answer{}, err
	}
	if ask.Pull == nil {
		if v.Crops, err = s.printCrops(f.r.Context()); err != nil {
			return answer{}, err
		}
	}
	data, err := s.contrastForm(f.r.Context(), f)
	if err != nil {
		return answer{}, err
	}
	data["Answered"] = true
	if f.r.Method == http.MethodPost { // no address says which photos were sent
		return answer{document: v.Document(), Frame: report.Frame{Before: s.form(f.r, "contrast.html", data)}}, nil
	}
	return f.answered(s, "contrast", v.Document, "contrast.html", data)
}

// contrastPhotos takes photos of the prints, of the background, or both. Without any it
// leads to an address that says all that is asked.
func contrastPhotos(s *Server, r *http.Request) (answer, error) {
	s.photos <- struct{}{}
	defer func() { <-s.photos }()
	pull, drop, err := uploads(r, "photo")
	defer drop()
	if err != nil {
		return answer{}, err
	}
	grounds, dropGround, err := uploads(r, "ground")
	defer dropGround()
	if err != nil {
		return answer{}, err
	}
	if len(pull)+len(grounds) == 0 {
		q := url.Values{}
		for name, v := range r.Form {
			if v[0] != "" {
				q[name] = v
			}
		}
		q.Set("show", "1")
		return answer{to: "/contrast?" + q.Encode()}, nil
	}
	f := &fields{r: r}
	ask := f.contrast()
	for _, p := range pull {
		ask.Pull = append(ask.Pull, desk.Sample{Name: filepath.Base(p), Photo: p})
	}
	for _, g := range grounds {
		x := desk.Sample{Name: filepath.Base(g), Photo: g, Piece: read(f, "piece", number(1, mostPieces))}
		if len(grounds) == 1 && ask.Among == nil {
			ask.Background = &x
		} else {
			ask.Among = append(ask.Among, x)
		}
	}
	if f.err != nil {
		return answer{}, f.err
	}
	return s.contrasted(f, ask)
}

// printCrops returns a crop of each print of the stash, by the print's name.
func (s *Server) printCrops(ctx context.Context) (map[string]*report.Crop, error) {
	photos, err := s.desk.OneOfEach(ctx, desk.MeasuredPrint)
	if err != nil {
		return nil, err
	}
	crops, err := s.cloth.of(ctx, photos, report.ChipSide)
	return crops.ByPrint(photos), err
}

// namePage names colours.
func namePage(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	type named struct {
		Text, Hex, Munsell, Family, Value string
		Lightness                         float64
		Wrong                             string
	}
	var all []named
	for _, text := range lines(f.text("colours")) {
		c, err := desk.ReadColour(text)
		if x := fault.Of(err); x != nil {
			all = append(all, named{Text: text, Wrong: x.Why + "; " + remedies.Worded(x).Remedy})
			continue
		}
		n := desk.NameOf(c)
		all = append(all, named{Text: text, Hex: n.Colour.Hex(), Munsell: n.Munsell, Family: string(n.Family), Value: string(n.Value), Lightness: n.Lightness})
	}
	return answer{document: report.Titled("Name a colour", "Its hue family, its value and its Munsell notation."), Frame: report.Frame{Before: s.form(r, "name.html", f.asked(map[string]any{"Named": all, "Words": cloth.ColourWords()}))}}, nil
}
