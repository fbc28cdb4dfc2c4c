package page

import (
	"html"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/arrange"
)

// typedWords are flags, and commands as they are typed.
var typedWords = regexp.MustCompile(`--[a-z]|'?piecebag (look|stow|recount|add|use|fix|undo|redo|history|shelf|floor|teach|export|import|backup|restore|check|recipe|ideas|plan|arrange|quilt|refill|leftovers|buy|contrast|name|card|demo)\b|[Ee]xit code`)

// No page says a word that is meant for who types commands, and none is in what is kept as a
// file.
func TestNothingIsTypedOnThePage(t *testing.T) {
	forms, err := filepath.Glob("forms/*.html")
	require.NoError(t, err)
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	require.Greater(t, min(len(forms), len(sources)), 20)
	for _, file := range append(forms, sources...) {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		if !strings.HasSuffix(file, "_test.go") {
			assert.NotRegexp(t, typedWords, strings.ReplaceAll(string(text), "piecebag serve --phone", ""), file) // the page is served by a command
		}
	}
	v := filled(t)
	v.enter()
	_, page, _ := v.get("/plan" + query("recipe", "pinwheel", "layout", "3x3"))
	require.Contains(t, page, "Write its role under")
	_, kept, _ := v.get("/plan" + query("recipe", "pinwheel", "layout", "3x3", "as", "html"))
	require.Contains(t, kept, "Write its role under")
	for _, s := range []string{page, kept} {
		require.NotRegexp(t, `--help|--one-way|--html`, s)
	}
}

// Names of your own come through every screen as you wrote them, and do when they are
// picked: they were once taken for flags, and other words put in their place.
func TestNamesLikeFlagsAreYours(t *testing.T) {
	const basket, print, quilt = "left --size over", "'piecebag plan' or give --scale", "my --bed quilt"
	v := filled(t)
	screens := v.screens()
	code, page, _ := v.post("/fix", "pieces", "1 2", "basket", basket, "print", print, "new", "1")
	require.Equal(t, http.StatusOK, code, page)
	code, page, _ = v.post("/arrange", arranged("save", quilt)...)
	require.Equal(t, http.StatusOK, code, page)
	at := "/quilts/" + url.PathEscape(quilt)
	screens = append(screens, at, at+"?patch=A1", at+"/others", "/pieces"+query("basket", basket), "/shelf"+query("basket", basket))
	left, my := regexp.MustCompile(`left.{1,20}?over`), regexp.MustCompile(`my.{1,12}?quilt\b`)
	seen := map[string]int{}
	for _, screen := range screens {
		_, page, _ := v.get(screen)
		said := html.UnescapeString(page)
		for _, is := range left.FindAllString(said, -1) {
			require.Contains(t, []string{basket, "left+--size+over", "left%20--size%20over"}, is, screen)
			seen[basket]++
		}
		for _, is := range my.FindAllString(said, -1) {
			require.Contains(t, []string{quilt, "my+--bed+quilt", "my%20--bed%20quilt"}, is, screen)
			seen[quilt]++
		}
		seen[print] += strings.Count(said, print)
	}
	require.Len(t, seen, 3)
	require.Greater(t, min(seen[basket], seen[print], seen[quilt]), 2, "%v", seen)

	_, page, _ = v.get("/add")
	picked := regexp.MustCompile(`<option value="([^"]*size[^"]*)"`).FindStringSubmatch(page)
	require.NotNil(t, picked)
	code, page, _ = v.post("/fix", "pieces", "3", "basket", html.UnescapeString(picked[1]))
	require.Equal(t, http.StatusOK, code, page)
	require.Equal(t, basket, v.held("3")[0].Basket)
	_, page, _ = v.get("/quilts")
	link := regexp.MustCompile(`href="(/quilts/my[^"]*)"`).FindStringSubmatch(page)
	require.NotNil(t, link)
	code, page, _ = v.get(html.UnescapeString(link[1]))
	require.Equal(t, http.StatusOK, code, page)
}

// Each look of a layout is offered in words.
func TestLooksAreOffered(t *testing.T) {
	require.Len(t, lookWords, len(arrange.Looks))
	for _, look := range arrange.Looks {
		require.NotEmpty(t, lookWords[look], look)
	}
}
