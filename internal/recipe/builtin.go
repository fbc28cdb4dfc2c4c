package recipe

import (
	"embed"
	"path"
	"strings"

	"piecebag/internal/fault"
)

//go:embed recipes/*.toml
var files embed.FS

//go:embed format.txt
var format string

// Example is the text of a recipe that uses most of what one can say.
//
//go:embed example.toml
var Example string

// Format says how a recipe is written, for a person to read, and ends with Example.
func Format() string { return format + "\n" + Example }

// Names lists the built-in recipes, in order.
func Names() []string {
	entries, err := files.ReadDir("recipes") // sorted by name
	if err != nil {
		panic(err) // the folder is in the program itself
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = strings.TrimSuffix(e.Name(), ".toml")
	}
	return names
}

// Text returns the text of a built-in recipe, to read or to start one's own from.
// Spaces, apostrophes and case of the name do not matter. The error is a *fault.Error that names
// the nearest.
func Text(name string) ([]byte, error) {
	file := fileName(name)
	text, err := files.ReadFile(path.Join("recipes", path.Base(file)+".toml"))
	if err != nil || strings.Contains(file, "/") {
		return nil, fault.New(name, "there is no recipe of this name", meant(path.Base(file), Names())+"all are "+strings.Join(Names(), ", ")+"; or give a file")
	}
	return text, nil
}

// fileName returns the name that a recipe's file has, for a name as people write it.
func fileName(name string) string {
	return strings.NewReplacer(" ", "-", "'", "", "’", "").Replace(strings.ToLower(strings.TrimSpace(name)))
}

// BuiltIn reads a built-in recipe.
func BuiltIn(name string) (*Recipe, error) {
	text, err := Text(name)
	if err != nil {
		return nil, err
	}
	return Read(name, text)
}
