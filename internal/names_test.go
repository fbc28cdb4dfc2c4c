package internal

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// In no file are two types of one name, unless the one holds the other: its reader would
// have to ask which is meant. A general word, such as Step or Row, may be a type of several
// packages that do not meet.
func TestNoFileHasTwoTypesOfOneName(t *testing.T) {
	files := map[string][]*ast.File{} // by import path
	types := map[string]map[string]ast.Expr{}
	set := token.NewFileSet()
	require.NoError(t, filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			return err
		}
		in := path.Join("piecebag/internal", filepath.ToSlash(filepath.Dir(name)))
		files[in] = append(files[in], f)
		if types[in] == nil {
			types[in] = map[string]ast.Expr{}
		}
		for _, d := range f.Decls {
			if g, ok := d.(*ast.GenDecl); ok {
				for _, s := range g.Specs {
					if s, ok := s.(*ast.TypeSpec); ok && s.Name.IsExported() {
						types[in][s.Name.Name] = s.Type
					}
				}
			}
		}
		return nil
	}))
	seen := 0
	for in, all := range files {
		for _, f := range all {
			used := map[string]map[string]bool{} // of a name, whose types it is
			use := func(in, name string) {
				if types[in][name] != nil {
					if used[name] == nil {
						used[name] = map[string]bool{}
					}
					used[name][in] = true
					seen++
				}
			}
			for _, own := range f.Unresolved {
				use(in, own.Name)
			}
			for _, own := range f.Scope.Objects {
				if own.Kind == ast.Typ {
					use(in, own.Name)
				}
			}
			imported := map[string]string{}
			for _, i := range f.Imports {
				from, _ := strconv.Unquote(i.Path.Value)
				imported[path.Base(from)] = from
			}
			ast.Inspect(f, func(n ast.Node) bool {
				if s, ok := n.(*ast.SelectorExpr); ok {
					if from, ok := s.X.(*ast.Ident); ok && from.Obj == nil {
						use(imported[from.Name], s.Sel.Name)
					}
				}
				return true
			})
			delete(used, "Options") // as Go code calls what a package is asked with,
			delete(used, "Result")  // and what it answers
			for name, of := range used {
				whose := slices.Sorted(maps.Keys(of))
				apart := slices.DeleteFunc(slices.Clone(whose), func(in string) bool { return holds(types[in][name], name) })
				require.LessOrEqual(t, len(apart), 1, "%s: %s is a type of %s", set.Position(f.Pos()).Filename, name, strings.Join(whose, " and of "))
			}
		}
	}
	require.Greater(t, seen, 1000)
}

// holds reports whether a type is made of another package's type of a name.
func holds(t ast.Expr, name string) (yes bool) {
	ast.Inspect(t, func(n ast.Node) bool {
		x, ok := n.(*ast.SelectorExpr)
		yes = yes || ok && x.Sel.Name == name
		return true
	})
	return yes
}
