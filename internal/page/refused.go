package page

import (
	"context"
	"errors"
	"fmt"
	"html"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
)

// inField is an error of what was written into a field.
type inField struct {
	name string
	error
}

func (e inField) Unwrap() error { return e.error }

// inFields are errors of several fields of one form; it is the first of them that is told
// where one alone is.
type inFields []inField

func (e inFields) Error() string { return e[0].Error() }

func (e inFields) Unwrap() (all []error) {
	for _, x := range e {
		all = append(all, x)
	}
	return all
}

// fieldOf returns the name of the field that an error says it is about; empty: none.
func fieldOf(err error) string {
	var in inField
	if errors.As(err, &in) {
		return in.name
	}
	var near desk.NearName
	if errors.As(err, &near) {
		return string(near.Kind)
	}
	var unknown desk.UnknownName
	if errors.As(err, &unknown) {
		return string(unknown.Kind)
	}
	return ""
}

// handler answers a request.
type handler func(*Server, *http.Request) (answer, error)

// inForm is an error of what was sent by a form, and the page that shows the form.
type inForm struct {
	error
	page handler
	sent *http.Request
}

func (e inForm) Unwrap() error { return e.error }

// shownBy answers as do does. Where that refuses what a form sent, the form comes back on the
// page that shows it.
func shownBy(page, do handler) handler {
	return func(s *Server, r *http.Request) (answer, error) {
		a, err := do(s, r)
		if err == nil || r.Method == http.MethodGet && len(r.URL.Query()) == 0 { // nothing was sent
			return a, err
		}
		_ = r.ParseForm() // what cannot be parsed is not written again
		return a, inForm{err, page, r}
	}
}

// shownWith is a page that shows a refused form, asked with what take returns of it.
func shownWith(page handler, take func(url.Values) url.Values) handler {
	return func(s *Server, r *http.Request) (answer, error) {
		r.URL.RawQuery = take(refusalOf(r).sent.Form).Encode()
		return page(s, r)
	}
}

// back is the page that a refused form leads back to.
func back(otherwise string) handler {
	return func(s *Server, r *http.Request) (answer, error) {
		to, err := url.Parse((&fields{r: refusalOf(r).sent}).back(otherwise))
		if err != nil {
			return answer{}, errNoPage(r)
		}
		r.URL = to
		part, rest, _ := strings.Cut(strings.TrimPrefix(to.Path, "/"), "/")
		switch {
		case part == "shelf":
			return shelfPage(s, r)
		case part == "teach":
			return teachPage(s, r)
		case rest == "":
			return piecesPage(s, r)
		}
		r.SetPathValue("piece", rest)
		return piecePage(s, r)
	}
}

// asking is a page with a form that is sent to the page itself.
func asking(page handler) handler { return shownBy(page, page) }

// refusal is a form that was refused: what was written into it, and what is wrong.
type refusal struct {
	sent   *http.Request
	faults []*fieldFault // the first first
}

// fieldFault is what is wrong with a field, or with the form as a whole.
type fieldFault struct {
	id     string        // of said on the page
	field  string        // empty: the form as a whole
	said   template.HTML // what is wrong
	marked bool          // the field is found
	told   bool          // said stands on the page
}

// of returns what is wrong with a field; nil: nothing.
func (r *refusal) of(field string) *fieldFault {
	if r == nil {
		return nil
	}
	for _, x := range r.faults {
		if x.field == field {
			return x
		}
	}
	return nil
}

type refusalKey struct{}

// refusalOf returns the refusal that a page is to show; nil: none.
func refusalOf(r *http.Request) *refusal {
	wrong, _ := r.Context().Value(refusalKey{}).(*refusal)
	return wrong
}

// again is the page of the form, with what was written still in it and what is wrong beside
// its field; ok is false where it cannot be shown.
func (e inForm) again(s *Server, r *http.Request, words string) (a answer, ok bool) {
	if errors.Is(e.error, context.Canceled) {
		return a, false
	}
	q := r.Clone(s.withRefusal(r.Context(), e.sent, e.error, words))
	q.Method, q.Body, q.Form, q.PostForm, q.MultipartForm = http.MethodGet, http.NoBody, nil, nil, nil
	q.Header.Del("Content-Type")
	q.URL = &url.URL{Path: e.sent.URL.Path}
	for _, name := range []string{"name", "batch", "photo"} {
		q.SetPathValue(name, e.sent.PathValue(name))
	}
	a, err := e.page(s, q)
	a.Done = ""
	return a, err == nil && a.to == "" && a.file == nil && a.stream == nil
}

// withRefusal gives the page of a form what was refused of it; words say what is wrong where
// one thing alone is.
func (s *Server) withRefusal(ctx context.Context, sent *http.Request, err error, words string) context.Context {
	all := []error{err}
	if several := (inFields{}); errors.As(err, &several) {
		all = several.Unwrap()
	}
	r := &refusal{sent: sent}
	for _, x := range all {
		is := &fieldFault{id: "fault", field: fieldOf(x)}
		if len(r.faults) > 0 {
			is.id += "-" + strconv.Itoa(len(r.faults)+1)
		}
		if f := fault.Of(x); f != nil && len(all) > 1 {
			why, remedy := s.said(f)
			words = why + "; " + remedy
		}
		is.said = faultHTML(x, is.id, words)
		r.faults = append(r.faults, is)
	}
	return context.WithValue(ctx, refusalKey{}, r)
}

