package page

import (
	"context"
	"errors"
	"html"
	"html/template"
	"net/http"
	"net/url"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
)

// inField is an error of what was written into a field.
type inField struct {
	name string
	error
}

func (e inField) Unwrap() error { return e.error }

// formsOf are the pages of forms that are sent elsewhere than to the page they are on or
// to a part of it.
var formsOf = map[string]string{
	"/use": "/add", "/floor": "/shelf", "/set": "/shelf", "/fix": "/pieces", "/undo": "/history", "/redo": "/history", "/look": "/",
	"/teach/answer": "/teach/next", "/plan": "/plan", "/arrange": "/arrange", "/contrast": "/contrast", "/phone": "/phone", "/add": "/add",
}

// formPage returns the page that a form was sent from, empty where that is not known or no
// form was sent.
func formPage(r *http.Request) string {
	if r.Method == http.MethodGet {
		if len(r.URL.Query()) == 0 {
			return ""
		}
		return r.URL.Path
	}
	if back := (&fields{r: r}).back(""); back != "" {
		return back
	}
	to, ok := formsOf[r.URL.Path]
	if !ok {
		to = path.Dir(r.URL.EscapedPath())
	}
	q := url.Values{}
	switch {
	case r.URL.Path == "/plan" || r.URL.Path == "/arrange": // the form to keep it stands below the answer
		q = given(r.Form)
	case strings.HasSuffix(r.URL.Path, "/edit"):
		q.Set("patch", r.FormValue("a"))
	}
	if len(q) == 0 {
		return to
	}
	return to + "?" + q.Encode()
}

// pageAsked is the context key of a request by which the server asks itself for a page, to
// fill its form again; the value takes the answer.
type pageAsked struct{}

type pageAnswer struct {
	s   *Server
	a   answer
	err error
}

// pages answer as the server does, but to the server itself.
var pages = sync.OnceValue(func() *http.ServeMux {
	mux := http.NewServeMux()
	for _, r := range routes() {
		mux.HandleFunc(r.pattern, func(_ http.ResponseWriter, q *http.Request) {
			out := q.Context().Value(pageAsked{}).(*pageAnswer)
			out.a, out.err = r.answer(out.s, q)
		})
	}
	return mux
})

// refused is the page of a form that was refused, with what was written still in it and
// what is wrong beside its field; ok is false where it has none.
func (s *Server) refused(r *http.Request, err error, wrong, remedy string) (a answer, ok bool) {
	_ = r.ParseForm() // what cannot be parsed is not written again
	to := formPage(r)
	if to == "" || errors.Is(err, context.Canceled) {
		return a, false
	}
	for range 2 { // one page may lead on to another
		out := &pageAnswer{s: s, err: errNoPage(r)}
		q, e := http.NewRequestWithContext(context.WithValue(r.Context(), pageAsked{}, out), http.MethodGet, to, nil)
		if e != nil {
			return a, false
		}
		q.Host, q.Header = r.Host, http.Header{"Cookie": r.Header["Cookie"], "Sec-Fetch-Mode": {"refused"}}
		pages().ServeHTTP(nothing{}, q)
		if out.err != nil || out.a.file != nil || out.a.stream != nil {
			return a, false
		}
		if a = out.a; a.to == "" {
			break
		}
		to = a.to
	}
	if a.to != "" {
		return a, false
	}
	name := faultyField(err, r.Form)
	words := faultHTML(err, wrong+"; "+remedy)
	before, inBefore := refill(string(a.Before), r.Method, r.URL.Path, r.Form, name, words)
	after, inAfter := "", false
	if !inBefore {
		after, inAfter = refill(string(a.After), r.Method, r.URL.Path, r.Form, name, words)
	}
	switch {
	case inBefore:
		a.Before = template.HTML(before) //nolint:gosec // our own form, what is written into it escaped
	case inAfter:
		a.After = template.HTML(after) //nolint:gosec // likewise
	}
	a.Done = ""
	return a, inBefore || inAfter
}

// nothing is a ResponseWriter that must not be written to.
type nothing struct{}

func (nothing) Header() http.Header         { return http.Header{} }
func (nothing) Write(b []byte) (int, error) { return len(b), nil }
func (nothing) WriteHeader(int)             {}

// faultHTML returns what is said beside the field at fault, with a tick to mean a new name
// where a name is near to one of yours.
func faultHTML(err error, words string) string {
	said := `<p class="fault" id="fault">` + html.EscapeString(words) + `</p>`
	var near desk.NearName
	if errors.As(err, &near) {
		said += `<label class="tick"><input type="checkbox" name="new" value="1"/> ` + html.EscapeString(near.Name) + ` is a new ` + string(near.Kind) + `</label>`
	}
	return said
}

