package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
)

func newRecipe(l *line) *cobra.Command {
	return group(&cobra.Command{
		Use:   "recipe",
		Short: "List, show and check quilt blocks written as text",
		Long: `A recipe is a quilt block as a text file: its patches on a grid, the roles of their
cloth, how each unit is made, and how blocks are set. Some are built in; 'recipe
show NAME --text' writes the text of one, to start your own from. 'recipe format'
says how one is written.`,
	}, "write recipe list, recipe show NAME, recipe check FILE or recipe format", newRecipeList(l), newRecipeShow(l), newRecipeCheck(l), newRecipeFormat(l))
}

func newRecipeList(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "List the recipes that are built in",
		Args:  noArgs,
		RunE: func(*cobra.Command, []string) error {
			type entry struct {
				Name  string `json:"name"`
				About string `json:"about"`
			}
			var all []entry
			var rows []string
			for _, name := range recipe.Names() {
				r, err := recipe.BuiltIn(name)
				if err != nil {
					return err
				}
				all, rows = append(all, entry{name, r.About}), append(rows, name+"\t"+r.About)
			}
			return l.answer(map[string]any{"recipes": all}, columns(rows...))
		},
	}
}

func newRecipeShow(l *line) *cobra.Command {
	var f documentFlags
	var lengths measures
	var text bool
	var block float64
	var r *recipe.Recipe
	var system recipe.System
	cmd := &cobra.Command{
		Use:   "show NAME",
		Short: "Draw a recipe and say how its block is made",
		Long: `Show draws the block in letters, one a role, and lists its roles, its units and
what one block is cut from. NAME is built in or a file.`,
		Example: `  piecebag recipe show ohio-star
  piecebag recipe show my-block.toml --svg my-block.svg
  piecebag recipe show log-cabin --text > my-cabin.toml`,
		Args: oneRecipe,
		RunE: l.shows(&f, func(_ context.Context, _ *desk.Desk, args []string) (a shown, err error) {
			var source []byte
			if r, source, err = readRecipe(args[0]); err != nil {
				return a, err
			}
			if err := lengths.read(lengths.unit()); err != nil {
				return a, err
			}
			if block > 0 {
				if r, err = r.Resize(block); err != nil {
					return a, err
				}
			}
			a = shown{
				document: func() report.Document { return report.RecipeDocument(r, system) },
				svg:      func(w io.Writer) error { return report.RecipeDrawing(w, r) },
				text:     func(w io.Writer) error { return report.RecipeText(w, r, system, l.textOptions()) },
				json:     func(w io.Writer) error { return report.RecipeJSON(w, r, system) },
			}
			if text {
				a.text = func(w io.Writer) error {
					_, err := w.Write(cloth.PrintableLines(source))
					return err
				}
			}
			return a, nil
		}),
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	f.define(cmd)
	fl.StringVar(&f.svg, "svg", "", "write the drawing of the block to SVG `FILE`")
	lengths.seamTo(fl, &system)
	lengths.blockTo(fl, &block)
	fl.BoolVar(&text, "text", false, "write the text of the recipe itself")
	return cmd
}

func newRecipeCheck(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE",
		Short: "Say whether a recipe can be read and its patches tile the block",
		Args:  oneRecipe,
		RunE: func(_ *cobra.Command, args []string) error {
			r, _, err := readRecipe(args[0])
			if err != nil {
				return err
			}
			return l.answer(map[string]any{"recipe": r.Name, "sound": true},
				fmt.Sprintf("%s: %s is sound: its patches tile the block\n", plain(args[0]), plain(r.Name)))
		},
	}
}

func newRecipeFormat(l *line) *cobra.Command {
	var example bool
	cmd := &cobra.Command{
		Use:   "format",
		Short: "Say how a recipe is written, with an example",
		Example: `  piecebag recipe format
  piecebag recipe format --example > my-block.toml`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error {
			text := recipe.Format()
			if example {
				text = recipe.Example
			}
			return l.answer(map[string]any{"format": text, "example": recipe.Example}, text)
		},
	}
	cmd.Flags().BoolVar(&example, "example", false, "write the example alone, to begin yours from")
	return cmd
}

// oneRecipe asks for the one recipe that a command works on.
func oneRecipe(cmd *cobra.Command, args []string) error {
	return takes(1, 1, fault.Usage("", "no recipe is given", "name one or a file, e.g. "+cmd.CommandPath()+" ohio-star"),
		fault.Usage("", "one recipe at a time", "run it again for the next"))(cmd, args)
}

// readRecipe reads a recipe that is built in or, where the name looks like a
// file or is one, from there; with its text.
func readRecipe(name string) (*recipe.Recipe, []byte, error) {
	text, err := recipe.Text(name)
	if err != nil {
		if _, missing := os.Stat(name); missing != nil && !strings.ContainsAny(name, "./\\") {
			return nil, nil, err
		}
		if text, err = readInput(name, mostRecipe, "name a file, or see 'piecebag recipe list'"); err != nil {
			return nil, nil, err
		}
	}
	r, err := recipe.Read(name, text)
	return r, text, err
}