// faultHTML returns what is said beside a field at fault, with a tick to mean a new name
// where a name is near to one of yours.
func faultHTML(err error, id, words string) template.HTML {
	said := `<p class="fault" id="` + id + `">` + html.EscapeString(words) + `</p>`
	var near desk.NearName
	if errors.As(err, &near) {
		said += `<label class="tick"><input type="checkbox" name="new" value="1"/> ` + html.EscapeString(near.Name) + ` is a new ` + string(near.Kind) + `</label>`
	}
	return template.HTML(said) //nolint:gosec // escaped above
}

// filling is what stands in a form, and what is wrong with it.
type filling struct {
	wrong *refusal // nil: the form was not refused
	// otherwise is what stands in fields into which nothing was written.
	otherwise url.Values
}

// sentTo returns, for a request, the function of the templates that says what stands in a form
// that is sent by a method to one of some addresses; an empty method is any. Forms that share
// an address differ by the field "asks", which is empty in one of them.
func sentTo(r *http.Request) func(method, asks string, to ...string) filling {
	wrong := refusalOf(r)
	return func(method, asks string, to ...string) filling {
		if wrong == nil || wrong.sent.Form.Get("asks") != asks || method != "" && !strings.EqualFold(method, wrong.sent.Method) {
			return filling{}
		}
		if !slices.ContainsFunc(to, func(to string) bool {
			path, _, _ := strings.Cut(to, "?")
			there, err := url.PathUnescape(path)
			return err == nil && there == wrong.sent.URL.Path
		}) {
			return filling{}
		}
		return filling{wrong: wrong}
	}
}

// Else returns f with what stands in its fields where nothing was written into them.
func (f filling) Else(is url.Values) filling {
	f.otherwise = is
	return f
}

// Refused reports whether the form was refused.
func (f filling) Refused() bool { return f.wrong != nil }

// all returns what stands in the fields of a name.
func (f filling) all(name string, otherwise []any) []string {
	if f.wrong != nil {
		if v, ok := f.wrong.sent.Form[name]; ok {
			return v
		}
	}
	if v := f.otherwise[name]; len(v) > 0 && v[0] != "" {
		return v
	}
	if len(otherwise) > 0 {
		return []string{fmt.Sprint(otherwise...)}
	}
	return nil
}

// Get returns what stands in a field.
func (f filling) Get(name string, otherwise ...any) string {
	return url.Values{name: f.all(name, otherwise)}.Get(name)
}

func (f filling) has(name string, v any, otherwise []any) bool {
	return slices.Contains(f.all(name, otherwise), fmt.Sprint(v))
}

// Value is the attributes of an input.
func (f filling) Value(name string, otherwise ...any) template.HTMLAttr {
	out := f.Mark(name)
	if v := f.Get(name, otherwise...); v != "" {
		out = template.HTMLAttr(` value="`+html.EscapeString(v)+`"`) + out //nolint:gosec // escaped
	}
	return out
}

// Picked is the attribute of an option of a select.
func (f filling) Picked(name string, option any, otherwise ...any) template.HTMLAttr {
	if f.has(name, option, otherwise) {
		return " selected"
	}
	return ""
}

// Ticked is the attributes of a checkbox.
func (f filling) Ticked(name string, value any) template.HTMLAttr {
	if f.has(name, value, nil) {
		return " checked" + f.Mark(name)
	}
	return f.Mark(name)
}

// Open is the attribute of a fold in which fields are: it is open where something is written
// into one of them, or wrong with it.
func (f filling) Open(names ...string) template.HTMLAttr {
	if slices.ContainsFunc(names, func(n string) bool { return f.Get(n) != "" || f.wrong.of(n) != nil }) {
		return " open"
	}
	return ""
}

// Mark is the attributes by which the field at fault is found.
func (f filling) Mark(name string) template.HTMLAttr {
	x := f.wrong.of(name)
	if x == nil || x.marked {
		return ""
	}
	x.marked = true
	out := template.HTMLAttr(` aria-invalid="true" aria-describedby="` + x.id + `"`)
	if x == f.wrong.faults[0] {
		out += " autofocus"
	}
	return out
}

// Said is what is wrong with a field, to stand behind it.
func (f filling) Said(name string) template.HTML {
	x := f.wrong.of(name)
	if x == nil || x.told {
		return ""
	}
	x.told = true
	return x.said
}

// Rest is what is wrong with a form and is of none of its fields.
func (f filling) Rest() template.HTML {
	if f.wrong == nil {
		return ""
	}
	var out strings.Builder
	for k, x := range f.wrong.faults {
		if x.told {
			continue
		}
		x.told = true
		said := string(x.said)
		if k == 0 {
			said = strings.Replace(said, "<p ", `<p tabindex="-1" autofocus `, 1)
		}
		out.WriteString(said)
	}
	return template.HTML(out.String()) //nolint:gosec // our own
}
