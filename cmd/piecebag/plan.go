package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/files"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// orderFlags say which quilt is meant, and how it is sewn and cut.
type orderFlags struct {
	lengths measures
	recipe  desk.RecipeRequest // but for its name
	ask     desk.PlanRequest
}

// sizeVars defines the flags that say how large the quilt is.
func (f *orderFlags) sizeVars(cmd *cobra.Command) {
	fl, o := cmd.Flags(), &f.ask.Order
	blocksVar(fl, &o.Blocks, "", "how many `BLOCKS`, laid out as near to square as they go")
	readTo(fl, "layout", "", "so many blocks across and down, `COLUMNSxROWS`, e.g. 4x5", func(s string) error {
		layout, err := desk.ReadLayout(s)
		o.Columns, o.Rows = layout[0], layout[1]
		return err
	})
	f.lengths.add(fl, "size", "", "at least this large when finished: `WIDTHxLENGTH`, e.g. 60x72 or 150x200cm", func(s string, bare cloth.Unit) error {
		size, err := desk.ReadSize(s, bare)
		o.WidthIn, o.LengthIn = size[0], size[1]
		return err
	})
	readVar(fl, &o.Bed, "bed", "", "for this `BED`, by its name in 'piecebag plan --help', or its mattress, e.g. 140x200cm", lower)
	f.lengths.blockTo(fl, &f.recipe.BlockIn)
	readVar(fl, &f.recipe.AtATime, "at-a-time", "", "how many units are made at once, by `TECHNIQUE`, e.g. half-square=8,flying-geese=4", recipe.ReadAtATime)
	readVar(fl, &o.Shrinks, "wash", "0", "make it larger, by the `PERCENTAGE` that it will shrink in the wash", shrinkage(plan.MostWash))
}

// cutVars defines the flags that say how it is sewn and cut, and from what; background
// says what the background is.
func (f *orderFlags) cutVars(cmd *cobra.Command, background string) {
	cmd.Flags().StringVar(&f.ask.Background, "background", "", background)
	preferVar(cmd, &f.ask.Prefer)
	cmd.Flags().StringVar(&f.recipe.Matching, "matching", "", "`ROLES` of which all patches in a block come from one print, with commas between; usual: those that often do; none: even where the recipe asks for it")
	f.lengths.shopVars(cmd, &f.ask.Shop)
	for _, x := range []struct {
		flag, what string
		to         *plan.Source
	}{{"binding", "the binding comes", &f.ask.Shop.BindingFrom}, {"border", "plain borders come", &f.ask.Shop.BorderFrom}} {
		readVar(cmd.Flags(), x.to, x.flag, "", "`WHERE` "+x.what+" from: stash, joined from its strips, or buy; empty: as the recipe has it", oneOf(plan.Sources, "there is no such source"))
	}
}

// oneOrder wants one recipe; example is a command with one.
func oneOrder(example string) cobra.PositionalArgs {
	return takes(1, 1,
		fault.Usage("", "no recipe is given", "name one, e.g. "+example+"; 'piecebag recipe list' lists them"),
		fault.Usage("", "one recipe at a time", "plan the next quilt by itself"))
}

// read reads the lengths among the flags, and says which recipe is named.
func (f *orderFlags) read(name string) error {
	at := recipeAt(name)
	f.recipe.Name, f.recipe.Open = at.Name, at.Open
	err := f.lengths.read(f.lengths.unit())
	f.ask.Fixed = f.recipe.BlockIn > 0
	return err
}

