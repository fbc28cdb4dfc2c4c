package recipe

import (
	"bytes"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Several returns the text of a recipe of several blocks in turn, by their names.
func Several(names []string) []byte {
	f := struct {
		Name  string              `toml:"name"`
		About string              `toml:"about"`
		Block []map[string]string `toml:"block"`
	}{Name: strings.Join(names, ", "), About: "These blocks in turn, each as large as the first."}
	for _, name := range names {
		f.Block = append(f.Block, map[string]string{"recipe": name})
	}
	text, err := toml.Marshal(f)
	if err != nil {
		panic(err) // it is all strings
	}
	return text
}

// Bundle returns the text of a recipe that can be read alone: recipes of your own that it
// takes blocks from are written at its end. open reads a recipe by its name, nil where
// there is none.
func Bundle(text []byte, open func(name string) ([]byte, error)) ([]byte, error) {
	f, err := decode(text)
	if err != nil {
		return text, nil // Read says what is wrong
	}
	found := map[string]map[string]string{}
	for todo := f.named(); len(todo) > 0; {
		name := todo[0]
		todo = todo[1:]
		if _, err := Text(name); err == nil || found[name] != nil || f.File[name].Text != "" || f.Part[name].Grid != nil || strings.EqualFold(name, f.Name) {
			continue
		}
		other, err := open(name)
		if err != nil {
			return text, err
		}
		if other == nil {
			continue
		}
		found[name] = map[string]string{"text": string(other)}
		if g, err := decode(other); err == nil {
			todo = append(todo, g.named()...)
		}
	}
	if len(found) == 0 {
		return text, nil
	}
	more, err := toml.Marshal(map[string]any{"file": found})
	return slices.Concat(bytes.TrimRight(text, "\n"), []byte("\n\n"), more), err
}

// named lists what a recipe may call other recipes by.
func (f fileText) named() (out []string) {
	add := func(names ...string) {
		for _, name := range names {
			if name != "" && name != plainName {
				out = append(out, name)
			}
		}
	}
	for _, b := range f.Block {
		add(b.Recipe)
	}
	for _, r := range f.Row {
		add(r.Block)
		add(r.Blocks...)
	}
	for _, b := range f.Border {
		add(b.Block, b.CornerBlock)
		add(b.Blocks...)
	}
	for _, line := range f.Setting.Plan {
		add(line...)
	}
	alternates, _ := f.Setting.alternates() // Read says what is wrong with them
	add(alternates...)
	return out
}
