package internal

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every data file is named, between backquotes and by a pattern perhaps, in the SOURCES.md
// of its folder or of the nearest above, which says where it comes from and which command
// makes it again. What none makes is held to the SHA-256 that stands there.
func TestDataSaysWhereItComesFrom(t *testing.T) {
	const list = "SOURCES.md"
	others := []string{".go", ".s", ".py", ".sh", ".md", ".html", ".css", ".js", ".svg", ".sql", ".txtar", ".gitignore", ".fail", ".test", ".prof", ".pyc"}
	quoted := regexp.MustCompile("`([^`\n]+)`")
	hashed := regexp.MustCompile(`(?m)^ {4}([0-9a-f]{64}) {2}(\S+)$`)
	above := func(name string) string { // the nearest folder with a list
		for dir := path.Dir(name); dir != "."; dir = path.Dir(dir) {
			if _, err := os.Stat(filepath.Join("..", dir, list)); err == nil {
				return dir
			}
		}
		return ""
	}
	files, held := 0, 0
	for _, top := range []string{"cmd", "internal", "samples", "testdata"} {
		require.NoError(t, fs.WalkDir(os.DirFS(".."), top, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			if path.Base(name) == list {
				text, err := os.ReadFile(filepath.Join("..", name))
				require.NoError(t, err)
				for _, m := range hashed.FindAllStringSubmatch(string(text), -1) {
					file := path.Join(path.Dir(name), m[2])
					data, err := os.ReadFile(filepath.Join("..", file))
					require.NoError(t, err)
					sum := sha256.Sum256(data)
					require.Equal(t, m[1], hex.EncodeToString(sum[:]), "%s is not the file that %s tells of", file, name)
					held++
				}
				return nil
			}
			if slices.Contains(others, path.Ext(name)) && name != "internal/stash/testdata/version1.sql" {
				return nil
			}
			dir := above(name)
			require.NotEmpty(t, dir, "no %s is above %s", list, name)
			text, err := os.ReadFile(filepath.Join("..", dir, list))
			require.NoError(t, err)
			inside := strings.TrimPrefix(name, dir+"/")
			require.True(t, slices.ContainsFunc(quoted.FindAllStringSubmatch(string(text), -1), func(m []string) bool {
				so, err := path.Match(m[1], inside)
				return err == nil && so
			}), "%s is not in %s/%s: say where it comes from", name, dir, list)
			files++
			return nil
		}))
	}
	require.Greater(t, files, 200)
	require.Greater(t, held, 10)
}
