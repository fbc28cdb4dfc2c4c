package page

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// faultAt gives the name of the field that a page says a fault beside, and the fault;
// "form" where it is of a form as a whole.
func faultAt(page string) (name, words string) {
	said := regexp.MustCompile(`<p (?:tabindex="-1" autofocus )?class="fault" id="fault">([^<]*)</p>`).FindAllStringSubmatch(page, -1)
	if len(said) != 1 {
		return "", ""
	}
	words = html.UnescapeString(said[0][1])
	if m := regexp.MustCompile(`<(?:input|select|textarea)[^>]* name="([^"]*)"[^>]* aria-invalid="true" aria-describedby="fault" autofocus`).FindAllStringSubmatch(page, -1); len(m) == 1 {
		return m[0][1], words
	}
	return "form", words
}

// A form that is refused comes back with what was written in it, what is wrong beside the
// field that it is about, and the focus there; by plain forms.
func TestARefusedFormComesBack(t *testing.T) {
	v := stocked(t)
	v.post("/arrange", "recipe", "plain-squares", "layout", "1x2", "block", "1", "save", "mat")
	_, _, at := v.send([]string{"b.jpg"}, spread(t, 9))
	for _, x := range []struct {
		path  string
		pairs []string
		field string   // at fault
		says  string   // there
		holds []string // what the page holds still
	}{
		{"/add", []string{"count", "3", "cut", "wide", "family", "blue", "value", "dark", "basket", `the "old" <one>`}, "cut", "wide: ",
			[]string{`name="count" min="1" required value="3"`, `name="cut" placeholder="`, `value="wide"`, `<option selected>blue`, `<option selected>dark`, `value="the &#34;old&#34; &lt;one&gt;"`}},
		{"/use", []string{"count", "0", "cut", "2½", "print", "plaid"}, "count", "0: ", []string{`value="2½"`, `value="plaid"`}},
		{"/floor", []string{"least", "many", "family", "teal", "cut", "2½"}, "least", "many: ", []string{`<option selected>teal`}},
		{"/set", []string{"yard", "light", "width", "40"}, "yard", "light: ", []string{`value="40"`}},
		{"/fix", []string{"pieces", "1", "cut", "9999", "basket", "tin", "no-bin", "1", "back", "/pieces/1"}, "cut", "9999: ", []string{`value="tin"`, `name="no-bin" value="1" checked`, "<h1>Piece 1</h1>"}},
		{"/teach/pieces", []string{"to", "sea greens", "pieces", "all of it"}, "pieces", "all: ", []string{`value="sea greens"`}},
		{"/quilts/mat/mark", []string{"stage", "sewn", "which", "Z9"}, "which", "Z9: ", []string{"<h1>mat"}},
		{"/quilts/mat/edit", []string{"do", "swap", "a", "A1", "b", "Z9"}, "b", "Z9: ", []string{`data-patch="A1" aria-pressed="true"`}},
		{at + "/say", []string{"do", "fix", "pieces", "1", "cut", "wide", "family", "teal"}, "cut", "wide: ", []string{`value="wide"`}},
		{batchAt(at) + "/stow", []string{"cut", "wide", "basket", "sea chest"}, "cut", "wide: ", []string{`value="sea chest"`}},
		{"/data/restore", nil, "form", "no file was sent", nil},
		{"/plan", arranged("save", ""), "save", "it has no name", nil},
	} {
		code, page, _ := v.post(x.path, x.pairs...)
		assert.GreaterOrEqual(t, code, 400, x.path)
		field, words := faultAt(page)
		assert.Equal(t, x.field, field, x.path)
		assert.Contains(t, words, x.says, x.path)
		for _, held := range x.holds {
			assert.Contains(t, page, held, x.path)
		}
		assert.Contains(t, page, `class="wrong" role="alert"`, x.path)
		assert.Equal(t, 1, strings.Count(page, " autofocus"), x.path)
	}
	for _, x := range []struct{ path, field, holds string }{
		{"/shelf?cut=wide&family=blue", "cut", `<option selected>blue`},
		{"/pieces?cut=wide&basket=tin", "cut", `value="tin"`},
		{"/buy?wof=wide&each=3", "wof", `value="3"`},
		{"/leftovers?sizes=small&cuts=2½", "sizes", `value="2½"`},
		{"/plan?recipe=nine-patch&layout=three&border=2", "layout", `value="2"`},
	} {
		code, page, _ := v.get(x.path)
		assert.Equal(t, http.StatusBadRequest, code, x.path)
		field, _ := faultAt(page)
		assert.Equal(t, x.field, field, x.path)
		assert.Contains(t, page, x.holds, x.path)
	}
	// What stands folded away is opened where the fault is.
	_, page, _ := v.get("/plan?recipe=nine-patch&layout=3x3&squaring=wide")
	open := page[:strings.Index(page, `aria-invalid`)]
	require.Regexp(t, `(?s).*<details[^>]* open[^>]*>`, open)
	// An address that was followed is no form.
	code, page, _ := v.get("/pieces/999")
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "<h1>That did not work</h1>")
}

