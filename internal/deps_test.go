package internal

import (
	"encoding/json"
	"errors"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// order is the map of doc.go: each line that is set in names a package.
func order(t *testing.T) []string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), "doc.go", nil, parser.ParseComments)
	require.NoError(t, err)
	var names []string
	for line := range strings.Lines(f.Doc.Text()) {
		if strings.HasPrefix(line, "\t") {
			names = append(names, strings.Fields(line)[0])
		}
	}
	return names
}

// owners says which packages may import an outside thing; nobody else may.
var owners = map[string][]string{
	"image/jpeg":                                   {"photo", "report", "page", "truth/scene", "truth"},
	"piecebag/internal/testtable":                  {},
	"piecebag/internal/stash/stashtest":            {},
	"image/png":                                    {"photo", "report", "truth/scene", "truth"},
	"golang.org/x/image/webp":                      {"photo"},
	"github.com/gen2brain/heic":                    {"photo"},
	"gonum.org/v1/gonum/mat":                       {"geom", "light", "palette", "scale"},
	"gonum.org/v1/gonum/floats":                    {"light"},
	"github.com/corona10/goimagehash":              {"look"},
	"github.com/kovidgoyal/imaging/prism/meta/icc": {"photo"},
	"github.com/spf13/cobra":                       {},
	"github.com/spf13/pflag":                       {},
	"os/exec":                                      {"stash/stashtest"},
	"flag":                                         {"testtable"},
	"net/http":                                     {"page"},
	"rsc.io/qr":                                    {"page"},
	"html/template":                                {"page", "report"},
	"github.com/charmbracelet/x/ansi":              {"report"},
	"github.com/charmbracelet/colorprofile":        {"report"},
	"github.com/bep/imagemeta":                     {"photo"},
	"modernc.org/sqlite":                           {"stash"},
	"database/sql":                                 {"stash"},
	"codeberg.org/go-pdf/fpdf":                     {"report"},
	"github.com/pelletier/go-toml/v2":              {"recipe"},
	"golang.org/x/sync/semaphore":                  {"photo"},
}

// pure packages do no I/O.
var pure = []string{"fault", "geom", "colour", "raster", "cloth", "eye", "find", "scale", "light", "palette", "family", "look", "card", "teach", "shelf", "recipe", "cutting", "contrast", "arrange", "plan"}

type listed struct {
	ImportPath string
	Imports    []string
}

func list(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "piecebag/...")
	out, err := cmd.Output()
	require.NoError(t, err)
	var all []listed
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p listed
		err := dec.Decode(&p)
		if errors.Is(err, io.EOF) {
			return all
		}
		require.NoError(t, err)
		all = append(all, p)
	}
}

func TestImportsPointOneWay(t *testing.T) {
	rank := map[string]int{}
	all := order(t)
	for i, name := range all {
		rank["piecebag/internal/"+name] = i
	}
	seen := 0
	for _, p := range list(t) {
		if !strings.HasPrefix(p.ImportPath, "piecebag/internal/") {
			continue
		}
		mine, ok := rank[p.ImportPath]
		require.True(t, ok, "%s is not on the map in doc.go", p.ImportPath)
		seen++
		for _, imp := range p.Imports {
			if !strings.HasPrefix(imp, "piecebag/") {
				continue
			}
			other, ok := rank[imp]
			require.True(t, ok, "%s imports %s, which is not on the map", p.ImportPath, imp)
			require.Less(t, other, mine, "%s imports %s, which stands below it", p.ImportPath, imp)
		}
	}
	require.Equal(t, len(all), seen, "doc.go lists packages that do not exist")
}

func TestOutsideThingsHaveOneOwner(t *testing.T) {
	for _, p := range list(t) {
		name, ok := strings.CutPrefix(p.ImportPath, "piecebag/internal/")
		if !ok {
			continue
		}
		for _, imp := range p.Imports {
			if allowed, owned := owners[imp]; owned {
				require.Contains(t, allowed, name, "%s imports %s", p.ImportPath, imp)
			}
		}
	}
}

func TestPurePackagesDoNoIO(t *testing.T) {
	for _, p := range list(t) {
		name := strings.TrimPrefix(p.ImportPath, "piecebag/internal/")
		for _, want := range pure {
			if name != want {
				continue
			}
			for _, imp := range p.Imports {
				require.NotContains(t, []string{"os", "net", "net/http", "path/filepath", "time", "math/rand"}, imp, "%s imports %s", p.ImportPath, imp)
			}
		}
	}
}

// Where modules come from is for each machine to say.
func TestContinuousIntegrationNamesNoHost(t *testing.T) {
	script, err := os.ReadFile(filepath.Join("..", ".ci", "run"))
	require.NoError(t, err)
	require.NotRegexp(t, `\w+://`, string(script))
}
