package internal_test

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	quotedName = regexp.MustCompile("`([^` ]+)`")
	plainName  = regexp.MustCompile(`([\w./-]*\w)`)
	isPath     = regexp.MustCompile(`^(internal|cmd|testdata|samples|\.ci)(/|$)`)
	isFile     = regexp.MustCompile(`^[\w*-]+\.(go|s|js|sql|txt|toml|md|json|py|html|css)$`)
)

// Each file and folder that DEVELOPERS.md, the README and doc.go name is there: a path from the top,
// and a bare name in the folder of the path that stands before it in the line, or else
// somewhere.
func TestNamedFilesAreThere(t *testing.T) {
	root := filepath.Join("..")
	folders := map[string][]string{} // names of files by their folder, with slashes
	require.NoError(t, filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && d.Name() == ".git" {
			return filepath.SkipDir
		}
		if rel, _ := filepath.Rel(root, name); err == nil && !d.IsDir() {
			rel = filepath.ToSlash(rel)
			folders[path.Dir(rel)] = append(folders[path.Dir(rel)], path.Base(rel))
		}
		return err
	}))
	there := func(folder, pattern string) bool {
		for _, name := range folders[folder] {
			if ok, err := path.Match(pattern, name); ok && err == nil {
				return true
			}
		}
		return false
	}
	found := 0
	for doc, names := range map[string]*regexp.Regexp{"DEVELOPERS.md": quotedName, "README.md": quotedName, "internal/doc.go": plainName} {
		text, err := os.ReadFile(filepath.Join(root, doc))
		require.NoError(t, err)
		for _, line := range strings.Split(string(text), "\n") {
			in := strings.TrimPrefix(path.Dir(doc), ".")
			for _, m := range names.FindAllStringSubmatch(line, -1) {
				name := strings.TrimSuffix(m[1], "/")
				switch {
				case isPath.MatchString(name):
					found++
					info, err := os.Stat(filepath.Join(root, filepath.FromSlash(name)))
					switch {
					case err == nil && info.IsDir():
						in = name
					default:
						in = path.Dir(name)
						assert.True(t, there(in, path.Base(name)), "%s names %s, which is not there", doc, name)
					}
				case isFile.MatchString(name) && in != "":
					found++
					ok := there(in, name)
					for folder := range folders {
						ok = ok || strings.HasPrefix(folder, in) && there(folder, name) || there(folder, name) && !strings.Contains(name, "*")
					}
					assert.True(t, ok, "%s names %s after %s, and there is none", doc, name, in)
				}
			}
		}
	}
	require.Greater(t, found, 100)
}
