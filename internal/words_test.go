package internal

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whoever reads a message, a comment or the README is you.
func TestTheReaderIsYou(t *testing.T) {
	other := regexp.MustCompile(`(?i:\b(she|her|hers|herself)\b)|(She|Hers?|Herself)([A-Z]|\b)`)
	read := 0
	look := func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case !slices.Contains([]string{".go", ".md", ".html", ".css", ".js", ".sql", ".txt", ".toml", ".txtar"}, filepath.Ext(path)):
			return nil
		case d.Name() == "version1.sql" || d.Name() == "words_test.go": // as it was written then; these words themselves
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		read++
		for i, line := range strings.Split(string(text), "\n") {
			require.NotRegexp(t, other, line, "%s, line %d", path, i+1)
		}
		return nil
	}
	for _, top := range []string{"cmd", "internal", "samples", "testdata", "README.md", "DEVELOPERS.md"} { // not what a demo leaves beside them
		require.NoError(t, filepath.WalkDir(filepath.Join("..", top), look))
	}
	require.Greater(t, read, 300)
}

// Flags and commands are the terminal's alone. No package below the doors writes one into
// what it says, for the page says it too, of fields that it has in their place.
func TestOnlyTheCommandSpeaksOfFlags(t *testing.T) {
	typed := regexp.MustCompile(`(^|[^-\w])--[a-z]|piecebag (serve|look|stow|recount|add|use|fix|undo|redo|history|shelf|floor|teach|set|export|import|backup|restore|check|recipe|ideas|plan|arrange|quilt|refill|leftovers|buy|contrast|name|card|demo)\b`)
	read := 0
	require.NoError(t, filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			if path == "page" || path == "truth" { // a door of its own, and what only those who measure run
				return fs.SkipDir
			}
		case path == filepath.Join("recipe", "format.txt"):
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			require.NotRegexp(t, typed, string(text), path)
		case strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go"):
			read++
			set := token.NewFileSet()
			file, err := parser.ParseFile(set, path, nil, 0)
			require.NoError(t, err)
			ast.Inspect(file, func(n ast.Node) bool {
				if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
					said, err := strconv.Unquote(lit.Value)
					require.NoError(t, err)
					if said != "piecebag backup" { // the mark of a file's format
						require.NotRegexp(t, typed, said, "%s: give the fault a kind and the doors a remedy, or the document a field of report.Wording", set.Position(lit.Pos()))
					}
				}
				return true
			})
		}
		return nil
	}))
	require.Greater(t, read, 200)
}