// faultyField is the name of the field that an error is about: as it says itself, else
// the one that holds what it names; empty: none.
func faultyField(err error, form url.Values) string {
	var in inField
	if errors.As(err, &in) {
		return in.name
	}
	f := fault.Of(err)
	if f == nil {
		return ""
	}
	about := f.About
	var near desk.NearName
	if errors.As(err, &near) {
		about = near.Name
	}
	var names []string
	for name, v := range form {
		if about != "" && slices.ContainsFunc(v, func(v string) bool { return strings.TrimSpace(v) == about }) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	if len(names) == 0 {
		return ""
	}
	return names[0]
}

// Our forms are regular: no tag has a > in an attribute, and no form is in another.
var (
	aForm    = regexp.MustCompile(`(?s)<form\b[^>]*>.*?</form>`)
	aControl = regexp.MustCompile(`(?s)<input\b[^>]*>|<select\b[^>]*>.*?</select>|<textarea\b[^>]*>.*?</textarea>`)
	anOption = regexp.MustCompile(`<option\b[^>]*>[^<]*`)
	aFold    = regexp.MustCompile(`<details\b[^>]*>|</details>`)
	isSet    = regexp.MustCompile(` (?:checked|selected|autofocus|open)\b`)
	aValue   = regexp.MustCompile(` value="[^"]*"`)
)

// attribute returns the value of an attribute of the first tag in a text.
func attribute(tag, name string) string {
	first, _, _ := strings.Cut(tag, ">")
	_, rest, ok := strings.Cut(first, " "+name+`="`)
	if !ok {
		return ""
	}
	v, _, _ := strings.Cut(rest, `"`)
	return html.UnescapeString(v)
}

// with puts an attribute into the first tag of a text.
func with(tag, attribute string) string {
	end := strings.Index(tag, ">")
	if tag[end-1] == '/' {
		end--
	}
	return strings.TrimSuffix(tag[:end], " ") + " " + attribute + tag[end:]
}

// refill writes into the form that is sent to a path by a method what was written into it, and what
// is wrong, as HTML, beside the field at fault; ok is false where there is no such form.
func refill(page, method, path string, is url.Values, name, said string) (_ string, ok bool) {
	best, at := -1, []int(nil)
	for _, m := range aForm.FindAllStringIndex(page, -1) {
		if n := fits(page[m[0]:m[1]], method, path, is); n > best {
			best, at = n, m
		}
	}
	if at == nil {
		return page, false
	}
	form := page[at[0]:at[1]]
	used := map[string]int{}
	placed := -1 // where the fault is said in the form as it was
	var b strings.Builder
	end := 0
	for _, m := range aControl.FindAllStringIndex(form, -1) {
		control := form[m[0]:m[1]]
		field := attribute(control, "name")
		v := is[field]
		given := ""
		if k := used[field]; k < len(v) {
			given = v[k]
		}
		kind := attribute(control, "type")
		if kind != "checkbox" && kind != "radio" {
			used[field]++
		}
		control = rewritten(control, kind, v, given)
		b.WriteString(form[end:m[0]])
		end = m[1]
		if placed < 0 && field == name && name != "" && kind != "hidden" {
			control = with(isSet.ReplaceAllString(control, ""), `aria-invalid="true" aria-describedby="fault" autofocus`)
			b.WriteString(control)
			if k := strings.Index(form[m[1]:], "</label>"); k >= 0 {
				b.WriteString(form[m[1] : m[1]+k+len("</label>")])
				end = m[1] + k + len("</label>")
			}
			b.WriteString(said)
			placed = m[0]
			continue
		}
		b.WriteString(control)
	}
	b.WriteString(form[end:])
	out := b.String()
	if placed < 0 { // of the form as a whole
		head := strings.Index(out, ">") + 1
		out, placed = out[:head]+said+out[head:], 0
		out = strings.Replace(out, `<p class="fault"`, `<p tabindex="-1" autofocus class="fault"`, 1)
	}
	return unfolded(page[:at[0]], out, placed) + page[at[1]:], true
}

// fits returns how well a form agrees with what was sent to a path, the number of fields
// they share; less than 0: it is another form.
func fits(form, method, path string, is url.Values) int {
	action, _, _ := strings.Cut(attribute(form, "action"), "?")
	if there, err := url.PathUnescape(action); err != nil || there != path || !strings.EqualFold(attribute(form, "method"), method) {
		if !strings.Contains(form, `formaction="`+html.EscapeString(path)+`"`) {
			return -1
		}
	}
	n := 0
	seen := map[string]bool{}
	for _, control := range aControl.FindAllString(form, -1) {
		name := attribute(control, "name")
		if attribute(control, "type") == "hidden" && !slices.Contains(is[name], attribute(control, "value")) {
			return -1
		}
		if _, sent := is[name]; sent && !seen[name] {
			seen[name] = true
			n++
		}
	}
	return n
}

// rewritten returns a control of a form with what was written into it.
func rewritten(control, kind string, all []string, given string) string {
	switch {
	case kind == "hidden" || kind == "file" || all == nil && kind != "checkbox":
		return control
	case kind == "checkbox" || kind == "radio":
		control = isSet.ReplaceAllString(control, "")
		if slices.Contains(all, attribute(control, "value")) {
			control = with(control, "checked")
		}
		return control
	case strings.HasPrefix(control, "<input"):
		return with(aValue.ReplaceAllString(control, ""), `value="`+html.EscapeString(given)+`"`)
	case strings.HasPrefix(control, "<textarea"):
		return control[:strings.Index(control, ">")+1] + html.EscapeString(given) + "</textarea>"
	}
	return anOption.ReplaceAllStringFunc(control, func(o string) string {
		o = isSet.ReplaceAllString(o, "")
		value, words := attribute(o, "value"), o[strings.Index(o, ">")+1:]
		if !strings.Contains(o, ` value="`) {
			value = html.UnescapeString(words)
		}
		if value == given {
			o = with(o, "selected")
		}
		return o
	})
}

// unfolded opens what is folded around a place of a form, which stands after before.
func unfolded(before, form string, at int) string {
	all := before + form
	var folds []int
	for _, m := range aFold.FindAllStringIndex(all, -1) {
		if m[0] > len(before)+at {
			break
		}
		if strings.HasPrefix(all[m[0]:], "</") {
			folds = folds[:max(0, len(folds)-1)]
		} else {
			folds = append(folds, m[0])
		}
	}
	for _, k := range slices.Backward(folds) {
		if tag, _, _ := strings.Cut(all[k:], ">"); !isSet.MatchString(tag) {
			all = all[:k] + "<details open" + all[k+len("<details"):]
		}
	}
	return all
}
