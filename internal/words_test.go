package internal

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
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
