package main

import (
	"context"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

func newUse(l *line) *cobra.Command {
	var f whichFlags
	var take stash.Take
	number := oneNumber(&take.Count, mostPieces,
		fault.Usage("", "say how many you used", "write their number, like 'piecebag use 8 --family blue --cut 2½'"),
		fault.Usage("", "this is not a number of pieces", "write a whole number, and what they are by flags: 'piecebag use 8 --family blue --cut 2½'"))
	cmd := &cobra.Command{
		Use:   "use COUNT | --weight WEIGHT",
		Short: "Take pieces out of the stash, or cloth by its weight",
		Long: `Use takes a number of pieces out of the stash. The flags say which; the oldest go
first. Cloth that was added by weight is taken out by weight. If the stash holds
less than you name, nothing is taken. 'piecebag undo' puts back what was taken.`,
		Example: `  piecebag use 8 --family blue --value dark --cut 2½
  piecebag use 1 --id 12
  piecebag use --weight 100g --family brown`,
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case take.Grams == 0:
				return number(cmd, args)
			case len(args) > 0:
				return fault.Usage("", "a count and --weight cannot be given together", "say how many, or how much by weight")
			}
			return nil
		},
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (c stash.Change, err error) {
			if !f.given {
				return c, fault.Usage("", "say which pieces you used", "name them by their colour, cut, basket or number, like --family blue --cut 2½")
			}
			if take.Filter, err = f.filter(); err != nil {
				return c, err
			}
			return d.Use(ctx, take)
		}),
	}
	f.define(cmd)
	weightVar(cmd, &take.Grams, "weight", "the `WEIGHT` of cloth used, e.g. 100g, where it was added by weight")
	return cmd
}
