package page

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/report"
)

// typedWords are flags, and commands as they are typed.
var typedWords = regexp.MustCompile(`--[a-z]|'?piecebag (look|stow|recount|add|use|fix|undo|redo|history|shelf|floor|teach|export|import|backup|restore|check|recipe|ideas|plan|arrange|quilt|refill|leftovers|buy|contrast|name|card|demo)\b|[Ee]xit code`)

// neverShown are files and words that the page does not show, each with why.
var neverShown = map[string]string{
	"files/write.go":                   "the page writes no file under a name that is given",
	"report/doubts.go":                 "text of look: the page asks",
	"report/stash_json.go":             "JSON",
	"report/ideas_show.go":             "text of ideas alone",
	"stash/place.go":                   "the folder is named when the page is served",
	"name another folder with --stash": "so is this",
	"name the folder of the stash with --stash, or a new one": "and this",
	"piecebag backup": "the name of a format",
	"piecebag arrange %s --layout %dx%d --block %s": "text of plan alone",
	" --at-a-time ":                        "so is this",
	"start it with piecebag serve --phone": "the page is served by a command",
}

// No page says a word that is meant for who types commands: whatever other packages say
// so has words of the page's own.
func TestNothingIsTypedOnThePage(t *testing.T) {
	require.NoError(t, filepath.WalkDir("..", func(path string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		rest := strings.TrimPrefix(filepath.ToSlash(path), "../")
		for _, part := range []string{"truth/", "page/words.go", "eye/"} {
			if strings.HasPrefix(rest, part) {
				return nil
			}
		}
		if neverShown[rest] != "" {
			return nil
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			said, err := strconv.Unquote(lit.Value)
			require.NoError(t, err)
			if neverShown[said] != "" {
				return true
			}
			assert.NotRegexp(t, typedWords, onPage.Replace(said), "%s: write what the page says in commandWords, or the file into neverShown", set.Position(lit.Pos()))
			return true
		})
		return nil
	}))
	forms, err := filepath.Glob("forms/*.html")
	require.NoError(t, err)
	for _, form := range forms {
		text, err := os.ReadFile(form)
		require.NoError(t, err)
		assert.NotRegexp(t, typedWords, strings.ReplaceAll(string(text), "piecebag serve --phone", ""), form)
	}
	assert.NotRegexp(t, typedWords, format())
	assert.Contains(t, format(), "[[patch]]")
}

// Words are the page's own in what it shows, in what it tells a script, and in what is
// kept as a file.
func TestThePagesOwnWords(t *testing.T) {
	v := filled(t)
	v.enter()
	_, page, _ := v.get("/plan" + query("recipe", "pinwheel", "layout", "3x3"))
	require.Contains(t, page, "Write its role under")
	_, kept, _ := v.get("/plan" + query("recipe", "pinwheel", "layout", "3x3", "as", "html"))
	for _, s := range []string{page, kept} {
		require.NotRegexp(t, `--help|--one-way|--html`, s)
	}
	said := report.Titled("t", "or give --scale").InWords(onPage.Replace)
	var b strings.Builder
	require.NoError(t, said.HTML(&b))
	require.Contains(t, b.String(), "known length apart")
}
