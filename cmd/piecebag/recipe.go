package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
)

func newRecipe(s streams) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "recipe",
		Short: "List, show and check quilt blocks written as text",
		Long: `A recipe is a quilt block as a text file: its patches on a grid, the roles of their
cloth, how each unit is made, and how blocks are set. Some are built in; 'recipe
show NAME --text' writes the text of one, to start your own from. 'recipe format'
says how one is written.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return fault.Usage(args[0], "recipe does not do this", "write recipe list, recipe show NAME, recipe check FILE or recipe format")
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newRecipeList(s), newRecipeShow(s), newRecipeCheck(s), newRecipeFormat(s))
	return cmd
}

func newRecipeList(s streams) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the recipes that are built in",
		Args:  noArgs("recipe list"),
		RunE: func(*cobra.Command, []string) error {
			type entry struct {
				Name  string `json:"name"`
				About string `json:"about"`
			}
			var all []entry
			for _, name := range recipe.Names() {
				r, err := recipe.BuiltIn(name)
				if err != nil {
					return err
				}
				all = append(all, entry{name, r.About})
			}
			if asJSON {
				return answerJSON(s, map[string]any{"recipes": all})
			}
			w := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
			for _, e := range all {
				fmt.Fprintf(w, "%s\t%s\n", e.Name, e.About)
			}
			return answered(w.Flush())
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	return cmd
}

func newRecipeShow(s streams) *cobra.Command {
	var f documentFlags
	var text bool
	var svg, seam, block string
	cmd := &cobra.Command{
		Use:   "show NAME",
		Short: "Draw a recipe and say how its block is made",
		Long: `Show draws the block in letters, one a role, and lists its roles, its units and
what one block is cut from. NAME is built in or a file.`,
		Example: `  piecebag recipe show ohio-star
  piecebag recipe show my-block.toml --svg my-block.svg
  piecebag recipe show log-cabin --text > my-cabin.toml`,
		Args: oneRecipe("show"),
		RunE: func(cmd *cobra.Command, args []string) error {
			r, source, err := readRecipe(args[0])
			if err != nil {
				return err
			}
			unit := unitOf(false, seam, block)
			if r, err = resized(r, block, unit); err != nil {
				return err
			}
			if text {
				_, err := s.out.Write(cloth.PrintableLines(source))
				return answered(err)
			}
			return showRecipe(s, r, &f, svg, seam, unit)
		},
	}
	cmd.Flags().SortFlags = false
	f.define(cmd)
	cmd.Flags().StringVar(&svg, "svg", "", "write the drawing of the block to SVG `FILE`")
	measureVar(cmd.Flags(), &seam, "seam", "¼", "the `SEAM` allowance: ¼, scant, 6.5mm, 7.5mm")
	measureVar(cmd.Flags(), &block, "block", "", "make the block another finished `WIDTH`, e.g. 9 or 15cm")
	cmd.Flags().BoolVar(&text, "text", false, "write the text of the recipe itself")
	return cmd
}

func showRecipe(s streams, r *recipe.Recipe, f *documentFlags, svg, seam string, unit cloth.Unit) error {
	system, err := readSystem(seam, unit)
	if err != nil {
		return err
	}
	files, err := f.files(wantedFile[report.Document]{"svg", svg, svgFile, func(w io.Writer, _ report.Document) error { return report.RecipeDrawing(w, r) }})
	if err != nil {
		return err
	}
	defer files.drop()
	if err := files.write(report.RecipeDocument(r, system)); err != nil {
		return err
	}
	if f.json {
		return answered(report.RecipeJSON(s.out, r, system))
	}
	return answered(report.RecipeText(s.out, r, system, s.textOptions()))
}

func newRecipeCheck(s streams) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "check FILE",
		Short: "Say whether a recipe can be read and its patches tile the block",
		Args:  oneRecipe("check"),
		RunE: func(_ *cobra.Command, args []string) error {
			r, _, err := readRecipe(args[0])
			if err != nil {
				return err
			}
			if asJSON {
				return answerJSON(s, map[string]any{"recipe": r.Name, "sound": true})
			}
			_, err = fmt.Fprintf(s.out, "%s: %s is sound: its patches tile the block\n", plain(args[0]), plain(r.Name))
			return answered(err)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	return cmd
}

func newRecipeFormat(s streams) *cobra.Command {
	var asJSON, example bool
	cmd := &cobra.Command{
		Use:   "format",
		Short: "Say how a recipe is written, with an example",
		Example: `  piecebag recipe format
  piecebag recipe format --example > my-block.toml`,
		Args: noArgs("recipe format"),
		RunE: func(*cobra.Command, []string) error {
			text := recipe.Format()
			if example {
				text = recipe.Example
			}
			if asJSON {
				return answerJSON(s, map[string]any{"format": text, "example": recipe.Example})
			}
			_, err := io.WriteString(s.out, text)
			return answered(err)
		},
	}
	cmd.Flags().BoolVar(&example, "example", false, "write the example alone, to begin yours from")
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	return cmd
}

// oneRecipe asks for the one recipe that a command works on.
func oneRecipe(verb string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		switch len(args) {
		case 1:
			return nil
		case 0:
			return fault.Usage("", "no recipe is given", fmt.Sprintf("name one or a file, e.g. piecebag recipe %s ohio-star", verb))
		}
		return fault.Usage(args[1], "one recipe at a time", "run it again for the next")
	}
}

// readRecipe reads a recipe that is built in or, where the name looks like a
// file or is one, from there; with its text.
func readRecipe(name string) (*recipe.Recipe, []byte, error) {
	text, err := recipe.Text(name)
	if err != nil {
		if _, missing := os.Stat(name); missing != nil && !strings.ContainsAny(name, "./\\") {
			return nil, nil, recipeError(err)
		}
		if text, err = readInput(name, mostRecipe, "name a file, or see 'piecebag recipe list'"); err != nil {
			return nil, nil, err
		}
	}
	r, err := recipe.Read(name, text)
	if err != nil {
		return nil, nil, recipeError(err)
	}
	return r, text, nil
}

// resized is a recipe with a block of another width, as written; empty leaves it.
func resized(r *recipe.Recipe, width string, bare cloth.Unit) (*recipe.Recipe, error) {
	if width == "" {
		return r, nil
	}
	in, err := cloth.ParseLengths([]string{width}, bare)
	if err != nil {
		return nil, wrongLength("block", width, err, "this is not a width", "write the width of the finished block, like 9 or 15cm")
	}
	r, err = r.Resize(in[0])
	if err != nil {
		return nil, recipeError(err)
	}
	return r, nil
}

// recipeError says what is wrong with a recipe and what to do.
func recipeError(err error) error {
	return err
}

// readSystem reads the lengths you work in: centimetres unless all that is given may
// be in inches.
func readSystem(seam string, unit cloth.Unit) (recipe.System, error) {
	in, err := recipe.ParseSeam(seam, unit)
	if err != nil {
		return recipe.System{}, wrongLength("seam", seam, err, "this is not a seam allowance", "write ¼, scant, 6.5mm or 7.5mm")
	}
	s := recipe.Inches()
	if unit != cloth.Inches {
		s = recipe.Centimetres(in)
	}
	s.Seam, s.Scant = in, recipe.IsScant(seam)
	return s, nil
}