// A name that is nearly a known one is asked for, as the command does, and is new where that
// is ticked.
func TestANameThatMayBeASlip(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"one.jpg"}, table(t))
	v.post(batchAt(at)+"/stow", "basket", "sea chest")
	for _, c := range []struct {
		path string
		form []string
	}{
		{"", []string{"basket", "sea chets"}},
		{"", []string{"basket", "sea chets", "recount", "1"}},
		{"/fix", []string{"pieces", "1", "back", "/pieces/1", "basket", "sea chets"}},
		{"/add", []string{"count", "2", "cut", "2½", "basket", "sea chets"}},
	} {
		if c.path == "" {
			_, _, at = v.send([]string{"two.jpg"}, spread(t, 9))
			c.path = batchAt(at) + "/stow"
		}
		code, page, _ := v.post(c.path, c.form...)
		require.Equal(t, http.StatusBadRequest, code, c)
		require.Regexp(t, `name="basket"[^>]* aria-invalid="true"[^>]*/>`, page, c)
		require.Contains(t, page, "but there is &#34;sea chest&#34;; write sea chest</p>"+`<label class="tick"><input type="checkbox" name="new" value="1"/> sea chets is a new basket</label>`, c)
		before, err := v.desk.Latest(t.Context())
		require.NoError(t, err)
		code, page, _ = v.post(c.path, append(c.form, "new", "1")...)
		require.Equal(t, 200, code, page)
		_, err = v.desk.Undo(t.Context(), 1, nil)
		require.NoError(t, err)
		after, err := v.desk.Latest(t.Context())
		require.NoError(t, err)
		require.Equal(t, before, after)
	}
}

// Of several forms that are sent to one address the one is filled that was sent; what is
// folded around the fault is opened, and nothing else.
func TestRefill(t *testing.T) {
	const page = `<details><summary>other</summary></details><details class="out"><summary>floors</summary>
<form method="post" action="/floor"><input type="hidden" name="bin" value="a"/><label>Least <input name="least" value="1"/></label></form>
<form method="post" action="/floor?shape=2"><input type="hidden" name="bin" value="b &amp; c"/><details><summary>more</summary><label>Least <input name="least" value="1" autofocus/></label></details><details><summary>still more</summary>
<label><input type="checkbox" name="all" value="1" checked/></label><label><input type="radio" name="how" value="x" checked/></label><label><input type="radio" name="how" value="y"/></label>
<select name="of"><option value="">any</option><option selected>red</option><option>blue &amp; green</option></select><textarea name="text" rows="3">old</textarea>
<input name="two"/><input name="two"/><input type="file" name="photo"/><button formaction="/else"/></details></form></details>`
	is := url.Values{"bin": {"b & c"}, "least": {"no"}, "how": {"y"}, "of": {"blue & green"}, "text": {"<new>"}, "two": {"one", "other"}, "photo": {"x"}}
	got, ok := refill(page, "POST", "/floor", is, "least", `<p class="fault" id="fault">not a number</p>`)
	require.True(t, ok)
	require.Equal(t, `<details><summary>other</summary></details><details open class="out"><summary>floors</summary>
<form method="post" action="/floor"><input type="hidden" name="bin" value="a"/><label>Least <input name="least" value="1"/></label></form>
<form method="post" action="/floor?shape=2"><input type="hidden" name="bin" value="b &amp; c"/><details open><summary>more</summary><label>Least <input name="least" value="no" aria-invalid="true" aria-describedby="fault" autofocus/></label><p class="fault" id="fault">not a number</p></details><details><summary>still more</summary>
<label><input type="checkbox" name="all" value="1"/></label><label><input type="radio" name="how" value="x"/></label><label><input type="radio" name="how" value="y" checked/></label>
<select name="of"><option value="">any</option><option>red</option><option selected>blue &amp; green</option></select><textarea name="text" rows="3">&lt;new&gt;</textarea>
<input name="two" value="one"/><input name="two" value="other"/><input type="file" name="photo"/><button formaction="/else"/></details></form></details>`, got)
	_, ok = refill(page, "POST", "/else", is, "", "")
	require.True(t, ok, "a button may lead elsewhere than its form")
	_, ok = refill(page, "GET", "/floor", is, "", "")
	require.False(t, ok)
	_, ok = refill(page, "POST", "/floor", url.Values{"bin": {"d"}}, "", "")
	require.False(t, ok, "it is of another bin")
}