func newPlan(l *line) *cobra.Command {
	var f documentFlags
	var order orderFlags
	var forget string
	var sewing bool
	p := report.Plan{Wording: wording}
	ask := &order.ask
	cmd := &cobra.Command{
		Use:   "plan RECIPE",
		Short: "Work out a quilt: patches, cuts, cloth, and what the stash covers of it",
		Long: `Plan works out what a quilt is cut from, looks for it in the stash, and says what to
pull, what to cut and in which order, and what is still wanted. RECIPE is built in
('piecebag recipe list') or a file, or several with commas between, whose blocks stand
in turn. Say how large the quilt is by one of --blocks, --layout, --size and --bed; a
recipe with a layout of its own needs none. A plan you saved before keeps what it
pulled from the stash, and cloth that has come since and fills its gaps. Save a plan
again under its name, and it keeps its own pieces first.

The background is one fabric. Name its print with --background to cut it from the
stash; otherwise it is on the list of what to buy. --save NAME keeps the plan: the
bins it takes from then count as thin, and 'piecebag buy' lists what it lacks.
--forget NAME takes the plan away again.

Which pieces are taken and cut is chosen by aims, each before the next:
  1 cover most, by area
  2 take pieces that are the right size as they are
  3 spread each role over the most prints
  4 cut into the smallest pieces that serve, short ones before long ones, squares last
  5 cut into the fewest pieces
  6 make the fewest cuts
  7 waste the least
This order is --prefer scraps. --prefer waste takes them in the order 1 2 7 5 4 6 3,
and --prefer variety in the order 1 3 2 4 5 6 7. No cloth is cut unless cover or
variety needs it. Patches that match, as the recipe or --matching says, are covered in
whole sets, each from one print: cloth whose print is not known matches itself alone.

With --between 2½ it says how many pairs of squares, a light and a dark one, the rest
of your cloth gives for a plain second quilt of four-patches: sew a pair at the end of
each chain, between the seams of this one, in place of a scrap.

With --strip-sets rails, chequers, four- and nine-patches and chains are sewn from strips
that you have, of the width needed or slit from wider cloth, sewn together and cut across
in segments; it says how many sets of which length, and what each gives. What they do not
give is sewn patch by patch, and so is all that strip sets would leave more to buy for.
Fewer prints come of it, and two patches of a segment stay side by side: 'arrange' lays
every patch by itself.

With --choose the block takes the width, and its triangles and geese are made the way,
that cover most of the quilt from your stash, and of those the ones of which the least
cloth is cut off: a square that a block can take whole is not trimmed. A block near to
the recipe's width goes before one far from it. Widths are those the ruler has,
from a third of the recipe's to three times; with --blocks or --layout, within a
quarter of it; with --block only the way is chosen. All are reckoned by a simple way to
cut, and the best eight (four, of a large stash) are cut out as the plan is.

Beds for --bed, and the quilts that they take:
` + bedTable() + `Published sizes differ by some inches. Those in centimetres are as they are sold, from
memory; their quilts hang 30 cm at both sides and the foot.`,
		Example: `  piecebag plan ohio-star --layout 4x5
  piecebag plan reading-corner --size 48x64 --html order.html --pdf order.pdf
  piecebag plan nine-patch --bed twin --seam 7.5mm --block 15cm --why
  piecebag plan pinwheel --size 48x60 --choose
  piecebag plan four-patch --blocks 24 --strip-sets
  piecebag plan sawtooth-star --layout 4x5 --sewing --pdf to-sew.pdf
  piecebag plan ohio-star,pinwheel,my-star.toml --layout 3x4
  piecebag plan log-cabin --blocks 24 --save "winter quilt"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if forget == "" {
				return oneOrder("piecebag plan ohio-star --layout 4x5")(cmd, args)
			}
			if len(args) > 0 || ask.Save != "" {
				return fault.Usage("", "--forget takes a plan away; it does not make one", "write it alone, like piecebag plan --forget \"winter quilt\"")
			}
			return nil
		},
	}
	work := l.shows(&f, func(ctx context.Context, d *desk.Desk, args []string) (a shown, err error) {
		if err := order.read(args[0]); err != nil {
			return a, err
		}
		if ask.Order.Recipe, err = order.recipe.Read(); err != nil {
			return a, err
		}
		ask.Picture = f.pictured() && !sewing
		if p.Plan, err = d.Plan(ctx, *ask); err == nil && p.Pull != nil && f.pictured() {
			p.Crops, err = l.crops(ctx, d, desk.Pulled(p.Pull.Cover))
		}
		if err == nil && ask.Save != "" {
			words := fmt.Sprintf("the plan is kept as %q", p.Kept)
			if p.Replaced {
				words += ", in place of the one kept under this name"
			}
			l.note(words)
		}
		if sewing && err == nil {
			sheet := p.Sewing()
			return shown{document: sheet.Document, json: sheet.JSON}, nil
		}
		return shown{document: p.Document, json: p.JSON}, err
	})
	remove := l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (stash.Change, error) {
		return d.ForgetPlan(ctx, forget)
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if forget != "" {
			return remove(cmd, args)
		}
		return work(cmd, args)
	}
	order.sizeVars(cmd)
	order.cutVars(cmd, "cut the background from this `PRINT` of the stash")
	fl := cmd.Flags()
	fl.BoolVar(&ask.Choose, "choose", false, "choose the block width and how units are made so that your cloth is used best")
	order.lengths.add(fl, "between", "", "how many pairs of squares of this `SIZE`, as cut, the rest of your cloth gives, to sew between other seams, e.g. 2½", cutTo(&ask.BetweenIn))
	fl.BoolVar(&ask.Shop.StripSets, "strip-sets", false, "sew strips of the stash together and cut them across, where the blocks allow it")
	fl.BoolVar(&ask.NoStash, "no-stash", false, "do not look into the stash")
	fl.StringVar(&ask.Save, "save", "", "keep the plan under this `NAME`")
	fl.StringVar(&forget, "forget", "", "take away the plan kept under this `NAME`")
	whyVar(cmd, &p.Why)
	fl.BoolVar(&sewing, "sewing", false, "say in which order it is sewn instead, with how many of each unit to make: a sheet to print")
	f.define(cmd)
	return cmd
}

// bedTable lists the beds for help.
func bedTable() string {
	rows := []string{"  bed\tmattress\tquilt"}
	for _, b := range plan.Beds {
		name := b.Name
		if b.Also != "" {
			name += " or " + b.Also
		}
		rows = append(rows, "  "+name+"\t"+cmp.Or(b.Mattress(), "–")+"\t"+b.Quilt())
	}
	return report.Columns(rows...)
}

// blocksVar defines a flag for a number of blocks.
func blocksVar(fl *pflag.FlagSet, to *int, value, usage string) {
	readVar(fl, to, "blocks", value, usage, desk.ReadBlocks)
}

// preferVar defines the flag that says which of two cutting plans is better.
func preferVar(cmd *cobra.Command, to *cutting.Prefer) {
	*to = cutting.Scraps
	readVar(cmd.Flags(), to, "prefer", string(*to), "the `AIM` to cut by: scraps, waste or variety, in the orders above",
		oneOf(cutting.Prefers, "there is no such aim"))
}

// whyVar defines the flag that has the arithmetic of an answer written out.
func whyVar(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "why", false, "write the arithmetic out")
}

// shopVars defines the flags that say how you sew, cut and buy.
func (m *measures) shopVars(cmd *cobra.Command, s *plan.Shop) {
	*s = plan.Defaults(recipe.Inches())
	fl := cmd.Flags()
	width := func(to *float64) func(string, cloth.Unit) error {
		return lengthTo(to, "this is not a width of fabric", "write its usable width, like 40 or 106cm")
	}
	m.seamTo(fl, &s.System)
	m.metricFlag(fl)
	m.add(fl, "wof", strconv.Itoa(cutting.DefaultWidth)+"in", "the usable `WIDTH` of fabric, selvages off", width(&s.WOFIn))
	m.add(fl, "back-wof", "", "the usable `WIDTH` of the backing, if it is another", width(&s.BackWOFIn))
	m.add(fl, "squaring", "0", "the `LENGTH` lost from each cut of cloth when it is squared up", lengthOrNoneTo(&s.SquaringIn))
	readVar(fl, &s.Shrink, "shrink", "0", "buy this `PERCENTAGE` more, for shrinkage, e.g. 6", shrinkage(plan.MostShrink))
	m.add(fl, "trim", "0", "cut squares for triangles this `LENGTH` larger, to trim later, e.g. ⅛", lengthOrNoneTo(&s.System.Trim)) // after the seam
	readTo(fl, "one-way", "", "`ROLES` whose print has an up and must not be turned, with commas between", func(text string) error {
		for role := range strings.SplitSeq(text, ",") {
			if role = strings.TrimSpace(role); role != "" {
				s.OneWay = append(s.OneWay, role)
			}
		}
		return nil
	})
}

// shrinkage reads a percentage, with its sign or without, as a share of at most so much.
func shrinkage(most float64) func(string) (float64, error) {
	return func(s string) (float64, error) { return desk.ReadShrinkage(s, most) }
}

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
			return l.answer(map[string]any{"recipes": all}, report.Columns(rows...))
		},
	}
}

func newRecipeShow(l *line) *cobra.Command {
	var f documentFlags
	var lengths measures
	var text, sewing bool
	var block float64
	var r *recipe.Recipe
	var system recipe.System
	cmd := &cobra.Command{
		Use:   "show NAME",
		Short: "Draw a recipe and say how its block is made",
		Long: `Show draws the block in letters, one a role, and lists its roles, its units and
what one block is cut from. NAME is built in or a file. With --sewing it says instead in
which order the block is sewn: which units to make first and how, then rows or pieces,
to which side every seam is pressed, then the top.`,
		Example: `  piecebag recipe show ohio-star
  piecebag recipe show ohio-star --sewing --pdf to-sew.pdf
  piecebag recipe show my-block.toml --svg my-block.svg
  piecebag recipe show log-cabin --text > my-cabin.toml`,
		Args: oneRecipe,
		RunE: l.shows(&f, func(_ context.Context, _ *desk.Desk, args []string) (a shown, err error) {
			if err := lengths.read(lengths.unit()); err != nil {
				return a, err
			}
			of := recipeAt(args[0])
			of.BlockIn = block
			if r, err = of.Read(); err != nil {
				return a, err
			}
			a = shown{
				document: func() report.Document { return report.RecipeDocument(r, system) },
				svg:      func(w io.Writer) error { return report.RecipeDrawing(w, r) },
				text:     func(w io.Writer) error { return report.RecipeText(w, r, system, l.textOptions()) },
				json:     func(w io.Writer) error { return report.RecipeJSON(w, r, system) },
			}
			if sewing {
				sheet := report.Sewing{Recipe: r, System: system}
				return shown{document: sheet.Document, json: sheet.JSON, svg: a.svg}, nil
			}
			if text {
				a.text = func(w io.Writer) error {
					_, err := w.Write(cloth.PrintableLines(r.Text))
					return err
				}
			}
			return a, nil
		}),
	}
	fl := cmd.Flags()
	f.define(cmd)
	fl.StringVar(&f.svg, "svg", "", "write the drawing of the block to SVG `FILE`")
	lengths.seamTo(fl, &system)
	lengths.blockTo(fl, &block)
	fl.BoolVar(&sewing, "sewing", false, "say in which order it is sewn and how seams are pressed, a sheet to print")
	fl.BoolVar(&text, "text", false, "write the text of the recipe itself")
	notTogether(cmd, "ask for one of them", "sewing", "text")
	return cmd
}

func newRecipeCheck(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE",
		Short: "Say whether a recipe can be read and its patches tile the block",
		Args:  oneRecipe,
		RunE: func(_ *cobra.Command, args []string) error {
			r, err := readRecipe(args[0])
			if err != nil {
				return err
			}
			return l.answer(map[string]any{"recipe": r.Name, "sound": true},
				fmt.Sprintf("%s: %s is sound: its patches tile the block\n", plain(args[0]), plain(r.Name)))
		},
	}
}

// beginYours is how a recipe of your own is begun.
const beginYours = `
TO BEGIN

    piecebag recipe format --example > my-block.toml
    piecebag recipe check my-block.toml
    piecebag recipe show my-block.toml --svg my-block.svg
    piecebag plan my-block.toml --layout 3x4

Roles that may match do with --matching usual.
`

func newRecipeFormat(l *line) *cobra.Command {
	var example bool
	cmd := &cobra.Command{
		Use:   "format",
		Short: "Say how a recipe is written, with an example",
		Example: `  piecebag recipe format
  piecebag recipe format --example > my-block.toml`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error {
			text := recipe.Format() + beginYours
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

const whichRecipe = "name a file, or see 'piecebag recipe list'"

// readRecipe reads a recipe by its name, or from a file.
func readRecipe(name string) (*recipe.Recipe, error) { return recipeAt(name).Read() }

// recipeAt asks for a recipe by its name, or of a file. Files that it takes blocks from
// are found from where it lies.
func recipeAt(name string) desk.RecipeRequest {
	folder := "."
	return desk.RecipeRequest{Name: name, Open: func(other string) ([]byte, error) {
		path := other
		if other != name && !filepath.IsAbs(path) {
			path = filepath.Join(folder, path)
		}
		if _, missing := os.Stat(path); missing != nil && (other != name || strings.Contains(name, ",") || !strings.ContainsAny(name, "./\\")) {
			return nil, nil // it is no file, or several with commas between
		}
		if other == name {
			folder = filepath.Dir(name)
		}
		return files.Read(path, mostRecipe, whichRecipe)
	}}
}
