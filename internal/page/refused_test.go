package page

import (
	"html"
	"net/http"
	"os"
	"path/filepath"
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
	_, shelf, _ := v.get("/shelf")
	squares := regexp.MustCompile(`name="asks" value="bin ([^"]*)"`).FindStringSubmatch(shelf)[1]
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
		{"/use", []string{"count", "1", "basket", "nowhere", "print", "plaid"}, "basket", "nowhere", []string{`value="plaid"`}},
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
		// Of several forms that share an address the one comes back that was sent.
		{"/add", []string{"asks", "weight", "weight", "much", "print", "plaid"}, "weight", "much: ", []string{`value="plaid"`, `name="count" min="1" required value="1"`}},
		{"/set", []string{"asks", "bins", "bins", "value", "trim", "wide"}, "trim", "wide: ", []string{`<option selected>value`, `name="yard" placeholder="140g" required/>`}},
		{"/floor", []string{"asks", "bin " + squares, "family", "blue", "cut", "2½", "least", "many", "back", "/shelf"}, "least", "many: ", nil},
		{"/fix", []string{"asks", "split", "pieces", "1", "split", "1", "back", "/pieces/1"}, "split", "1: ", []string{`name="cut" placeholder="2½"/>`, "<h1>Piece 1</h1>"}},
		{"/fix", []string{"asks", "outline", "pieces", "1", "outline", "here\nthere", "back", "/pieces/1"}, "outline", "", []string{"here\nthere</textarea>"}},
		{"/fix", []string{"asks", "merge", "pieces", "1", "merge", "x", "back", "/pieces/1"}, "merge", "x: ", []string{`value="x"`}},
		{"/fix", []string{"piece", "3", "family", "teal", "cut", "wide", "back", "/pieces"}, "cut", "wide: ", []string{`name="piece" value="3" checked/>`, `name="piece" value="1"/>`, `<option selected>teal`}},
		{"/teach/pieces", []string{"to", "sea greens", "back", "/pieces"}, "pieces", "no piece is chosen", []string{"<h1>Pieces</h1>", `value="sea greens"`}},
		{"/quilts/mat/copy", []string{"as", "mat"}, "as", "mat: ", []string{`value="mat"`}},
		{"/quilts/mat/edit", []string{"do", "turn", "a", "Z8", "b", "Z8"}, "a", "Z8: ", nil}, // two fields hold what it is about
		{at + "/say", []string{"asks", "photo", "do", "photo", "grid", "wide", "cuts", "2½", "scale", "40"}, "grid", "wide: ", []string{`value="2½"`, `value="40"`}},
		{at + "/say", []string{"asks", "places", "do", "draw", "points", "here", "apart", "10"}, "points", "here: ", []string{`value="10"`}},
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
		{"/contrast?background=nope&pieces=1-3", "background", `value="1-3"`},
		{"/contrast?background=cream&pieces=1-3,9999&show=1", "pieces", `value="1-3,9999"`},
		{"/contrast?background=cream&colours=navy&blocks=abc", "blocks", `value="cream"`},
		{"/buy?wof=wide&each=3", "wof", `value="3"`},
		{"/leftovers?sizes=small&cuts=2½", "sizes", `value="2½"`},
		{"/plan?recipe=nine-patch&layout=three&border=2", "layout", `value="2"`},
		{"/plan?recipe=nine-patch&layout=3x3&border=2&border-of=keys&border-keys=wide", "border-keys", `<option value="keys" selected>`},
		{"/plan?recipe=nine-patch&layout=3x3&with=nothing", "with", `value="nothing"`},
		{"/shelf?asks=since&since=soon", "since", `value="soon"`},
		{"/shelf?asks=sizes&sizes=2½&trim=wide", "trim", `value="2½"`},
		{"/contrast?colours=nothing&blocks=3", "colours", `value="3"`},
	} {
		code, page, _ := v.get(x.path)
		assert.GreaterOrEqual(t, code, 400, x.path)
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

// Every field of a form asks what was written into it: one that does not would lose it.
func TestNoFieldForgets(t *testing.T) {
	files, err := filepath.Glob("forms/*.html")
	require.NoError(t, err)
	fields := 0
	for _, file := range files {
		switch filepath.Base(file) {
		case "pair.html", "recipe.html": // a code is written anew; the form of /arrange comes back, not this one
			continue
		}
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, tag := range regexp.MustCompile(`<(?:input|select|textarea)\b[^>]* name="[^>]*>`).FindAllString(string(text), -1) {
			if strings.Contains(tag, `type="hidden"`) || strings.Contains(tag, `name="apart" placeholder="10 or 25cm"`) || strings.Contains(tag, `"{{$d.Numbers}}"`) { // a script shows the one, the other belongs to a button
				continue
			}
			fields++
			assert.Regexp(t, `\{\{\$?\w*\.(Value|Ticked|Mark) `, tag, file)
		}
	}
	require.Greater(t, fields, 150)
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

// All fields that something is wrong with are marked at once, each with its own words; the
// first is gone to.
func TestEveryFieldAtFaultIsMarked(t *testing.T) {
	v := handed(t)
	marked := func(page, name string) (describes string, focus bool) {
		m := regexp.MustCompile(`<(?:input|select|textarea)[^>]* name="` + name + `"[^>]*aria-describedby="([^"]*)"([^>]*)>`).FindStringSubmatch(page)
		require.NotNil(t, m, "%s is not marked in %s", name, page)
		return m[1], strings.Contains(m[2], "autofocus")
	}
	for _, x := range []struct {
		path   string
		fields []string
		pairs  []string
	}{
		{"/plan", []string{"block", "layout"}, []string{"recipe", "nine-patch", "block", "wide", "layout", "three", "show", "1"}},
		{"/buy", []string{"trim", "each"}, []string{"trim", "x", "each", "many"}},
	} {
		_, page, _ := v.get(x.path + query(x.pairs...))
		for k, name := range x.fields {
			id, focus := marked(page, name)
			require.Equal(t, []string{"fault", "fault-2"}[k], id, name)
			require.Equal(t, k == 0, focus, name)
			require.Equal(t, 1, strings.Count(page, `id="`+id+`"`), name)
		}
		require.Equal(t, 2, strings.Count(page, `class="fault"`), x.path)
	}
}
