package main

import (
	"context"
	"math"
	"strconv"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
)

func newIdeas(l *line) *cobra.Command {
	var f documentFlags
	var lengths measures
	var ask desk.IdeasRequest
	i := report.Ideas{Wording: wording}
	cmd := &cobra.Command{
		Use:   "ideas [RECIPE.toml…]",
		Short: "Say which quilts the stash covers now",
		Long: `Ideas goes through every recipe that is built in, and files of your own, and says
which quilts the stash covers now: at the largest size, in the width of block that
gives it, what is to be bought beside it, and what is missing for the next
larger bed. First come those that use up the colours you have most of. What planned
quilts have pulled is left alone. --html and --pdf draw each in your own cloth.

Quilts from square to 1.6 times as long as wide are tried, no side under 18 inches or over
110, of at most 400 blocks (1,600 of one plain patch); no patches under ¾ inch finished
and no foundations under 5, but where the recipe itself has them. Of widths that give as
large a quilt the one is told that cuts off the least. Each piece of cloth is counted as
cut into one size, so 'piecebag plan' may find a thriftier way.`,
		Example: `  piecebag ideas
  piecebag ideas my-block.toml --only --html ideas.html`,
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, args []string) (a shown, err error) {
			for _, name := range args {
				r, err := readRecipe(name)
				if err != nil {
					return a, err
				}
				ask.Recipes = append(ask.Recipes, r)
			}
			if err := lengths.read(lengths.unit()); err != nil {
				return a, err
			}
			if i.Ideas, err = d.Ideas(ctx, ask); err == nil && f.pictured() {
				i.Crops, err = l.crops(ctx, d, i.Used())
			}
			return shown{document: i.Document, json: i.JSON}, err
		}),
	}
	fl := cmd.Flags()
	ask.Most = 8 // fit on a screen
	fl.BoolVar(&ask.Only, "only", false, "only the recipes named, not those built in")
	readVar(fl, &ask.Most, "most", strconv.Itoa(ask.Most), "tell at most so many `QUILTS`", count(1, math.MaxInt, "this is not a number of quilts", "write a whole number, like 8"))
	readVar(fl, &ask.Matching, "matching", "", "`WHICH` patches in a block come from one print: usual, those that often do; none, even where a recipe asks for it",
		oneOf([]string{recipe.UsualMatching, recipe.NoMatching}, "there is no such matching"))
	lengths.shopVars(cmd, &ask.Shop)
	f.define(cmd)
	return cmd
}
